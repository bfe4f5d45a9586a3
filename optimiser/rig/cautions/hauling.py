"""Yields the cautions a setup's own numbers call for, and those that apply to every haul.

Texts, sources and limits stand in `data/cautions.toml`. To add one: a table there, and a check here
of the same name that yields the fields of its text once for each time it is to be printed.
"""

from collections.abc import Iterator, Sequence
from math import asin, dist, isfinite

from catalogue.ground import Motion
from catalogue.pullers import PulledBy
from optimiser.mechanics.line.rope import stiffness
from optimiser.mechanics.line.rope import stored_energy as elastic_energy
from optimiser.mechanics.resting import Rest
from optimiser.rig.cautions import alike
from optimiser.rig.cautions.book import CautionBook, Fields
from optimiser.rig.cautions.gear_at_edges import KEPT_OFF, near_edges
from optimiser.rig.edge_words import where
from optimiser.rig.ground import keepout, plan_view
from optimiser.rig.ground.attachments import attachment_named
from optimiser.rig.naming import spot
from optimiser.rig.setup import Caution, Component, Role, Setup, StationRow, Way
from optimiser.rig.walk import PlaceKind
from optimiser.site.model import AnchorKind, Leg, Site
from shared.units import STANDARD_GRAVITY, Dimension, Rounding, show

BOOK: CautionBook[[Site, Setup]] = CautionBook("optimiser.rig.cautions")


def cautions(site: Site, setup: Setup) -> tuple[Caution, ...]:
    """Every caution of a setup, in the order of the data file. The setup's own are not read."""
    return BOOK.called_for(site, setup)


BOOK.check(alike.unrated)
BOOK.check(alike.margin_short)
BOOK.check(alike.made_anchor)
BOOK.check(alike.shared_trees)
BOOK.check(alike.wide_sling)
BOOK.check(alike.anchor_by_weight)
for edge_check in alike.EDGES:
    BOOK.check(edge_check)


@BOOK.check
def _runs_back(site: Site, setup: Setup) -> Fields:
    rows = [row for row in setup.profile if row.runs_back > 0.0]
    if rows:
        yield {
            "does": _runs(rows),
            "first": _metres(site, rows[0].at),
            "last": _metres(site, rows[-1].at),
            "force": _force(site, max(row.runs_back for row in rows)),
            "resets": str(setup.resets),
        }


@BOOK.check
def _runs_on(site: Site, setup: Setup) -> Fields:
    rows = [row for row in setup.profile if row.runs_on > 0.0]
    if rows:
        held = any(line.way is Way.ON for line in setup.holding)
        yield {
            "does": _runs(rows),
            "first": _metres(site, rows[0].at),
            "last": _metres(site, rows[-1].at),
            "force": _force(site, max(row.runs_on for row in rows)),
            "line": "" if held else " A second line behind it keeps it (`bankhaul rank --hold`).",
        }


@BOOK.check
def _puller_below(site: Site, setup: Setup) -> Fields:
    if keepout.faults(site, setup, keepout.Danger.BELOW):
        yield {"puller": setup.puller.name}


@BOOK.check
def _in_bight(site: Site, setup: Setup) -> Fields:
    for fault in keepout.faults(site, setup, keepout.Danger.BIGHT):
        yield {
            "puller": setup.puller.name,
            "place": spot(fault.about[0], setup.gear, site.preferences.units),
            "at": _metres(site, fault.at),
        }


@BOOK.check
def _in_line(site: Site, setup: Setup) -> Fields:
    for fault in keepout.faults(site, setup, keepout.Danger.RECOIL):
        ends = [spot(place, setup.gear, site.preferences.units) for place in fault.about]
        yield {
            "puller": setup.puller.name,
            "first": ends[0],
            "second": ends[1],
            "at": _metres(site, fault.at),
        }


@BOOK.check
def _puller_in_line(site: Site, setup: Setup) -> Fields:
    limits = BOOK.limits("puller_in_line")
    if setup.puller.kind is not PulledBy.VEHICLE:
        yield {"puller": setup.puller.name, "clear": _metres(site, limits["clear"])}


@BOOK.check
def _lines_cross(site: Site, setup: Setup) -> Fields:
    pairs: dict[frozenset[str], str] = {}
    for one, other, at in plan_view.crossings(site, setup):
        names_ = [" to ".join(sorted(p.name or "the load" for p in part)) for part in (one, other)]
        text = f"{names_[0]} with {names_[1]}, with the load at {_metres(site, at)}"
        pairs.setdefault(frozenset(names_), text)
    if pairs:
        yield {"pairs": "; ".join(pairs.values())}


