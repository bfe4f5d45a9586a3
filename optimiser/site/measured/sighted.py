"""What was read, as observations between places: legs of the path first, then the readings."""

from collections.abc import Callable
from dataclasses import dataclass, field
from math import pi, remainder

from catalogue.instruments import Exactness, by_eye, spot, square, usual
from optimiser.site.document.path import PathLeg
from optimiser.site.document.quantity import Quantity
from optimiser.site.document.readings import AccuracyPart, ReadingPart
from optimiser.site.document.site import SiteDocument
from optimiser.site.lines import Key
from optimiser.site.measured.outcome import Reading
from optimiser.site.measured.spots import NoSuchPlaceError, OnPath, Spots
from optimiser.site.messages import place
from optimiser.site.survey.adjusted import Side
from optimiser.site.survey.observations import (
    DEFINED,
    Along,
    Bearing,
    Direction,
    HeightDifference,
    HorizontalAngle,
    Left,
    LevelDistance,
    Observation,
    SlopeDistance,
    VerticalAngle,
    on_line,
)
from shared.units import Dimension

Found = tuple[Key, str]
_BETWEEN = {
    "tape": SlopeDistance,
    "level": LevelDistance,
    "paced": SlopeDistance,
    "rise": HeightDifference,
    "slope": VerticalAngle,
    "bearing": Bearing,
}
"""Readings that are between two places and nothing else."""
_TURNS = ("left", "right")
_OFFSETS = ("ahead", "left", "right")
_IN_PLAN = ("tape", "level", "paced", "turn", "bearing", "ahead")
"""With any of these an offset says nothing of being square."""


@dataclass(slots=True)
class Sighted:
    """Observations of a document, choices between mirror images, and what each reading is for people."""

    observations: list[Observation] = field(default_factory=list)
    sides: list[Side] = field(default_factory=list)
    readings: dict[str, Reading] = field(default_factory=dict)
    faults: list[Found] = field(default_factory=list)


def kind_of(step: str) -> str:
    """The kind of reading that stands under a key, one of those of `catalogue.instruments`."""
    return "offset" if step in _OFFSETS else "tape" if step == "length" else step


def exactness_of(accuracy: AccuracyPart, kind: str) -> Exactness:
    """How exact a kind of reading is: as stated, else as usual."""
    stated: Exactness | None = getattr(accuracy, kind)
    return usual(kind) if stated is None else stated


def sighted(document: SiteDocument, spots: Spots) -> Sighted:
    """Everything that was read."""
    return _Sighting(document, spots).out


