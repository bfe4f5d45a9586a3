"""Who imports whom, read from the source: imports inside functions and for types count too."""

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import networkx as nx

ROOT = Path(__file__).parents[2]
TOPS = ("optimiser", "catalogue", "shared")


@cache
def modules() -> dict[str, Path]:
    """Every module of the program, by its dotted name."""
    found = {}
    for top in TOPS:
        for path in (ROOT / top).rglob("*.py"):
            parts = path.relative_to(ROOT).with_suffix("").parts
            found[".".join(parts).removesuffix(".__init__")] = path
    return found


def _named(tree: ast.AST) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
            for alias in node.names:
                inner = f"{node.module}.{alias.name}"
                yield inner if inner in modules() else node.module


@cache
def graph() -> "nx.DiGraph[str]":
    """An edge from each module to every one it imports."""
    out: nx.DiGraph[str] = nx.DiGraph()
    for name, path in modules().items():
        out.add_node(name)
        for other in _named(ast.parse(path.read_text(encoding="utf-8"))):
            if other in modules() and other != name:
                out.add_edge(name, other)
    return out


def room(module: str) -> str:
    """The room of the optimiser that a module stands in; "" for one outside all rooms."""
    parts = module.split(".")
    return parts[1] if parts[0] == "optimiser" and len(parts) > 1 else ""
