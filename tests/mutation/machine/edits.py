"""Every single change that the machine can make to a text of the program, or to a number of its data.

A change is a piece of the text replaced, so comments and lay-out stay. No change looks at what the program
means. The kinds are common practice, no source; one is our own: what is looked at along an axis is looked at
only at its first or last place.
"""

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import PurePosixPath

SLACK = 1e-5
"""Smaller numbers are room for rounding: no test is meant to notice that they change."""
SHIFT = 1.2
_ARITHMETIC: dict[type[ast.operator], str] = {
    ast.Add: "-",
    ast.Sub: "+",
    ast.Mult: "/",
    ast.Div: "*",
    ast.Pow: "*",
}
_FLIPPED: dict[type[ast.cmpop], str] = {
    ast.Lt: ">=",
    ast.LtE: ">",
    ast.Gt: "<=",
    ast.GtE: "<",
    ast.Eq: "!=",
    ast.NotEq: "==",
    ast.In: "not in",
    ast.NotIn: "in",
    ast.Is: "is not",
    ast.IsNot: "is",
}
_SWAPPED = {
    one: other
    for a, b in (
        ("min", "max"),
        ("minimum", "maximum"),
        ("sin", "cos"),
        ("slope_sin", "slope_cos"),
        ("any", "all"),
        ("argmin", "argmax"),
        ("floor", "ceil"),
    )
    for one, other in ((a, b), (b, a))
}
_ALONG_AN_AXIS = ("min", "max", "all", "any")


@dataclass(frozen=True)
class Edit:
    """One change: in `file`, the bytes from `start` to `end` become `new`.

    `function`: the line of the innermost `def` around it as code objects give it, 0 outside of any.
    """

    file: str
    line: int
    function: int
    start: int
    end: int
    kind: str
    old: str
    new: str

    @property
    def what(self) -> str:
        """The change in one line."""
        return f"{_short(self.old)} -> {_short(self.new) or '(nothing)'}"

    @property
    def key(self) -> tuple[str, int, str]:
        """What tells it from all others."""
        return self.file, self.start, self.what

    def applied(self, text: str) -> str:
        """The file's text with the change in it."""
        raw = text.encode()
        return (raw[: self.start] + self.new.encode() + raw[self.end :]).decode()


def _short(text: str) -> str:
    line = " ".join(text.split())
    return line if len(line) <= 70 else line[:67] + "..."


def edits(file: str, text: str) -> list[Edit]:
    """Every change of a file, in the order of the text."""
    found = (
        _of_data(file, text)
        if PurePosixPath(file).suffix == ".toml"
        else _Reader(file, text).read()
    )
    return sorted(found, key=lambda e: (e.start, e.end, e.new))


# ---- programs -----------------------------------------------------------------------------------


