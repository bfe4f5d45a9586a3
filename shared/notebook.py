"""How values show themselves in a notebook.

The modules that write HTML are not imported where the values are defined: a value names its kind, and
whoever writes that kind registers where its writer is. It is imported when the first value is shown.
"""

from importlib import import_module

_WRITERS: dict[str, tuple[str, str]] = {}


def register(kind: str, module: str, function: str) -> None:
    """Let `function` of `module` write values whose class is named `kind` as HTML."""
    _WRITERS[kind] = (module, function)


def html(value: object) -> str:
    """The value as HTML; its plain text, escaped, where nobody registered a writer."""
    found = _WRITERS.get(type(value).__name__)
    if found is None:
        from html import escape  # start-up time

        return f"<pre>{escape(repr(value))}</pre>"
    module, function = found
    written: str = getattr(import_module(module), function)(value)
    return written
