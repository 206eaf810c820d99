"""Bearings, angles and turns as people write them, to degrees."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Any

_ANGLE = (
    r"(?P<deg>\d+(?:\.\d+)?)\s*(?:degrees|degree|deg|°|-|\s|d)?\s*"
    r"(?:(?P<min>\d+(?:\.\d+)?)\s*(?:minutes|min|'|\u2032|-|\s)?\s*"
    r"(?:(?P<sec>\d+(?:\.\d+)?)\s*(?:seconds|sec|\"|\u2033|'')?)?)?"
)
_WHOLE = re.compile(_ANGLE, re.ASCII)
_QUADRANT = re.compile(rf"(?P<from>[ns])\s*-?\s*{_ANGLE}\s*-?\s*(?P<to>[ew])", re.ASCII)

POINTS = ("north", "north east", "east", "south east", "south", "south west", "west", "north west")
SHORT = ("n", "ne", "e", "se", "s", "sw", "w", "nw")

BEARINGS = 'degrees clockwise from north, as 68.5, or "N 68 30 E", "68-30-00", "north-east"'
"""What a bearing may look like, for messages."""

TURNS = '"right", "left", "right 45", "left 30-15" or "straight"'
"""What a turn may look like, for messages."""

LONGEST = 60
"""Most characters of a direction; more are no direction, and are not searched."""


@dataclass(frozen=True)
class Turn:
    """A turn of a line. side : 1 to the right, -1 to the left, 0 for straight on; degrees : how
    far, None where the side alone was said.
    """

    side: int
    degrees: float | None


def parse_angle(text: str) -> float:
    r"""Return degrees that may carry minutes and seconds. Raises ValueError.

    >>> parse_angle("45.5"), parse_angle("68-30"), parse_angle("19°46'12\"")
    (45.5, 68.5, 19.77)
    """
    found = _WHOLE.fullmatch(text.strip()) if len(text) <= LONGEST else None
    if found is None:
        raise ValueError("is no angle; write degrees, as 45.5 or 45-30-00")
    return _degrees(found)


def _degrees(found: re.Match[str]) -> float:
    minutes, seconds = float(found["min"] or 0.0), float(found["sec"] or 0.0)
    if minutes >= 60.0 or seconds >= 60.0:
        raise ValueError("has minutes and seconds under 60")
    if found["min"] and "." in found["deg"]:
        raise ValueError("has a fraction of a degree, and minutes")
    return round(float(found["deg"]) + minutes / 60.0 + seconds / 3600.0, 12)


def parse_bearing(value: Any) -> float:
    """Return a bearing in degrees clockwise from north, 0 to 360. Raises ValueError.

    >>> parse_bearing("S 68-30-36 W"), parse_bearing("N30E"), parse_bearing("north-west")
    (248.51, 30.0, 315.0)
    """
    if isinstance(value, str):
        bearing = _bearing_said(value.strip().casefold())
    elif isinstance(value, int | float) and not isinstance(value, bool):
        bearing = float(value)
    else:
        bearing = math.nan
    if not 0.0 <= bearing <= 360.0:  # nan is neither
        raise ValueError(f"a bearing is {BEARINGS}")
    return bearing % 360.0


def _bearing_said(said: str) -> float:
    """Return the bearing in a text, nan for none."""
    joined = re.sub(r"\b(north|south)[ -]*(east|west)", r"\1 \2", said)
    if joined in POINTS:
        return POINTS.index(joined) * 45.0
    if said in SHORT:
        return SHORT.index(said) * 45.0
    quadrant = _QUADRANT.fullmatch(said) if len(said) <= LONGEST else None
    if quadrant is None:
        try:
            return parse_angle(said)
        except ValueError:
            return math.nan
    inner = _degrees(quadrant)
    if inner > 90.0:
        raise ValueError("a bearing from north or south goes up to 90 degrees")
    bearing = inner if quadrant["from"] == "n" else 180.0 - inner
    return bearing if quadrant["to"] == "e" else 360.0 - bearing


def parse_turn(value: Any) -> Turn:
    """Return a turn as it was said. Raises ValueError, with what to say instead.

    >>> parse_turn("left"), parse_turn("45 degrees to the right"), parse_turn("straight")
    (Turn(side=-1, degrees=None), Turn(side=1, degrees=45.0), Turn(side=0, degrees=0.0))
    """
    if isinstance(value, Turn):
        return value
    if isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value):
        if value == 0:
            return Turn(0, 0.0)
        said = f"{abs(value):g}"
        raise ValueError(f'to which side? write "right {said}" or "left {said}"')
    if not isinstance(value, str) or len(value) > LONGEST:
        raise ValueError(f"a turn is {TURNS}")
    said = " ".join(
        value.casefold().replace("a right angle", "90").replace("right angle", "90").split()
    )
    if said in ("straight", "straight on", "0"):
        return Turn(0, 0.0)
    sides = re.findall(r"\b(left|right)\b", said)
    rest = re.sub(r"\b(left|right|to|the|turn|by)\b|,", " ", said).strip()
    if not sides and _WHOLE.fullmatch(rest):
        raise ValueError(f'to which side? write "right {rest}" or "left {rest}"')
    if len(sides) != 1:
        raise ValueError(f"a turn is {TURNS}")
    side = 1 if sides[0] == "right" else -1
    if not rest:
        return Turn(side, None)
    try:
        degrees = parse_angle(rest)
    except ValueError:
        raise ValueError(f"a turn is {TURNS}") from None
    if not 0.0 <= degrees < 180.0:
        raise ValueError(f"a turn is under 180 degrees, not {degrees:g}")
    return Turn(side if degrees else 0, degrees)
