"""A first spec, written from a few answers: only what was said, with remarks."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from palewright.model.basis.length_words import length_advice, plain_length
from palewright.model.basis.units import (
    INCH,
    SIXTEENTHS,
    in_feet_and_inches,
    is_bare_number,
    parse_length,
)

from .first_words import SCHEMA_FILE
from .infill_keys import Pales

LOWEST, HIGHEST_PALES = 300.0, 3000.0
"""Heights that are asked about no further, mm (common practice, no source)."""


@dataclass(frozen=True)
class SaidLeg:
    """One straight of the line. length : mm; said : as it was said; turn : degrees before it, to
    the right going along the line, to the left below 0.
    """

    length: float
    said: str
    turn: float = 0.0


@dataclass(frozen=True)
class GateAt:
    """A gate. at : mm along the line to the middle of the opening; width : clear, mm."""

    at: float
    width: float | None = None


@dataclass(frozen=True)
class FirstAnswers:
    """What was said of a fence. height : of the pales' tops over the ground, mm; fall : of the
    ground from the first point to the last, mm; None, empty or 0 for what was not said. feet :
    whether it was said in feet and inches; walls : which ends meet a wall, of WALLS.
    """

    name: str = ""
    legs: tuple[SaidLeg, ...] = ()
    height: float | None = None
    head: str | None = None
    gates: tuple[GateAt, ...] = ()
    ground: str | None = None
    fall: float = 0.0
    feet: bool = False
    walls: str = "none"


def said_length(text: str) -> float:
    """Return a length that a person said, mm. Raises ValueError, with what to say instead.

    >>> said_length("9 m"), said_length("30 ft 6 in"), said_length("5'6")
    (9000.0, 9296.4, 1676.4)
    """
    if is_bare_number(text) and text.strip().replace(".", "").isdigit() and float(text) < 100.0:
        raise ValueError(f'{text.strip()} what? say "{text.strip()} m", mm, ft or in')
    try:
        return parse_length(plain_length(text) or text)
    except ValueError:
        raise ValueError(length_advice(text)) from None


def in_feet(texts: Sequence[str]) -> bool:
    """Tell whether lengths were said in feet and inches.

    >>> in_feet(["30 ft", "950 mm"]), in_feet(["9 m"])
    (True, False)
    """
    units = (plain_length(text.partition(" wide ")[0]) or text for text in texts)
    return any(re.search(r"\b(ft|in|feet|foot|inch|inches)\b", unit) for unit in units)


def said_leg(text: str, *, first: bool) -> SaidLeg:
    """Return a leg as it was said: "9 m", or with the turn before it, "5 m left 45".

    Raises ValueError, with what to say instead.

    >>> said_leg("5 m left 45", first=False)
    SaidLeg(length=5000.0, said='5 m left 45', turn=-45.0)
    >>> said_leg("5 m to the right", first=False).turn
    90.0
    """
    found = re.fullmatch(
        r"(.*?)(?:\s+(?:to the )?(left|right)(?:\s+([\d.]+))?)?", text.strip(), re.IGNORECASE
    )
    assert found is not None
    length = said_length(found[1])
    if length <= 0.0:
        raise ValueError("a leg is longer than 0")
    if first:
        if found[2]:
            raise ValueError("the first leg has no turn before it")
        return SaidLeg(length, text.strip())
    if not found[2]:
        raise ValueError(f'to which side does the line turn before it? say "{text.strip()} left"')
    degrees = float(found[3]) if found[3] else 90.0
    if not 0.0 <= degrees < 170.0:
        raise ValueError(f"a turn is between 0 and 170 degrees, not {degrees:g}")
    left = (found[2] or "").lower() == "left"
    return SaidLeg(length, text.strip(), -degrees if left else degrees)


def said_gate(text: str) -> GateAt:
    """Return a gate as it was said: "3.5 m", or with its width, "3.5 m wide 900 mm".

    Raises ValueError, with what to say instead.
    """
    place, _, width = text.partition(" wide ")
    gate = GateAt(said_length(place), said_length(width) if width else None)
    if gate.at <= 0.0 or (gate.width is not None and gate.width <= 0.0):
        raise ValueError("a gate stands along the line and has a width")
    return gate


def first_problems(answers: FirstAnswers) -> list[str]:
    """Return what answers have that cannot be, between each other."""
    say = partial(_length, feet=answers.feet)
    long = math.fsum(leg.length for leg in answers.legs)
    told = []
    for gate in answers.gates:
        if answers.legs and gate.at >= long:
            told.append(f"a gate at {say(gate.at)} is beyond the line, {say(long)} long")
    if answers.fall and answers.ground in (None, "level"):
        told.append("level ground has no fall; say slope or steps")
    if answers.ground in ("slope", "steps") and not answers.fall:
        told.append(f"ground in a {answers.ground} has a fall; say how much")
    if answers.height is not None and not LOWEST <= answers.height <= HIGHEST_PALES:
        told.append(
            f"{say(answers.height)} is no height for a fence of pales: {say(LOWEST)} to "
            f"{say(HIGHEST_PALES)}"
        )
    return told


def first_spec(answers: FirstAnswers, version: str, *, schema: bool) -> str:
    """Return the text of a spec of what was said, and of nothing else.

    version : of this program; schema : whether its first line names the schema beside it.
    """
    lines = [f"#:schema {SCHEMA_FILE}"] if schema else []
    lines += [
        f'# A picket fence for palewright {version}. Bare numbers are millimetres; "1.8 m",',
        '# "450 mm", "4 in" and "5 ft 6 in" work too. What is not here has a default: `palewright',
        "# new` alone prints a spec with everything in it.",
    ]
    if answers.name:
        lines += ["", "[project]", f"name = {json.dumps(answers.name, ensure_ascii=False)}"]
    lines += _run_lines(answers)
    lines += _pale_lines(answers)
    if answers.ground in ("slope", "steps"):
        follow = {"slope": "rake", "steps": "step"}[answers.ground]
        why = {"slope": "rails run with the ground", "steps": "level bays, stepped at posts"}
        lines += ["", "[slopes]", f'follow = "{follow}"                  # {why[answers.ground]}']
    if answers.feet:
        lines += ["", "[sheets]", 'units = "ft-in"                  # as the lengths were said']
    return "\n".join(lines) + "\n"


def _run_lines(answers: FirstAnswers) -> list[str]:
    legs, say = answers.legs, partial(_length, feet=answers.feet)
    lines = [
        "",
        "# The line runs through the middle of the posts. Its points are [east, north]; the",
    ]
    lines += ["# pales are on its right, going along the points.", "[[run]]"]
    points = _points(legs)
    written = ", ".join(f"[{say(x)}, {say(y)}]" for x, y in points)
    lines.append(f"points = [{written}]")
    if len(legs) > 1:
        lines.append(f"# legs as they were said: {'; '.join(_remark(leg.said) for leg in legs)}")
    for end, word in (("start", "starts"), ("end", "ends")):
        if answers.walls in (end, "both"):
            lines.append(f'{word} = "wall"'.ljust(34) + " # a plate on it instead of a post")
    if answers.fall:
        long = math.fsum(leg.length for leg in legs)
        levels = f"levels = [[0, 0], [{say(long)}, {say(-answers.fall)}]]"
        lines.append(f"{levels}   # of the ground: [way along the line, level]")
    for gate in answers.gates:
        lines += ["", "  [[run.gate]]", f"  at = {say(gate.at)}".ljust(34)
                  + " # along the line to the middle of the opening"]  # fmt: skip
        if gate.width is not None:
            lines.append(f"  opening = {say(gate.width)}".ljust(34) + " # clear, between its posts")
    return lines


def _pale_lines(answers: FirstAnswers) -> list[str]:
    if answers.height is None and answers.head is None:
        return []
    say = partial(_length, feet=answers.feet)
    lines = ["", "[pales]"]
    if answers.height is not None:
        clearance = 2.0 * INCH if answers.feet else Pales().clearance
        length = say(answers.height - clearance)
        lines.append(f"length = {length}".ljust(34) + f" # the height that was said, less "
                     f"{say(clearance)} of air below")  # fmt: skip
        if answers.feet:
            lines.append(f"clearance = {say(clearance)}")
    if answers.head is not None:
        lines.append(f'head = "{answers.head}"')
    return lines


def _points(legs: Sequence[SaidLeg]) -> list[tuple[float, float]]:
    """Return the points of a line that starts to the east, mm; a turn to the right is to the
    south.
    """
    x = y = heading = 0.0
    points = [(0.0, 0.0)]
    for leg in legs:
        heading -= leg.turn
        x += leg.length * math.cos(math.radians(heading))
        y += leg.length * math.sin(math.radians(heading))
        points.append((round(x, 1) + 0.0, round(y, 1) + 0.0))
    return points


def _length(value: float, feet: bool) -> str:
    """Return a length as a spec has it: feet, or metres, where that is short, else millimetres."""
    sixteenths = value / INCH * SIXTEENTHS
    if feet and value and abs(sixteenths - round(sixteenths)) < 0.01:
        return f'"{_feet(value)}"'
    if value and value % 100.0 == 0.0 and abs(value) >= 1000.0:
        return f'"{value / 1000.0:g} m"'
    return f"{round(value, 1):g}" if abs(value) < 1e5 else f"{round(value, 1)}"


def _feet(value: float) -> str:
    """Return a length in feet and inches as a spec has it.

    >>> _feet(1689.1), _feet(-50.8)
    ('5 ft 6 1/2 in', '-2 in')
    """
    feet, whole, part = in_feet_and_inches(value)
    inches = " ".join(str(number) for number in (whole, part) if number)
    told = [f"{feet} ft"] if feet else []
    told += [f"{inches} in"] if inches else []
    return ("-" if value < 0.0 else "") + " ".join(told or ["0 in"])


def _remark(text: str) -> str:
    return " ".join(text.split())
