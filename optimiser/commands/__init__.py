"""The commands, each in a module of its own with a click command called `command`.

To add one: write the module, and add one line here. The order is that of `bankhaul --help`.
"""

COMMANDS = {
    "rank": "rank",
    "show": "show",
    "sheet": "sheet",
    "stages": "stages",
    "sweep": "sweep",
    "why": "why",
    "buy": "buy",
    "lower": "lower",
    "lever": "lever",
    "check": "check",
    "page": "browser_page",
    "new": "new",
    "gear": "gear",
    "words": "reference.words",
    "schema": "reference.schema",
    "completion": "reference.completion",
}
"""Name of the command -> its module, from this folder on."""
