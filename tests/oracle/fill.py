"""Which piece goes where, by trying every way: the greatest margin a rig can reach."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, product
from math import inf, pi

from catalogue.gear import Block, Chain, Rope, Shackle, Strap
from optimiser.rig.walk import PlaceKind
from optimiser.site.model import Anchor, Owned
from tests.oracle.knots import End
from tests.oracle.mechanics import Ends, Scene, Worked
from tests.oracle.pieces import rope_strength, round_a_trunk, wire_over
from tests.oracle.slung import Pair, pair_at, slings

END_TAKES = 0.2
"""m at the standing end before the plain rope begins."""


def rated(piece: Owned) -> float | None:
    return (
        None if piece.unrated or piece.gear.wll is None else piece.gear.wll * piece.condition.keeps
    )


def ratio(strength: float | None, demand: float) -> float:
    return inf if strength is None or demand <= 0.0 else strength / demand


@lru_cache(maxsize=1000)
def _ways(piece: Owned, radii: tuple[float, float]) -> list[tuple[float | None, float]]:
    """(what it stands, how far out it bears) of each way it goes round whatever the strap's length and
    the trunk's radius, within their ranges: the worst of the ends of both."""
    gear = piece.gear
    assert isinstance(gear, Strap | Chain)
    lengths = (gear.length, gear.length_most or gear.length)
    each = [
        round_a_trunk(
            length=length, radius=radius, wll=rated(piece),
            choked=gear.choker_factor, doubled=gear.basket_factor,
        )
        for length, radius in product(lengths, radii)
    ]  # fmt: skip
    out: list[tuple[float | None, float]] = []
    for how in each[0]:
        if all(how in ways for ways in each):
            stands = [ways[how].stands for ways in each]
            known = None if stands[0] is None else min(s for s in stands if s is not None)
            out.append((known, max(ways[how].out for ways in each)))
    return out


def ways_round(piece: Owned, anchor: Anchor) -> list[tuple[float | None, float]]:
    """What a strap or chain stands round an anchor that has a girth, and how far out it bears, each way."""
    radii = (anchor.least_radius, anchor.radius)
    if anchor.radius <= 0.0:
        radii = ((anchor.girth or 0.0) / (2 * pi),) * 2
    return _ways(piece, radii)


def turns_with(block: Block) -> tuple[float, float]:
    """The least and the most that a sheave of the block may pass on."""
    return block.eta, block.eta if block.eta_most is None else block.eta_most


