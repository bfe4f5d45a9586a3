"""Prints rankings and misses as listings and as JSON."""

from dataclasses import asdict, replace
from math import isfinite
from typing import Any

from optimiser.rig import made_anchors
from optimiser.rig.conditions import as_json, unrated
from optimiser.rig.naming import run_of_nodes, run_of_ropes
from optimiser.rig.setup import (
    LINES,
    Caution,
    Component,
    HoldingLine,
    Line,
    Miss,
    Ranking,
    Setup,
)
from optimiser.rig.status import Unsearched
from optimiser.rig.walk import by_rope, notation
from optimiser.site.model import Owned
from optimiser.telling import words
from optimiser.telling.edge_tables import MAKE, NEEDS, contacts_json, made_json, needed
from shared.listing import Column, Kind, Listing, Where, plain
from shared.units import Dimension, Rounding, number

_LENGTH, _FORCE, _RATIO = Dimension.LENGTH, Dimension.FORCE, Dimension.RATIO

_RANKED = (
    Column(key="rank", heading="rank", kind=Kind.COUNT),
    Column(key="parts", heading="parts", kind=Kind.COUNT),
    Column(key="advantage", heading="advantage ideal / actual", where=Where.PEOPLE, yields=9),
    Column(key="ideal_advantage", heading="ideal advantage", kind=_RATIO, where=Where.DATA),
    Column(key="actual_advantage", heading="actual advantage", kind=_RATIO, where=Where.DATA),
    Column(key="pull", heading="worst pull", unit="N", kind=_FORCE, rounding=Rounding.UP),
    Column(
        key="pull_at",
        heading="with load at",
        unit="m",
        kind=_LENGTH,
        yields=8,
        alone="worst pull with load at",
    ),
    Column(key="margin", heading="margin", kind=_RATIO, rounding=Rounding.DOWN),
    Column(key="weakest", heading="weakest piece"),
    Column(
        key="rope_needed",
        heading="rope needed",
        unit="m",
        kind=_LENGTH,
        rounding=Rounding.UP,
        yields=2,
    ),
    Column(
        key="rope_owned",
        heading="rope owned",
        unit="m",
        kind=_LENGTH,
        rounding=Rounding.DOWN,
        yields=7,
    ),
    Column(key="resets", heading="resets", kind=Kind.COUNT),
    Column(key="run", heading="run of the rope", where=Where.UNDER),
    NEEDS,
    MAKE,
    Column(key="unrated", heading="unrated", where=Where.UNDER),
    Column(key="look_out", heading="look out for", where=Where.UNDER),
    Column(key="reeving", heading="reeving", where=Where.DATA),
)

_ENDS = (
    Column(
        key="margin_worst",
        heading="at worst",
        kind=_RATIO,
        rounding=Rounding.DOWN,
        yields=6,
        alone="margin at worst",
    ),
    Column(
        key="margin_best",
        heading="at best",
        kind=_RATIO,
        rounding=Rounding.DOWN,
        yields=5,
        alone="margin at best",
    ),
)
"""Beside the margin, where the site has ranges."""

_WITHIN = Column(key="holds", heading="all within rating", yields=4)
"""Beside them, where samples were requested."""

_WITHIN_DATA = (
    Column(key="holds_share", heading="share of samples", kind=_RATIO, where=Where.DATA),
    Column(key="holds_error", heading="its sampling error", kind=_RATIO, where=Where.DATA),
)

_MISSED = (
    Column(key="limit", heading="stopped by"),
    Column(key="text", heading="how"),
    Column(key="short_by", heading="need / have", kind=_RATIO, rounding=Rounding.UP),
    Column(key="change", heading="what would cure it"),
    Column(key="run", heading="run of the rope", where=Where.UNDER),
    Column(key="reeving", heading="reeving", where=Where.DATA),
)


def ranking_listing(ranking: Ranking, system: str = "metric") -> Listing:
    """One row a setup, best first."""
    return Listing(
        columns=_columns(ranking),
        rows=tuple(_ranked(setup, system) for setup in ranking.setups),
        empty="no setup works",
    )


def _columns(ranking: Ranking) -> tuple[Column, ...]:
    """The columns that this ranking fills."""
    extra: list[Column] = []
    if any(s.margin_best is not None for s in ranking.setups):
        extra += _ENDS
        if all(s.margin == s.margin_worst for s in ranking.setups):  # no need to print it twice
            extra[0] = replace(_ENDS[0], where=Where.DATA)
    if any(s.within is not None for s in ranking.setups):
        extra += [replace(_WITHIN, where=Where.PEOPLE), *_WITHIN_DATA]
    after = next(i for i, column in enumerate(_RANKED) if column.key == "margin") + 1
    return (*_RANKED[:after], *extra, *_RANKED[after:])


