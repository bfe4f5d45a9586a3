"""Chains of four to ten stages, on paths that bend at every metre or two, against every chain of every setup.

`python -m tests.stages.long_chains --sites 50` compares so many made-up paths of four to eight legs (`--legs
9 10`: of so many), prints one line for each that differs and how many stages the plans have, and ends with 1
where any differs.
"""

import argparse
import sys
from collections import Counter
from dataclasses import dataclass, field, replace
from math import cos, pi, sin

import numpy as np

from optimiser.jobs.question import StagesQuestion
from optimiser.jobs.stages.plan import plan_stages
from optimiser.rig.order import Order
from optimiser.site.model import Site
from tests.generated import Recipe, made_up, on_unknown_ground
from tests.stages.exhaustive import plans

SMALL = Recipe(trees=1, heights=1, sheaves=1, items=6)
GRAIN = 1.0
STRENGTHS, HOW_OFTEN = (0.9, 1.0, 1.3, 0.05), (0.4, 0.3, 0.25, 0.05)
"""Factors on what the made-up crew pulls; one in twenty pulls next to nothing."""
MOST = 12
"""Stages that a plan may have."""


FEWEST_LEGS, MOST_LEGS = 4, 8


def winding(seed: int, fewest: int = FEWEST_LEGS, most: int = MOST_LEGS) -> Site:
    """A path of `fewest` to `most` legs that turn one way and the other, with somebody to pull ahead of each;
    some pull too weakly, so that another has to do, or none can."""
    rng = np.random.default_rng((seed, 23))
    site = on_unknown_ground(made_up(SMALL, seed))
    at, way, legs, pullers = (0.0, 0.0, 0.0), 0.0, [], []
    for number in range(int(rng.integers(fewest, most + 1))):
        way += float(rng.choice([-1.0, 1.0]) * rng.uniform(0.25, 0.5)) * pi
        ahead, long = (cos(way), sin(way)), float(rng.uniform(0.8, 2.2))
        end = (at[0] + long * ahead[0], at[1] + long * ahead[1], at[2] + 0.1 * long)
        legs.append(replace(site.legs[0], start=at, end=end))
        stands = (end[0] + 5.0 * ahead[0], end[1] + 5.0 * ahead[1], end[2])
        pullers.append(
            replace(
                site.pullers[0],
                name=f"crew {number}",
                position=stands,
                heading=(ahead[0], ahead[1], 0.0),
                run=float(rng.choice([1.0, 3.0, 6.0])),
                limit=site.pullers[0].limit * float(rng.choice(STRENGTHS, p=HOW_OFTEN)),
            )
        )  # fmt: skip
        at = end
    light = replace(site.load, weight=site.load.weight * 0.4)
    return replace(site, legs=tuple(legs), pullers=tuple(pullers), load=light)


@dataclass
class Compared:
    """How many stages the plan of a path has (0: there is none), and how it differs from the best chain."""

    stages: int = 0
    wrong: list[str] = field(default_factory=list)


def compare(
    seed: int, fewest: int = FEWEST_LEGS, most: int = MOST_LEGS, grain: float = GRAIN
) -> Compared:
    """One path; stages end at bends, and at every `grain` m of it."""
    site = winding(seed, fewest, most)
    every = plans(site, grain=grain, most_stages=MOST)
    plan = plan_stages(
        site, StagesQuestion(grain=grain, most_stages=MOST, join_ropes=False, explain=False)
    )
    out = Compared(len(plan.stages))
    if not plan.proven:
        out.wrong.append("not proven")
    if not every or not plan.stages:
        if every or plan.stages:
            out.wrong.append(f"{len(plan.stages)} stages, every chain: {sorted(every)[:1]}")
        return out
    worth = {"stages": 0, "resets": 1, "margin": 2, "rope": 3}
    best = min(every, key=lambda s: [-s[2] if n == "margin" else s[worth[n]] for n in plan.order])
    band = Order.of(site.preferences).band_of(plan.margin or 0.0)
    if (len(plan.stages), plan.resets, band) != best[:3]:
        out.wrong.append(f"{(len(plan.stages), plan.resets, band)}, every chain: {best[:3]}")
    return out


def main() -> int:
    """Compares as many paths as requested."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sites", type=int, default=50)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--legs", type=int, nargs=2, default=(FEWEST_LEGS, MOST_LEGS))
    args = parser.parse_args()
    met: Counter[int] = Counter()
    wrong = 0
    for seed in range(args.first, args.first + args.sites):
        found = compare(seed, *args.legs)
        met[found.stages] += 1
        for text in found.wrong:
            wrong += 1
            print(f"path {seed}: {text}", flush=True)
    print(", ".join(f"{many} of {stages} stages" for stages, many in sorted(met.items())))
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
