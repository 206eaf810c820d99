"""What can be read of a spec that is no TOML, and every place where it is none.

Nothing is built from what is read so: it serves to say all mistakes of a text at once, and in the
user's words.
"""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from palewright.model.basis.errors import KeyPath, Problem
from palewright.model.basis.source_files import IN_QUOTES
from palewright.model.basis.toml_lines import key_lines, value_at
from palewright.model.basis.toml_values import Slip, code_of, meant_value
from palewright.model.basis.typed_letters import BLANKS, CURLY

from .spec_tables import SpecTables
from .table_names import heading_text, keys_by_table, lists_of_tables

MOST_LETTERS, LONGEST_LINE = 100_000, 4000
"""Letters of a text, and of one of its lines, that are looked through for what is wrong; nobody
wrote longer ones by hand.
"""

_HEADING = re.compile(rf"[ \t]*\[+[ \t]*['\"{CURLY}]?[A-Za-z_][^=#\n]*(?:#.*)?$", re.MULTILINE)
_HEADED = re.compile(r"[ \t]*(\[+[ \t]*[A-Za-z_][^\]=\n]*\]+)[ \t]*([A-Za-z_].*=.*)")
_OURS = re.compile(
    rf"^[ \t]*\[{{1,3}}[ \t]*['\"{CURLY}]?(?:{'|'.join(SpecTables.model_fields)})\b", re.MULTILINE
)
_QUOTED = re.compile(IN_QUOTES)
_WORD_BEHIND = re.compile(r"[ \t]*[A-Za-z0-9]")
_PAIR = re.compile(r"[ \t]*(?P<key>[\w\"'.-]++(?:[ \t]*\.[ \t]*[\w\"'-]++)*+)[ \t]*=")
_KEY = re.compile(r"(?:[A-Za-z0-9_-]+|\"[^\"\n]*\"|'[^'\n]*')"
                  r"(?:[ \t]*\.[ \t]*(?:[A-Za-z0-9_-]+|\"[^\"\n]*\"|'[^'\n]*'))*")  # fmt: skip


@dataclass(frozen=True)
class Salvaged:
    """What could be read of a text.

    tables : as TOML would give them; lines : of their keys; problems : what was wrong.
    """

    tables: dict[str, Any]
    lines: dict[KeyPath, int]
    problems: tuple[Problem, ...]


def salvaged(text: str) -> Salvaged | None:
    r"""Return what can be read of a text that is no TOML, or None when it is too long for that.

    None also for a text without any heading of a spec: nothing is told of what is in other files.

    Examples
    --------
    >>> found = salvaged('[[run]]\npoints = [[0, 0], ["9 m, 0]]\n')
    >>> found.tables["run"][0]["points"]
    [[0, 0], ['9 m', 0]]
    >>> print(found.problems[0].text("garden.toml"))
    garden.toml:2: run[1].points: the quote is not closed; write "9 m" (found "9 m)
    """
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    longest = max(map(len, text.split("\n")))
    if len(text) > MOST_LETTERS or longest > LONGEST_LINE or not _OURS.search(text):
        return None
    reader = _Document()
    for line, statement in _statements(text):
        reader.take(statement, line)
    return Salvaged(reader.tables, reader.lines, tuple(reader.problems))


def _statements(text: str) -> Iterator[tuple[int, str]]:
    """Give each heading and each key with its value, over the lines that it takes."""
    held: list[str] = []
    start, depth, triple = 1, 0, ""
    for number, line in enumerate(text.split("\n"), 1):
        begins = depth > 0 and not triple and (_PAIR.match(line) or _HEADING.match(line))
        goes_on = held and line.lstrip()[:1] in ("[", "]", "{") and not _HEADING.match(line) and (
            code_of(held[-1]).rstrip().endswith(",")
        )  # fmt: skip
        if held and (begins or not (depth > 0 or triple or goes_on)):
            yield start, "\n".join(held)
            held, depth, triple = [], 0, ""
        if not held:
            if not line.strip() or line.lstrip().startswith("#"):
                continue
            start = number
        held.append(line)
        if len(held) == 1 and (_HEADING.match(line) or _HEADED.match(line)):
            depth = 0
        else:
            change, triple = _depth(line, triple)
            depth += change
    if held:
        yield start, "\n".join(held)


def _depth(line: str, triple: str) -> tuple[int, str]:
    """Return by how much a line's brackets go deeper, and the triple quote open at its end."""
    depth = 0
    at = 0
    while at < len(line):
        if triple:
            end = line.find(triple, at)
            if end < 0:
                return depth, triple
            at, triple = end + 3, ""
            continue
        three = line[at : at + 3]
        if three in ('"""', "'''"):
            triple, at = three, at + 3
            continue
        letter = line[at]
        if letter == "#":
            break
        if letter in "\"'":
            found = _QUOTED.match(line, at)
            if found and not _WORD_BEHIND.match(line, found.end()):
                at = found.end()
                continue
        depth += (letter in "[{(") - (letter in "]})")
        at += 1
    return depth, triple


