"""Works out a line that holds the load, as it is rigged, on ground that has changed: for ways down and for
the second lines of hauls."""

import numpy as np

from optimiser.jobs.lower.build import build
from optimiser.rig.forces.duty import Duty
from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.forces.grips import grip_of
from optimiser.rig.forces.holders import HandLimit
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.kit import kit_of
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.turns import Gripping, let_down_variants
from optimiser.rig.ground.attachments import attachment_named
from optimiser.rig.ground.edging import of_setup
from optimiser.rig.ground.scene import Scene
from optimiser.rig.ground.stations import Stations
from optimiser.rig.refit import Stopped, etas_of, stops, with_places_of, with_same_pieces
from optimiser.rig.setup import HoldingLine, LoweringSetup
from optimiser.site.model import Puller, Site

Held = tuple[Filled, LoweringSetup]
"""A line with its pieces, and its figures."""


def held_by(
    ground: Site,
    stations: Stations,
    line: LoweringSetup | HoldingLine,
    *,
    holder: Puller,
    limit: HandLimit,
    gripping: Gripping = grip_of,
) -> Held | Stopped:
    """The line on a site that rises along its path, over some stations of it; `holder`: a puller, or the hand
    behind its turns; `gripping`: how its rope holds round a trunk."""
    trimmed = with_places_of(ground, line.walk)
    if isinstance(trimmed, Stopped):
        return trimmed
    attachment = attachment_named(ground, line.attachment)
    if attachment is None:
        return Stopped(f"the load cannot be taken at {line.attachment}")
    scene = Scene(trimmed, stations, attachment, holder, edging=of_setup(ground, line))
    kit = kit_of(ground)
    numbers = np.array([[scene.number[place] for place in line.walk]])
    etas = np.array(etas_of(kit, line), dtype=float).reshape(1, -1)
    eased = RigRow(evaluate(scene, numbers, etas, Duty.LOWER), 0)
    why = stops(eased)
    if why is not None:
        return Stopped(why)
    turns = line.turns or None
    every = let_down_variants(eased, kit, limit, turns=turns, gripping=gripping)
    filled = with_same_pieces(every, line, (line.rope.name,))
    if isinstance(filled, Stopped):
        return filled
    return filled, build(filled, rank=1, hand_source=limit.source)
