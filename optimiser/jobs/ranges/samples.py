"""Estimates how likely a setup keeps within every rating, by sampling the site's ranges.

Every range is taken as even odds between its ends, and as independent of the others; every sheave has
an efficiency of its own. That is an assumption about guesses, not knowledge: the worst ends, and not
this share, decide what is offered. Steps, run of the puller and lengths of rope stay at their worse
ends, and lines that a thicker trunk would stop are not looked for here.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from optimiser.jobs.ranges.batch import Batch
from optimiser.jobs.ranges.corners import is_efficiency
from optimiser.mechanics.arrays import Array
from optimiser.rig.gear.kit import kit_of
from optimiser.rig.refit import Stopped, etas_of, refit
from optimiser.rig.setup import Setup
from optimiser.site.lines import Key
from optimiser.site.model import Site

SEED = 20_011
"""Of the random numbers: the same site gives the same shares."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """The share of samples in which nothing goes over its rating and the load comes along, with its
    standard error (of the plus-four estimate, so that it is not 0 where all samples agree)."""

    within: float
    error: float
    samples: int


def with_shares(
    site: Site,
    setups: Sequence[Setup],
    samples: int,
    *,
    seed: int = SEED,
    progress: Callable[[str], None] | None = None,
) -> tuple[Setup, ...]:
    """The setups with their shares, all judged on the same samples."""
    drawn = draw(site, samples, seed)
    out = []
    for number, setup in enumerate(setups, start=1):
        if progress is not None:
            progress(f"samples: setup {number} of {len(setups)}")
        share = drawn.share(setup)
        out.append(replace(setup, within=(share.within, share.error)))
    return tuple(out)


@dataclass(frozen=True)
class Drawn:
    """Samples of a site: as it is at its worst, at each sample, and how far each sheave's efficiency
    lies up its range (n, most sheaves)."""

    worst: Site
    low: Site
    high: Site
    sites: tuple[Site, ...]
    sheaves: Array

    def works(self, setup: Setup) -> npt.NDArray[np.bool_]:
        """(n,) whether the setup keeps within every rating in each sample."""
        filled = refit(self.worst, setup)
        if isinstance(filled, Stopped):
            filled = refit(self.sites[0], setup)  # the worst ends stop it: judge it by its loads
        if isinstance(filled, Stopped):
            return np.zeros(len(self.sites), dtype=bool)
        low = np.array(etas_of(kit_of(self.low), setup))
        high = np.array(etas_of(kit_of(self.high), setup))
        etas = low + self.sheaves[:, : len(low)] * (high - low)
        return Batch(filled).outcome(self.sites, etas).margin >= 1.0

    def share(self, setup: Setup) -> Share:
        """The share of samples in which it does."""
        works = self.works(setup)
        n = len(works)
        guess = (works.sum() + 2.0) / (n + 4.0)
        return Share(
            within=float(works.mean()),
            error=float(np.sqrt(guess * (1.0 - guess) / (n + 4.0))),
            samples=n,
        )


def draw(site: Site, samples: int, seed: int = SEED) -> Drawn:
    """`samples` sites drawn from the ranges. ValueError where the site was not read from a document."""
    origin = site.origin
    if origin is None:
        raise ValueError("a site made by hand has no ranges to draw from")
    rng = np.random.default_rng(seed)
    ranges = origin.ranges
    fixed = {k for k in ranges if not _drawn(k) or is_efficiency(k)}
    shares = {key: rng.random(samples) for key in ranges if key not in fixed}

    def values(number: int) -> Iterator[tuple[Key, float]]:
        for key, share in shares.items():
            span = ranges[key].interval
            yield key, span.low + float(share[number]) * (span.high - span.low)

    rated = [key for key in ranges if is_efficiency(key)]
    return Drawn(
        worst=origin.ends[0],
        low=origin.site({k: ranges[k].interval.low for k in rated}, "worst"),
        high=origin.site({k: ranges[k].interval.high for k in rated}, "worst"),
        sites=tuple(origin.site(dict(values(n)), "worst") for n in range(samples)),
        sheaves=rng.random((samples, site.preferences.most_sheaves + 1)),
    )


def _drawn(key: Key) -> bool:
    """Whether an input is sampled; the rest stays at its worse end."""
    return key[-1] not in ("step", "run", "purchase") and not (
        key[0] == "gear" and key[-1] == "length"
    )