class _Document:
    """Puts statements together as a document, and notes what is wrong with them."""

    def __init__(self) -> None:
        self.tables: dict[str, Any] = {}
        self.lines: dict[KeyPath, int] = {}
        self.problems: list[Problem] = []
        self.here: KeyPath = ()

    def say(self, slip: Slip, path: KeyPath = ()) -> None:
        self.problems.append(Problem(path, slip.message, slip.value, slip.line))

    def take(self, statement: str, line: int) -> None:
        if _HEADING.match(statement):
            self.heading(statement, line)
            return
        headed = _HEADED.match(statement)
        if headed:
            self.say(Slip(line, "a heading stands on a line of its own", _first(statement)))
            self.heading(headed[1], line)
            statement = headed[2] + statement[headed.end() :]
        if self.swapped(statement, line):
            return
        pair = _PAIR.match(statement)
        if pair is None or _parts(pair["key"].strip()) is None:
            self.no_pair(statement, line)
            return
        key = pair["key"].strip()
        value = statement[pair.end() :]
        if value.startswith("="):
            self.say(Slip(line, "one = stands between key and value", _first(statement)))
            value = value[1:]
        self.pair(key, value, line)

    def pair(self, key: str, value: str, line: int) -> None:
        path = (*self.here, *(_parts(key) or (key,)))
        meant = meant_value(value, line)
        for slip in meant.slips:
            self.say(slip, path)
        if path in self.lines:
            said = f"stands here twice, on line {self.lines[path]} too; keep one"
            self.say(Slip(line, said, code_of(_first(value)).strip()), path)
            return
        self.lines[path] = line
        if meant.text is None:
            return
        sound = f"k = {meant.text.strip()}\n"
        read = tomllib.loads(sound)["k"]
        try:
            holder = self.holder(path[:-1])
        except (TypeError, AttributeError, KeyError, IndexError):
            return  # a key of what is no table; that is told where the table is wrong
        holder[path[-1]] = read
        for inner, below in key_lines(sound).items():
            self.lines.setdefault((*path, *inner[1:]), line + below - 1)

    def holder(self, path: KeyPath) -> Any:
        here: Any = self.tables
        for key in path:
            here = here[key] if isinstance(key, int) else here.setdefault(key, {})
        return here

    def heading(self, statement: str, line: int) -> None:
        first, _, rest = statement.partition("\n")
        told = code_of(first).strip()
        body = re.fullmatch(r"(\[+)([^\[\]]*)([\[\]]*)(.*)", told)
        assert body is not None
        opened, name, _, behind = body.groups()
        spelt = name.strip(" \t")
        name = name.strip("\"' " + CURLY + BLANKS)
        names = _parts(re.sub(r"[ \t/:.]+", ".", name)) or ()
        twice = names in lists_of_tables() or (len(opened) == 2 and names not in keys_by_table())
        right = heading_text(names, many=twice)
        sound = re.fullmatch(r"\[\[[^\[\]]+\]\]|\[[^\[\]]+\]", told) and _parts(spelt)
        if not names:
            self.say(Slip(line, "a heading is a name in brackets, as [pales]", told))
            return
        if not sound or behind:
            self.say(Slip(line, f"a heading stands alone, in brackets that close; write {right}",
                          told))  # fmt: skip
        elif len(opened) == 2 and not twice:
            self.say(Slip(line, f"there is one of this table; write {right}", told))
        else:
            twice = len(opened) == 2
        if rest.strip():
            self.say(Slip(line + 1, "stands behind a heading without a key", _first(rest)))
        self.open_table(names, twice, line)

    def open_table(self, names: tuple[str, ...], many: bool, line: int) -> None:
        path: KeyPath = ()
        for name in names[:-1]:
            path = (*path, name)
            there = value_at(self.tables, path, None)
            if isinstance(there, list) and there and isinstance(there[-1], dict):
                path = (*path, len(there) - 1)
            elif not isinstance(there, dict):
                self.put(path, {}, line)
        path = (*path, names[-1])
        there = value_at(self.tables, path, None)
        if many:
            if there is None:
                self.put(path, [], line)
                there = value_at(self.tables, path, None)
            elif isinstance(there, dict):
                one, right = (heading_text(names, many=many) for many in (False, True))
                said = f"{one} on line {self.lines.get(path)} is one table; write {right} there too"
                self.say(Slip(line, said, right))
                self.put(path, [there], line)
                self.lines.update(
                    {(*path, 0, *key[len(path) :]): n for key, n in list(self.lines.items())
                     if key[: len(path)] == path and len(key) > len(path)}
                )  # fmt: skip
                there = value_at(self.tables, path, None)
            if isinstance(there, list):
                there.append({})
                path = (*path, len(there) - 1)
        elif isinstance(there, list):
            said = f"there are several of these; write {heading_text(names, many=True)}"
            self.say(Slip(line, said, heading_text(names, many=False)))
            there.append({})
            path = (*path, len(there) - 1)
        elif isinstance(there, dict):
            if self.lines.get(path) is not None:
                said = (f"this table stands on line {self.lines[path]} already; put its keys "
                        "together there")  # fmt: skip
                self.say(Slip(line, said, heading_text(names, many=False)))
        else:
            self.put(path, {}, line)
        self.lines.setdefault(path, line)
        self.here = path

    def put(self, path: KeyPath, value: Any, line: int) -> None:
        holder = value_at(self.tables, path[:-1], None)
        if isinstance(holder, dict):
            holder[path[-1]] = value
            self.lines.setdefault(path, line)

    def swapped(self, statement: str, line: int) -> bool:
        """Say that key and value have changed places, and take them, where that is so."""
        value, _, key = (part.strip() for part in code_of(statement).partition("="))
        keys = keys_by_table().get(tuple(key for key in self.here if isinstance(key, str)), ())
        if "\n" in statement or not value or value in keys or key not in keys:
            return False
        said = f"key and value are swapped; write {key} = {value}"
        self.say(Slip(line, said, _first(statement)), (*self.here, key))
        self.quietly(key, f" {value}", line)
        return True

    def no_pair(self, statement: str, line: int) -> None:
        """Say what is wrong with a line that is no heading and has no key before an equals sign."""
        shown = _first(statement)
        colon = re.match(r"[ \t]*([\w-]+)[ \t]*:[ \t]*(.+)", statement, re.DOTALL)
        if colon:
            self.say(Slip(line, "between key and value stands =, not a colon", shown),
                     (*self.here, colon[1]))  # fmt: skip
            self.quietly(colon[1], colon[2], line)
            return
        blank = re.match(
            r"[ \t]*([A-Za-z_]+(?:[ \t]+[A-Za-z_]+)+)[ \t]*=(.*)", statement, re.DOTALL
        )
        if blank:
            key = "_".join(blank[1].split())
            self.say(Slip(line, f"a key has no blanks; write {key}", shown), (*self.here, key))
            self.quietly(key, blank[2], line)
            return
        quoted = re.match(
            r"[ \t]*[^\w\s]*([A-Za-z_][\w-]*+)[^\w\s=]*[ \t]*=(.*)", statement, re.DOTALL
        )
        if quoted:
            self.say(Slip(line, f"a key is a word without quotes; write {quoted[1]}", shown),
                     (*self.here, quoted[1]))  # fmt: skip
            self.quietly(quoted[1], quoted[2], line)
            return
        bare = re.match(r"[ \t]*([A-Za-z_][\w-]*)[ \t]+(\S.*)", statement, re.DOTALL)
        if bare and bare[1] in _known_words():
            self.say(Slip(line, f"= is missing behind {bare[1]}", shown), (*self.here, bare[1]))
            self.quietly(bare[1], bare[2], line)
            return
        alone = code_of(statement).strip().rstrip("]")
        near = difflib.get_close_matches(alone, [".".join(path) for path in _headings()], 1, 0.8)
        if near:
            names = tuple(near[0].split("."))
            many = names in lists_of_tables()
            right = heading_text(names, many=many)
            self.say(Slip(line, f"a heading stands in brackets; write {right}", shown))
            self.open_table(names, many, line)
            return
        self.say(Slip(line, "is no heading in [ ] and no key with = and a value; a remark begins "
                            "with #", shown))  # fmt: skip

    def quietly(self, key: str, value: str, line: int) -> None:
        """Take a key whose mistake was said."""
        count = len(self.problems)
        self.pair(key, value, line)
        del self.problems[count:]


def _headings() -> set[tuple[str, ...]]:
    return set(keys_by_table()) - {()}


def _known_words() -> set[str]:
    return {key for keys in keys_by_table().values() for key in keys}


def _parts(key: str) -> tuple[str, ...] | None:
    """Return the parts of a dotted key, or None when it is none."""
    if not _KEY.fullmatch(key):
        return None
    return tuple(re.findall(r"[A-Za-z0-9_-]+|(?<=\")[^\"]*(?=\")|(?<=')[^']*(?=')", key))


def _first(text: str) -> str:
    return text.strip().split("\n")[0][:60]
