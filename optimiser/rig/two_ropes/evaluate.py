"""Computes forces of tackle on tackle on the one evaluator: the two ropes' nodes one after the other."""

import numpy as np

from optimiser.mechanics.arrays import Array, Numbers
from optimiser.rig.forces.courses import Course
from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.ground.scene import GRIP_NUMBER, Scene


def evaluate_pairs(scene: Scene, paths: Numbers, seconds: Numbers, etas: Array) -> Evaluation:
    """Evaluate first ropes (n, m1 + 1), from the standing end to the last place before the grip, each
    with its second one (n, m2 + 1), from the standing end to the last place before the puller; `etas`
    (n, m1 + m2) of the sheaves of both. The second ropes differ in their lead blocks only."""
    grips = np.full((len(paths), 1), GRIP_NUMBER)
    pullers = np.full((len(paths), 1), scene.puller_number)
    walks = np.concatenate([paths, grips, seconds, pullers], axis=1)
    return evaluate(scene, walks, Course.of(walks).spread(etas))
