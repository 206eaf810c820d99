"""One human slip in a sound spec, at random, and the line it is on."""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from palewright.model.basis.errors import SpecError
from palewright.reading import parse_job

QUOTED = re.compile(r'"[^"\n]*"')
NUMBER = re.compile(r"(?<![\w.\"'-])\d+(?:\.\d+)?(?![\w.\"'])")


def code(line: str) -> str:
    """Return a line without its remark, quotes taken into account."""
    out, inside = "", False
    for letter in line:
        inside ^= letter == '"'
        if letter == "#" and not inside:
            break
        out += letter
    return out


def places(line: str, wanted: str) -> list[int]:
    return [at for at, letter in enumerate(code(line)) if letter in wanted]


def drop(wanted: str) -> Callable[[str, random.Random], str | None]:
    def slip(line: str, rng: random.Random) -> str | None:
        found = places(line, wanted)
        if not found:
            return None
        at = rng.choice(found)
        return line[:at] + line[at + 1 :]

    return slip


def curly(line: str, rng: random.Random) -> str | None:
    found = list(QUOTED.finditer(code(line)))
    if not found:
        return None
    one = rng.choice(found)
    return line[: one.start()] + "“" + one[0][1:-1] + "”" + line[one.end() :]


def unquoted(line: str, rng: random.Random) -> str | None:
    found = list(QUOTED.finditer(code(line)))
    if not found:
        return None
    one = rng.choice(found)
    return line[: one.start()] + one[0][1:-1] + line[one.end() :]


def comma_for_point(line: str, rng: random.Random) -> str | None:
    found = list(re.finditer(r"(?<=\d)\.(?=\d)", code(line)))
    if not found:
        return None
    at = rng.choice(found).start()
    return line[:at] + "," + line[at + 1 :]


def misspelt_key(line: str, rng: random.Random) -> str | None:
    key = re.match(r"\s*([a-z_]{3,})\s*=", code(line))
    if not key:
        return None
    at = rng.randrange(key.start(1) + 1, key.end(1) - 1)
    return line[:at] + line[at + 1] + line[at] + line[at + 2 :]


def misspelt_unit(line: str, rng: random.Random) -> str | None:
    found = list(re.finditer(r'(?<=[\d ])(mm|cm|m|in|ft)(?=")', code(line)))
    if not found:
        return None
    one = rng.choice(found)
    wrong = {"mm": "mms", "cm": "cms", "m": "mtr", "in": "ich", "ft": "feets"}[one[0]]
    return line[: one.start()] + rng.choice([wrong, "yd"]) + line[one.end() :]


def metres(line: str, rng: random.Random) -> str | None:
    keys = "bay|length|embedment|opening|at|stock_length"
    key = re.match(rf"\s*({keys})\s*=\s*(\d{{3,}})\b", code(line))
    if not key:
        return None
    return line[: key.start(2)] + f"{int(key[2]) / 1000:g}" + line[key.end(2) :]


def wrong_table(line: str, rng: random.Random) -> str | None:
    heading = re.fullmatch(r"\s*\[+([a-z_.]+)\]+\s*", code(line))
    if not heading or heading[1] in ("run", "project"):
        return None
    one = re.sub(r"\[\[run\.(\w+)\]\]", r"[[\1]]", line)
    return one if one != line else line.replace(heading[1], heading[1][:-1])


def broken_heading(line: str, rng: random.Random) -> str | None:
    if not re.fullmatch(r"\s*\[+[a-z_.]+\]+\s*", code(line)):
        return None
    at = rng.choice(places(line, "[]"))
    return line[:at] + line[at + 1 :]


def colon(line: str, rng: random.Random) -> str | None:
    found = places(line, "=")
    if not found:
        return None
    at = rng.choice(found)
    return line[:at].rstrip() + ":" + line[at + 1 :]


def swapped(line: str, rng: random.Random) -> str | None:
    """Swap the two halves of a pair, or of a key and its value."""
    pair = re.match(r"(\s*)([a-z_]+)\s*=\s*(\S[^=]*)$", code(line))
    if not pair:
        return None
    return f"{pair[1]}{pair[3].strip()} = {pair[2]}"


def pair_swapped(line: str, rng: random.Random) -> str | None:
    found = list(re.finditer(r"\[([^\[\],]+), ([^\[\],]+)\]", code(line)))
    if not found:
        return None
    one = rng.choice(found)
    return f"{line[: one.start()]}[{one[2]}, {one[1]}]{line[one.end() :]}"


def marked_inches(line: str, rng: random.Random) -> str | None:
    found = list(NUMBER.finditer(code(line)))
    if not found:
        return None
    one = rng.choice(found)
    return line[: one.end()] + rng.choice(['"', "'", " mm", "mm", " m"]) + line[one.end() :]


def letter_for_digit(line: str, rng: random.Random) -> str | None:
    found = [m.start() for m in re.finditer("0", code(line))]
    if not found:
        return None
    at = rng.choice(found)
    return line[:at] + "O" + line[at + 1 :]


def twice(line: str, rng: random.Random) -> str | None:
    return f"{line}\n{line}" if re.match(r"\s*[a-z_]+\s*=[^\[{]*$", code(line)) else None


SLIPS: dict[str, Callable[[str, random.Random], str | None]] = {
    "dropped quote": drop('"'),
    "dropped bracket": drop("[]{}"),
    "dropped comma": drop(","),
    "dropped equals sign": drop("="),
    "curly quotes": curly,
    "no quotes": unquoted,
    "comma for point": comma_for_point,
    "misspelt key": misspelt_key,
    "misspelt unit": misspelt_unit,
    "metres for millimetres": metres,
    "wrong table": wrong_table,
    "broken heading": broken_heading,
    "colon": colon,
    "key and value swapped": swapped,
    "pair swapped": pair_swapped,
    "unit without quotes": marked_inches,
    "letter for digit": letter_for_digit,
    "twice": twice,
}
"""Slips by their names: each takes a line and gives it with the slip, or None."""


@dataclass(frozen=True)
class Slipped:
    """A spec with one slip. line : from 1, where it is; name : of the slip."""

    text: str
    line: int
    name: str


def slipped(text: str, rng: random.Random) -> Slipped:
    """Return a spec with one slip in it."""
    lines = text.split("\n")
    while True:
        name = rng.choice(list(SLIPS))
        at = rng.randrange(len(lines))
        if not code(lines[at]).strip():
            continue
        changed = SLIPS[name](lines[at], rng)
        if changed is not None and changed != lines[at]:
            whole = "\n".join([*lines[:at], changed, *lines[at + 1 :]])
            return Slipped(whole, at + 1 + changed.count("\n"), name)


PARSERS = re.compile(
    r"(?i)token|parse|pydantic|traceback|unterminated|unexpected|expected|dict\b|tuple|NoneType|"
    r"valid (?:integer|string|number)|input should|key/value|literal|regex|declare|overwrite"
)
"""Words of programs that read programs."""


def told_where(slip: Slipped, folder: Path) -> str:
    """Return whether a slip leaves a "sound" spec, or is told in the "first" message with its line
    within one, in a "later" one, or "not".
    """
    try:
        parse_job(slip.text, "f", folder)
    except SpecError as error:
        messages = str(error).splitlines()
        assert not PARSERS.search(re.sub(r"\(found .*\)$", "", messages[0])), messages[0]
        for number, message in enumerate(messages):
            place = re.match(r"f:(\d+): ", message)
            if place and abs(int(place[1]) - slip.line) <= 1:
                return "later" if number else "first"
        return "not"
    return "sound"