class _Reader:
    """Walks over a program's tree and gathers changes."""

    def __init__(self, file: str, text: str) -> None:
        self.file, self.raw, self.tree = file, text.encode(), ast.parse(text)
        self.lines = [0]
        for line in self.raw.splitlines(keepends=True):
            self.lines.append(self.lines[-1] + len(line))
        self.found: list[Edit] = []

    def read(self) -> list[Edit]:
        for node in self.tree.body:
            self._statement(node, 0)
        return self.found

    def _span(self, node: ast.expr | ast.stmt) -> tuple[int, int]:
        assert node.end_lineno is not None and node.end_col_offset is not None  # noqa: PT018
        first = self.lines[node.lineno - 1] + node.col_offset
        return first, self.lines[node.end_lineno - 1] + node.end_col_offset

    def _source(self, node: ast.expr | ast.stmt) -> str:
        first, last = self._span(node)
        return self.raw[first:last].decode()

    def _put(self, node: ast.expr | ast.stmt, function: int, kind: str, new: str) -> None:
        first, last = self._span(node)
        old = self.raw[first:last].decode()
        if new != old:
            self.found.append(Edit(self.file, node.lineno, function, first, last, kind, old, new))

    def _statement(self, node: ast.stmt, function: int) -> None:
        match node:
            case ast.FunctionDef():
                line = min([node.lineno, *(d.lineno for d in node.decorator_list)])
                for default in (*node.args.defaults, *filter(None, node.args.kw_defaults)):
                    self._value(default, function)
                self._body(node.body, line, last_is_end=True)
                return
            case ast.AnnAssign():
                if node.value is not None:
                    self._value(node.value, function)
                return
            case ast.Assert() | ast.Raise() | ast.Import() | ast.ImportFrom():
                return
            case ast.ClassDef():
                for one in node.body:
                    self._statement(one, function)
                return
            case ast.Expr(value=ast.Constant()):  # a docstring
                return
            case _:
                for field in ast.iter_child_nodes(node):
                    if isinstance(field, ast.expr):
                        self._value(field, function)
                    elif isinstance(field, ast.match_case | ast.withitem):
                        self._inside(field, function)
                for name in ("body", "orelse", "finalbody"):
                    self._body(getattr(node, name, []), function)

    def _inside(self, node: ast.match_case | ast.withitem, function: int) -> None:
        if isinstance(node, ast.withitem):
            self._value(node.context_expr, function)
        else:
            self._body(node.body, function)

    def _body(self, body: list[ast.stmt], function: int, *, last_is_end: bool = False) -> None:
        for at, one in enumerate(body):
            if (
                isinstance(one, ast.Return)
                and function
                and not (last_is_end and at == len(body) - 1)
            ):
                self._put(one, function, "an early return dropped", "pass")
            self._statement(one, function)

    def _value(self, node: ast.expr, function: int) -> None:
        match node:
            case ast.JoinedStr() | ast.Lambda(body=ast.JoinedStr()):
                return
            case ast.BinOp():
                self._sum(node, function)
            case ast.Compare(ops=[op], left=left, comparators=[right]):
                flipped = f"{self._source(left)} {_FLIPPED[type(op)]} {self._source(right)}"
                self._put(node, function, "a comparison flipped", f"({flipped})")
            case ast.BoolOp(values=values):
                for one in values:
                    word = "and" if isinstance(node.op, ast.And) else "or"
                    rest = [self._source(v) for v in values if v is not one]
                    joined = f" {word} ".join(f"({text})" for text in rest)
                    self._put(node, function, "a condition dropped", f"({joined})")
            case ast.UnaryOp(op=ast.USub() | ast.Not() | ast.Invert(), operand=inner):
                self._put(node, function, "a sign or a not dropped", f"({self._source(inner)})")
            case ast.Constant(value=value) if not isinstance(value, bool):
                self._number(node, value, function)
            case ast.Call():
                self._call(node, function)
            case ast.Attribute(attr=name) if name in ("slope_sin", "slope_cos"):
                self._put(
                    node, function, "swapped with its like",
                    f"{self._source(node.value)}.{_SWAPPED[name]}",
                )  # fmt: skip
        for child in ast.iter_child_nodes(node):
            if isinstance(node, ast.Subscript) and child is node.slice:
                continue
            if isinstance(child, ast.expr):
                self._value(child, function)
            elif isinstance(child, ast.keyword):
                self._value(child.value, function)
            elif isinstance(child, ast.comprehension):
                self._value(child.iter, function)
                for condition in child.ifs:
                    self._put(condition, function, "a condition dropped", "True")
                    self._value(condition, function)

    def _sum(self, node: ast.BinOp, function: int) -> None:
        left, right = self._source(node.left), self._source(node.right)
        if isinstance(node.left, ast.JoinedStr) or isinstance(node.right, ast.JoinedStr):
            return
        other = _ARITHMETIC.get(type(node.op))
        if other is not None:
            self._put(node, function, "an operator swapped", f"(({left}) {other} ({right}))")
        if isinstance(node.op, ast.Add | ast.Sub | ast.BitAnd | ast.BitOr):
            kind = (
                "a term of a sum dropped"
                if isinstance(node.op, ast.Add | ast.Sub)
                else "a condition dropped"
            )
            self._put(node, function, kind, f"({left})")
            if not isinstance(node.op, ast.Sub):
                self._put(node, function, kind, f"({right})")

    def _number(self, node: ast.Constant, value: object, function: int) -> None:
        if isinstance(value, float) and abs(value) > SLACK:
            self._put(node, function, "a number shifted", repr(round(value * SHIFT, 12)))
        elif isinstance(value, int) and value > 1:
            self._put(node, function, "a number shifted", repr(value + 1))

    def _call(self, node: ast.Call, function: int) -> None:
        called = node.func
        if isinstance(called, ast.Name | ast.Attribute):
            name = called.id if isinstance(called, ast.Name) else called.attr
            if name in _SWAPPED:
                head = "" if isinstance(called, ast.Name) else f"({self._source(called.value)})."
                self._put(called, function, "swapped with its like", head + _SWAPPED[name])
            if name in ("abs", "absolute") and len(node.args) == 1:
                self._put(
                    node, function, "a sign or a not dropped", f"({self._source(node.args[0])})"
                )
            axis = [k.value for k in node.keywords if k.arg == "axis"]
            if (
                isinstance(called, ast.Attribute) and name in _ALONG_AN_AXIS
                and axis and not node.args
            ):  # fmt: skip
                looked_at = self._source(called.value)
                for place, at in (("first", 0), ("last", -1)):
                    new = f"({looked_at}).take({at}, axis={self._source(axis[0])})"
                    self._put(node, function, f"only the {place} place of an axis", new)