def misses_listing(misses: tuple[Miss, ...], system: str = "metric") -> Listing:
    """One row for each rig that nearly works, the nearest first."""
    rows = tuple(
        {
            "limit": miss.limit,
            "text": miss.text,
            "short_by": miss.short_by if isfinite(miss.short_by) else None,
            "change": miss.change.text or None,
            "run": _sentence(run_of_nodes(miss.walk, system)) if miss.walk else None,
            "reeving": LINES.join(map(notation, by_rope(miss.walk))) if miss.walk else None,
        }
        for miss in misses
    )
    return Listing(columns=_MISSED, rows=rows, empty="no rig comes near")


def ranking_json(ranking: Ranking) -> dict[str, Any]:
    """A ranking as one object, ready for JSON: SI, full precision."""
    record: dict[str, Any] = {
        "setups": [setup_json(setup) for setup in ranking.setups],
        "status": str(ranking.status),
        "proven": ranking.proven,
        "could_reach": unsearched_json(ranking.unsearched),
        "order": list(ranking.order),
        "rules": list(ranking.rules),
        "space": ranking.space,
        "looked_at": ranking.looked_at,
        "confirmed": ranking.confirmed,
        "misses": [miss_json(miss) for miss in ranking.misses],
        "left_out": ranking.left_out,
    }
    if ranking.compounds is not None:
        record["pairs_of_walks"] = ranking.compounds
    if ranking.compounds_left:
        record["tackle_on_tackle_left_out"] = True
    if ranking.not_held is not None:
        record["left_out_not_held"] = ranking.not_held
    return record


def unsearched_json(rest: Unsearched | None) -> dict[str, Any] | None:
    """The best that what was not looked at can be; None where nothing is known of it."""
    return None if rest is None else asdict(rest)


def miss_json(miss: Miss) -> dict[str, Any]:
    """A rig that nearly works."""
    return {
        "reeving": [str(place) for place in miss.walk],
        "limit": miss.limit,
        "text": miss.text,
        "short_by": plain(miss.short_by),
        "change": {
            "text": miss.change.text,
            "amount": plain(miss.change.amount),
            "unit": miss.change.unit,
        },
    }


def setup_json(setup: Setup, *, full: bool = False) -> dict[str, Any]:
    """A setup ready for JSON; `full` adds its components and the pull along the path."""
    record: dict[str, Any] = {
        "rank": setup.rank,
        "reeving": [str(place) for place in setup.walk],
        "run": run_of_ropes(setup),
        "from_m": setup.from_m,
        "to_m": setup.to_m,
        "attachment": setup.attachment,
        "puller": setup.puller.name,
        "rope": setup.rope.name,
        "joined": _joined_json(setup.rope),
        "parts": setup.parts,
        "ideal_advantage": setup.ideal_advantage,
        "actual_advantage": setup.actual_advantage,
        "sheave_efficiencies": [round(eta, 12) for eta in setup.etas],
        "pull_N": setup.pull,
        "pull_at_m": setup.pull_at,
        "margin": setup.margin,
        "margin_worst": setup.margin_worst,
        "margin_best": setup.margin_best,
        "weakest": setup.weakest,
        "unrated": list(setup.unrated),
        "if_stands": as_json(setup.if_stands),
        "rope_needed_m": setup.rope_needed,
        "rope_owned_m": setup.rope_owned,
        "hauled_m": setup.hauled,
        "strokes": setup.strokes,
        "resets": setup.resets,
        "marked_down": setup.marked_down,
        "gear": [
            {
                "place": hung.place,
                "item": hung.item,
                "role": hung.role,
                "how": hung.how,
                "nodes": list(hung.nodes),
            }
            for hung in setup.gear
        ],
        "contacts": contacts_json(setup.contacts),
        "to_make": made_json(setup.made),
        "cautions": [_caution_json(caution) for caution in setup.cautions],
    }
    if setup.within is not None:
        share, error = setup.within
        record["samples"] = {"share_within_every_rating": share, "sampling_error": error}
    if setup.second is not None:
        record["lines"] = [_line_json(line) for line in setup.lines]
        record["grip_moved_at_m"] = list(setup.moved)
    if setup.holding:
        record["holding"] = [holding_json(line) for line in setup.holding]
    if full:
        record["components"] = [_component_json(c) for c in setup.components]
        record["path"] = [
            {
                "at_m": row.at,
                "slope_rad": row.slope,
                "surface": row.surface,
                "pull_N": row.pull,
                "ground_reaction_N": row.ground_reaction,
                "side_pull": row.side_pull,
                "actual_advantage": row.advantage,
                "ideal_advantage": row.ideal_advantage,
                "rest": row.rest.word,
                "runs_back_N": row.runs_back,
                "runs_on_N": row.runs_on,
                "steering_line_N": row.steer,
            }
            for row in setup.profile
        ]
        record["alike"] = [[str(p) for p in walk] for walk in setup.alike]
    cleaned: dict[str, Any] = plain(record)
    return cleaned


