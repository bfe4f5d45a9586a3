"""Builds the sheet as a value: for every stage its words and tables, and what is drawn."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from optimiser.jobs.lower.results import Lowering, LoweringSetup
from optimiser.jobs.lower.words import newtons, round_turns
from optimiser.jobs.remarks import line, used
from optimiser.jobs.stages.results import Plan
from optimiser.jobs.stages.words import between
from optimiser.rig.conditions import in_words
from optimiser.rig.edge_words import parts, where
from optimiser.rig.forces.holders import HAND
from optimiser.rig.ground import keepout
from optimiser.rig.laid_edges import edges
from optimiser.rig.naming import counting
from optimiser.rig.setup import Caution, Component, Setup
from optimiser.rig.walk import Place
from optimiser.rig.where_it_stands import Standing, sentence
from optimiser.sheet.drawing import reeving
from optimiser.sheet.shown.drawn import Drawn
from optimiser.sheet.shown.lowered import Lowered
from optimiser.sheet.shown.rigged import Rigged
from optimiser.sheet.wording import haul_words, lower_words, tape
from optimiser.sheet.wording.dangers import badly_placed, keep_out
from optimiser.sheet.wording.gear_list import Item, gear
from optimiser.sheet.wording.letters import force, length, spot
from optimiser.site.doubts.data_ends import data_ends
from optimiser.site.doubts.unlikely import unlikely
from optimiser.site.model import Site
from shared.units import Dimension, Rounding, show

Row = tuple[str, ...]
Fact = tuple[str, str]


ROWS_ON_A_PAGE = 55
"""Of lists and tables, beside the chart on A4, in the print of `base.html`: tried with every example."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Loads:
    """A table of loads: piece, letter, carries, stands, share used."""

    title: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """One stage. Every text may contain words of the site file: escape it where it is shown."""

    drawn: Drawn
    title: str
    heading: str
    facts: tuple[Fact, ...]
    before: tuple[str, ...]  # what happens between the stage before and this one
    steps: tuple[str, ...]
    gear: tuple[Item, ...]
    tape: tuple[Row, ...]  # what, with the load at the start, and at the end
    tape_note: str
    loads: tuple[Loads, ...]
    parts: tuple[Row, ...]  # number, from, to, share, tension
    counting: str
    stops: tuple[str, ...]
    resets_title: str
    resets: tuple[str, ...]
    keep_out: tuple[str, ...]
    cautions: tuple[str, ...]
    always: tuple[str, ...]
    before_title: str = "From the stage before to this one"
    take_along: tuple[Item, ...] = ()  # for all pages of a sheet, where a load goes both ways

    @property
    def gear_lists(self) -> tuple[tuple[str, tuple[Item, ...]], ...]:
        """Titles, and what to tick off under each."""
        own = ("Gear to lay out", self.gear)
        return (
            (("Gear to take along, for both ways", self.take_along), own)
            if self.take_along
            else (own,)
        )

    @property
    def work_apart(self) -> bool:
        """Whether the work gets a printed page of its own: what is prepared fits on the one before."""
        tables = (self.tape, self.parts, *(loads.rows for loads in self.loads))
        rows = sum(map(len, (self.stops, self.before, self.take_along, self.gear, *tables)))
        return len(self.loads) == 1 and rows <= ROWS_ON_A_PAGE

    @property
    def gear_apart(self) -> bool:
        """Whether what is prepared begins on another printed page than the drawings: those of two ropes fill
        one."""
        return self.work_apart and len(self.drawn.ropes) > 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """All pages, and what is compared in the chart of each (the page's own first)."""

    title: str
    pages: tuple[Page, ...]
    compared: tuple[tuple[Drawn, ...], ...]