@BOOK.check
def _stored_energy(site: Site, setup: Setup) -> Fields:
    limits = BOOK.limits("stored_energy")
    energy = stored_energy(setup)
    if energy is not None and energy >= limits["energy"]:
        drop = energy / (10.0 * STANDARD_GRAVITY)
        yield {"energy": f"{energy:,.0f}", "drop": _metres(site, drop, Rounding.UP)}


@BOOK.check
def _jerks(site: Site, setup: Setup) -> Fields:
    if setup.puller.kind is PulledBy.HAND_WINCH:
        return
    factor = setup.puller.dynamic
    if factor > 1.0:
        allowance = f"The figures allow a pull {factor:.2f} times the steady one, and no more."
    else:
        allowance = "The figures allow nothing for a jerk."
    yield {"allowance": allowance}


@BOOK.check
def _vehicle_on_slope(site: Site, setup: Setup) -> Fields:
    limits = BOOK.limits("vehicle_on_slope")
    slope = asin(max(-1.0, min(1.0, setup.puller.heading[2])))
    if setup.puller.kind is PulledBy.VEHICLE and abs(slope) >= limits["slope"]:
        yield {
            "puller": setup.puller.name,
            "slope": show(abs(slope), Dimension.ANGLE),
            "way": "pulling uphill" if slope > 0 else "pulling downhill",
        }


@BOOK.check
def _side_pull(site: Site, setup: Setup) -> Fields:
    limits = BOOK.limits("side_pull")
    preferences = site.preferences
    limit_of = {
        Motion.ROLLING: preferences.side_pull_rolling,
        Motion.SLIDING: preferences.side_pull_sliding,
    }
    shares = [(abs(r.side_pull) / limit_of[_leg_at(site, r.at).motion], r) for r in setup.profile]
    if not shares:
        return
    share, row = max(shares, key=lambda pair: pair[0])
    if share >= limits["share"]:
        yield {
            "ratio": show(abs(row.side_pull), Dimension.RATIO, rounding=Rounding.UP),
            "side": "left" if row.side_pull > 0 else "right",
            "at": _metres(site, row.at),
            "share": f"{share * 100:.0f} %",
            "limit": show(limit_of[_leg_at(site, row.at).motion], Dimension.RATIO),
        }


@BOOK.check
def _behind_middle(site: Site, setup: Setup) -> Fields:
    hold = attachment_named(site, setup.attachment)
    middle = site.load.overhang - site.load.length / 2.0
    if hold is not None and hold.ahead < middle - 1e-6:
        yield {"hitch": hold.name, "behind": _metres(site, middle - hold.ahead)}


@BOOK.check
def _off_centre(site: Site, setup: Setup) -> Fields:
    hitch = next((h for h in site.load.hitches if h.name == setup.attachment), None)
    if hitch is None or abs(hitch.left) < 1e-6 or not setup.profile:
        return
    forward = max(row.pull * row.advantage for row in setup.profile if isfinite(row.pull))
    moment = forward * abs(hitch.left)
    yield {
        "hitch": hitch.name,
        "offset": _metres(site, abs(hitch.left)),
        "side": "left" if hitch.left > 0 else "right",
        "turns": "right" if hitch.left > 0 else "left",
        "moment": show(moment, Dimension.MOMENT, site.preferences.units, Rounding.UP),
    }


@BOOK.check
def _lip(site: Site, setup: Setup) -> Fields:
    for start, _, leg in _legs(site):
        if leg.step > 0.0 and setup.from_m - 1e-9 <= start <= setup.to_m + 1e-9:
            yield {"height": _metres(site, leg.step), "at": _metres(site, start)}


@BOOK.check
def _ground_edge(site: Site, setup: Setup) -> Fields:
    for start, end, leg in _legs(site):
        if leg.edge_protected and start < setup.to_m and end > setup.from_m:
            yield {"first": _metres(site, start), "last": _metres(site, end)}


@BOOK.check
def _edge_gear(site: Site, setup: Setup) -> Fields:
    for near in near_edges(site, setup):
        system = site.preferences.units
        yield {
            "edge": where(near.edge, system),
            "at": show(near.at, Dimension.LENGTH, system, Rounding.DOWN),
            "until": show(near.until, Dimension.LENGTH, system, Rounding.UP),
            "long": show(near.long, Dimension.LENGTH, system, Rounding.UP),
            "free": show(KEPT_OFF, Dimension.LENGTH, system),
        }


@BOOK.check
def _knot_weakest(site: Site, setup: Setup) -> Fields:
    weakest = _weakest(setup)
    if weakest is None:
        return
    stated = (weakest.item, weakest.name, weakest.note, *(f.name for f in weakest.factors))
    for knot in sorted(site.preferences.knots, key=lambda k: -len(k.name)):
        if knot.tied and any(knot.name.lower() in text.lower() for text in stated):
            yield {"knot": knot.name, "share": f"{knot.keeps * 100:.0f} %"}
            return


