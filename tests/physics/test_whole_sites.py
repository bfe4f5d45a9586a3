"""Whole site files against a general physics engine: one slope, several slopes, over an edge, two ropes.

`python -m tests.physics --sites 30` compares thirty, at three places of the path each.
"""

from dataclasses import replace

import pytest

from tests.physics.compare import WITHIN, along_the_path, on_rings, solved
from tests.physics.engine import drag
from tests.physics.sites import KINDS, rigged


@pytest.mark.parametrize("number", range(len(KINDS)), ids=[kind.name for kind in KINDS])
def test_the_load_dragged_by_the_engine(number: int) -> None:
    site = solved(number)
    assert site.setup is not None
    assert bool(site.setup["contacts"]) == site.kind.edges
    assert ("lines" in site.setup) == site.kind.two_ropes
    found = [*along_the_path(site, 0.5), *on_rings(site)]
    assert {one.what for one in found} >= {"pull", "ground", "aside"}
    assert {one.what: one.difference for one in found if one.difference > WITHIN} == {}


def test_the_engine_notices_a_worse_block_and_rougher_ground() -> None:
    """What it finds moves by more than is allowed when one block is a little worse or the ground steeper."""
    site = solved(0)
    assert site.setup is not None
    rig = rigged(site.text, site.setup, 1.0)
    (rope,) = rig.ropes
    *others, last = rope.etas
    assert last is not None
    worn = replace(rope, etas=(*others, last * 0.98))
    rough = replace(rig, friction=rig.friction * 1.05)
    pull = drag(rig).pull
    assert drag(replace(rig, ropes=(worn,))).pull > pull * (1.0 + WITHIN)
    assert drag(rough).pull > pull * (1.0 + WITHIN)
