"""A trolley on a straight slope as a site file, for the whole way from file to printed answer."""

import json
from pathlib import Path
from typing import Any

import pytest

from optimiser import cli
from tests.piped import replaced

RUN = 10.0
"""m, length of the slope in plan."""


def site_text(
    rise: float, resistance: str, *, extra: str = "", way: str = "up", dip: float | None = None
) -> str:
    """The slope written from its lower end (`way` up) or from its higher one; the load stands on it as
    it does either way. `dip`: the path is lowered by so much half way."""
    ends = [(0.0, 0.0), (RUN, rise)]
    middle = [] if dip is None else [(RUN / 2.0, rise / 2.0 - dip)]
    points = [ends[0], *middle, ends[1]]
    sign = 1.0 if way == "up" else -1.0
    if way != "up":
        points.reverse()
    legs = "".join(
        f'[[path.leg]]\nto = ["{x} m", "0 m", "{z} m"]\n'
        f"resistance = {resistance}\nedge_protected = true\n"
        for x, z in points[1:]
    )
    x, z = points[0]
    return f"""
title = "slope"
[path]
start = ["{x} m", "0 m", "{z} m"]
{legs}
[load]
name = "trolley"
weight = "400 kg"
rests_on = "wheels"
wheel_radius = "20 cm"
length = "1.6 m"
overhang = "0.8 m"
[[load.hitch]]
name = "eye"
ahead = "{sign * 0.8} m"
left = "0 m"
height = "0.4 m"
rating = "20 kN"
[[tree]]
name = "oak"
at = ["{RUN + 4.0} m", "0.4 m", "{rise} m"]
diameter = "40 cm"
species = "oak-european"
tree_height = "15 m"
strap_lowest = "0.5 m"
strap_highest = "0.5 m"
[[puller]]
name = "people"
kind = "people"
count = 2
footing = "grass"
at = ["{RUN + 8.0} m", "3 m", "{rise} m"]
towards = ["{RUN + 16.0} m", "3 m", "{rise} m"]
run = "6 m"
[[gear]]
id = "polyester-12"
name = "rope"
length = "50 m"
ends = ["bare", "bare"]
condition = "good"
[[gear]]
id = "shackle-11"
count = 4
condition = "good"
[[gear]]
id = "sling-30-2m"
count = 2
condition = "good"
[preferences]
side_pull_rolling = 0.5
{extra}
"""


def on_a_post(text: str, girth: str) -> str:
    """The same site with a post of a girth in place of the oak."""
    return replaced(
        text,
        ("[[tree]]", '[[anchor]]\nkind = "post"'),
        ('diameter = "40 cm"', f'girth = "{girth}"\ntop = "1.5 m"\nrating = "30 kN"'),
        ('species = "oak-european"\n', ""),
        ('tree_height = "15 m"\n', ""),
        ('strap_lowest = "0.5 m"\nstrap_highest = "0.5 m"', 'strap_heights = ["0.5 m"]'),
    )


def answer(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str, *words: str
) -> tuple[int, dict[str, Any]]:
    """Exit code and JSON of `bankhaul lower` (or of other words) for a site file with that text."""
    path = tmp_path / "slope.toml"
    path.write_text(text, encoding="utf-8")
    command, *options = words or ("lower",)
    code = cli.main([command, str(path), "--format", "json", *options])
    return code, json.loads(capsys.readouterr().out)
