"""Groups where a rope touches ground to edges: places where one thing lies that parts of the rope run
over."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from catalogue.edges import EdgeFriction, rubbing
from catalogue.gear import Protector, Rope
from optimiser.mechanics.line.edge import passed_on
from optimiser.rig.gear.over_edges import covered, side_by_side
from optimiser.rig.ground.stations import leg_lengths
from optimiser.rig.setup import Contact, HoldingLine, LoweringSetup, Setup, Way
from optimiser.rig.walk import PlaceKind, Walk
from optimiser.site.model import Owned, Site

DIAMETERS = 4.0
"""Least radius of what a rope is bent over, in diameters of the rope (source key roping-physics)."""
_NEAR = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Over:
    """A rope that may run over edges while the load goes from `from_m` to `to_m` of the path (down it where
    that is less). `paid_out`: the load goes away from where the rope leads; `holds`: friction helps."""

    rope: Owned[Rope]
    contacts: tuple[Contact, ...]
    from_m: float
    to_m: float
    paid_out: bool = False
    holds: bool = False
    still: bool = False
    called: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Edge:
    """One place of the ground with what lies there, and all that runs over it.

    `from_m` to `to_m` along the path and `left_from` to `left_to` m left of it: where the rope touches.
    `angle` rad: the greatest by which it turns, `running`: of the parts that run (0: none does); `force`,
    `shift` N: of all `parts` together, each at its worst. `pieces`: so many are laid side by side; 0 where
    it lies there already. `load_from`, `load_to`: where the load is while something touches, m; None: not
    known.
    """

    contacts: tuple[Contact, ...]
    parts: tuple[int, ...]
    from_m: float
    to_m: float
    left_from: float
    left_to: float
    angle: float
    running: float
    force: float
    shift: float
    planned: float  # coefficient of friction
    friction: EdgeFriction
    lies: Protector
    name: str
    owned: Owned[Protector] | None
    pieces: int
    load_from: float | None
    load_to: float | None

    @property
    def middle(self) -> float:
        """m along the path of its middle."""
        return (self.from_m + self.to_m) / 2.0

    @property
    def laid(self) -> tuple[float, float]:
        """From where to where the pieces reach, m left of the path."""
        middle = (self.left_from + self.left_to) / 2.0
        half = max(self.pieces, 1) * self.lies.length / 2.0
        return middle - half, middle + half

    def grows_by(self, friction: float) -> float:
        """Tension behind the edge / tension before it, with this coefficient of friction."""
        return float(1.0 / passed_on(friction=friction, angle=self.running))

    @property
    def grows(self) -> float:
        """The same with the friction that is planned."""
        return self.grows_by(self.planned)

    @property
    def begins(self) -> float:
        """m along the path at which what lies there begins."""
        return self.from_m - self.lies.covers / 2.0

    def front_at(self, site: Site) -> float:
        """Where the load is when its front comes to what lies there, m along the path."""
        return self.begins - site.load.overhang

    def back_at(self, site: Site) -> float:
        """Where the load is when its back leaves what lies there, m along the path."""
        return self.to_m + self.lies.covers / 2.0 - site.load.overhang + site.load.length

    def bends_sharply(self, rope: Owned[Rope]) -> bool:
        """Whether it bends the rope over less than so many diameters."""
        return self.lies.bend_radius < DIAMETERS * rope.gear.diameter - _NEAR


def led(setup: Setup | LoweringSetup) -> tuple[Over, ...]:
    """The ropes of a setup, a haul's holding lines after its own, those that touch nothing left out."""
    lines = (letting_down(setup),) if isinstance(setup, LoweringSetup) else _hauled(setup)
    return tuple(line for line in lines if line.contacts)


def _hauled(setup: Setup) -> tuple[Over, ...]:
    held = [holding(line) for line in setup.holding if line.way is not Way.ASIDE]
    if len(held) > 1:
        held = [replace(line, called=f"{line.called} {i}") for i, line in enumerate(held, start=1)]
    return hauling(setup), *held


def hauling(setup: Setup) -> Over:
    """The rope of a haul, the main one of two."""
    return Over(
        rope=setup.rope, contacts=setup.contacts, from_m=setup.from_m, to_m=setup.to_m,
        still=_still(setup.walk),
    )  # fmt: skip


def holding(line: HoldingLine) -> Over:
    """A holding line."""
    return Over(
        rope=line.rope, contacts=line.contacts, from_m=line.from_m, to_m=line.to_m,
        paid_out=line.way is Way.ON, holds=True, still=_still(line.walk), called="holding line",
    )  # fmt: skip


def letting_down(setup: LoweringSetup) -> Over:
    """The rope of a way down."""
    return Over(
        rope=setup.rope, contacts=setup.contacts, from_m=setup.from_m, to_m=setup.to_m,
        paid_out=True, holds=True, still=_still(setup.walk),
    )  # fmt: skip


def _still(walk: Walk) -> bool:
    return walk[0].kind is not PlaceKind.LOAD


def edges(site: Site, line: Over) -> tuple[Edge, ...]:
    """The edges that a rope runs over, along the path: what is touched is covered in that order by what
    lies there, each kind by itself."""
    lying: dict[tuple[Owned[Protector] | None, Protector], list[Contact]] = {}
    for contact in line.contacts:
        lying.setdefault((contact.owned, lies_at(site, contact)), []).append(contact)
    groups = [group for (_, lies), some in lying.items() for group in covered(some, _along, lies)]
    return tuple(_edge(site, line, group) for group in sorted(groups, key=lambda g: _along(g[0])))


def _along(contact: Contact) -> tuple[float, int]:
    """m along the path, and of what is there at one place the order of its parts."""
    return contact.from_m, contact.part


def lies_at(site: Site, contact: Contact) -> Protector:
    """What lies where a rope touches: of the gear, or there already. At a vertex the leg that ends there
    counts."""
    if contact.owned is not None:
        return contact.owned.gear
    end, found = 0.0, None
    for leg, length in zip(site.legs, leg_lengths(site), strict=True):
        begin, end = end, end + float(length)
        if leg.laid is not None and begin - 1e-6 <= contact.from_m <= end + 1e-6:
            return leg.laid
        found = leg.laid or found
    if found is None:
        raise ValueError(f"nothing lies at {contact.from_m:g} m of the path")
    return found


def _edge(site: Site, line: Over, group: Sequence[Contact]) -> Edge:
    lies = lies_at(site, group[0])
    left = min(c.left_from for c in group), max(c.left_to for c in group)
    begin = [c.load_from for c in group if c.load_from is not None]
    end = [c.load_to for c in group if c.load_to is not None]
    owned = group[0].owned
    run = [c for c in group if not (line.still and c.part == 1)]
    worst = max(run or group, key=lambda c: c.friction * c.angle)
    return Edge(
        contacts=tuple(group),
        parts=tuple(sorted({c.part for c in group})),
        from_m=min(c.from_m for c in group),
        to_m=max(c.to_m for c in group),
        left_from=left[0],
        left_to=left[1],
        angle=max(c.angle for c in group),
        running=max((c.angle for c in run), default=0.0),
        force=sum(c.force for c in group),
        shift=sum(c.shift for c in group),
        planned=worst.friction,
        friction=rubbing(lies, line.rope.gear),
        lies=lies,
        name=group[0].protector,
        owned=owned,
        pieces=0 if owned is None else side_by_side(left, lies),
        load_from=min(begin, default=None),
        load_to=max(end, default=None),
    )
