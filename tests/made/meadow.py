"""A flat meadow with one anchor behind the end of the path, as a site file. Invented."""

from collections.abc import Mapping

TEXT = """
title = "flat meadow"

[path]
start = ["0 m", "0 m", "0 m"]

[[path.leg]]
to = ["8 m", "0 m", "0 m"]
surface = "grass-sliding"

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
height = "0.2 m"
rating = "20 kN"
eye = "30 mm"

{anchor}

[[puller]]
kind = "people"
name = "six of us"
count = 6
footing = "grass"
at = ["{x}", "6 m", "0 m"]
towards = ["{x}", "40 m", "0 m"]
run = "12 m"

[[gear]]
id = "polyester-14"
name = "rope"
length = "60 m"
ends = ["bare", "bare"]
condition = "new"

[[gear]]
id = "snatch-100-bronze"
count = 2
condition = "new"

[[gear]]
id = "shackle-13"
count = 6
condition = "new"

[[gear]]
id = "sling-60-3m"
count = 2
condition = "new"

[preferences]
knots = ["bowline"]
"""

ANCHOR = """
[[anchor]]
name = "{name}"
kind = "{kind}"
at = ["14 m", "0 m", "0 m"]
{table}
"""

PICKETS = 'holdfast = {{ system = "{system}", pickets = "{pickets}", soil = "{soil}" }}'
LOG = (
    'deadman = {{ log_diameter = "{thick}", log_length = "{long}", depth = "{depth}", run = {run}, '
    'soil = "{soil}", sling = "{sling}" }}'
)
BESIDE = "14 m"
"""Where the puller stands: beside the anchor, so that a block on it turns the line."""


def meadow(kind: str, table: str, name: str = "the anchor") -> str:
    """The site with an anchor of a kind."""
    return TEXT.format(anchor=ANCHOR.format(name=name, kind=kind, table=table), x=BESIDE)


def with_part(text: str) -> str:
    """The site with any other part of a file in place of the anchor."""
    return TEXT.format(anchor=text, x=BESIDE)


def pickets(system: str, *, pickets: str = "wood", soil: str = "loam") -> str:
    """The site with a holdfast."""
    table = PICKETS.format(system=system, pickets=pickets, soil=soil)
    return meadow("picket holdfast", table)


def log(**changed: str) -> str:
    """The site with a buried log, 1 ft by 4 ft and 4 ft deep unless it is changed."""
    usual: Mapping[str, str] = {
        "thick": "1 ft", "long": "4 ft", "depth": "4 ft", "run": "2", "soil": "loam", "sling": "90 kN"
    }  # fmt: skip
    return meadow("buried log", LOG.format(**(dict(usual) | changed)))
