"""The first rope's side of the search: the second rope's tackle at one place, seen as a puller.

For every place at an anchor the first rope's walks are grown and bounded as those to any other
puller that is made fast there: its greatest pull is the most any second rope at that place could
give, and it runs as far as the grip could go. Nothing of this is claimed of a setup: every walk that
is left is worked out with each second rope exactly.
"""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from optimiser.compound.slots import grips_on
from optimiser.compound.tackle import Tackle, tackles
from optimiser.gear.kit import Kit, rope_capacity
from optimiser.scene import GRIP_NUMBER, Scene
from optimiser.search.tables import Tables
from optimiser.site.model import Puller

Array = npt.NDArray[np.float64]
BOUNDLESS = 1e6
"""m: a purchase that no rope reaches."""


@dataclass(frozen=True)
class TackleScene(Scene):
    """A scene whose puller stands for the tackles at one place of the scene `real`."""

    real: Scene | None = None
    place: int = 0
    choices: tuple[Tackle, ...] = ()
    sheaves: int = 0  # most in both ropes together

    @cached_property
    def distance(self) -> Array:
        """See the base; the first rope may end right behind its last place."""
        out = np.array(super().distance)
        out[-1, :] = out[:, -1] = 0.0
        return out

    @cached_property
    def stroke_last(self) -> Array:
        gap = np.nan_to_num(self.position) - self.position[-1]
        out = np.asarray(np.linalg.norm(gap, axis=1))
        out[0] = float(self.length[-1].max())
        return out


@dataclass(frozen=True)
class TackleTables(Tables):
    """Bounds on the first rope."""

    @property
    def here(self) -> TackleScene:
        assert isinstance(self.scene, TackleScene)
        return self.scene

    @cached_property
    def sheaves(self) -> int:
        least = min((c.sheaves for c in self.here.choices), default=0)
        return max(self.here.sheaves - least, 0)

    @cached_property
    def first_length(self) -> Array:
        out = np.array(super().first_length)
        out[-1] = 0.0
        return out

    @cached_property
    def travel(self) -> Array:
        out = np.array(super().travel)
        out[-1] = min(out[-1], 0.0)
        return out

    @cached_property
    def stroke(self) -> Array:
        """Every stroke of the puller takes in the first rope by at most its run over the parts."""
        out = self.here.stroke_last.copy()
        real = self.here.real
        assert real is not None
        most = real.puller.purchase if real.puller.purchase is not None else real.puller.run
        if most > 0.0:
            out = np.minimum(out, most / min((c.parts for c in self.here.choices), default=2))
        return out

    @cached_property
    def reach(self) -> None:
        """The first rope ends at the grip: no part of it is hauled straight from the load."""
        return

    @cached_property
    def line_limit(self) -> Array:
        return np.full(len(self.scene.places), self.scene.puller.limit)

    @cached_property
    def ends_eaten(self) -> float:
        eaten = [
            min((e.eaten for e in self.kit.ends(r, hands=False)), default=0.0)
            for r in self.kit.ropes
        ]
        return min(eaten, default=0.0) + self.scene.site.preferences.rope_spare


def tackle_scene(real: Scene, tables: Tables, place: int) -> TackleScene | None:
    """The tackles at a place as a puller; None where there is none. `tables`: of the real scene."""
    anchor = real.site.anchors[int(real.anchor_of[place])]
    if not tables.usable[place]:
        return None
    leads = [
        int(lead)
        for lead in np.flatnonzero(tables.leads & tables.hops[place])
        if real.anchor_of[lead] != real.anchor_of[place]
    ]
    choices = tuple(tackles(place, leads, straight=bool(tables.leads[place]), most=tables.sheaves))
    if not choices or len(real.spots) == 0:
        return None
    limit = max(_limit(real, tables.kit, choice, tables.eta_best) for choice in choices)
    if limit <= 0.0:
        return None
    x, y, z = anchor.position
    stand_in: Puller = replace(
        real.puller, position=(x, y, z), height=real.places[place].height, run=0.0,
        purchase=BOUNDLESS, limit=limit, hitch_rating=None, hitch_eye=None, needs_termination=True,
        anchor=anchor.name,
    )  # fmt: skip
    return TackleScene(
        real.site,
        real.stations,
        real.attachment,
        stand_in,
        real=real,
        place=place,
        choices=choices,
        sheaves=tables.sheaves,
        kept=real.kept,
    )


def advantage(tackle: Tackle, etas: "tuple[float, ...] | list[float]") -> float:
    """Tension at the grip / pull, with the efficiencies of the second rope's sheaves in order."""
    tau = [1.0]
    for eta in reversed(etas):
        tau.insert(0, tau[0] * eta)
    return sum(t for t, pair in zip(tau, tackle.segments, strict=False) if GRIP_NUMBER in pair)


def _limit(real: Scene, kit: Kit, tackle: Tackle, eta: float) -> float:
    """The most, N, the tackle may pull at the grip: by the puller, the second rope, the grip."""
    gained = advantage(tackle, [eta] * tackle.sheaves)
    dynamic = real.puller.dynamic
    pull = float(real.limit_last[tackle.numbers[-1]].min())
    second = max((_strength(rope_capacity(rope)) for rope in kit.ropes), default=0.0)
    first = 0.0
    for rope in kit.ropes:
        for grip in grips_on(kit, rope):
            first = max(first, _strength(rope_capacity(rope, keeps=grip.keeps)))
    return min(gained * pull, gained * second / dynamic, first / dynamic)


def _strength(known: float | None) -> float:
    return np.inf if known is None else known
