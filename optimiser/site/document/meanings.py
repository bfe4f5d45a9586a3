"""What the keys of a site document mean: the texts below the fields in the source of each part.

They are for the schema and for messages only, so a start that needs neither does not read them.
"""

import ast
import inspect
from collections.abc import Iterator, Mapping
from itertools import pairwise
from textwrap import dedent
from typing import Any

from optimiser.site.document.part import Part


def meanings(part: type[Part]) -> Mapping[str, str]:
    """The text of every key of a part that has one, those of what it is made from included."""
    found: dict[str, str] = {}
    for kind in reversed(part.__mro__):
        if issubclass(kind, Part) and kind is not Part:
            found.update(_written(kind))
    keys = {name: field.alias or name for name, field in part.model_fields.items()}
    return {keys.get(name, name): text for name, text in found.items()}


def explained(schema: dict[str, Any]) -> dict[str, Any]:
    """The JSON Schema of a document with the meaning of every key."""
    parts = {part.__name__: part for part in _below(Part)}
    for name, table in (*schema.get("$defs", {}).items(), (schema["title"], schema)):
        for key, text in meanings(parts[name]).items() if name in parts else ():
            table["properties"][key]["description"] = text
    return schema


def _written(kind: type[Part]) -> Iterator[tuple[str, str]]:
    source = ast.parse(dedent(inspect.getsource(kind)))
    (body,) = (node.body for node in source.body if isinstance(node, ast.ClassDef))
    for field, below in pairwise(body):
        match field, below:
            case (
                ast.AnnAssign(target=ast.Name(id=key)),
                ast.Expr(value=ast.Constant(value=str() as text)),
            ):
                yield key, inspect.cleandoc(text)


def _below(part: type[Part]) -> Iterator[type[Part]]:
    for kind in part.__subclasses__():
        yield kind
        yield from _below(kind)
