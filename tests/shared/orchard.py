"""A level orchard with two equal trees that may share a pull, as a site file. Invented.

The trees stand square to the path, so that a sling between them is pulled
in the middle.
"""

from typing import Any

from tests.piped import answered

TEXT = """
title = "level orchard"

[path]
start = ["0 m", "0 m", "0 m"]

[[path.leg]]
to = ["4 m", "0 m", "0 m"]
surface = "grass"

[load]
name = "stone"
weight = "150 kg"
rests_on = "skids"
length = "1 m"
overhang = "0.5 m"

[[load.hitch]]
name = "eye"
ahead = "0.5 m"
left = "0 m"
height = "0.5 m"
rating = "20 kN"

[[tree]]
name = "ash"
at = ["22 m", "1 m", "0 m"]
diameter = "{thick}"
species = "unknown"
strap_heights = ["0.5 m"]

[[tree]]
name = "elm"
at = ["22 m", "-1 m", "0 m"]
diameter = "{thick}"
species = "unknown"
strap_heights = ["0.5 m"]

{pair}

[[puller]]
kind = "people"
name = "six of us"
count = 6
footing = "grass"
at = ["20 m", "-4 m", "0 m"]
towards = ["60 m", "-12 m", "0 m"]
run = "12 m"

[[gear]]
id = "polyester-14"
name = "rope"
length = "60 m"
ends = ["bare", "bare"]
condition = "new"

[[gear]]
id = "polyester-{size}"
name = "short rope"
length = "{sling}"
ends = ["bare", "bare"]
condition = "new"

[[gear]]
id = "snatch-100-bronze"
count = 1
condition = "new"

[[gear]]
id = "{shackle}"
count = 4
condition = "new"

[preferences]
knots = ["round-turn-two-half-hitches", "bowline"]
"""
BOTH = ("ash & elm@0.5 m", "load", "six of us")
"""Standing end on the sling, a block on the load, and on to the people."""


def orchard(
    pair: str = 'trees = ["ash", "elm"]', *, sling: str = "20 m", thick: str = "40 cm", size: str = "14",
    shackle: str = "shackle-16",
) -> str:  # fmt: skip
    """The site file. `pair`: the keys of [[pair]]; "" for none."""
    part = f"[[pair]]\n{pair}" if pair else ""
    return TEXT.format(pair=part, sling=sling, thick=thick, size=size, shackle=shackle)


def setups(text: str, *options: str) -> list[dict[str, Any]]:
    """What `rank` lists."""
    _, found = answered(text, "rank", "--top", "40", "--all", *options)
    return list(found["setups"])


def shared(text: str) -> dict[str, Any]:
    """The setup in which the standing end is on the sling."""
    ways = {tuple(found["reeving"]): found for found in setups(text)}
    assert BOTH in ways, list(ways)
    return ways[BOTH]


def in_full(text: str, number: int) -> dict[str, Any]:
    """A setup of that list as `show` has it."""
    _, found = answered(text, "show", str(number))
    return dict(found)