# ---- data ---------------------------------------------------------------------------------------

_LINE = re.compile(r"^(?P<key>[\w-]+)\s*=\s*(?P<value>.+)$")
_NUMBER = re.compile(r"(?<![\w.-])\d+(?:\.\d+)?(?![\w.:/])")
_WORDY = frozenset(
    (
        "id", "name", "source", "note", "notes", "page", "title", "text", "words", "says", "why", "remark",
        "comment", "what", "how", "means", "where", "by", "read", "used", "label", "number",
    )
)  # fmt: skip
"""Keys whose values are no numbers, though they may begin with one."""


def _of_data(file: str, text: str) -> Iterator[Edit]:
    """Every number of a data file, a fifth more and a fifth less. A text counts as a number where it
    begins with one ("14 mm"); notes and sources are left alone."""
    at, heading, line_of_heading = 0, "", 0
    for number, line in enumerate(text.splitlines(keepends=True), 1):
        found = _LINE.match(line.rstrip("\n"))
        if line.startswith("["):
            heading, line_of_heading = line.strip(), number
        if found and found["key"] not in _WORDY and not found["key"].endswith(("source", "note")):
            value = found["value"].split("  #")[0]
            quoted = value.startswith('"')
            if not quoted or re.match(r'"\d', value):
                offset = at + len(line[: found.start("value")].encode())
                for one in _NUMBER.finditer(value):
                    if float(one[0]) == 0.0 or (quoted and " " in value[1 : one.start()]):
                        continue
                    start = offset + len(value[: one.start()].encode())
                    for factor in (SHIFT, 2.0 - SHIFT):
                        new = f"{round(float(one[0]) * factor, 9):g}"
                        if "." not in one[0] and not quoted:
                            step, further = (1, max) if factor > 1.0 else (-1, min)
                            new = str(further(round(float(new)), int(one[0]) + step))
                        yield Edit(
                            file, number, line_of_heading, start, start + len(one[0]),
                            "a number of the data shifted", f"{heading} {found['key']} = {value}",
                            new,
                        )  # fmt: skip
        at += len(line.encode())
