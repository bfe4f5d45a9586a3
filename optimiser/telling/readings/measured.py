"""Prints where the places of a site are by its readings, how sure that is, and which reading disagrees."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from optimiser.site.doubts.misread import misread
from optimiser.site.model import Site
from optimiser.telling.readings.taped import (
    LEGS,
    exact_blocks,
    given_places,
    legs,
    tape_blocks,
    taped_json,
)
from shared.listing import Column, Listing, Where
from shared.report import Block
from shared.units import Dimension, Rounding, show

PLACES, READINGS = "Places, by the readings", "Readings"
NEXT = "What to measure next"
WHICH = "Which one was misread"
_LENGTH = Dimension.LENGTH

_OF_PLACES = (
    Column(key="name", heading="place"),
    Column(key="x", heading="x", unit="m", kind=_LENGTH),
    Column(key="y", heading="y", unit="m", kind=_LENGTH),
    Column(key="z", heading="z", unit="m", kind=_LENGTH),
    Column(key="uncertainty", heading="good to", unit="m", kind=_LENGTH, rounding=Rounding.UP),
)
_OF_READINGS = (
    Column(key="reading", heading="reading"),
    Column(key="measured_text", heading="read", where=Where.PEOPLE),
    Column(key="adjusted_text", heading="fits", where=Where.PEOPLE, yields=8),
    Column(key="residual_text", heading="off by", where=Where.PEOPLE),
    Column(key="accuracy_text", heading="exact to", where=Where.PEOPLE, yields=9),
    Column(key="measured", heading="measured", where=Where.DATA),
    Column(key="adjusted", heading="adjusted", where=Where.DATA),
    Column(key="residual", heading="residual", where=Where.DATA),
    Column(key="accuracy", heading="accuracy", where=Where.DATA),
    Column(key="unit", heading="unit", where=Where.DATA),
    Column(key="suspicious", heading="suspicious", where=Where.DATA),
    Column(key="place", heading="in the site file", where=Where.DATA),
    Column(key="note", heading="remark", where=Where.PEOPLE, yields=7),
)
WHAT_GOOD_TO_MEANS = (
    "x, y, z as in the site file{origin}. Good to: the true place is no further away in 95 of 100 surveys, "
    "by the accuracies stated."
)
WHAT_EXACT_TO_MEANS = (
    "Exact to: two readings of three like it are within that; [accuracy] or accuracy = in the site file says "
    "otherwise. Fits: what the reading should have been, by all the others and itself."
)
FROM_THE_START = ": x along the first leg of the path, y to its left, z up, from its start"


def measured_blocks(site: Site) -> list[Block]:
    """Places and readings of a site, and what a tape can check; of places given by coordinates the last
    alone."""
    if site.surveyed is None:
        return tape_blocks(site)
    blocks: list[Block] = [
        (PLACES, places(site)),
        ("", WHAT_GOOD_TO_MEANS.format(origin=FROM_THE_START if site.surveyed.own_axes else "")),
        (READINGS, readings(site)),
        ("", WHAT_EXACT_TO_MEANS),
        *((WHICH, text) for text in _which(site)),
        *exact_blocks(site),
    ]
    blocks += tape_blocks(site)
    advice = list(_advice(site))
    if advice:
        blocks.append((NEXT, "\n".join(advice)))
    return blocks


def drawn_blocks(site: Site) -> list[Block]:
    """What stands below the drawings of a site: its path, its places, lengths that a tape can check."""
    return [
        (LEGS, legs(site)),
        *((title, _on_a_page(body)) for title, body in measured_blocks(site)),
    ]


def _on_a_page(body: Listing | str) -> Listing | str:
    """Without how exact each single reading is: so many columns fit no phone, and its kind is listed."""
    if isinstance(body, str):
        return body
    return replace(body, columns=tuple(c for c in body.columns if c.key != "accuracy_text"))


def measured_json(site: Site) -> dict[str, Any]:
    """Places and readings ready for JSON, and what can be checked of them."""
    if site.surveyed is None:
        return {"places": given_places(site), "readings": []} | taped_json(site)
    return taped_json(site) | {
        "places": [
            {"name": p.name, "at": list(p.at), "uncertainty_m": p.uncertainty}
            for p in site.surveyed.places
        ],
        "readings": [
            {
                "reading": row["reading"],
                "measured": row["measured"],
                "adjusted": row["adjusted"],
                "residual": row["residual"],
                "suspicious": row["suspicious"],
                "accuracy": row["accuracy"],
                "unit": row["unit"],
                "place": row["place"],
            }
            for row in readings(site).rows
        ],
        "which_misread": [
            {
                "readings": [suspect.label, *suspect.alike],
                "from": suspect.decisive.start if suspect.decisive else None,
                "to": suspect.decisive.end if suspect.decisive else None,
                "tape": [
                    {"reading": label, "m": length}
                    for label, length in (suspect.decisive.lengths if suspect.decisive else ())
                ],
            }
            for suspect in site.surveyed.survey.suspects
            if suspect.alike
        ],
        "measure_next": [
            {
                "from": advice.start,
                "to": advice.point,
                "kind": advice.kind,
                "uncertainty_m": advice.before,
                "then_m": advice.after,
            }
            for advice in site.surveyed.survey.advice
        ],
    }


def places(site: Site) -> Listing:
    """One row for each place of the site file."""
    assert site.surveyed is not None
    return Listing(
        columns=_OF_PLACES,
        rows=tuple(
            {
                "name": p.name,
                "x": p.at[0],
                "y": p.at[1],
                "z": p.at[2],
                "uncertainty": p.uncertainty,
            }
            for p in site.surveyed.places
        ),
    )


def readings(site: Site) -> Listing:
    """One row for each figure that was read, beside what fits best; what disagrees is named."""
    assert site.surveyed is not None
    units = site.preferences.units
    doubted = {found.reading.key: found for found in misread(site.surveyed)}
    alike = {other.key for found in doubted.values() for other in found.alike}
    rows = []
    for reading, checked in site.surveyed.compared():
        found = doubted.get(reading.key)
        suspicious = found is not None or reading.key in alike
        if reading.implied and not suspicious:
            continue
        note = "" if checked.standardised is not None else "nothing checks it"
        if found is not None:
            off = reading.size(abs(found.value - found.others), units)
            way = "too much" if found.value > found.others else "too little"
            note = f"SUSPICIOUS: {off} {way}" + ("?" if found.alike else "; set aside")
        elif suspicious:
            note = "SUSPICIOUS: it or another"
        measured = reading.counted(checked.measured)
        residual = reading.sign * checked.residual
        rows.append(
            {
                "reading": reading.words,
                "measured_text": reading.written or reading.printed(measured, units),
                "adjusted_text": reading.printed(measured + residual, units),
                "residual_text": reading.printed(residual, units),
                "measured": measured,
                "adjusted": measured + residual,
                "residual": residual,
                "accuracy": checked.observation.sigma,
                "accuracy_text": reading.size(checked.observation.sigma, units),
                "unit": "rad" if reading.dimension is Dimension.ANGLE else "m",
                "suspicious": suspicious,
                "place": checked.observation.label,
                "note": note,
            }
        )
    return Listing(columns=_OF_READINGS, rows=tuple(rows))


def _which(site: Site) -> Iterator[str]:
    """What to measure where several readings may be the misread one, and how long it then is for each."""
    assert site.surveyed is not None
    outcome, units = site.surveyed, site.preferences.units
    for reading, suspect in outcome.suspects():
        if not suspect.alike:
            continue
        many = len(suspect.alike) + 1
        text = (
            f"These readings cannot say it: any one of {many} by itself explains the disagreement. It may "
            f"be {reading.words}, or one marked 'it or another'."
        )
        if suspect.decisive is None:
            yield f"{text} Read them again, one by one: no further length would show which."
            continue
        one = suspect.decisive
        cases = "".join(
            f"\n- {show(length, _LENGTH, units)}: {outcome.readings[label].words}"
            for label, length in one.lengths
        )
        yield (
            f"{text} The tape from {one.start} to {one.end} would show it, or at least leave fewer. It is "
            f"about so long if this was misread:{cases}"
        )


def _advice(site: Site) -> Iterator[str]:
    assert site.surveyed is not None
    units = site.preferences.units
    for advice in site.surveyed.survey.advice:
        before, after = (
            show(value, _LENGTH, units, Rounding.UP) for value in (advice.before, advice.after)
        )
        yield f"- {advice.kind} from {advice.start} to {advice.point}: good to {after} instead of {before}"
