"""What is tabulated of a scene by taking over another stand's tables is what it is when worked out by
itself."""

from dataclasses import replace

import numpy as np
import pytest

from optimiser import read_site
from optimiser.rig.ground.scene import Scene, scenes
from optimiser.rig.ground.stations import lay_stations
from optimiser.site.model import Obstacle
from tests.tracks.lane import LANE, YARD, site_text

TABLES = (
    "position", "distance", "clear", "stroke_last", "anchor_of", "lever", "length", "forward", "lift",
    "sideways", "unit", "clear_from_load", "forward_direct", "lift_direct", "limit_last",
    "limit_from_load",
)  # fmt: skip


@pytest.mark.parametrize("where", [LANE, YARD])
def test_every_stand_has_its_own_tables(where: str) -> None:
    site = read_site(site_text(where))
    post = Obstacle(name="post", position=(11.2, 3.2, 1.0), radius=0.15, top=2.0)
    site = replace(site, obstacles=(post,))
    laid = lay_stations(site)
    free = set()
    shared = list(scenes(site, laid))
    for scene in shared:
        alone = Scene(site, laid, scene.attachment, scene.puller, edging=scene.edging)
        for table in TABLES:
            found, wanted = getattr(scene, table), getattr(alone, table)
            assert np.array_equal(found, wanted, equal_nan=found.dtype.kind == "f"), table
        free.add((scene.clear[:, -1].tobytes(), scene.clear_from_load[-1].tobytes()))
    assert all(scene.fixed.beside is not None for scene in shared[1:])
    assert len(free) > 1, "the post is in no line's way, or in the way of all"


@pytest.mark.parametrize("seed", range(6))
def test_wherever_posts_stand(seed: int) -> None:
    """Thick ones between the load and the lane, which lines to some spots graze and do not sweep over."""
    made = np.random.default_rng(seed)
    posts = tuple(
        Obstacle(name=f"post {i}", position=(x, y, 0.5), radius=r, top=3.0)
        for i, (x, y, r) in enumerate(made.uniform((7.5, 0.0, 0.1), (10.0, 16.0, 0.6), (4, 3)))
    )
    site = replace(read_site(site_text(LANE)), obstacles=posts)
    laid = lay_stations(site)
    for scene in scenes(site, laid):
        alone = Scene(site, laid, scene.attachment, scene.puller, edging=scene.edging)
        assert np.array_equal(scene.clear, alone.clear)
        assert np.array_equal(scene.clear_from_load, alone.clear_from_load)
