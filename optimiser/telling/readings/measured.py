"""Prints where the places of a site are by its readings, how sure that is, and which reading disagrees."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from optimiser.site.doubts.misread import misread
from optimiser.site.measured.outcome import Reading
from optimiser.site.model import Site
from optimiser.site.survey.adjusted import Advice, Checked, Suspect
from optimiser.telling.fields.common import ANGLE, FLAG, LENGTH, MEASURE, TEXT, TEXTS, UP
from optimiser.telling.readings.taped import (
    EXACT_TO,
    LEG,
    LEGS,
    PLACED,
    STRAIGHT,
    Placed,
    exact_blocks,
    exact_kinds,
    given_places,
    legs,
    straights,
    tape_blocks,
)
from shared.columns import Column, Many, Record, Where
from shared.listing import Listing
from shared.report import Block
from shared.units import show

PLACES, READINGS = "Places, by the readings", "Readings"
NEXT = "What to measure next"
WHICH = "Which one was misread"
PLACE: Record[Placed] = Record("places", "a place by the readings", (
    Column("name", lambda p: p.name, TEXT, "its name", "place"),
    Column("x", lambda p: p.at[0], LENGTH, "along", "x"),
    Column("y", lambda p: p.at[1], LENGTH, "across", "y"),
    Column("z", lambda p: p.at[2], LENGTH, "up", "z"),
    Column("uncertainty", lambda p: p.uncertainty, LENGTH, "how sure it is (95 %)", "good to", rounding=UP),
))  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """A reading beside what fits best. `note`: whether it disagrees, for people."""

    reading: Reading
    checked: Checked
    suspicious: bool
    note: str

    @property
    def measured(self) -> float:
        """As it was read."""
        return self.reading.counted(self.checked.measured)

    @property
    def residual(self) -> float:
        """What fits best less what was read."""
        return self.reading.sign * self.checked.residual

    @property
    def accuracy(self) -> float:
        """Its stated accuracy, one standard deviation."""
        return self.checked.observation.sigma


READ: Record[Compared] = Record("readings", "a reading beside what fits best", (
    Column("reading", lambda c: c.reading.words, TEXT, "what was read", "reading"),
    Column("measured", lambda c: c.measured, MEASURE, "as it was read", "read",
           say=lambda c, system: c.reading.written or c.reading.printed(c.measured, system)),
    Column("adjusted", lambda c: c.measured + c.residual, MEASURE, "what fits best with all others", "fits",
           yields=8, say=lambda c, system: c.reading.printed(c.measured + c.residual, system)),
    Column("residual", lambda c: c.residual, MEASURE, "what fits best less what was read", "off by",
           say=lambda c, system: c.reading.printed(c.residual, system)),
    Column("suspicious", lambda c: c.suspicious, FLAG, "whether it, or another, disagrees with the rest",
           where=Where.DATA),
    Column("accuracy", lambda c: c.accuracy, MEASURE, "two readings of three like it are within that",
           "exact to", yields=9, say=lambda c, system: c.reading.size(c.accuracy, system)),
    Column("unit", lambda c: "rad" if c.reading.dimension is ANGLE else "m", TEXT, "unit of the four",
           where=Where.DATA),
    Column("place", lambda c: c.checked.observation.label, TEXT, "its place in the site file",
           where=Where.DATA),
    Column("note", lambda c: c.note, heading="remark", where=Where.PEOPLE, yields=7),
))  # fmt: skip

ADVICE: Record[Advice] = Record("advice", "a reading that would make a place surer", (
    Column("from", lambda a: a.start, TEXT, "from which place"),
    Column("to", lambda a: a.point, TEXT, "to which"),
    Column("kind", lambda a: a.kind, TEXT, "what to read"),
    Column("uncertainty", lambda a: a.before, LENGTH, "how sure the place is now (95 %)"),
    Column("then", lambda a: a.after, LENGTH, "how sure it is then"),
))  # fmt: skip

LENGTH_IF: Record[tuple[str, float]] = Record("length_if", "a length, if a reading was misread", (
    Column("reading", lambda r: r[0], TEXT, "which reading, by its place in the site file"),
    Column("m", lambda r: r[1], LENGTH, "the length then", name="m"),
))  # fmt: skip

WHICH_MISREAD: Record[Suspect] = Record("which_misread", "readings of which any may be the misread one", (
    Column("readings", lambda s: [s.label, *s.alike], TEXTS,
           "the readings, by their places in the site file"),
    Column("from", lambda s: s.decisive and s.decisive.start, TEXT, "the length that shows which: from",
           none=True),
    Column("to", lambda s: s.decisive and s.decisive.end, TEXT, "and to", none=True),
    Column("tape", lambda s: s.decisive.lengths if s.decisive else (), Many(LENGTH_IF),
           "how long it then is"),
))  # fmt: skip

MEASURED: Record[Site] = Record("measured", "what was read on a site, and what can be checked of it", (
    Column("legs", lambda s: enumerate(s.legs, start=1), Many(LEG), "the legs of the path"),
    Column("tape", straights, Many(STRAIGHT), "lengths that a tape can check"),
    Column("accuracy", exact_kinds, Many(EXACT_TO), "how exact each kind of reading is"),
    Column("places", lambda s: _placed(s), Many(PLACED), "the places of the site"),
    Column("readings", lambda s: [] if s.surveyed is None else _compared(s), Many(READ),
           "every reading; none: all places are given by coordinates"),
    Column("which_misread", lambda s: [one for one in _suspects(s) if one.alike], Many(WHICH_MISREAD),
           "where several may be misread, what shows which", when=lambda s: s.surveyed is not None),
    Column("measure_next", lambda s: s.surveyed and s.surveyed.survey.advice, Many(ADVICE),
           "what to measure next",
           when=lambda s: s.surveyed is not None),
))  # fmt: skip

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
    return replace(body, columns=tuple(c for c in body.columns if c.key != "accuracy"))


def places(site: Site) -> Listing:
    """One row for each place of the site file."""
    assert site.surveyed is not None
    return Listing.of(PLACE, _placed(site))


def _suspects(site: Site) -> tuple[Suspect, ...]:
    return () if site.surveyed is None else site.surveyed.survey.suspects


def _placed(site: Site) -> list[Placed]:
    """The places of a site, by its readings or by the coordinates of its file."""
    if site.surveyed is None:
        return given_places(site)
    return [Placed(name=p.name, at=p.at, uncertainty=p.uncertainty) for p in site.surveyed.places]


def readings(site: Site) -> Listing:
    """One row for each figure that was read, beside what fits best; what disagrees is named."""
    return Listing.of(READ, _compared(site), site.preferences.units)


def _compared(site: Site) -> Iterator[Compared]:
    assert site.surveyed is not None
    units = site.preferences.units
    doubted = {found.reading.key: found for found in misread(site.surveyed)}
    alike = {other.key for found in doubted.values() for other in found.alike}
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
        yield Compared(reading=reading, checked=checked, suspicious=suspicious, note=note)


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
            f"\n- {show(length, LENGTH, units)}: {outcome.readings[label].words}"
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
        before, after = (show(value, LENGTH, units, UP) for value in (advice.before, advice.after))
        yield f"- {advice.kind} from {advice.start} to {advice.point}: good to {after} instead of {before}"
