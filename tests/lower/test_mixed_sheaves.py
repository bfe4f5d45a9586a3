"""A tree that holds the winch and the standing end, with sheaves between: it bears most where one of them
rubs and the other runs free."""

from itertools import product

import numpy as np
import pytest

from optimiser import LowerQuestion, lower, read_site
from optimiser.mechanics.arrays import Array

SITE = """
[path]
start = ["0 m", "0 m", "0 m"]
[[path.leg]]
to = ["8 m", "0 m", "2 m"]
surface = "grass"
resistance = 0.05
[load]
weight = "300 kg"
rests_on = "wheels"
wheel_radius = "0.3 m"
length = "1 m"
overhang = "0.5 m"
[[load.hitch]]
name = "bar"
ahead = "0.5 m"
left = "0 m"
height = "0.4 m"
rating = "20 kN"
eye = "40 mm"
[[tree]]
name = "ahead"
at = ["16 m", "0 m", "4.3 m"]
diameter = "40 cm"
species = "unknown"
strap_lowest = "0.3 m"
strap_highest = "0.3 m"
[[tree]]
name = "aside"
at = ["12 m", "5 m", "4.3 m"]
diameter = "40 cm"
species = "unknown"
strap_lowest = "0.3 m"
strap_highest = "0.3 m"
[[puller]]
kind = "hand winch"
name = "winch"
anchor = "aside"
height = "0.3 m"
id = "hand-winch-500"
[[gear]]
id = "polyester-12"
length = "80 m"
ends = ["bare", "bare"]
condition = "good"
[[gear]]
id = "snatch-75-bronze"
count = 3
condition = "good"
[[gear]]
id = "shackle-11"
count = 8
condition = "good"
[[gear]]
id = "sling-30-2m"
count = 4
condition = "good"
[preferences]
side_pull_rolling = 0.9
"""
REEVING = "aside@0.3 m > load > ahead@0.3 m > winch"
LEVER, JERK = 0.6, 1.1
"""Of a strap 0.3 m up, m; what the winch's catalogue entry has for jerks."""


def _towards(begin: Array, end: Array) -> Array:
    return np.asarray((end - begin) / np.linalg.norm(end - begin))


def test_a_tree_bears_most_with_one_sheave_free_and_the_other_as_rated() -> None:
    """By hand, with the load at the end of its path: the parts carry H, b H and a b H from the winch on, and
    the two at the load hold it back by what its weight pulls less the ground's share that is counted on."""
    site = read_site(SITE)
    setup = next(s for s in lower(site, LowerQuestion(top=40)) if s.reeving == REEVING)
    along = np.array((8.0, 0.0, 2.0)) / np.hypot(8.0, 2.0)
    up = np.array((-2.0, 0.0, 8.0)) / np.hypot(8.0, 2.0)
    hitch = np.array((8.0, 0.0, 2.0)) + 0.5 * along + np.array((0.0, 0.0, 0.4))
    ahead, aside = np.array((16.0, 0.0, 4.6)), np.array((12.0, 5.0, 4.6))
    sure = 0.5 * site.legs[0].resistance_low
    force = 300.0 * 9.80665 * (along[2] - sure * up[2])
    on_tree = {}
    for rubs in product((False, True), repeat=2):
        a, b = (1.0 / eta if each else 1.0 for each, eta in zip(rubs, setup.etas, strict=True))
        parts = b * _towards(hitch, ahead) + a * b * _towards(hitch, aside)
        winch = force / (parts @ along - sure * (parts @ up))
        whole = a * b * winch * _towards(aside, hitch) + winch * _towards(aside, ahead)
        on_tree[rubs] = float(np.hypot(*whole[:2])) * LEVER * JERK
    worst = max(on_tree.values())
    assert worst == on_tree[True, False]
    assert worst > 1.01 * max(on_tree[False, False], on_tree[True, True])
    (tree,) = [part for part in setup.components if part.item == "aside"]
    assert tree.demand == pytest.approx(worst, rel=1e-9)
    assert tree.at == pytest.approx(np.hypot(8.0, 2.0))
