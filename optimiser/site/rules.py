"""The rules that leave out rigs nobody would build.

They are rules of the program, not proofs: each can be switched off in a site's preferences.
"""

from collections.abc import Mapping

RULES: Mapping[str, str] = {
    "one-height": "no part of the rope runs between two heights of one anchor",
    "two-in-a-row": "the rope never turns at more than two anchors in a row",
    "one-lead": "at most one lead block between the load and the puller, "
    "two only where nothing is found with one",
    "no-tail": "the rope turns at no anchor behind its standing end's anchor",
    "no-backward": "no part of line pulls the load backwards anywhere along the path",
}
"""Name of a rule, and what it says."""