def sheet(
    site: Site,
    setups: Sequence[Setup],
    compared: Sequence[Setup] = (),
    between: Sequence[Sequence[str]] = (),
) -> Sheet:
    """The sheet for the stages of a plan, in order.

    `compared`: other setups for the chart, drawn where they cover the same stretch. `between`: what is
    done between each stage and the next, in points. ValueError without a setup, or where the number
    of points does not fit.
    """
    if not setups:
        raise ValueError("a sheet needs at least one setup")
    listed: list[Sequence[str]] = [(), *between] if between else [()] * len(setups)
    pages = tuple(
        page(Rigged(site, setup, number, len(setups)), before)
        for number, (setup, before) in enumerate(zip(setups, listed, strict=True), start=1)
    )
    others = tuple(Rigged(site, setup) for setup in compared)
    return _bound(site, pages, others)


def plan_sheet(site: Site, plan: Plan) -> Sheet:
    """The sheet of a staged plan. ValueError for one without stages."""

    system = site.preferences.units
    listed = [
        [line.removeprefix("- ") for line in between(plan, i, system).splitlines()]
        for i in range(len(plan.changes))
    ]
    return sheet(site, plan.stages, between=listed)


def lowering_sheet(
    site: Site,
    answer: Lowering,
    number: int | None = None,
    compare: int = 2,
    lettered: Sequence[Place] = (),
) -> Sheet:
    """The sheet for letting down: of the hold (or stage) of that number; of the best hold, or of every
    stage, if none is given. `compare`: how many of the other holds the chart shows too; `lettered`: places
    that have letters on another page of the same sheet. ValueError where there is none."""
    listed = answer.setups or answer.stages
    chosen = list(answer.stages) if number is None else listed[number - 1 : number]
    chosen = list(chosen) or list(listed[:1])
    if not chosen:
        raise ValueError("a sheet needs at least one hold")
    several = len(answer.stages) if not answer.setups else 1
    pages = tuple(
        lowering_page(
            Lowered(site, s, s.rank if several > 1 else 1, several, tuple(lettered)), answer.notes
        )
        for s in chosen
    )
    others = [s for s in answer.setups if s not in chosen][:compare]
    return _bound(site, pages, [Lowered(site, s) for s in others])


def _bound(site: Site, pages: tuple[Page, ...], others: Sequence[Drawn]) -> Sheet:
    return Sheet(
        title=site.title,
        pages=pages,
        compared=tuple((p.drawn, *(o for o in others if _comparable(p.drawn, o))) for p in pages),
    )


def page(rigged: Rigged, before: Sequence[str] = ()) -> Page:
    """The words and tables of one stage of a haul."""
    setup = rigged.setup
    below = "; of the second rope: of the pull on the grip" if rigged.grip is not None else ""
    held = [
        Loads(
            title=f"What each piece of the {rope.called} carries at most",
            rows=_loads(rigged, line.components),
        )
        for rope, line in zip(rigged.holding, setup.holding, strict=True)
    ]
    return Page(
        drawn=rigged,
        title=rigged.site.title,
        heading=_heading(rigged, "Setup"),
        facts=_facts(rigged),
        before=tuple(before),
        steps=haul_words.steps(rigged),
        gear=gear(rigged),
        tape=tape.with_a_tape(rigged),
        tape_note=tape.note(rigged),
        loads=(
            Loads(title="What each piece carries at most", rows=_loads(rigged, setup.components)),
            *held,
        ),
        parts=tuple(reeving.rows(rigged)),
        counting=f"{counting(setup)}. Share: of the pull on the load, at the worst place{below}.",
        stops=haul_words.stops(rigged),
        resets_title="Resets",
        resets=haul_words.resets(rigged),
        keep_out=keep_out(rigged, keepout.run_back_end(setup), _onward(setup)),
        cautions=_own(setup.cautions),
        always=_always(setup.cautions),
    )


