"""Lists what the published data on trees do not cover: printed wherever the tree's strength is."""

from collections.abc import Collection

from optimiser.mechanics.values import DataEnd
from optimiser.site.doubts.figures import anchors_in_file
from optimiser.site.doubts.unlikely import Remark
from optimiser.site.model import Site
from shared.units import Dimension, Rounding, show

REASON = (
    "The coefficients against overturning come from trees that were pulled over; nothing is counted on "
    "beyond the thickest and tallest of them."
)
PULLING_TEST = (
    "How much a tree of yours stands is not taken from a reading of your own. The pulling test of the trade "
    "reads how far the foot of the stem tilts, a quarter of a degree at most, to one or two thousandths of a "
    "degree; a phone is off by a tenth, and how the tree goes on from there is not published in full. An "
    "arborist who has the instrument can test it; what comes of that counts as the rating of an [[anchor]]. "
    "[detter-2023]"
)
"""Why no key of the site file takes a tree's own reading."""
_KEYS = {"diameter": ("diameter", "girth"), "height": ("tree_height",)}


def data_ends(site: Site, names: Collection[str] | None = None) -> tuple[Remark, ...]:
    """One remark for each figure of a tree that is taken smaller than it is, because the data end before
    it. `names`: of these trees only."""
    out = []
    for key, anchor in anchors_in_file(site):
        if names is not None and anchor.name not in names:
            continue
        for end in anchor.strength.data_ends:
            place, line = "", None
            if site.origin is not None:
                words = _KEYS[end.what]
                at = next((k for w in words if site.origin.has(k := (*key, w))), key)
                place, line = site.origin.label(at), site.origin.line(at)
            text = f"{anchor.name}: {worded(end, site.preferences.units)}"
            out.append(Remark(place=place, line=line, text=text, reason=REASON, source=end.source))
    return tuple(out)


def worded(end: DataEnd, units: str) -> str:
    """One end of the data in words."""
    stated, taken = _size(end, end.stated, units), _size(end, end.taken, units)
    return f"the {end.what} is {stated}, the data on overturning end at {taken}; taken as {taken}"


def _size(end: DataEnd, value: float, units: str) -> str:
    """Heights as lengths, stems in centimetres or inches, as they are measured."""
    if end.what == "height":
        return show(value, Dimension.LENGTH, units)
    if units == "metric":
        return f"{100.0 * value:.0f} cm"
    return show(value, Dimension.SIZE, units, Rounding.NEAREST)
