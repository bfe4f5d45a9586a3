"""The main job: the best setups with the gear owned, over the whole path or a stretch of it."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from optimiser.proof.loads.haul import verify
from optimiser.rig.build import build_setup
from optimiser.rig.gear.filler import Filler
from optimiser.rig.gear.joined import with_joined
from optimiser.rig.gear.kit import Kit, kit_of
from optimiser.rig.ground.scene import Scene, scenes
from optimiser.rig.ground.stations import Stations, lay_stations
from optimiser.rig.order import Order
from optimiser.rig.setup import Miss, Ranking
from optimiser.rig.walk import Walk
from optimiser.search import stopwatch
from optimiser.search.board import Entry
from optimiser.search.clock import Clock
from optimiser.search.count import walks_in_space
from optimiser.search.prove import Outcome, search
from optimiser.search.rules import Rules
from optimiser.site.model import Site


def rank(
    site: Site,
    *,
    top: int = 10,
    order: Sequence[str] | None = None,
    everything: bool = False,
    time_limit: float | None = None,
    rules: frozenset[str] | None = None,
    progress: Callable[[str], None] | None = None,
    stations: Stations | None = None,
    kit: Kit | None = None,
    explain: bool = True,
    compound: bool | None = False,
    joining: bool = True,
    tabulated: Callable[[Site, Stations], Iterable[Scene]] = scenes,
    clock: Clock | None = None,
) -> Ranking:
    """The `top` best setups of a site, fully rated ones first, in the order requested.

    `order`: counts of `optimiser.rig.order.COUNTS`, the first weighs most; `everything`: also setups that
    another one beats on every count; `time_limit` [s]: after it the list so far comes back, not proven;
    `rules`: names of the rules that are on; `stations`: a stretch of the path instead of the whole;
    `explain`: look for the nearest misses where no setup exists (takes longer than finding that out);
    `compound`: search tackle on tackle besides; None: where there is not too much of it
    (`optimiser.search.two_ropes.search.FEW`), or no other setup is found;
    `joining`: where no rope of one piece does, ropes are joined or lengthened (`optimiser.rig.gear.joined`);
    `tabulated`: makes the scenes (`optimiser.rig.ground.sharing` hands their tables from site to site);
    `clock`: in place of a limit and a progress, a part of another job's.
    """
    began = stopwatch.now()
    wanted = Order.of(site.preferences, order)
    named = Rules.of(site.preferences.rules if rules is None else rules)
    laid = lay_stations(site) if stations is None else stations
    gear = kit or kit_of(site)
    clock = clock or Clock(time_limit, progress)
    every = list(tabulated(site, laid))
    rated = [scene for scene in every if scene.rated]
    floor = site.preferences.margin_wanted
    loose = anything_unrated(site, every, gear)
    left, wants_two = False, bool(compound)
    if compound is None and len(gear.ropes) > 1:
        from optimiser.search.two_ropes.search import FEW, compounds_in_space

        pairs = compounds_in_space(every, gear, named, upto=FEW)
        wants_two, left = 0 < pairs <= FEW, pairs > FEW
    active = replace(named, compound=wants_two)

    tallied: list[Outcome] = []

    def search_in(pieces: Kit, rules: Rules, *, only_rated: bool, most: int) -> Outcome:
        outcome = search(
            rated if only_rated else every, pieces, wanted, rules, top=most, floor=floor,
            everything=everything or not only_rated, clock=clock, only_rated=only_rated,
        )  # fmt: skip
        tallied.append(outcome)
        return outcome

    def longer(pieces: Kit) -> Kit | None:
        """The kit with its ropes joined and lengthened; None where that makes none."""
        more = with_joined(pieces) if joining and clock.runs() else pieces
        return more if len(more.pieces) > len(pieces.pieces) else None

    def listed_under(rules: Rules) -> list[Entry]:
        """The best: the fully rated first, and only where no rope of one piece does those of a rope that
        is joined or lengthened."""
        outcome = search_in(gear.rated_only, rules, only_rated=True, most=top)
        if not outcome.board.entries and (more := longer(gear.rated_only)) is not None:
            outcome = search_in(more, rules, only_rated=True, most=top)
        listed = [entry for _, entry in outcome.board.leaders()]
        if len(listed) < top and loose:
            known = set(outcome.board.entries)
            unrated = search_in(gear, rules, only_rated=False, most=top + len(known))
            if not listed and not unrated.board.entries and (more := longer(gear)) is not None:
                unrated = search_in(more, rules, only_rated=False, most=top)
            others = [e for i, e in unrated.board.leaders() if i not in known and e.filled.unrated]
            listed += others[: top - len(listed)]
        return listed

    listed = listed_under(active)
    if left and not listed and clock.runs():
        left = False
        active = replace(active, compound=True)
        listed = listed_under(active)
    proven = all(outcome.proven for outcome in tallied) and not clock.stopped
    watch = tallied[0].tally.watch
    for outcome in tallied[1:]:
        watch.add(outcome.tally.watch)
    filler = Filler(wanted, floor)
    with watch.on("assign"):
        filled = [
            entry.filled if clock.interrupted else filler.settled(entry.filled, entry.rivals)
            for entry in listed
        ]
    with watch.on("tell"):
        setups = tuple(
            replace(build_setup(best, rank=i + 1), alike=_alike(entry))
            for i, (best, entry) in enumerate(zip(filled, listed, strict=True))
        )
    with watch.on("verify"):
        for setup in setups:
            if setup.steered is not None or all(row.steer == 0.0 for row in setup.profile):
                verify(site, setup, extra=gear.pieces, kept=any(scene.kept for scene in every))
    misses: tuple[Miss, ...] = ()
    if explain and proven and not setups:
        from optimiser.jobs.misses import nearest_misses

        misses = nearest_misses(
            site,
            stations=laid,
            kit=gear,
            rules=frozenset(active.names),
            clock=clock.anew(),
        )
    compounds = None
    if active.compound:
        from optimiser.search.two_ropes.search import compounds_in_space

        compounds = compounds_in_space(every, gear, active)
    return Ranking(
        setups=setups,
        proven=proven,
        order=wanted.names,
        rules=active.names,
        space=sum(walks_in_space(scene, gear, active) for scene in every),
        looked_at=sum(outcome.tally.looked_at for outcome in tallied),
        confirmed=sum(outcome.tally.confirmed for outcome in tallied),
        timings=(*watch.read(), ("whole", stopwatch.now() - began)),
        misses=misses,
        compounds=compounds,
        compounds_left=left,
    )


def anything_unrated(site: Site, every: Sequence[Scene], gear: Kit) -> bool:
    loose_anchor = any(anchor.strength.capacity is None for anchor in site.anchors)
    loose_gear = len(gear.rated_only.pieces) < len(gear.pieces)
    return loose_anchor or loose_gear or not all(scene.rated for scene in every)


def _alike(entry: Entry) -> tuple[Walk, ...]:
    rows = (twin.filled.variant.row for twin in entry.twins)
    return tuple(row.scene.walk(row.numbers) for row in rows)
