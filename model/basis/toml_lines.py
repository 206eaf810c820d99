"""On which line of a TOML text each key stands.

The parser of the standard library gives values without positions. This scanner walks over text
that the parser has already accepted, so it may trust the syntax and only has to keep count.
"""

from __future__ import annotations

import tomllib
from typing import Any

from .errors import KeyPath


def key_lines(text: str) -> dict[KeyPath, int]:
    r"""Return the line of every key, table and array item in `text`.

    Parameters
    ----------
    text : str
        Valid TOML (as `tomllib.loads` accepts it).

    Returns
    -------
    dict
        Key path -> line, counted from 1. Items of arrays and of arrays of tables count from 0.

    Examples
    --------
    >>> key_lines("a = 1\n[[run]]\npoints = [1,\n  2]\n")[("run", 0, "points", 1)]
    4
    """
    scanner = _Scanner(text.replace("\r\n", "\n"))
    scanner.document()
    return scanner.lines


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.line = 1
        self.lines: dict[KeyPath, int] = {}
        self.counts: dict[KeyPath, int] = {}

    def document(self) -> None:
        table: KeyPath = ()
        while self.skip(newlines=True):
            if self.text.startswith("[[", self.at):
                self.move(2)
                table = self.resolve(self.key())
                index = self.counts.get(table, -1) + 1
                self.counts[table] = index
                self.note(table)
                table = (*table, index)
                self.note(table)
                self.move(2)
            elif self.text[self.at] == "[":
                self.move(1)
                table = self.resolve(self.key())
                self.note(table)
                self.move(1)
            else:
                self.pair(table)

    def pair(self, table: KeyPath) -> None:
        line = self.line
        path = (*table, *self.key())
        self.move(1)
        for depth in range(len(table) + 1, len(path) + 1):
            self.lines.setdefault(path[:depth], line)
        self.value(path)

    def resolve(self, keys: KeyPath) -> KeyPath:
        """Put in the index of the array of tables that each part of a header stands for."""
        path: KeyPath = ()
        for number, key in enumerate(keys):
            path = (*path, key)
            if path in self.counts and number < len(keys) - 1:
                path = (*path, self.counts[path])
        return path

    def key(self) -> KeyPath:
        parts: list[str] = []
        while True:
            self.skip()
            start = self.at
            if self.text[self.at] in "\"'":
                self.string()
                parts.append(tomllib.loads(f"k = {self.text[start : self.at]}")["k"])
            else:
                while self.text[self.at].isalnum() or self.text[self.at] in "-_":
                    self.move(1)
                parts.append(self.text[start : self.at])
            self.skip()
            if self.text[self.at] != ".":
                return tuple(parts)
            self.move(1)

    def value(self, path: KeyPath) -> None:
        self.skip()
        self.note(path)
        head = self.text[self.at]
        if head in "\"'":
            self.string()
        elif head == "[":
            self.array(path)
        elif head == "{":
            self.inline_table(path)
        else:
            while self.at < len(self.text) and self.text[self.at] not in ",]}#\n":
                self.move(1)

    def array(self, path: KeyPath) -> None:
        self.move(1)
        index = 0
        while self.skip(newlines=True) and self.text[self.at] != "]":
            if self.text[self.at] == ",":
                self.move(1)
                continue
            self.value((*path, index))
            index += 1
        self.move(1)

    def inline_table(self, path: KeyPath) -> None:
        self.move(1)
        while self.skip(newlines=True) and self.text[self.at] != "}":
            if self.text[self.at] == ",":
                self.move(1)
                continue
            self.pair(path)
        self.move(1)

    def string(self) -> None:
        quote = self.text[self.at]
        if self.text.startswith(quote * 3, self.at):
            self.move(3)
            while not self.text.startswith(quote * 3, self.at):
                self.move(2 if quote == '"' and self.text[self.at] == "\\" else 1)
            self.move(3)
            # up to two more quotes may belong to the text just before the closing three
            while self.text.startswith(quote, self.at):
                self.move(1)
            return
        self.move(1)
        while self.text[self.at] != quote:
            self.move(2 if quote == '"' and self.text[self.at] == "\\" else 1)
        self.move(1)

    def skip(self, newlines: bool = False) -> bool:
        """Pass blanks (and comments and line ends when asked); tell whether text remains."""
        blanks = " \t\r\n" if newlines else " \t"
        while self.at < len(self.text):
            if self.text[self.at] in blanks:
                self.move(1)
            elif newlines and self.text[self.at] == "#":
                end = self.text.find("\n", self.at)
                self.at = len(self.text) if end < 0 else end
            else:
                return True
        return False

    def move(self, count: int) -> None:
        self.line += self.text.count("\n", self.at, self.at + count)
        self.at += count

    def note(self, path: KeyPath) -> None:
        self.lines.setdefault(path, self.line)


MISSING = object()
"""What stands where nothing stands; None may be a value."""


def value_at(tables: Any, path: KeyPath, missing: Any = MISSING) -> Any:
    """Return what stands at a key path in parsed TOML, or `missing`.

    >>> value_at({"run": [{"name": "lane"}]}, ("run", 0, "name"))
    'lane'
    """
    for key in path:
        try:
            tables = tables[key]
        except (KeyError, IndexError, TypeError):
            return missing
    return tables


def paths_of(value: Any, path: KeyPath = ()) -> list[KeyPath]:
    """Return the key path of every table, array, item and value inside parsed TOML."""
    items: list[tuple[str | int, Any]] = []
    if isinstance(value, dict):
        items = list(value.items())
    elif isinstance(value, list):
        items = list(enumerate(value))
    paths = []
    for key, inner in items:
        paths.append((*path, key))
        paths.extend(paths_of(inner, (*path, key)))
    return paths
