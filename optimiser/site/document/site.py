"""The whole document."""

from typing import Annotated, Any

from pydantic import Field

from optimiser.site.document.anchors import AnchorPart, ObstaclePart, TreePart
from optimiser.site.document.lever import LeverPart
from optimiser.site.document.load import LoadPart
from optimiser.site.document.owned import AnyPiece
from optimiser.site.document.part import Part, Title
from optimiser.site.document.path import Path
from optimiser.site.document.preferences import PreferencesPart
from optimiser.site.document.pullers import AnyPuller


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
    """Other anchors, with a rating."""
    obstacle: Annotated[list[ObstaclePart], Field(max_length=300)] = Field(default=[])
    """Whatever else a line may not run through."""
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
