"""The whole document."""

from typing import TYPE_CHECKING, Annotated, Any

from pydantic import Field, PrivateAttr

from optimiser.site.document.anchors import AnchorPart, ObstaclePart, TreePart
from optimiser.site.document.lever import LeverPart
from optimiser.site.document.load import LoadPart
from optimiser.site.document.made_of import MadePart, PairPart
from optimiser.site.document.owned import AnyPiece
from optimiser.site.document.part import Part, Title
from optimiser.site.document.path import Path
from optimiser.site.document.preferences import PreferencesPart
from optimiser.site.document.pulled import PulledPart
from optimiser.site.document.pullers import AnyPuller
from optimiser.site.document.readings import AccuracyPart, MarkPart, ReadingPart

if TYPE_CHECKING:
    from optimiser.site.measured.outcome import Outcome
    from optimiser.site.pulled.outcome import Pulls


class SiteDocument(Part):
    """One job: the load and its path, what stands there, what pulls, and the gear owned."""

    title: Title = ""
    """A line for headings."""
    path: Path
    """Where the load goes."""
    load: LoadPart
    """What is hauled."""
    tree: Annotated[list[TreePart], Field(max_length=300)] = Field(default=[])
    """The living, sound trees. One that is not used counts as an obstacle."""
    anchor: Annotated[list[AnchorPart], Field(max_length=100)] = Field(default=[])
    """Other anchors, with a rating, or with what it is worked out from."""
    made: Annotated[list[MadePart], Field(max_length=10)] = Field(default=[])
    """Where anchors may be made, and of what; one that is not used is not made."""
    pair: Annotated[list[PairPart], Field(max_length=20)] = Field(default=[])
    """Two trees that may share a pull by a sling between them."""
    obstacle: Annotated[list[ObstaclePart], Field(max_length=300)] = Field(default=[])
    """Whatever else a line may not run through."""
    mark: Annotated[list[MarkPart], Field(max_length=300)] = Field(default=[])
    """Stakes and other spots on the ground that readings are taken from."""
    reading: Annotated[list[ReadingPart], Field(max_length=1000)] = Field(default=[])
    """What was measured between places, where coordinates are not known."""
    accuracy: AccuracyPart = Field(default_factory=AccuracyPart, json_schema_extra={"default": {}})
    """How exact the readings are."""
    pulled: Annotated[list[PulledPart], Field(max_length=50)] = Field(default=[])
    """Pulls that were read on a scale: they narrow the weight and the resistance."""
    puller: Annotated[list[AnyPuller], Field(min_length=1, max_length=12)]
    """What pulls; several may be tried."""
    gear: Annotated[list[AnyPiece], Field(min_length=1, max_length=300)]
    """The gear owned."""
    lever: LeverPart | None = None
    """Raising the load corner by corner (`bankhaul lever`)."""
    preferences: PreferencesPart = Field(
        default_factory=PreferencesPart, json_schema_extra={"default": {}}
    )
    """What you want of the answer."""
    _outcome: "Outcome | None" = PrivateAttr(default=None)
    _pulls: "Pulls | None" = PrivateAttr(default=None)

    @property
    def outcome(self) -> "Outcome | None":
        """What its readings came to; None: it has none, or its places are not worked out yet."""
        return self._outcome

    def keep(self, outcome: "Outcome | None") -> None:
        """Keep what its readings came to beside the places that were put into it."""
        self._outcome = outcome

    @property
    def pulls(self) -> "Pulls | None":
        """What the pulls that were read came to; None: none was, or they are not worked out yet."""
        return self._pulls

    def keep_pulls(self, pulls: "Pulls") -> None:
        """Keep what its pulls came to beside the ranges that they narrowed."""
        self._pulls = pulls


def site_schema() -> dict[str, Any]:
    """The JSON Schema of a site file, for editors."""
    from optimiser.site.document.meanings import (
        explained,  # start-up time: only the schema reads it
    )

    schema = explained(SiteDocument.model_json_schema())
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **schema,
        "title": "Site file of bankhaul",
    }