@BOOK.check
def _tree_weakest(site: Site, setup: Setup) -> Fields:
    weakest = _weakest(setup)
    if weakest is not None and weakest.unit == "N·m":
        for anchor in site.anchors:
            if anchor.name in (weakest.item, weakest.place.partition("@")[0]):
                yield {"tree": anchor.name}
                return


@BOOK.check
def _thin_tree(site: Site, setup: Setup) -> Fields:
    limits = BOOK.limits("thin_tree")
    for name in _anchors_used(setup):
        anchor = site.anchor(name)
        if anchor.kind is AnchorKind.TREE and 2 * anchor.least_radius < limits["diameter"]:
            diameter = show(2 * anchor.least_radius, Dimension.SIZE, site.preferences.units)
            yield {"tree": name, "diameter": diameter}


@BOOK.check
def _high_strap(site: Site, setup: Setup) -> Fields:
    limits = BOOK.limits("high_strap")
    for place in dict.fromkeys(setup.nodes):
        if place.kind is not PlaceKind.ANCHOR or place.height <= limits["height"]:
            continue
        anchor = site.anchor(place.name)
        low = min(anchor.heights)
        if anchor.kind is AnchorKind.TREE and low < place.height:
            times = anchor.lever(place.height) / anchor.lever(low)
            yield {
                "tree": place.name,
                "height": _metres(site, place.height),
                "low": _metres(site, low),
                "times": show(times, Dimension.RATIO, rounding=Rounding.UP),
            }


@BOOK.check
def _grip(site: Site, setup: Setup) -> Fields:
    if setup.second is not None:
        held = next(h for h in setup.gear if h.role is Role.GRIP)
        yield {"grip": held.how.partition(",")[0], "rope": setup.rope.name}


@BOOK.check
def _grip_moved(site: Site, setup: Setup) -> Fields:
    if setup.moved:
        times = len(setup.moved)
        yield {
            "times": "once" if times == 1 else f"{times} times",
            "rope": setup.rope.name,
            "pull": _force(site, setup.pull * setup.main_gained),
        }


@BOOK.check
def _holding_tended(site: Site, setup: Setup) -> Fields:
    for line in setup.holding:
        if line.way is not Way.ASIDE:
            yield {"rope": line.rope.name, "trunk": line.walk[-1].name}


@BOOK.check
def _steering_tended(site: Site, setup: Setup) -> Fields:
    for line in setup.holding:
        if line.way is Way.ASIDE:
            yield {
                "rope": line.rope.name,
                "trunk": line.walk[-1].name,
                "first": _metres(site, line.from_m),
                "last": _metres(site, line.to_m),
                "force": _force(site, line.line),
            }


def stored_energy(setup: Setup) -> float | None:
    """Energy in the stretched rope at the worst pull, J, at most; None if its strength is unknown.

    Of a rope that stretches evenly up to its breaking strength, under the pull at the hauling end (the
    highest tension in the rope) times the puller's dynamic factor, as long as the rope needed: both on
    the safe side. Of two ropes the sum.
    """
    energy = 0.0
    for line in setup.lines:
        rope = line.rope.gear
        if rope.mbs is None:
            return None
        tension = setup.pull * line.gained * setup.puller.dynamic
        energy += elastic_energy(
            tension=tension,
            length=line.rope_needed,
            stiffness=stiffness(mbs=rope.mbs, stretch_at_break=rope.stretch_at_break),
        )
    return energy


def _runs(rows: Sequence[StationRow]) -> str:
    return "runs" if any(row.rest is Rest.RUNS for row in rows) else "may run (too close to call)"


def _weakest(setup: Setup) -> Component | None:
    return next((c for c in setup.components if c.name == setup.weakest), None)


def _anchors_used(setup: Setup) -> list[str]:
    """Names of the anchors that carry something, the one a hand winch hangs on included."""
    held = [place.name for place in setup.nodes if place.kind is PlaceKind.ANCHOR]
    return list(dict.fromkeys([*held, setup.puller.anchor] if setup.puller.anchor else held))


def _legs(site: Site) -> Iterator[tuple[float, float, Leg]]:
    """Each leg with the distances along the path of its start and its end, m."""
    start = 0.0
    for leg in site.legs:
        end = start + dist(leg.start, leg.end)
        yield start, end, leg
        start = end


def _leg_at(site: Site, at: float) -> Leg:
    return next((leg for _, end, leg in _legs(site) if at <= end + 1e-9), site.legs[-1])


def _metres(site: Site, value: float, rounding: Rounding = Rounding.NEAREST) -> str:
    return show(value, Dimension.LENGTH, site.preferences.units, rounding)


def _force(site: Site, value: float) -> str:
    return show(value, Dimension.FORCE, site.preferences.units, Rounding.UP)
