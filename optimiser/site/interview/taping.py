"""Asks where something stands: by the tape from both ends of the way, the side, and the height."""

from collections.abc import Iterator
from typing import Any

from optimiser.site.document.readings import ReadingPart
from optimiser.site.interview.prompt import Question, Step, question
from optimiser.site.lines import Key

LEVEL_GUESS = "0.5 m"
"""How far off a height is taken to be (two out of three) where somebody skips it as level (choice)."""


def place(
    raw: dict[str, Any],
    name: str,
    words: str,
    about: tuple[Key, ...],
    *,
    skip: str = "",
    heading: str = "",
) -> Iterator[Step]:
    """Where something is. `about`: the parts of the site file whose faults may come from that. `skip`: what
    leaving out the first answer, and the place with it, means; "" where it is needed."""
    readings = raw.setdefault("reading", [])
    first = len(readings)
    readings += [
        {"from": "start", "to": name},
        {"from": "end", "to": name},
        {"from": "end", "to": name},
    ]

    def reading(offset: int, key: str, text: str, example: str = "", **more: Any) -> Question:
        at: Key = ("reading", first + offset, key)
        return question(ReadingPart, at, text, example, about=(*about, at[:-1]), **more)

    yield reading(
        0,
        "tape",
        f"{words}: the tape from where the load lies now",
        '"15.6 m" or "51 ft"',
        skip=skip,
        heading=heading,
    )
    if "tape" not in raw["reading"][first]:
        del raw["reading"][first:]
        return
    yield reading(1, "tape", f"{words}: the tape from the end of the way", '"5.2 m" or "17 ft"')
    yield reading(
        1, "side", f"{words}: left or right of the line from the one to the other, as the load goes"
    )
    yield reading(
        2,
        "rise",
        f"{words}: how much higher than the end of the way",
        '"0.4 m" or "0.4 m down"',
        skip=f"level with it, within {LEVEL_GUESS}",
        default={"rise": "0 m", "accuracy": LEVEL_GUESS},
    )