class _Sighting:
    def __init__(self, document: SiteDocument, spots: Spots) -> None:
        self.accuracy = document.accuracy
        self.spots = spots
        self.out = Sighted()
        for number, leg in enumerate(document.path.leg):
            self._leg(number, leg)
        for number, reading in enumerate(document.reading):
            self._reading(("reading", number), reading)
        for on_path in spots.on_path.values():
            self._on_path(on_path)

    def _on_path(self, on_path: OnPath) -> None:
        start, end = self.spots.bends[on_path.leg], self.spots.bends[on_path.leg + 1]
        sigma = self._exact("tape").sigma(on_path.along, spot())
        label = on_path.name
        self.out.observations += on_line(
            on_path.name, start, end, along=on_path.along, sigma=sigma, label=label
        )
        self.out.readings[label] = _noted(("path",), f"where {on_path.name} is", None)

    def _leg(self, number: int, leg: PathLeg) -> None:
        start, end = self.spots.bends[number], self.spots.bends[number + 1]
        key: Key = ("path", "leg", number)
        name = f"leg {number + 1}"
        if leg.length is not None:
            self._add(
                SlopeDistance, key, "length", leg.length, f"length of {name}", start=start, end=end
            )
            if leg.slope is not None:
                self._add(
                    VerticalAngle, key, "slope", leg.slope, f"slope of {name}", start=start, end=end
                )
            if leg.rise is not None:
                self._add(
                    HeightDifference, key, "rise", leg.rise, f"rise of {name}", start=start, end=end
                )
        if leg.bearing is not None:
            self._add(
                Bearing, key, "bearing", leg.bearing, f"bearing of {name}", start=start, end=end
            )
        if number == 0:
            self._first_way(leg, start, end)
        elif leg.length is not None and leg.bearing is None:
            self._turned(key, leg, name, self.spots.bends[number - 1], start, end)

    def _first_way(self, leg: PathLeg, start: str, end: str) -> None:
        """The first leg goes along x, or turns off it by so much, unless coordinates say where it goes."""
        if end in self.spots.given or (leg.length is None and len(self.spots.given) > 1):
            return
        value = 0.0 if leg.turn is None else leg.turn.at("stated")
        self.out.observations.append(
            Direction(
                start=start, end=end, value=value, sigma=DEFINED, label="path.leg[1]", defined=True
            )
        )

    def _turned(self, key: Key, leg: PathLeg, name: str, before: str, start: str, end: str) -> None:
        turn = 0.0 if leg.turn is None else leg.turn.at("stated")
        exact = by_eye() if leg.turn is None else self._exact("turn")
        step = "turn" if leg.turn is not None else "length"
        label = place((*key, "turn"))
        self.out.observations.append(
            HorizontalAngle(
                at=start,
                start=before,
                end=end,
                value=remainder(turn + pi, 2 * pi),
                sigma=exact.fixed,
                label=label,
            )
        )
        words = f"turn into {name}" if leg.turn is not None else f"{name} goes straight on"
        self.out.readings[label] = _noted(
            (*key, step), words, leg.turn, dimension=Dimension.ANGLE, zero=pi, ways=_TURNS
        )

    def _reading(self, key: Key, reading: ReadingPart) -> None:
        ends = [self._named((*key, "from"), reading.from_), self._named((*key, "to"), reading.to)]
        facing = None if reading.facing is None else self._named((*key, "facing"), reading.facing)
        if None in ends or (reading.facing is not None and facing is None):
            return
        start, end = str(ends[0]), str(ends[1])
        if start == end:
            self.out.faults.append(
                ((*key, "to"), f"'{reading.from_}' and '{reading.to}' are one place")
            )
            return
        own = reading.accuracy
        for step, kind in _BETWEEN.items():
            figure: Quantity | None = getattr(reading, step)
            if figure is not None:
                words = f"{step} from {start} to {end}"
                self._add(kind, key, step, figure, words, own, start=start, end=end)
        seen = [step for step in ("turn", *_OFFSETS, "side") if getattr(reading, step) is not None]
        if not seen:
            return
        line = (start, facing) if facing is not None else self.spots.way(start)
        if line is None:
            message = (
                f'missing: what do you face at {start}? name a place there (such as facing = "end")'
            )
            self.out.faults.append(((*key, "facing"), message))
            return
        if end in line and end != start:
            message = f"you face {end} already: name another place as facing"
            self.out.faults.append(((*key, "facing"), message))
            return
        self._beside(key, reading, start, end, line)

    def _beside(
        self, key: Key, reading: ReadingPart, start: str, end: str, line: tuple[str, str]
    ) -> None:
        """What counts from a line of sight. At the end of the path that is the last leg, seen from before."""
        a, b = line
        beyond = a != start
        own = reading.accuracy
        if reading.turn is not None:
            value = remainder(reading.turn.at("stated") + (pi if beyond else 0.0), 2 * pi)
            label = place((*key, "turn"))
            sigma = (self._exact("turn") if own is None else own).fixed
            self.out.observations.append(
                HorizontalAngle(
                    at=start,
                    start=a if beyond else b,
                    end=end,
                    value=value,
                    sigma=sigma,
                    label=label,
                )
            )
            self.out.readings[label] = _noted(
                (*key, "turn"),
                f"turn at {start} to {end}",
                reading.turn,
                zero=pi if beyond else 0.0,
                ways=_TURNS,
            )
        if reading.side is not None:
            self.out.sides.append(Side(point=end, start=a, end=b, left=reading.side == "left"))
        aside = reading.left if reading.left is not None else reading.right
        if aside is not None:
            sign = 1.0 if reading.left is not None else -1.0
            way = "left" if reading.left is not None else "right"
            words = f"{end}: {way} of the line from {a} to {b}"
            self._add(Left, key, way, aside, words, own, sign, start=a, end=b, point=end)
            if aside.at("stated") and not any(
                getattr(reading, step) is not None for step in _IN_PLAN
            ):
                self._square(key, start, end, line, sign * aside.at("stated"))
        if reading.ahead is not None:
            # Beyond the end of the path: along the last leg, seen back from its end.
            words = f"{end}: ahead of {start}, " + (
                f"coming from {a}" if beyond else f"towards {b}"
            )
            self._add(
                Along,
                key,
                "ahead",
                reading.ahead,
                words,
                own,
                -1.0 if beyond else 1.0,
                start=start if beyond else a,
                end=a if beyond else b,
                point=end,
                level=True,
            )

    def _square(self, key: Key, start: str, end: str, line: tuple[str, str], aside: float) -> None:
        """With nothing else read, an offset is square to the line at the place where one stands."""
        label = place((*key, "square"))
        a, b = line
        if a == start:
            value, sigma = 0.0, max(square() * abs(aside), DEFINED)  # beside it by nothing: on it
            self.out.observations.append(
                Along(start=a, end=b, point=end, value=value, sigma=sigma, label=label, level=True)
            )
        else:
            value = -pi / 2 if aside > 0 else pi / 2
            self.out.observations.append(
                HorizontalAngle(
                    at=start, start=a, end=end, value=value, sigma=square(), label=label
                )
            )
        self.out.readings[label] = _noted(
            key,
            f"{end}: square beside {start}",
            None,
            dimension=Dimension.LENGTH if a == start else Dimension.ANGLE,
            zero=0.0 if a == start else value,
        )

    def _add(
        self, kind: Callable[..., Observation], key: Key, step: str, figure: Quantity, words: str,
        own: Exactness | None = None, sign: float = 1.0, **names: object,
    ) -> None:  # fmt: skip
        value = sign * figure.at("stated")
        exact = self._exact(step) if own is None else own
        ends = spot() if own is None and step in ("tape", "length", "level") else 0.0
        label = place((*key, step))
        self.out.observations.append(
            kind(value=value, sigma=exact.sigma(value, ends), label=label, **names)
        )
        self.out.readings[label] = _noted((*key, step), words, figure, sign=sign)

    def _exact(self, step: str) -> Exactness:
        """How exact a reading under that key is."""
        return exactness_of(self.accuracy, kind_of(step))

    def _named(self, key: Key, text: str) -> str | None:
        try:
            return self.spots.named(text)
        except NoSuchPlaceError as error:
            self.out.faults.append((key, str(error)))
            return None


def _noted(
    key: Key,
    words: str,
    figure: Quantity | None,
    *,
    dimension: Dimension = Dimension.LENGTH,
    sign: float = 1.0,
    zero: float = 0.0,
    ways: tuple[str, str] | None = None,
) -> Reading:
    return Reading(
        key=key,
        words=words,
        written="" if figure is None else figure.text,
        dimension=dimension if figure is None else figure.dimension,
        sign=sign,
        zero=zero,
        ways=ways,
    )
