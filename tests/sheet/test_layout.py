"""No label overlaps another or leaves the page: every example, and 200 made-up sites."""

from pathlib import Path

import pytest

from optimiser.sheet.panel import drawing
from optimiser.sheet.pictures import alone, pictures, together
from optimiser.sheet.rigged import Rigged
from tests.sheet.layouts import EXAMPLES, answers, faults, made_up_setups


@pytest.mark.parametrize("path", [None, *EXAMPLES], ids=lambda p: p.stem if p else "demonstration")
def test_examples(path: Path | None) -> None:
    site, setups = answers(path)
    assert setups, "an example that nothing answers has no sheet"
    compared = [Rigged(site, s, i + 1, len(setups)) for i, s in enumerate(setups)]

    for i, rigged in enumerate(compared):
        others = [o for o in compared if o.setup.from_m == rigged.setup.from_m and o is not rigged]
        figure, panels = together([rigged, *others], f"{site.title} {i}")
        with drawing():
            assert faults(figure) == []
        assert not [label for p in panels for label in p.left_out if label.needed]


def test_two_hundred_made_up_sites() -> None:
    wrong: list[str] = []
    for rigged in made_up_setups(200):
        for picture in pictures([rigged]):
            if picture.title == "Signs":
                continue  # the same on every page, and looked at in the examples
            figure, panel = alone(picture)
            with drawing():
                wrong += [f"{rigged.setup.reeving}: {fault}" for fault in faults(figure)]
            wrong += [f"no room for {x.text!r}" for x in panel.left_out if x.needed]

    assert wrong == []
