"""What of a DXF drawing is read at all: its lines, points and blocks, within a budget of work."""

from __future__ import annotations

import itertools
import re

from .dxf_damage import Damage, text_of_binary
from .points_and_lines import SurveyError

KEPT = frozenset(
    b"SECTION ENDSEC EOF TABLE ENDTAB LAYER BLOCK_RECORD BLOCK ENDBLK LINE ARC CIRCLE LWPOLYLINE "
    b"POLYLINE VERTEX SEQEND SPLINE ELLIPSE POINT INSERT".split()
)
"""What things are kept; texts, hatches, dimensions and the like hold no line to follow."""

DROPPED = frozenset(b"CLASSES OBJECTS THUMBNAILIMAGE ACDSDATA".split())
"""Sections that are left out."""

MOST_THINGS, MOST_TAGS = 9_000, 160_000
"""Entities, points of old polylines among them, and pairs of code and value that are kept at most:
what is read in two seconds. A line has eight to twenty pairs."""

LARGEST_BINARY = 4_000_000
"""Bytes of a binary drawing, which is made text of first."""

BINARY = b"AutoCAD Binary DXF\r\n\x1a\x00"

_STARTS = re.compile(rb"(?:\xef\xbb\xbf)?\s*(?:999\s*?\n[^\n]*\n\s*)*0\s*?\n\s*SECTION\s")
"""How drawings in text start, remarks (999) before all else."""

_THING = re.compile(rb"(?:\A|(?<=\n))[ \t]*0[ \t]*\r?\n[ \t]*([A-Z][A-Z0-9_]*)[ \t]*\r?(?:\n|\Z)")
"""A code 0 and the name of the thing that it starts: a value of 0 is followed by a code, a number,
and by no name.
"""

_NAME = re.compile(rb"\s*2\s*?\n[ \t]*([A-Z]+)")
_EXTENDED = re.compile(rb"(?<=\n)[ \t]*1001[ \t]*\r?\n")


def lean(data: bytes, file: str, damage: Damage | None = None) -> bytes:
    """Return a drawing, as text, without what is not read and what is damaged.

    damage : takes up what is left out as damaged.

    Raises
    ------
    SurveyError
        When it does not start as a drawing, or holds too much; nothing of it is in the text.
    """
    damage = damage if damage is not None else Damage()
    if not data.strip():
        raise SurveyError(f"{file}: is empty")
    if data.startswith(BINARY):
        if len(data) > LARGEST_BINARY:
            raise SurveyError(
                f"{file}: is larger than {LARGEST_BINARY} bytes, the most that is read of a binary "
                "drawing; save it as text"
            )
        data = text_of_binary(data, file, damage)
    if not _STARTS.match(data):
        raise SurveyError(f"{file}: is not a DXF drawing: it does not start as one")
    parts: list[bytes] = []
    tags, start, wanted, section = 0, 0, True, b""
    name = b""
    said = f"{MOST_THINGS} things of {MOST_TAGS} pairs of code and value"
    for thing in itertools.chain(_THING.finditer(data), (None,)):
        end = len(data) if thing is None else thing.start()
        if wanted and section not in DROPPED:
            tags += _keep(data[start:end], parts)
        if tags > MOST_TAGS or len(parts) > MOST_THINGS:
            raise SurveyError(
                f"{file}: has more lines and points than are read ({said}); save the layers alone "
                "that the fence is on"
            )
        if wanted and section in (b"ENTITIES", b"BLOCKS") and name != b"SECTION":
            damage.look(name, parts, inside=section == b"ENTITIES", last=thing is None)
        if thing is None:
            break
        start, name = end, thing[1]
        if name == b"SECTION":
            told = _NAME.match(data, thing.end())
            section = told[1] if told else b"?"
        wanted = name in KEPT
        if name == b"ENDSEC":
            wanted = section not in DROPPED
            section = b""
    if name != b"EOF":
        damage.close(parts, section)
    return b"".join(parts)


def _keep(piece: bytes, parts: list[bytes]) -> int:
    """Add a thing without its extended data; return how many pairs it has."""
    lines = counted = 0
    for extended in _EXTENDED.finditer(piece):
        lines += piece.count(b"\n", counted, extended.start())
        counted = extended.start()
        if lines % 2 == 0:  # on a code's line: a value may be 1001 too
            piece = piece[: extended.start()]
            break
    parts.append(piece)
    return piece.count(b"\n") // 2
