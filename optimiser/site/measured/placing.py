"""Works out the places that a document leaves to readings, and puts them into it as coordinates."""

from collections.abc import Iterator
from functools import lru_cache

from optimiser.mechanics.values import Vec
from optimiser.site.document.site import SiteDocument
from optimiser.site.lines import Key
from optimiser.site.measured.layout import Layout
from optimiser.site.measured.left_open import places_or_names
from optimiser.site.measured.outcome import Outcome
from optimiser.site.measured.sighted import Sighted, sighted
from optimiser.site.measured.spots import NoSuchPlaceError, Spots, path_named
from optimiser.site.survey.adjusted import Known, Side, Surveyed
from optimiser.site.survey.observations import Observation
from optimiser.site.survey.refusals import Flat, Mirrored, Refusal, SurveyError, TooFew
from shared.units import Dimension, show

Found = tuple[Key, str]
SIDE = ' Add side = "left" or side = "right" to a reading of it, as seen along the path'
HEIGHT = ' (such as rise = "0.3 m up" or slope = "4 deg up" in a reading of it)'

FARTHEST = 5.0
"""Standard deviations: a reading that is further off, with no other to doubt instead, was misread."""


def placed(document: SiteDocument) -> tuple[SiteDocument, list[Found]]:
    """The document with coordinates for all its places and what its readings came to, or what is wrong with
    them."""
    faults = list(path_named(document))
    if faults:
        return document, faults
    spots = Spots(document)
    ends = {key: _named(spots, key, text, faults) for key, text in _mentioned(document)}
    seen = sighted(document, spots)
    faults += seen.faults
    if faults:
        return document, faults
    layout = Layout(document, spots, ends)
    try:
        outcome = _worked_out(layout, seen)
    except SurveyError as error:
        return document, [_fault(spots, seen, refusal) for refusal in error.refusals]
    if outcome is not None and (found := list(_unfit(outcome, spots.units))):
        return document, found
    whole = layout.put_into(document, _found(spots, outcome))
    whole.keep(outcome)
    return whole, list(_shape_faults(whole))


def _found(spots: Spots, outcome: Outcome | None) -> dict[str, Vec]:
    """Coordinates of all places by name."""
    at = dict(spots.given)
    if outcome is not None:
        at |= {p.name: p.at for p in outcome.survey.adjusted.places if p.name not in at}
    return at


def _worked_out(layout: Layout, seen: Sighted) -> Outcome | None:
    """None where nothing was read: every place is given, some by their names."""
    spots = layout.spots
    if not spots.unknown and not seen.readings:
        return None
    points = {name: Known.at(where) for name, where in spots.given.items()}
    points |= {name: Known() for name in (*spots.unknown, *spots.on_path)}
    return Outcome(
        survey=_adjusted(tuple(points.items()), tuple(seen.observations), tuple(seen.sides)),
        readings=seen.readings,
        layout=layout,
        own_axes=layout.read.path.start is None,
        spots=tuple(
            name for name in dict.fromkeys((*spots.bends, *spots.keys)) if name not in spots.nowhere
        ),
    )


@lru_cache(maxsize=32)
def _adjusted(
    points: tuple[tuple[str, Known], ...],
    observations: tuple[Observation, ...],
    sides: tuple[Side, ...],
) -> Surveyed:
    """The adjustment of what was read. One process often reads files that differ in weights and gear only
    (sweeps, the page): the same readings are adjusted once."""
    # scipy is slow to import: only for files with readings
    from optimiser.site.survey.adjust import survey

    return survey(dict(points), observations, sides=sides)


def _unfit(outcome: Outcome, units: str) -> Iterator[Found]:
    """Readings that fit no place at all, where none of them can be doubted for the others' sake."""
    if any(True for _ in outcome.suspects()):
        return
    off = [
        (abs(checked.residual) / checked.observation.sigma, reading, checked)
        for reading, checked in outcome.compared()
    ]
    far = sorted((each for each in off if each[0] > FARTHEST), key=lambda each: -each[0])
    for _, reading, checked in far[:1]:
        fits = reading.counted(checked.measured) + reading.sign * checked.residual
        also = ", ".join(other.words for _, other, _ in far[1:4])
        yield (
            reading.key,
            f"fits no place together with the others: {reading.words} would have to be "
            f"{reading.printed(fits, units)}" + (f"; look also at {also}" if also else ""),
        )


def _fault(spots: Spots, seen: Sighted, refusal: Refusal) -> Found:
    def length(metres: float) -> str:
        return show(metres, Dimension.LENGTH, spots.units)

    keys = [seen.readings[label].key for label in refusal.labels if label in seen.readings]
    key = spots.keys.get(refusal.point) or (keys[0][:2] if keys else ("path",))
    return key, refusal.worded(length) + _cure(refusal)


def _cure(refusal: Refusal) -> str:
    """How what is missing is written in the site file."""
    if isinstance(refusal, Mirrored) and refusal.start is not None:
        return SIDE
    return HEIGHT if isinstance(refusal, TooFew | Flat) and refusal.height else ""


def _mentioned(document: SiteDocument) -> Iterator[tuple[Key, str]]:
    """Names of places that stand where coordinates may."""
    for number, leg in enumerate(document.path.leg):
        if isinstance(leg.to, str):
            yield ("path", "leg", number, "to"), leg.to
    for key, place in places_or_names(document):
        if isinstance(place, str):
            yield key, place


def _named(spots: Spots, key: Key, text: str, faults: list[Found]) -> str:
    try:
        name = spots.named(text)
    except NoSuchPlaceError as error:
        faults.append((key, str(error)))
        return text
    if key[0] == "path" and name not in spots.keys:
        faults.append(
            (key, f"'{text}' is a place of the path itself: name a mark that the leg leads to")
        )
    return name


def _shape_faults(document: SiteDocument) -> Iterator[Found]:
    """What the parts could not say of themselves before their places were known."""
    for key, message in document.path.shape_faults():
        yield ("path", *(int(step) if step.isdigit() else step for step in key.split("."))), message
    for number, puller in enumerate(document.puller):
        for key, message in puller.faults():
            yield ("puller", number, key), message
    for number, made in enumerate(document.made):
        for key, message in made.faults():
            yield ("made", number, key), message
