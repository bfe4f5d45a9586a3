"""The pull at which a piece reaches its limit, where sheaves may run more easily than planned."""

import pytest

from optimiser.sheet.shown.rigged import Rigged
from optimiser.site.reading import read_site
from tests.uncertainty.straight import setup, two_rings_text

OLD = "old ring@0.5 m > load > winch"


def test_a_piece_behind_a_sheave_has_its_limit_at_its_easiest() -> None:
    """The standing end's ring gets e times the winch's pull, with e anywhere from 0.6 to 0.95: it may stand
    all it does at 1 / 0.95 of that. The winch itself has its limit at its own rating."""
    site = read_site(
        two_rings_text("3 kN", weight="1500 kg", efficiency='"0.6..0.95"', pull="9 kN")
    )
    found = setup(site, OLD)
    limits = Rigged(site, found).limits_of[0]
    by_name = {part.name: limits.of(part) for part in found.components}

    assert by_name["old ring (ring)"] == pytest.approx(3000 / 0.95, rel=1e-6)
    assert by_name["winch: pull"] == pytest.approx(9000, rel=1e-6)
