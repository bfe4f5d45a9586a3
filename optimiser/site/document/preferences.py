"""What the owner wants of the answer."""

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field

from catalogue.book import load_catalogue
from catalogue.gear import Termination
from optimiser.site.counts import counts_of
from optimiser.site.document.part import Fault, Line, Part, RuleName, TerminationId, UnitSystem
from optimiser.site.document.quantity import CertainShare, Length, LengthOrNone, Plain, Positive
from optimiser.site.model import Preferences, Trip
from optimiser.site.rules import RULES

RankKey = Literal["margin", "resets", "rope", "parts", "pull"]
TripName = Literal["up", "down"]


class PreferencesPart(Part):
    """All of it may be left out."""

    margin_wanted: Positive | None = None
    """A setup below this margin is not offered; 1 (at the limit of its ratings) if left out."""
    enough: Positive | None = None
    """More margin than this does not make a setup better; 2 if left out."""
    order: Annotated[list[RankKey], Field(min_length=1, max_length=5)] = Field(
        default=["margin", "resets", "rope"]
    )
    """What is looked at first, second and so on when setups are ranked."""
    units: UnitSystem = "metric"
    """Units of the answer."""
    side_pull_rolling: Plain | None = None
    """Largest sideways / forward pull on a load on wheels; 0.27 if left out."""
    side_pull_sliding: Plain | None = None
    """The same for a load that slides; 0.47 if left out."""
    clearance: LengthOrNone | None = None
    """How far lines must stay above the ground, and away from trunks and posts that they are not made fast
    to; 0.05 m if left out (common practice, no source)."""
    ground_known_within: LengthOrNone | None = None
    """How far to either side of the path the ground is as high as the path; 2 m if left out."""
    rope_spare: LengthOrNone | None = None
    """Rope kept in hand at the puller; 1 m if left out."""
    knots: Annotated[list[TerminationId], Field(max_length=40)] | None = None
    """The knots you can tie and the grips, clips and sockets you have, by the catalogue's ids. If left
    out, every knot that takes nothing but the rope."""
    most_sheaves: Annotated[int, Field(ge=0, le=12)] = 6
    """The most sheaves in one setup."""
    rules_off: Annotated[list[RuleName], Field(max_length=20)] = Field(default=[])
    """Rules that are not to be kept (`bankhaul rank --help` lists them)."""
    currency: Annotated[Line, Field(max_length=8)] = ""
    """For prices, such as "EUR"."""
    station_spacing: Length | None = None
    """Distance between the points of the path at which forces are worked out; at most, and if left
    out, 0.25 m."""
    resistance_counted_on: CertainShare | None = None
    """Share of the ground's least resistance that is counted on to keep the load where it stands, or to
    help what holds it; 0.5 if left out. It is said to rest by itself only where that share is enough."""
    trips: Annotated[list[TripName], Field(min_length=1, max_length=2)] = Field(default=["up"])
    """The trips of the load in their order: up (it is hauled along its path), down (it is let down). With
    both, `rank` and `check` say whether one of them alone can be done, and the sheet of `--both` begins with
    the first; ["up"] if left out."""
    strap_places: Annotated[int, Field(ge=1, le=8)] = 3
    """How many strap heights are tried on an anchor, evenly from its lowest to its highest."""

    def faults(self) -> Iterator[Fault]:
        if self.margin_wanted is not None and self.margin_wanted.at("stated") < 1.0:
            yield "margin_wanted", "at least 1: below it a piece is over its rating"
        if len(set(self.order)) < len(self.order):
            yield "order", "each word at most once"
        if len(set(self.trips)) < len(self.trips):
            yield "trips", "each word at most once"
        if (
            self.station_spacing is not None
            and not 0.05 <= self.station_spacing.at("stated") <= 0.25
        ):
            yield "station_spacing", "must lie between 0.05 m and 0.25 m"
        for key, most in (("side_pull_rolling", 1.0), ("side_pull_sliding", 1.0)):
            stated = getattr(self, key)
            if stated is not None and stated.at("stated") > most:
                yield key, f"more than {most:g} sideways to forward is a turn, not a haul"
        knots = load_catalogue().terminations
        for number, knot in enumerate(self.knots or ()):
            if not knots[knot].tied:
                yield (
                    f"knots.{number}",
                    f"'{knot}' is not tied on the spot; list it as a rope's end",
                )

    def preferences(self) -> Preferences:
        """The preferences in SI."""
        stated = {
            name: getattr(self, name).at("stated")
            for name in _QUANTITIES
            if getattr(self, name) is not None
        }
        book = load_catalogue().terminations
        known = [book[id] for id in self.knots] if self.knots is not None else _tied()
        return Preferences(
            order=counts_of(self.order),
            units=self.units,
            knots=tuple(known),
            most_sheaves=self.most_sheaves,
            rules=frozenset(RULES) - frozenset(self.rules_off),
            currency=self.currency,
            trips=tuple(map(Trip, self.trips)),
            **stated,
        )


_QUANTITIES = (
    "margin_wanted",
    "enough",
    "side_pull_rolling",
    "side_pull_sliding",
    "clearance",
    "ground_known_within",
    "rope_spare",
    "station_spacing",
    "resistance_counted_on",
)


def _tied() -> list[Termination]:
    book = load_catalogue().terminations
    return [book[id] for id in sorted(book) if book[id].tied and not book[id].besides]
