"""Walks that let down, each look at them by itself."""

from dataclasses import replace

import numpy as np

from optimiser.rig.forces.duty import Duty
from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.ground.scene import Scene


def both_looks(scene: Scene, walks: np.ndarray, etas: np.ndarray) -> tuple[Evaluation, Evaluation]:
    """Walks of equal length with their sheaves as rated, and running free."""
    ev = evaluate(scene, walks, etas, Duty.LOWER)
    assert ev.twin is not None
    return replace(ev, twin=None), ev.twin