@dataclass
class Rigged:
    """A rig with a rope and its ends: `fixed`: margin of all that no choice of pieces changes."""

    scene: Scene
    rig: Worked
    rope: Owned
    standing: End
    hauling: End
    gear: tuple[Owned, ...]
    longer: Owned | None = None  # a strap or chain between the standing end and its place

    def __post_init__(self) -> None:
        self.walk = self.rig.walk
        self.tied = self.standing.round_trunk
        self.hitches = self.scene.hitch_demands(self.rig)
        self.fixed, self.loose = self._fixed()

    def reaches(self) -> float:
        """m of line that the rope and what lengthens it make."""
        assert self.rope.length is not None
        return self.rope.length + self._added()[0]

    def _added(self) -> tuple[float, float]:
        """At least and at most, m."""
        if self.longer is None:
            return 0.0, 0.0
        gear = self.longer.gear
        assert isinstance(gear, Strap | Chain)
        return gear.length, gear.length_most or gear.length

    # ---- what is there whatever is chosen ----------------------------------------------------

    def rope_needed(self) -> float:
        rope = self.rope.gear
        assert isinstance(rope, Rope)
        out = self.rig.longest + self.scene.site.preferences.rope_spare
        for end in (self.standing, self.hauling):
            if end.knot is not None and not end.on_rope:
                out += end.knot.eats_diameters * rope.diameter + end.knot.eats
        if self.tied and self.standing.knot is not None:
            out += self.standing.knot.turns * (self.scene.anchors[self.walk[0].name].girth or 0.0)
        return out

    def _fixed(self) -> tuple[float, bool]:
        """(margin, whether something of it has no rating)."""
        puller = self.scene.puller
        last, standing = (self.rig.tight[k] * puller.dynamic for k in (-1, 0))
        pairs: list[tuple[float | None, float]] = [
            self.drive(),
            (rope_strength(self.rope), self.tightest() * puller.dynamic),
        ]
        for end, pulls in ((self.standing, standing), (self.hauling, last)):
            if end.knot is not None:
                pairs.append((rope_strength(self.rope, end.knot.keeps), pulls))
        if self.longer is not None:
            pairs.append((rated(self.longer), standing))
        if puller.needs_termination and puller.purchase is None:
            pairs.append((puller.hitch_rating, last))
        pairs += [(strength, worst) for _, worst, strength in self.on_anchors()]
        pairs += [
            (h.rating, worst)
            for h, worst in zip(self.scene.grip.hitches, self.hitches, strict=True)
        ]
        return min(ratio(*pair) for pair in pairs), any(strength is None for strength, _ in pairs)

    def drive(self) -> tuple[float, float]:
        """What the puller can do, and has to."""
        return 1.0, self.rig.use

    def tightest(self) -> float:
        """The rope's worst tension anywhere, without the dynamic factor: hauling, at the puller."""
        return self.rig.pull

    def over_sheaves(self, nodes: tuple[int, ...]) -> float:
        """The same of the parts at some sheaves: hauling, of that towards the puller."""
        return max(self.rig.tight[n] for n in nodes)

    def on_anchors(self) -> Iterable[tuple[str, float, float | None]]:
        """Name, worst demand and strength of each anchor."""
        return self.scene.anchor_demands(self.rig)

    # ---- slots -------------------------------------------------------------------------------

    def places(self) -> dict[tuple[str, float], tuple[int, ...]]:
        """Anchor places with all their nodes."""
        out: dict[tuple[str, float], tuple[int, ...]] = {}
        for i, place in enumerate(self.walk[:-1]):
            if place.kind is PlaceKind.ANCHOR:
                key = (place.name, place.height)
                out[key] = (*out.get(key, ()), i)
        return out

    def _strapped(self) -> list[tuple[int, ...]]:
        out = []
        for (name, _), nodes in self.places().items():
            anchor = self.scene.anchors[name]
            round_it = anchor.girth is not None and not (self.tied and nodes == (0,))
            if round_it or anchor.sling is not None:
                out.append(nodes)
        return out

    def _eye(self, node: int) -> float | None:
        """Of what a shackle at a node hangs in."""
        place = self.walk[node]
        if place.kind is PlaceKind.LOAD:
            return None if self.scene.grip.leg is not None else self.scene.grip.hitches[0].eye
        if place.kind is PlaceKind.PULLER:
            return self.scene.puller.hitch_eye
        anchor = self.scene.anchors[place.name]
        return anchor.eye if anchor.girth is None else None

    def _end_shackles(self) -> Iterator[tuple[tuple[int, ...], float, float | None]]:
        """(nodes that it lengthens, demand, eye)"""
        if self.standing.shackled:  # or what lengthens it
            yield (0,), self.rig.joint((0,)), self._eye(0)
        if self.hauling.shackled:
            yield (), self.rig.tight[-1] * self.scene.puller.dynamic, self._eye(len(self.walk) - 1)
        if self.scene.grip.leg is not None:
            for hitch, demand in zip(self.scene.grip.hitches, self.hitches, strict=True):
                yield (), demand, hitch.eye

    def best(self) -> tuple[float, bool]:
        """(greatest margin, whether it needs a piece without a rating); 0 where nothing fits."""
        self.top: tuple[float, bool] = (0.0, False)
        self.thin, self.bow = (
            inf,
            0.0,
        )  # bow of the shackle that runs on a sling, and what it must be
        self.left = {piece.name: piece.count for piece in self.gear}
        if self.longer is not None:
            self.left[self.longer.name] -= 1
        first, *others = self.rig.shortest
        self.free = [first - self._added()[1], *others]
        self.takes = [0.0] * len(self.walk)
        self.takes[0] = END_TAKES
        self._blocks(self.turns(), self.fixed, self.loose)
        return self.top

    # ---- what differs where there are two ropes ----------------------------------------------

    def turns(self) -> tuple[int, ...]:
        """Nodes that need a sheave."""
        return tuple(range(1, len(self.walk) - 1))

    def rope_at(self, node: int) -> Owned:
        """The rope that turns there."""
        return self.rope

    def eta_at(self, node: int) -> Ends:
        """What the sheave there may pass on."""
        return self.rig.etas[node - 1]

    def _one_rope(self, one: int, other: int) -> bool:
        """Whether one block may serve both nodes."""
        return True

    def _use(self, piece: Owned, nodes: tuple[int, ...], long: float, many: int = 1) -> bool:
        """Take a piece; False where none is left or there is no room. `_put_back` undoes it."""
        self.left[piece.name] -= many
        for n in nodes:
            self.takes[n] += long
        room = all(
            self.takes[k] + self.takes[k + 1] <= short + 1e-7 for k, short in enumerate(self.free)
        )
        return self.left[piece.name] >= 0 and room

    def _put_back(self, piece: Owned, nodes: tuple[int, ...], long: float, many: int = 1) -> None:
        self.left[piece.name] += many
        for n in nodes:
            self.takes[n] -= long

    def _hopeless(self, margin: float) -> bool:
        return margin <= self.top[0]

    def _blocks(self, nodes: tuple[int, ...], margin: float, loose: bool) -> None:
        """Serve the first node that has no sheave yet, with every block and every company."""
        if self._hopeless(margin):
            return
        if not nodes:
            self._straps(self._strapped(), margin, loose)
            return
        first, *others = nodes
        near = [n for n in others if self.walk[n] == self.walk[first] and self._one_rope(first, n)]
        for many in range(len(near) + 1):
            for company in combinations(near, many):
                together = (first, *company)
                rest = tuple(n for n in others if n not in company)
                for piece in self.gear:
                    if isinstance(piece.gear, Block):
                        self._block(piece, piece.gear, together, rest, margin, loose)

    def _block(
        self,
        piece: Owned,
        block: Block,
        nodes: tuple[int, ...],
        rest: tuple[int, ...],
        margin: float,
        loose: bool,
    ) -> None:
        owned = self.rope_at(nodes[0])
        rope = owned.gear
        assert isinstance(rope, Rope)
        ends = turns_with(block)
        if block.sheaves < len(nodes) or any(self.eta_at(n) != ends for n in nodes):
            return
        if not block.rope_least - 1e-9 <= rope.diameter <= block.rope_most + 1e-9:
            return
        if block.sheave_diameter / rope.diameter < rope.least_bend_ratio - 1e-9:
            return
        margin = min(margin, ratio(rated(piece), self.rig.joint(nodes)))
        if not rope.knottable:
            bend = wire_over(block.sheave_diameter, rope.diameter)
            tight = self.over_sheaves(nodes) * self.scene.puller.dynamic
            margin = min(margin, ratio(rope_strength(owned, bend=bend), tight))
        loose = loose or rated(piece) is None
        if self._use(piece, nodes, block.length):
            if block.eye is None and self._hangs_on_sling(nodes):
                pass  # a hook may slip off
            elif block.eye is None:
                self._blocks(rest, margin, loose)
            else:
                for shackle in self.gear:
                    if isinstance(shackle.gear, Shackle) and _fits(
                        shackle, block.eye, self._eye(nodes[0])
                    ):
                        low = min(margin, ratio(rated(shackle), self.rig.joint(nodes)))
                        none = loose or rated(shackle) is None
                        before = self.thin
                        if self._hangs_on_sling(nodes):
                            self.thin = shackle.gear.bow_diameter
                        if self._use(shackle, nodes, shackle.gear.length):
                            self._blocks(rest, low, none)
                        self.thin = before
                        self._put_back(shackle, nodes, shackle.gear.length)
        self._put_back(piece, nodes, block.length)

    def _straps(self, slots: list[tuple[int, ...]], margin: float, loose: bool) -> None:
        if self._hopeless(margin):
            return
        if not slots:
            self._shackles(list(self._end_shackles()), margin, loose)
            return
        nodes, *rest = slots
        anchor = self.scene.anchors[self.walk[nodes[0]].name]
        pair = pair_at(self.scene.site, self.walk[nodes[0]])
        if pair is not None:
            self._slings(pair, nodes, rest, margin, loose)
            return
        for piece in self.gear:
            if isinstance(piece.gear, Strap | Chain):
                for stands, out in ways_round(piece, anchor):
                    low = min(margin, ratio(stands, self.rig.joint(nodes)))
                    if self._use(piece, nodes, out):
                        self._straps(rest, low, loose or stands is None)
                    self._put_back(piece, nodes, out)

    def _slings(
        self,
        pair: Pair,
        nodes: tuple[int, ...],
        rest: list[tuple[int, ...]],
        margin: float,
        loose: bool,
    ) -> None:
        """Every rope that does not run; the shackle on it is as thick as it, whichever came first."""
        demand = self.rig.joint(nodes) * pair.tighter
        for piece, stands, bow in slings(self.scene.site, pair, self.gear):
            if piece.name == self.rope.name or self.thin < bow - 1e-9:
                continue
            self.bow, before = bow, self.bow
            if self._use(piece, nodes, pair.legs / 2.0):
                low = min(margin, ratio(stands, demand))
                self._straps(rest, low, loose or stands is None)
            self._put_back(piece, nodes, pair.legs / 2.0)
            self.bow = before

    def _hangs_on_sling(self, nodes: tuple[int, ...]) -> bool:
        return bool(nodes) and pair_at(self.scene.site, self.walk[nodes[0]]) is not None

    def _shackles(
        self, slots: list[tuple[tuple[int, ...], float, float | None]], margin: float, loose: bool
    ) -> None:
        if self._hopeless(margin):
            return
        if not slots:
            self._legs(margin, loose)
            return
        (nodes, demand, eye), *rest = slots
        for piece in self.gear:
            runs = self._hangs_on_sling(nodes)
            if (
                isinstance(piece.gear, Shackle)
                and _fits(piece, eye)
                and (not runs or piece.gear.bow_diameter >= self.bow - 1e-9)
            ):
                low = min(margin, ratio(rated(piece), demand))
                if self._use(piece, nodes, piece.gear.length):
                    self._shackles(rest, low, loose or rated(piece) is None)
                self._put_back(piece, nodes, piece.gear.length)

    def _legs(self, margin: float, loose: bool) -> None:
        if self.scene.grip.leg is None:
            self._done(margin, loose)
            return
        for piece in self.gear:
            gear, want = piece.gear, self.scene.grip.leg
            if isinstance(gear, Chain):
                fits = gear.length >= want
            else:
                most = max(gear.length, gear.length_most or 0.0) if isinstance(gear, Strap) else 0.0
                fits = isinstance(gear, Strap) and gear.length > want - 0.25 and most < want + 0.25
            if fits and self._use(piece, (), 0.0, many=2):
                low = min(margin, *(ratio(rated(piece), demand) for demand in self.hitches))
                self._done(low, loose or rated(piece) is None)
            if fits:
                self._put_back(piece, (), 0.0, many=2)

    def _done(self, margin: float, loose: bool) -> None:
        if margin > self.top[0]:
            self.top = (margin, loose)


def _fits(piece: Owned, *eyes: float | None) -> bool:
    shackle = piece.gear
    assert isinstance(shackle, Shackle)
    return all(eye is None or shackle.pin_diameter <= eye + 1e-9 for eye in eyes)
