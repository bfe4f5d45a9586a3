"""The line of every key, table and list item."""

import tomllib
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from optimiser.site.lines import Key, find_lines, line_of

ALL_SHAPES = '''\
title = "# no comment [no table]"
'quoted key'.inner = 1
text = """
[[not.a.table]]
key = 3 \\"""
"""

[path] # remark
start = [
  "1 m",
  # remark ]
  "2 m", ]
inline = { a = 1, b = [2,
  3] }

[[tree]]
name = 'a'
[[tree.hole]]
x = 1
[[tree.hole]]
x = 2
[[tree]]
name = "b\\"c" # ' "
[tree.sub]
y = 1979-05-27
'''


def test_every_shape_of_toml() -> None:
    """Strings with brackets and hashes, many lines, inline tables, tables in lists of tables."""
    assert dict(find_lines(ALL_SHAPES)) == {
        ("title",): 1,
        ("quoted key",): 2,
        ("quoted key", "inner"): 2,
        ("text",): 3,
        ("path",): 8,
        ("path", "start"): 9,
        ("path", "start", 0): 10,
        ("path", "start", 1): 12,
        ("path", "inline"): 13,
        ("path", "inline", "a"): 13,
        ("path", "inline", "b"): 13,
        ("path", "inline", "b", 0): 13,
        ("path", "inline", "b", 1): 14,
        ("tree",): 16,
        ("tree", 0): 16,
        ("tree", 0, "name"): 17,
        ("tree", 0, "hole"): 18,
        ("tree", 0, "hole", 0): 18,
        ("tree", 0, "hole", 0, "x"): 19,
        ("tree", 0, "hole", 1): 20,
        ("tree", 0, "hole", 1, "x"): 21,
        ("tree", 1): 22,
        ("tree", 1, "name"): 23,
        ("tree", 1, "sub"): 24,
        ("tree", 1, "sub", "y"): 25,
    }


def test_a_key_without_a_line_takes_the_one_around_it() -> None:
    """What is missing is reported at the table it is missing from."""
    lines = find_lines(ALL_SHAPES)

    assert line_of(lines, ("tree", 1, "diameter")) == 22
    assert line_of(lines, ("nowhere",)) is None


NAMES = st.text("abc_-", min_size=1, max_size=4)
VALUES = st.sampled_from(
    ["1", '"x"', "'#['", '["a",\n  "b"]', "{ k = 1 }", '"""\n[t]\nk = 1\n"""', "true  # = "]
)


@given(st.lists(st.tuples(st.booleans(), NAMES, VALUES, st.integers(0, 2)), max_size=12))
def test_the_line_found_is_the_line_the_key_stands_on(
    rows: list[tuple[bool, str, str, int]],
) -> None:
    """Random documents: never a wrong line, whatever stands between the keys."""
    text, written = "", {}
    table: Key = ()
    counts: dict[str, int] = {}
    for number, (header, name, value, blank) in enumerate(rows):
        text += "\n" * blank
        line = text.count("\n") + 1
        if header:
            counts[name] = counts.get(name, 0) + 1
            table = (f"t{name}", counts[name] - 1)
            text += f"[[t{name}]]\n"
        else:
            written[(*table, f"{name}{number}")] = line
            text += f"{name}{number} = {value}\n"
    document: dict[str, Any] = tomllib.loads(text)
    lines = find_lines(text)

    assert document is not None
    assert {key: lines.get(key) for key in written} == written
