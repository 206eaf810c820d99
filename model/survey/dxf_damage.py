"""What of a damaged DXF drawing is left out, and how much that is; binary drawings as text."""

from __future__ import annotations

from dataclasses import dataclass, field

from .points_and_lines import SurveyError

NEEDED: dict[bytes, frozenset[int]] = {
    b"LINE": frozenset((10, 20, 11, 21)),
    b"ARC": frozenset((10, 20, 40, 50, 51)),
    b"CIRCLE": frozenset((10, 20, 40)),
    b"POINT": frozenset((10, 20)),
    b"VERTEX": frozenset((10, 20)),
    b"LWPOLYLINE": frozenset((10, 20)),
    b"INSERT": frozenset((2,)),
}
"""Codes without which a thing says nothing (DXF reference, ENTITIES)."""

REALS = frozenset((*range(10, 60), *range(140, 150), *range(210, 240), *range(1010, 1060)))
WHOLES = frozenset((*range(60, 80), *range(90, 100), *range(170, 180), *range(270, 290)))
"""Codes with a value that is a real and a whole number (DXF reference, group codes)."""

NO_ENTITY = frozenset((b"VERTEX", b"SEQEND", b"ENDSEC", b"BLOCK", b"ENDBLK"))

MOST_NAMED = 5


@dataclass
class Damage:
    """What was left out of a drawing. kept : entities that stay; lost : kinds of those
    that do not; early : whether the file ends before its end; start : of the polyline that is
    read, in parts, or -1.
    """

    kept: int = 0
    lost: list[str] = field(default_factory=list)
    early: bool = False
    spoiled: bool = False
    start: int = -1

    def look(self, name: bytes, parts: list[bytes], *, inside: bool, last: bool) -> None:
        """Take the thing that was put last into parts out again where it is damaged.

        A polyline is lost as a whole: without one of its points it would be another.
        """
        if not name or name == b"ENDSEC":
            return
        ours = name in (b"VERTEX", b"SEQEND") and (self.start >= 0 or self.spoiled)
        if self.spoiled and ours:
            parts.pop()
            return
        self.spoiled = False
        self.start = self.start if ours else len(parts) - 1 if name == b"POLYLINE" else -1
        if not last and _sound(name, parts[-1]):
            self.kept += inside and name not in NO_ENTITY
            return
        if ours:
            del parts[self.start :]
            self.kept -= inside
        else:
            parts.pop()
        self.spoiled = ours or name == b"POLYLINE"
        self.start = -1
        self.lost.append("POLYLINE" if ours else name.decode("ascii", "replace"))

    def close(self, parts: list[bytes], section: bytes) -> None:
        """End a drawing that does not end; section : that is open."""
        self.early = True
        if parts and not parts[-1].endswith(b"\n"):
            parts.append(b"\n")
        open_block = b"ENDBLK\n" if section == b"BLOCKS" else b""
        if section == b"TABLES":
            open_block = b"ENDTAB\n"
        if open_block:
            parts.append(b"0\n" + open_block)
        if section:
            parts.append(b"0\nENDSEC\n")
        parts.append(b"0\nEOF\n")

    def notes(self, there: int) -> list[str]:
        """Return what to say of it. there : entities that were read in the end."""
        found = []
        missing = max(0, self.kept - there)
        if self.early:
            found.append(
                "the file is damaged: it ends early, and what followed is lost; "
                f"{there} entities are read"
            )
        if self.lost or missing:
            names = ", ".join(self.lost[:MOST_NAMED]) + (", ..." * (len(self.lost) > MOST_NAMED))
            total = len(self.lost) + missing
            found.append(
                f"the file is damaged: {total} of {there + total} entities cannot be read and are "
                f"left out{f' ({names})' if names else ''}"
            )
        return found


def _sound(name: bytes, piece: bytes) -> bool:
    """Return whether a thing is whole pairs of a code and a value that fits it."""
    rows = piece.split(b"\n")
    if rows and not rows[-1].strip():
        rows.pop()
    if len(rows) % 2:
        return False
    codes = set()
    for code, value in zip(rows[::2], rows[1::2], strict=True):
        try:
            number = int(code)
            if number in REALS:
                float(value)
            elif number in WHOLES:
                int(value)
        except ValueError:
            return False
        codes.add(number)
    return NEEDED.get(name, frozenset()) <= codes


def text_of_binary(data: bytes, file: str, damage: Damage) -> bytes:
    """Return a binary drawing as one in text.

    Raises
    ------
    SurveyError
        When nothing of it can be read.
    """
    from ezdxf.lldxf.tagger import binary_tags_loader
    from ezdxf.tools.codepage import toencoding

    rows: list[str] = []
    encoding, version, variable, ended = "cp1252", "", "", False
    try:
        for tag in binary_tags_loader(data):
            value = tag.value
            if isinstance(value, bytes):
                value = value.hex().upper()
            elif isinstance(value, str):
                value = " ".join(value.splitlines())
            elif isinstance(value, float):
                value = repr(value)
            if tag.code == 9:
                variable = str(value)
            elif variable == "$ACADVER" and tag.code == 1:
                version = str(value)
            elif variable == "$DWGCODEPAGE" and tag.code == 3:
                encoding = toencoding(str(value))
            rows.append(f"{tag.code:>3}\n{value}\n")
            ended = tag.code == 0 and value == "EOF"
    except Exception:  # whatever broken bytes make of it: told as damage
        damage.early = True
    if not rows:
        raise SurveyError(f"{file}: is not a DXF drawing that can be read: nothing in it is sound")
    damage.early = damage.early or not ended
    if version >= "AC1021":
        encoding = "utf-8"
    return "".join(rows).encode(encoding, "surrogateescape" if encoding == "utf-8" else "replace")
