"""Reads what an answer states of one rig, whatever it is for.

A rig is a rope (or two, the second made fast to the first) over places, its ends, what hangs where,
and what drives or holds its last end: a puller, or a hand behind turns round a trunk. Hauling lines,
holding lines, steering lines and ways down are all written in this form, and all are checked by the same
code.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from catalogue.gear import Rope
from catalogue.pullers import PulledBy
from optimiser.proof.pieces.read_figures import figure
from optimiser.rig.setup import (
    Component,
    Contact,
    HoldingLine,
    HoldRow,
    Hung,
    IfStands,
    Line,
    LoweringSetup,
    Role,
    Setup,
    StationRow,
    ToMake,
    Way,
)
from optimiser.rig.walk import Walk
from optimiser.rig.where_it_stands import Standing
from optimiser.site.model import Owned, Puller

HAND = "hand"
"""The item under which an answer lists the hand behind the turns."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """One rig as an answer has it. `turns`: round the trunk of the last place, 0 where a puller has
    the end. `rows`: its states, in order along the path. `least`: the margin it must have.
    `if_stands`: what pieces without a rating would have to stand, None where that is not stated. `taken`:
    what other lines may put on an anchor ("anchor NAME", N or N·m) or on a hitch ("hitch NAME", N)
    at the same time. `contacts`: where its rope runs over edges; `aside`: it steers, and is moved by hand.
    `made`: anchors that have to be made, and slings to be tied, first.
    `long`: m of the path, where places of edges are named as they lie from its other end; `standing`: where
    its puller stands, where that was left to the search."""

    title: str
    lines: tuple[Line, ...]
    attachment: str
    puller: Puller
    turns: int
    gear: tuple[Hung, ...]
    components: tuple[Component, ...]
    margin: float
    weakest: str
    unrated: tuple[str, ...]
    from_m: float
    to_m: float
    rows: tuple[StationRow | HoldRow, ...]
    least: float = 1.0
    if_stands: tuple[IfStands, ...] | None = None
    taken: Mapping[str, float] = field(default_factory=dict)
    contacts: tuple[Contact, ...] = ()
    aside: bool = False
    made: tuple[ToMake, ...] = ()
    long: float | None = None
    standing: Standing | None = None
    walk: Walk = ()
    nodes: Walk = ()

    @property
    def rope(self) -> Owned[Rope]:
        """The rope, or the main one of two."""
        return self.lines[0].rope

    @property
    def etas(self) -> tuple[float, ...]:
        """Efficiencies of the (main) rope's sheaves in the order of the walk."""
        return self.lines[0].etas

    @property
    def second(self) -> Line | None:
        """The rope whose tackle is made fast to the main one."""
        return self.lines[1] if len(self.lines) > 1 else None

    @property
    def second_rope(self) -> Line:
        """The second rope of a rig that has two. Raises ValueError for one of one rope."""
        if self.second is None:
            raise ValueError("the rig has no second rope")
        return self.second

    @property
    def protector(self) -> str | None:
        """The item that the rig lays on edges, the first of its list of gear; None: it lays nothing."""
        return next((h.item for h in self.gear if h.role is Role.PROTECTOR), None)

    @property
    def may_touch(self) -> bool:
        """Whether its lines may run over what is laid on an edge: a grip cannot pass over one, and a line
        that steers would wander off."""
        return self.second is None and not self.aside

    @property
    def by_hand(self) -> bool:
        """Whether a hand behind turns holds the end."""
        return self.puller.name == HAND and self.puller.limit == float("inf")


def of_haul(setup: Setup) -> Claim:
    """What a setup states of its hauling rope or ropes."""
    return Claim(
        title=f"setup {setup.rank} ({setup.reeving})", lines=setup.lines,
        attachment=setup.attachment, puller=setup.puller, turns=0, gear=setup.gear,
        components=setup.components, margin=setup.margin, weakest=setup.weakest,
        unrated=setup.unrated, from_m=setup.from_m, to_m=setup.to_m, rows=setup.profile,
        if_stands=setup.if_stands, walk=setup.walk, nodes=setup.nodes,
        contacts=setup.contacts, made=setup.made, standing=setup.standing,
    )  # fmt: skip


def of_way_down(setup: LoweringSetup, least: float) -> Claim:
    """What a setup states of the rope that lets the load down."""
    line = Line(
        walk=setup.walk, rope=setup.rope, etas=setup.etas, rope_needed=setup.rope_needed
    )  # fmt: skip
    return Claim(
        title=f"way down {setup.rank} ({setup.reeving})", lines=(line,),
        attachment=setup.attachment, puller=setup.holder or the_hand(), turns=setup.turns,
        gear=setup.gear, components=setup.components, margin=setup.margin, weakest=setup.weakest,
        unrated=setup.unrated, from_m=setup.to_m, to_m=setup.from_m, rows=setup.profile[::-1],
        least=least, if_stands=setup.if_stands, walk=setup.walk,
        nodes=setup.walk, contacts=setup.contacts, made=setup.made, standing=setup.standing,
    )  # fmt: skip


def of_second_line(
    line: HoldingLine, etas: tuple[float, ...], rows: Sequence[HoldRow], ends: tuple[float, float],
    *, least: float, taken: Mapping[str, float],
) -> Claim:  # fmt: skip
    """What a setup states of a holding or steering line. `rows` and `ends` [m] along the path as the
    line sees it, `etas` of the blocks that hang in it."""
    rope = Line(walk=line.walk, rope=line.rope, etas=etas, rope_needed=line.rope_needed)
    return Claim(
        title=f"second line ({line.way})", lines=(rope,), attachment=line.attachment,
        puller=the_hand(), turns=line.turns, gear=line.gear, components=line.components,
        margin=line.margin, weakest=line.weakest, unrated=(), from_m=ends[0], to_m=ends[1],
        rows=tuple(rows), least=least, taken=taken, walk=line.walk, nodes=line.walk,
        contacts=line.contacts, aside=line.way is Way.ASIDE, made=line.made,
    )  # fmt: skip


def the_hand() -> Puller:
    """A person who eases a rope out behind its turns: goes nowhere, has no hitch, and the line may
    jerk by the stated factor."""
    return Puller(
        name=HAND, kind=PulledBy.PEOPLE, position=(0.0, 0.0, 0.0), height=0.0, heading=(1.0, 0.0, 0.0),
        run=0.0, purchase=None, limit=float("inf"), limit_factors=(), hitch_rating=None,
        hitch_eye=None, needs_termination=False, dynamic=figure("hold", "jerk"),
    )  # fmt: skip
