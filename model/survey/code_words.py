"""Which words behind a code say what, and the lines that they make of points."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class FieldCodes:
    """Words by what they say, in any case of letters.

    read : whether any are; begin, end, close : of a line; curve, curve_end : of a curve through all
    shots from one to the other, or through three where no end comes; arc : the first of three shots
    on an arc; tangent, tangent_end : as curve, but with no shot between an arc that runs on from
    the straight before; remark : what starts a remark, as the start of a word; apart : mm, see
    `coded_lines`.
    """

    read: bool = True
    begin: tuple[str, ...] = ("B", "BEG", "BL")
    end: tuple[str, ...] = ("E", "END", "EL")
    close: tuple[str, ...] = ("CLS", "CLOSE")
    curve: tuple[str, ...] = ("BC",)
    curve_end: tuple[str, ...] = ("EC",)
    arc: tuple[str, ...] = ("C3",)
    tangent: tuple[str, ...] = ("PC",)
    tangent_end: tuple[str, ...] = ("PT",)
    remark: str = "/"
    apart: float = 50_000.0

    def words(self) -> dict[str, str]:
        """Return what each word says, words in small letters."""
        return {word.casefold(): key for key in WORDS for word in getattr(self, key)}


USUAL_CODES = FieldCodes()

WORDS = (
    "begin", "end", "close", "curve", "curve_end", "arc", "tangent", "tangent_end"
)  # fmt: skip
"""What words may say."""


@dataclass(frozen=True)
class Chain:
    """Points that make a line, as codes tell it.

    name : of the line; group : code of its points; points : their numbers, from 0; closed : whether
    it was said to close; bends : (first, last, whether tangent) places in points between which it
    is curved; told : whether words say where it starts, ends or curves.
    """

    name: str
    group: str
    points: tuple[int, ...]
    closed: bool = False
    bends: tuple[tuple[int, int, bool], ...] = ()
    told: bool = False