def lowering_page(lowered: Lowered, notes: Sequence[str] = ()) -> Page:
    """The words and tables of one hold, or of one stage of a way down. `notes`: what has to be known of
    its path."""
    setup = lowered.setup
    live = [row.at for row in setup.profile if row.runs > 0.0]
    parts = f"{setup.parts} {'part' if setup.parts == 1 else 'parts'} of line hold the load"
    return Page(
        drawn=lowered,
        title=lowered.site.title,
        heading=f"LETTING DOWN. {_heading(lowered, 'Hold')}",
        facts=(*_lowering_facts(lowered), *(("The path", note) for note in notes)),
        before=(),
        steps=lower_words.steps(lowered),
        gear=gear(lowered),
        tape=tape.with_a_tape(lowered),
        tape_note=tape.note(lowered),
        loads=(
            Loads(title="What each piece carries at most", rows=_loads(lowered, setup.components)),
        ),
        parts=tuple(reeving.rows(lowered)),
        counting=f"{parts}. Share: of the hold on the load, at the worst place.",
        stops=lower_words.stops(lowered),
        resets_title="New grips",
        resets=lower_words.resets(lowered),
        keep_out=keep_out(lowered, max(live) if live else None),
        cautions=_own(setup.cautions),
        always=_always(setup.cautions),
    )


def _onward(setup: Setup) -> tuple[float, float] | None:
    """From where to where the load may run on downhill, m; None: nowhere."""
    places = [row.at for row in setup.profile if row.runs_on > 0.0]
    return (min(places), max(places)) if places else None


def _own(cautions: Sequence[Caution]) -> tuple[str, ...]:
    return tuple(c.text for c in cautions if not c.always)


def _always(cautions: Sequence[Caution]) -> tuple[str, ...]:
    return tuple(c.text for c in cautions if c.always)


def _comparable(one: Drawn, other: Drawn) -> bool:
    """Whether another's chart can stand beside one's own: over the same stretch, of the
    same force, and not the same."""
    ends = [(float(d.at[0]), float(d.at[-1])) for d in (one, other)]
    same = all(abs(a - b) < 1e-6 for a, b in zip(*ends, strict=True))
    return same and one.force_name == other.force_name and _what(one) != _what(other)


def _what(drawn: Drawn) -> tuple[object, ...]:
    who = drawn.puller.name if drawn.puller is not None else ""
    hitch = drawn.scene.attachment.name
    return hitch, who, tuple((rope.walk, rope.piece.name) for rope in drawn.ropes)


def _heading(drawn: Drawn, word: str) -> str:
    if drawn.count == 1:
        return f"{word} {drawn.rank}"
    ends = [length(drawn, float(drawn.at[s])) for s in (drawn.begin, drawn.end)]
    way = "down to" if drawn.downward else "to"
    return f"Stage {drawn.number} of {drawn.count}: path {ends[0]} {way} {ends[1]}"


def _facts(rigged: Rigged) -> tuple[Fact, ...]:
    """The figures to look at first."""
    setup = rigged.setup
    worst = f"{force(rigged, setup.pull)} by {setup.puller.name}, load at {length(rigged, setup.pull_at)}"
    facts = [
        *_remarks(rigged),
        *_warnings(keepout.standing_faults(rigged.site, setup), rigged, setup),
        _load(rigged, setup.attachment),
        ("Parts of line", str(setup.parts)),
        ("Worst pull", worst),
        *_stands(rigged, setup.standing),
        ("Margin", _margin(setup)),
        *_over_edges(rigged),
        ("Resets", _resets(rigged)),
    ]
    for rope in rigged.holding:
        where = f"{rope.numbers}, held at {spot(rigged, rope.walk[-1])}"
        facts.append((rope.called.capitalize(), where))
    return tuple(facts)


def _stands(drawn: Drawn, standing: Standing | None) -> list[Fact]:
    """Where the puller stands, where that was left to the search."""
    return (
        [] if standing is None else [("Stands", sentence(standing, drawn.site.preferences.units))]
    )


