"""The rules a site's preferences may switch off: those of the search, under the same names."""

RULES = {
    "one-height-per-leg": "no part of the line runs between two strap heights of one anchor",
    "two-anchors-in-a-row": "at most two anchors follow each other between the load and the puller, or "
    "between two visits to the load",
    "no-block-behind-standing-anchor": "where the standing end is on an anchor, the line goes straight "
    "to the load",
    "no-backward-part": "no part of line pulls the load backwards anywhere on the stretch",
}


__all__ = ["RULES"]
