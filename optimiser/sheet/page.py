"""The sheet as a value: for every stage its words and tables, and what is drawn."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from optimiser.keepout import standing_faults
from optimiser.results import Setup
from optimiser.sheet import reeving, texts
from optimiser.sheet.rigged import Rigged
from optimiser.site.model import Site
from optimiser.staging.results import Plan
from optimiser.words import counting
from shared.errors import BankhaulError
from shared.units import Dimension, Rounding, show

Row = tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """One stage. Every text may hold words of the site file: escape it where it is shown."""

    rigged: Rigged
    title: str
    heading: str
    facts: tuple[tuple[str, str], ...]
    before: tuple[str, ...]  # what happens between the stage before and this one
    steps: tuple[str, ...]
    gear: tuple[texts.Item, ...]
    loads: tuple[Row, ...]  # piece, letter, carries, stands, share used
    parts: tuple[Row, ...]  # number, from, to, share, tension
    counting: str
    stops: tuple[str, ...]
    resets: tuple[str, ...]
    keep_out: tuple[str, ...]
    cautions: tuple[str, ...]
    always: tuple[str, ...]


class UndrawableError(BankhaulError):
    """A rig the drawings have no way to show: better no sheet than a wrong one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """All pages, and the setups whose pull is compared in the chart of each (the page's own first)."""

    title: str
    pages: tuple[Page, ...]
    compared: tuple[tuple[Rigged, ...], ...]


def sheet(
    site: Site,
    setups: Sequence[Setup],
    compared: Sequence[Setup] = (),
    between: Sequence[Sequence[str]] = (),
) -> Sheet:
    """The sheet for the stages of a plan, in order.

    `compared`: other setups for the chart, drawn where they cover the same stretch. `between`: what is
    done between each stage and the next, in points. ValueError without a setup, or where the number
    of points does not fit. UndrawableError for a rig of two ropes.
    """
    if not setups:
        raise ValueError("a sheet needs at least one setup")
    for setup in setups:
        if setup.second is not None:
            raise UndrawableError(
                f"setup {setup.rank} is a tackle on a tackle: its sheet cannot be drawn yet; "
                f"`bankhaul show {setup.rank}` spells it out"
            )
    told: list[Sequence[str]] = [(), *between] if between else [()] * len(setups)
    pages = tuple(
        page(Rigged(site, setup, number, len(setups)), before)
        for number, (setup, before) in enumerate(zip(setups, told, strict=True), start=1)
    )
    others = tuple(Rigged(site, setup) for setup in compared if setup.second is None)
    return Sheet(
        title=site.title,
        pages=pages,
        compared=tuple((p.rigged, *(o for o in others if _comparable(p.rigged, o))) for p in pages),
    )


def plan_sheet(site: Site, plan: Plan) -> Sheet:
    """The sheet of a staged plan. ValueError for one without stages."""
    from optimiser.staging.telling import between

    system = site.preferences.units
    told = [
        [line.removeprefix("- ") for line in between(plan, i, system).splitlines()]
        for i in range(len(plan.changes))
    ]
    return sheet(site, plan.stages, between=told)


def page(rigged: Rigged, before: Sequence[str] = ()) -> Page:
    """The words and tables of one stage."""
    setup = rigged.setup
    own = [c for c in setup.cautions if not c.always]
    return Page(
        rigged=rigged,
        title=rigged.site.title,
        heading=_heading(rigged),
        facts=_facts(rigged),
        before=tuple(before),
        steps=texts.steps(rigged),
        gear=texts.gear(rigged),
        loads=_loads(rigged),
        parts=tuple(reeving.rows(rigged)),
        counting=counting(setup) + ".",
        stops=texts.stops(rigged),
        resets=texts.resets(rigged),
        keep_out=texts.keep_out(rigged),
        cautions=tuple(c.text for c in own),
        always=tuple(c.text for c in setup.cautions if c.always),
    )


def _comparable(one: Rigged, other: Rigged) -> bool:
    a, b = one.setup, other.setup
    same = (a.walk, a.attachment, a.puller, a.rope) == (b.walk, b.attachment, b.puller, b.rope)
    return not same and abs(a.from_m - b.from_m) < 1e-6 and abs(a.to_m - b.to_m) < 1e-6


def _heading(rigged: Rigged) -> str:
    if rigged.count == 1:
        return f"Setup {rigged.setup.rank}"
    system = rigged.site.preferences.units
    ends = [show(v, Dimension.LENGTH, system) for v in (rigged.setup.from_m, rigged.setup.to_m)]
    return f"Stage {rigged.number} of {rigged.count}: path {ends[0]} to {ends[1]}"


def _facts(rigged: Rigged) -> tuple[tuple[str, str], ...]:
    """The figures to look at first."""
    setup, system = rigged.setup, rigged.site.preferences.units
    weight = show(rigged.site.load.weight, Dimension.WEIGHT, system, Rounding.UP)
    margin = show(setup.margin, Dimension.RATIO, rounding=Rounding.DOWN)
    facts = [
        ("Load", f"{rigged.site.load.name}, {weight}, held at {setup.attachment}"),
        ("Parts of line", str(setup.parts)),
        (
            "Worst pull",
            f"{show(setup.pull, Dimension.FORCE, system, Rounding.UP)} by {setup.puller.name}, load at "
            f"{show(setup.pull_at, Dimension.LENGTH, system)}",
        ),
        ("Margin", f"{margin}, weakest: {setup.weakest}"),
        ("Resets", str(len(rigged.stops))),
    ]
    for fault in standing_faults(rigged.site, setup):
        facts.insert(0, ("LOOK OUT", fault))
    if setup.unrated:
        facts.insert(0, ("UNRATED", f"not proven: {'; '.join(setup.unrated)}"))
    return tuple(facts)


def _loads(rigged: Rigged) -> tuple[Row, ...]:
    """Unrated pieces first, then the weakest."""
    setup, system = rigged.setup, rigged.site.preferences.units
    out: list[Row] = []
    for part in sorted(setup.components, key=lambda c: (c.capacity is not None, c.margin)):
        dimension = Dimension.MOMENT if part.unit == "N·m" else Dimension.FORCE
        demand = show(part.demand, dimension, system, Rounding.UP)
        letter = texts.letter(rigged, part.place)
        name = part.name.replace(f" at {part.place}", "")
        if part.capacity is None:
            out.append((name, letter, demand, "UNRATED", "?"))
            continue
        stands = show(part.capacity, dimension, system, Rounding.DOWN)
        used = part.demand / part.capacity * 100.0
        out.append((name, letter, demand, stands, f"{ceil(used - 1e-9)} %"))
    return tuple(out)