def _over_edges(drawn: Drawn) -> list[Fact]:
    """What lies under the ropes, and the friction on it that is planned with."""
    system = drawn.site.preferences.units
    out = []
    for rope in drawn.ropes:
        for edge in edges(drawn.site, rope.over) if rope.over else ():
            force = show(edge.force, Dimension.FORCE, system, Rounding.UP)
            friction = show(edge.planned, Dimension.RATIO)
            text = f"{edge.name} on {where(edge, system)}, pressed with up to {force}"
            rubs = f", friction {friction}" if edge.running else ""
            out.append(("Over the edge", f"{parts(edge, rope.first)}: {text}{rubs}"))
    return out


def _remarks(drawn: Drawn) -> list[Fact]:
    """What is to be looked at twice on the site, and what the data on its trees do not cover."""
    names = used([rope.walk for rope in drawn.ropes], drawn.puller)
    return [
        *(("MEANT SO?", line(remark)) for remark in unlikely(drawn.site)),
        *(("DATA END", line(remark)) for remark in data_ends(drawn.site, names)),
    ]


def _resets(rigged: Rigged) -> str:
    moved = len(rigged.setup.moved)
    text = f", at {moved} of them the grip is moved back" if moved else ""
    return f"{len(rigged.stops)}{text}"


def _lowering_facts(lowered: Lowered) -> tuple[Fact, ...]:
    setup, system = lowered.setup, lowered.site.preferences.units
    worst = f"{force(lowered, setup.line)}, load at {length(lowered, setup.line_at)}"
    held = setup.walk[-1].name
    if setup.turns:
        hand = newtons(setup.hand, system)
        held = f"{round_turns(setup.turns)} round {spot(lowered, setup.walk[-1])}, and a hand"
        worst = f"{hand} in the hand; line {worst}"
    return (
        *_remarks(lowered),
        *_warnings(lowered.standing, lowered, setup),
        _load(lowered, setup.attachment),
        ("Held by", held),
        ("At worst", worst),
        *_stands(lowered, setup.standing),
        ("Margin", _margin(setup)),
        *_over_edges(lowered),
        ("Rope let out", length(lowered, setup.paid_out)),
    )


def _warnings(standing: Sequence[str], drawn: Drawn, setup: Setup | LoweringSetup) -> list[Fact]:
    listed: list[Fact] = []
    if setup.unrated:
        system, missing = drawn.site.preferences.units, "; ".join(setup.unrated)
        stands = in_words(setup.if_stands, system)
        listed.append(
            ("UNRATED", f"not proven: {missing}{f'; holds only {stands}' if stands else ''}")
        )
    return [*listed, *(("LOOK OUT", fault) for fault in (*standing, *badly_placed(drawn)))]


def _load(drawn: Drawn, attachment: str) -> Fact:
    system = drawn.site.preferences.units
    weight = show(drawn.site.load.weight, Dimension.WEIGHT, system, Rounding.UP)
    return ("Load", f"{drawn.site.load.name}, {weight}, held at {attachment}")


def _margin(setup: Setup | LoweringSetup) -> str:
    margin = show(setup.margin, Dimension.RATIO, rounding=Rounding.DOWN)
    return f"{margin}, weakest: {setup.weakest}"


def _loads(drawn: Drawn, components: Sequence[Component]) -> tuple[Row, ...]:
    """Unrated pieces first, then the weakest."""
    system = drawn.site.preferences.units
    out: list[Row] = []
    for part in sorted(components, key=lambda c: (c.capacity is not None, c.margin)):

        def worded(value: float, rounding: Rounding, part: Component = part) -> str:
            if part.item == HAND:
                return newtons(value, system, rounding)
            dimension = Dimension.MOMENT if part.unit == "N·m" else Dimension.FORCE
            return show(value, dimension, system, rounding)

        demand = worded(part.demand, Rounding.UP)
        letter = drawn.letter_of(part.place)
        name = part.name.replace(f" at {part.place}", "")
        if part.capacity is None:
            out.append((name, letter, demand, "UNRATED", "?"))
            continue
        stands = worded(part.capacity, Rounding.DOWN)
        used = part.demand / part.capacity * 100.0
        out.append((name, letter, demand, stands, f"{ceil(used - 1e-9)} %"))
    return tuple(out)