def _joined_json(rope: Owned) -> dict[str, Any] | None:
    """Of what a rope is put together; None for one of one piece."""
    joined = rope.joined
    if joined is None:
        return None
    return {
        "first": joined.first.name,
        "second": joined.second.name,
        "bend": None if joined.bend is None else joined.bend.name,
    }


def holding_json(line: HoldingLine) -> dict[str, Any]:
    """A holding line ready for JSON."""
    return {
        "way": line.way,
        "rest": line.rest.word,
        "from_m": line.from_m,
        "to_m": line.to_m,
        "reeving": [str(place) for place in line.walk],
        "turns": line.turns,
        "rope": line.rope.name,
        "attachment": line.attachment,
        "force_N": line.force,
        "line_N": line.line,
        "hand_N": line.hand,
        "hand_limit_N": line.hand_limit,
        "margin": line.margin,
        "weakest": line.weakest,
        "rope_needed_m": line.rope_needed,
        "rope_owned_m": line.rope.length,
        "tended_m": line.taken,
        "contacts": contacts_json(line.contacts),
        "gear": [
            {"place": h.place, "item": h.item, "role": h.role, "how": h.how} for h in line.gear
        ],
        "components": [_component_json(c) for c in line.components],
    }


def _line_json(line: Line) -> dict[str, Any]:
    return {
        "rope": line.rope.name,
        "reeving": [str(place) for place in line.walk],
        "sheave_efficiencies": [round(eta, 12) for eta in line.etas],
        "rope_needed_m": line.rope_needed,
        "rope_owned_m": line.rope.length,
        "tension_over_pull": line.gained,
    }


def _component_json(component: Component) -> dict[str, Any]:
    unit = component.unit
    return {
        "name": component.name,
        "item": component.item,
        "place": component.place,
        "demand": component.demand,
        "at_m": component.at,
        "capacity": component.capacity,
        "unit": unit,
        "utilisation": component.utilisation,
        "margin": None if component.capacity is None else component.margin,
        "factors": [
            {"name": f.name, "value": f.value, "unit": f.unit, "source": f.source}
            for f in component.factors
        ],
        "note": component.note,
    }


def _caution_json(caution: Caution) -> dict[str, Any]:
    return {
        "key": caution.key,
        "text": caution.text,
        "source": caution.source,
        "always": caution.always,
    }


def _ranked(setup: Setup, system: str) -> dict[str, Any]:
    ideal = number(setup.ideal_advantage, _RATIO, system)
    actual = number(setup.actual_advantage, _RATIO, system, Rounding.DOWN)
    return {
        "rank": setup.rank,
        "parts": setup.parts,
        "advantage": f"{ideal} / {actual}",
        "ideal_advantage": setup.ideal_advantage,
        "actual_advantage": setup.actual_advantage,
        "pull": setup.pull,
        "pull_at": setup.pull_at,
        "margin": setup.margin,
        "margin_worst": setup.margin_worst,
        "margin_best": setup.margin_best,
        "holds": None if setup.within is None else shown_share(*setup.within),
        "holds_share": None if setup.within is None else setup.within[0],
        "holds_error": None if setup.within is None else setup.within[1],
        "weakest": setup.weakest,
        "rope_needed": setup.rope_needed,
        "rope_owned": setup.rope_owned,
        "resets": setup.resets,
        "run": _sentence(run_of_ropes(setup, system)),
        "edge": needed(setup, system),
        "make": made_anchors.needs(setup.made, system),
        "unrated": unrated(setup, system) or None,
        "look_out": words.look_out(setup) or None,
        "reeving": setup.reeving,
    }


def shown_share(share: float, error: float) -> str:
    """A share of samples with its sampling error, in percent."""
    return f"{share:.1%} ± {error:.1%}".replace("%", " %")


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + "."
