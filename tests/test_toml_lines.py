from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from helpers import EXAMPLES
from palewright.model.basis.toml_lines import key_lines, paths_of

TRICKY = '''\
title = "a # not a comment"
text = """
two = lines ]
""" # after
"quoted key" . 'and.another' = 'x'

[a]   # table
list = [
  1, # one
  [2, 3],
  { x = 1, y = ["]", '}'] },
]
date = 1979-05-27T07:32:00Z

[[a.b]]
c.d = 1

[[a.b]]
c.d = 2
  [a.b.e]
  f = """x"""""

[[a.b.g]]
h = true
'''


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_key_of_the_examples_has_a_line(path: Path) -> None:
    text = path.read_text("utf-8")
    lines = key_lines(text)
    assert set(paths_of(tomllib.loads(text))) == set(lines)
    written = text.splitlines()
    for key, line in lines.items():
        if isinstance(key[-1], str):
            assert str(key[-1]) in written[line - 1]


def test_tricky_text() -> None:
    lines = key_lines(TRICKY)
    assert set(paths_of(tomllib.loads(TRICKY))) == set(lines)
    assert lines[("text",)] == 2
    assert lines[("quoted key", "and.another")] == 5
    assert lines[("a", "list", 1, 0)] == 10
    assert lines[("a", "list", 2, "y", 1)] == 11
    assert lines[("a", "b", 1, "c", "d")] == 19
    assert lines[("a", "b", 1, "e", "f")] == 21
    assert lines[("a", "b", 1, "g", 0, "h")] == 24


KEYS = st.text("abz_-09", min_size=1, max_size=4)
SCALARS = st.one_of(
    st.booleans().map(lambda v: (v, "true" if v else "false")),
    st.integers(-9, 99).map(lambda v: (v, str(v))),
    st.text("ab#'][{}=.,\\\"\n", max_size=6).map(lambda v: (v, _basic(v))),
    st.text('ab#][{}=.,\\"', max_size=6).map(lambda v: (v, f"'{v}'")),
)


def _basic(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    return f'"{escaped}"'


def _array(items: list[tuple[Any, str]]) -> tuple[Any, str]:
    return [v for v, _ in items], "[" + ",\n # c ]\n".join(t for _, t in items) + "]"


def _inline(items: dict[str, tuple[Any, str]]) -> tuple[Any, str]:
    text = ", ".join(f"{key} = {t}" for key, (_, t) in items.items())
    return {key: v for key, (v, _) in items.items()}, "{ " + text + " }"


VALUES = st.recursive(
    SCALARS,
    lambda inner: (
        st.lists(inner, max_size=3).map(_array)
        | st.dictionaries(KEYS, SCALARS, max_size=3).map(_inline)
    ),
    max_leaves=6,
)


@given(
    st.dictionaries(KEYS, VALUES, max_size=3),
    st.dictionaries(KEYS.map("t".__add__), st.dictionaries(KEYS, VALUES, max_size=3), max_size=3),
    st.dictionaries(
        KEYS.map("u".__add__),
        st.lists(st.dictionaries(KEYS, VALUES, max_size=2), min_size=1, max_size=3),
        max_size=2,
    ),
)
def test_the_scanner_finds_the_keys_the_parser_finds(
    top: dict[str, Any], tables: dict[str, Any], arrays: dict[str, Any]
) -> None:
    out = []
    for key, (_, text) in top.items():
        if not key.startswith(("t", "u")):
            out.append(f"{key} = {text}")
    for name, table in tables.items():
        out.append(f"[{name}] # table")
        out += [f" {key}={text}" for key, (_, text) in table.items()]
    for name, items in arrays.items():
        for item in items:
            out.append(f"[[ {name} ]]")
            out += [f"{key} = {text} # x" for key, (_, text) in item.items()]
    text = "\n".join(out) + "\n"
    assert set(paths_of(tomllib.loads(text))) == set(key_lines(text))
