"""Reads back what hangs where, and checks that it can: counts, sizes, eyes, lengths."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi

from catalogue.gear import (
    Block,
    Chain,
    MadeTo,
    Needs,
    Protector,
    Rope,
    Shackle,
    Strap,
    Termination,
)
from optimiser.proof import sling
from optimiser.proof.claim import Claim
from optimiser.proof.loads.states import Nodes
from optimiser.proof.made_fast import HUNG, Spot, each_end_once, for_rope, of_puller, shackled
from optimiser.proof.notes import Notes
from optimiser.proof.place.points import Hold
from optimiser.proof.place.trunk import TURNED_ROUND, Way, grips, ways_round
from optimiser.rig.setup import Hung, Role
from optimiser.rig.setup import Line as RopeLine
from optimiser.rig.walk import PlaceKind
from optimiser.site.model import Anchor, Owned, Site

ROUND = ", round the trunk"
SAME_LENGTH = 0.25
"""m by which a strap may differ from the bridle leg it serves as."""
JOINED = "the join"
"""Where an answer joins two ropes."""


@dataclass(frozen=True, slots=True)
class End:
    """A reading of how one end of the rope is made fast; `knot` None: held by hand."""

    knot: Termination | None
    spliced: bool = False
    round_trunk: bool = False
    shackled: bool = False

    def eats(self, rope: Rope, anchor: Anchor | None) -> float:
        """m of rope."""
        if self.knot is None or self.spliced:
            return 0.0
        turns = 0.0
        if self.round_trunk and anchor is not None:
            turns = self.knot.turns * (anchor.girth or 0.0)
        return self.knot.eats_diameters * rope.diameter + self.knot.eats + turns


class Hanging:
    """The pieces of a rig by the nodes they serve."""

    def __init__(
        self, site: Site, claim: Claim, hold: Hold, owned: dict[str, Owned], notes: Notes
    ) -> None:
        self.site, self.claim, self.hold, self.notes = site, claim, hold, notes
        self.walk, self.owned = claim.nodes, owned
        self.end = len(self.walk) - 1
        self.blocks = self._pieces(Role.BLOCK)
        self.shackles = self._pieces(Role.SHACKLE)
        self.straps = self._pieces(Role.STRAP)
        self.legs = [owned[h.item] for h in claim.gear if h.role is Role.LEG]
        self.ways: dict[Nodes, Way] = {}
        self.tied = any(h.role is Role.TIE for h in claim.gear)

    def _pieces(self, role: Role) -> dict[Nodes, Owned]:
        out: dict[Nodes, Owned] = {}
        for h in self.claim.gear:
            if h.role is role:
                self.notes.need(h.nodes not in out, f"two pieces as {role} at {h.place}")
                out[h.nodes] = self.owned[h.item]
        return out

    def check(self) -> None:
        """Everything but strength."""
        self._kinds()
        self._where()
        self._sheaves()
        self._straps()
        self._shackles()
        self._legs()
        self._turns()

    def anchor(self, node: int) -> Anchor | None:
        place = self.walk[node]
        return self.site.anchor(place.name) if place.kind is PlaceKind.ANCHOR else None

    def slung(self, nodes: Nodes) -> bool:
        """Whether some nodes hang on a sling between two trees."""
        if not nodes or not 0 <= nodes[0] < len(self.walk):
            return False
        anchor = self.anchor(nodes[0])
        return anchor is not None and anchor.sling is not None

    # ---- counts and kinds --------------------------------------------------------------------

    def _kinds(self) -> None:
        """Each piece is of a kind that can do what it hangs there for."""
        kinds: dict[Role, tuple[type, ...]] = {
            Role.BLOCK: (Block,),
            Role.SHACKLE: (Shackle,),
            Role.STRAP: (Strap, Chain),
            Role.LEG: (Strap, Chain),
            Role.PROTECTOR: (Protector,),
        }
        others = {
            Role.END,
            Role.TIE,
            Role.GRIP,
            Role.BEND,
            Role.EXTENSION,
            *([Role.TURNS] if self.claim.turns else []),
        }
        for h in self.claim.gear:
            if h.role in kinds:
                slung = h.role is Role.STRAP and self.slung(h.nodes)
                fits = isinstance(self.owned[h.item].gear, (Rope,) if slung else kinds[h.role])
                self.notes.need(fits, f"{h.item} is no {h.role}")
            else:
                self.notes.need(h.role in others, f"a piece hung as '{h.role}'")

    def _where(self) -> None:
        """The answer puts each piece where the nodes that it serves are."""
        for h in self.claim.gear:
            if h.role is Role.PROTECTOR:
                continue  # where it lies is checked with what it carries
            first = h.nodes[0] if h.nodes else len(self.walk)
            if h.role is Role.BEND:
                place = JOINED
            elif first == -1:
                place = self.claim.puller.name
            elif first < -1:
                place = "load"
            else:
                place = str(self.walk[first]) if first < len(self.walk) else "nowhere"
            self.notes.need(h.place == place, f"{h.item} is at {place}, not at {h.place}")

    def _turns(self) -> None:
        """A rope that is eased out lies round a trunk that takes it, with no more turns than it may."""
        claim, anchor = self.claim, self.anchor(self.end)
        if not claim.by_hand:
            self.notes.need(claim.turns == 0, "turns where a puller holds the rope")
            return
        rope = claim.rope.gear
        able = grips(rope)
        if not self.notes.need(able is not None, f"{claim.rope.name} is not eased out by hand"):
            return
        assert able is not None
        fits = 1 <= claim.turns <= able.most_turns
        self.notes.need(fits, f"{claim.turns} turns of this rope, at most {able.most_turns}")
        trunk = anchor is not None and anchor.ties_round and anchor.kind in TURNED_ROUND
        if self.notes.need(trunk and bool(anchor and anchor.girth), "no trunk under the turns"):
            assert anchor is not None
            wide = 2.0 * anchor.least_radius >= rope.least_bend_ratio * rope.diameter - 1e-9
            self.notes.need(wide, f"{anchor.name} is too thin for this rope")

    def _sheaves(self) -> None:
        """Each turn of the rope on one sheave of a block that takes it and loses what was stated."""
        rope = self.claim.rope.gear
        served = sorted(node for nodes in self.blocks for node in nodes)
        self.notes.need(
            served == list(range(1, self.end)), "not every turn of the rope has one sheave"
        )
        for nodes, piece in self.blocks.items():
            block = piece.gear
            if not isinstance(block, Block) or not all(1 <= n < self.end for n in nodes):
                continue
            if self.slung(nodes):
                sling.hangs(block, self.notes)
            one = len({self.walk[n] for n in nodes}) == 1
            self.notes.need(one, f"{piece.name} hangs at two places")
            self.notes.need(
                len(nodes) <= block.sheaves,
                f"{piece.name}: {len(nodes)} turns on {block.sheaves} sheaves",
            )
            for n in nodes:
                self.notes.same(f"{piece.name}: efficiency", self.claim.etas[n - 1], block.eta)
            size = block.rope_least - 1e-6 <= rope.diameter <= block.rope_most + 1e-6
            self.notes.need(size, f"{piece.name} does not take this rope")
            bend = block.sheave_diameter >= rope.least_bend_ratio * rope.diameter * (1 - 1e-6)
            self.notes.need(bend, f"{piece.name}: sheave too small for this rope")

    # ---- straps ------------------------------------------------------------------------------

    def strapped(self) -> dict[Nodes, Anchor]:
        """Nodes that share a strap, with their anchor."""
        groups: dict[tuple[str, float], list[int]] = {}
        for n, place in enumerate(self.walk[:-1]):
            if place.kind is PlaceKind.ANCHOR:
                groups.setdefault((place.name, place.height), []).append(n)
        out: dict[Nodes, Anchor] = {}
        for (name, _), nodes in groups.items():
            anchor = self.site.anchor(name)
            round_it = anchor.girth is not None and not (self.tied and nodes == [0])
            if round_it or anchor.sling is not None:
                out[tuple(nodes)] = anchor
        return out

    def _straps(self) -> None:
        wanted = self.strapped()
        self.notes.need(
            set(wanted) == set(self.straps), "straps and the places that need one differ"
        )
        hung = {h.nodes: h for h in self.claim.gear if h.role is Role.STRAP}
        for nodes in wanted.keys() & self.straps.keys():
            way = _way(self.straps[nodes], wanted[nodes], hung[nodes])
            if wanted[nodes].sling is not None:
                way = sling.way(self.site, self.claim, self.straps[nodes], hung[nodes])
            if self.notes.need(
                way is not None,
                f"{hung[nodes].item} does not go round {wanted[nodes].name} as {hung[nodes].how}",
            ):
                assert way is not None
                self.ways[nodes] = way

    def _legs(self) -> None:
        if self.hold.leg is None:
            self.notes.need(not self.legs, "bridle legs without a bridle")
            return
        self.notes.need(
            len(self.legs) == 2 and self.legs[0] == self.legs[-1], "a bridle needs two equal legs"
        )
        for piece in self.legs:
            gear = piece.gear
            if isinstance(gear, Chain):
                fits = gear.length >= self.hold.leg - 1e-9
            else:
                fits = isinstance(gear, Strap) and abs(gear.length - self.hold.leg) < SAME_LENGTH
            self.notes.need(fits, f"{piece.name}: wrong length for a bridle leg")

    # ---- shackles ----------------------------------------------------------------------------

    def _shackles(self) -> None:
        """One shackle at each eye, end and bridled hitch that needs one; none anywhere else."""
        eyes: dict[Nodes, list[float | None]] = {}
        for nodes, piece in self.blocks.items():
            if isinstance(piece.gear, Block) and piece.gear.eye is not None:
                eyes[nodes] = [piece.gear.eye, self._eye_at(nodes[0])]
        if self.hold.leg is not None:
            for i, hitch in enumerate(self.hold.hitches):
                eyes[(-2 - i,)] = [hitch.eye]
        puller = self.claim.puller
        marks: list[tuple[int, Nodes, float | None]] = [
            (node, (node,), self._eye_at(node)) for node in self.standing_nodes()
        ]
        for node, mark, eye in (*marks, (self.end, (-1,), puller.hitch_eye)):
            found = self.ends(node)
            self.notes.need(bool(found), f"no end is made fast like this at {self.walk[node]}")
            need = [end.shackled for end in found]
            if any(need) and (all(need) or mark in self.shackles):
                eyes[mark] = [eye]
        self.notes.need(
            set(eyes) == set(self.shackles), "shackles and the places that need one differ"
        )
        for nodes in eyes.keys() & self.shackles.keys():
            if self.slung(nodes) and nodes in self.straps:
                sling.runs_on(self.shackles[nodes], self.straps[nodes], self.notes)
            shackle = self.shackles[nodes].gear
            if isinstance(shackle, Shackle):
                for eye in eyes[nodes]:
                    through = eye is None or shackle.pin_diameter <= eye + 1e-6
                    self.notes.need(
                        through, f"{self.shackles[nodes].name}: pin does not go through the eye"
                    )

    def _eye_at(self, node: int) -> float | None:
        """Clear eye a pin goes through at the place: of the load's hitch or a rated anchor."""
        if self.walk[node].kind is PlaceKind.LOAD:
            return self.hold.hitches[0].eye if self.hold.leg is None else None
        anchor = self.anchor(node)
        if anchor is None or anchor.girth is not None:
            return None
        eye: float | None = getattr(anchor, "eye", None)
        return eye

    def standing_nodes(self) -> tuple[int, ...]:
        """Nodes at which a rope's standing end is made fast."""
        return (0,)

    def line_of(self, node: int) -> RopeLine:
        """The rope that a node is of."""
        return self.claim.lines[0]

    def spot(self, node: int) -> Spot:
        """What an end at a node is made fast to."""
        place = self.walk[node]
        if node == self.end:
            return of_puller(self.claim.puller)
        if place.kind is PlaceKind.LOAD:
            one = self.hold.hitches[0]
            return (one.kind, one.eye) if self.hold.leg is None else (MadeTo.EYE, None)
        anchor = self.anchor(node)
        if anchor is None or anchor.girth is not None or anchor.sling is not None:
            return HUNG
        return MadeTo.EYE, getattr(anchor, "eye", None)

    # ---- the rope's ends ---------------------------------------------------------------------

    def ends(self, node: int) -> list[End]:
        """Readings of how the end at a node is made fast; empty where none is possible."""
        roles = (Role.END, Role.TIE, Role.TURNS)
        stated = [h for h in self.claim.gear if h.role in roles and h.nodes == (node,)]
        rope = self.line_of(node).rope
        if len(stated) != 1 or stated[0].item != rope.name:
            return []
        h = stated[0]
        if self.claim.by_hand and node == self.end:
            turned = h.role is Role.TURNS and h.how.startswith(f"{self.claim.turns} ")
            return [End(None)] if turned else []
        if h.role is Role.TURNS:
            return []
        if node == self.end and not self.claim.puller.needs_termination:
            return [End(None)]
        name = h.how.removesuffix(ROUND)
        if h.role is Role.TIE:
            return self._tied_round(name, rope) if node == 0 else []
        joined = rope.joined
        lengthened = node == 0 and joined is not None and joined.bend is None
        kind = rope.gear
        there = [(t, True) for t in rope.ends if t is not None and t.name == name]
        out = []
        for knot, spliced in [*there, *((k, False) for k in self._knots(name))]:
            where = (MadeTo.EYE, None) if lengthened else self.spot(node)
            closed = shackled(knot, kind, where, spliced=spliced)
            if lengthened:  # the rope is tied straight to what a shackle holds
                closed = True if closed is False and not spliced else None
            if closed is not None:
                out.append(End(knot, spliced=spliced, shackled=closed))
        return out

    def _tied_round(self, name: str, rope: Owned[Rope]) -> list[End]:
        """Readings of a standing end that is tied straight round a trunk or post."""
        anchor, kind = self.anchor(0), rope.gear
        alone = sum(p == self.walk[0] for p in self.walk) == 1
        if anchor is None or anchor.girth is None or not alone:
            return []
        if anchor.kind not in TURNED_ROUND:
            return []
        thick = 2.0 * anchor.least_radius if anchor.radius > 0.0 else anchor.girth / pi
        return [
            End(k, round_trunk=True)
            for k in self._knots(name)
            if MadeTo.TRUNK in k.made_to
            and for_rope(k, kind)
            and thick >= k.least_trunk * kind.diameter * (1 - 1e-6)
        ]

    def _knots(self, name: str) -> Sequence[Termination]:
        """Knots of that name that somebody here ties in the end of a rope."""
        return [
            k for k in self.site.preferences.knots if k.name == name and k.needs is not Needs.FITTED
        ]

    def all_ends(self) -> Sequence[tuple[End, ...]]:
        """Readings of all ends of the ropes, in the order of the nodes."""
        return self.both_ends()

    def both_ends(self) -> list[tuple[End, End]]:
        """Readings of both ends that use each end of the rope once."""
        return [
            (first, second)
            for first in self.ends(0)
            for second in self.ends(self.end)
            if each_end_once(
                self.claim.rope, [(first.knot, first.spliced), (second.knot, second.spliced)]
            )
        ]


def _way(piece: Owned, anchor: Anchor, hung: Hung) -> Way | None:
    """The way the strap goes round the trunk as stated; None where it does not."""
    return next((way for way in ways_round(piece, anchor) if way.how == hung.how), None)
