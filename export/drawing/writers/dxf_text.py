"""The plain entities of a DXF drawing (lines, polylines, text, uses of blocks), written as text.

A long fence has half a million of them. As objects of the library each takes some 0.15 ms and 4 kB
to make and to write, as text a thirtieth; the library still makes the document round them, and all
that is more than a few group codes. Group codes: Autodesk's DXF reference, "Entities".
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from ezdxf.entities import DXFGraphic

from palewright.model.geometry.frames import Point

if TYPE_CHECKING:
    from ezdxf.layouts import BaseLayout
    from ezdxf.lldxf.tagwriter import AbstractTagWriter

ALIGNED = {"left": 0, "centre": 1, "right": 2}
"""Group 72 of a text."""


class WrittenEntities(DXFGraphic):
    """Entities in a row that are written already, in the place of one of the library's."""

    DXFTYPE = "PALEWRIGHT_WRITTEN"

    def __init__(self) -> None:
        super().__init__()
        self.pieces: list[str] = []

    def export_dxf(self, tagwriter: AbstractTagWriter) -> None:
        """Write them, as they are."""
        tagwriter.write_str("".join(self.pieces))


class EntityWriter:
    """Adds plain entities to a model space, a sheet or a block, in the order of the calls.

    space : where to; what the library adds to it in between keeps its place.
    """

    def __init__(self, space: BaseLayout) -> None:
        assert space.doc is not None
        self._entities = space.entity_space
        self._doc = space.doc
        self._handles = space.doc.entitydb.handles
        self.old = space.dxfversion <= "AC1009"
        self._owner = space.layout_key

    def line(self, start: Point, end: Point, layer: str, ltscale: float | None = None) -> None:
        """Add a line. ltscale : of its dashes."""
        self._add("LINE", layer, "AcDbLine", [_point(0, start), _point(1, end)], ltscale)

    def polyline(
        self,
        vertices: Iterable[tuple[float, float, float]],
        layer: str,
        *,
        closed: bool,
        ltscale: float | None = None,
    ) -> None:
        """Add a light polyline, which R12 does not know. vertices : (x, y, bulge)."""
        points = [
            f" 10\n{x}\n 20\n{y}\n" + (f" 42\n{bulge}\n" if bulge else "")
            for x, y, bulge in vertices
        ]
        head = f" 90\n{len(points)}\n 70\n{int(closed)}\n"
        self._add("LWPOLYLINE", layer, "AcDbPolyline", [head, *points], ltscale)

    def text(
        self, words: str, at: Point, height: float, how: tuple[str, str], turned: tuple[float, str]
    ) -> None:
        """Add a line of text. at : on its baseline; how : layer and style; turned : degrees, and
        "left", "centre" or "right".
        """
        layer, style = how
        degrees, align = turned
        values = [_point(0, at), f" 40\n{height}\n  1\n{words}\n"]
        if degrees:
            values.append(f" 50\n{degrees}\n")
        values.append(f"  7\n{style}\n")
        if align != "left":
            values += [f" 72\n{ALIGNED[align]}\n", _point(1, at)]
        if not self.old:
            values.append("100\nAcDbText\n")
        self._add("TEXT", layer, "AcDbText", values)

    def use(self, block: str, at: Point, layer: str, degrees: float) -> None:
        """Add a use of a block."""
        values = [f"  2\n{block}\n", _point(0, at)]
        if degrees:
            values.append(f" 50\n{degrees}\n")
        self._add("INSERT", layer, "AcDbBlockReference", values)

    def data(
        self, block: str, at: Point, size: tuple[float, float], how: tuple[str, str],
        values: Iterable[tuple[str, str]],
    ) -> None:  # fmt: skip
        """Add a use of a block with attributes that are not shown. size : its scale, and height of
        the attributes' letters; how : layer and style; values : tag and value of each.
        """
        scale, height = size
        layer, style = how
        factors = f" 41\n{scale}\n 42\n{scale}\n 43\n{scale}\n"
        start = [" 66\n1\n", f"  2\n{block}\n", _point(0, at), factors]
        self._add("INSERT", layer, "AcDbBlockReference", start)
        for tag, value in values:
            said = [
                _point(0, at), f" 40\n{height}\n  1\n{value}\n  7\n{style}\n",
                "" if self.old else "100\nAcDbAttribute\n", f"  2\n{tag}\n 70\n1\n",
            ]  # fmt: skip
            self._add("ATTRIB", layer, "AcDbText", said)
        self._add("SEQEND", layer, "", [])

    def _add(
        self, kind: str, layer: str, subclass: str, values: list[str], ltscale: float | None = None
    ) -> None:
        head = f"  0\n{kind}\n  5\n{self._handles.next()}\n"
        if self.old:
            head += f"  8\n{layer}\n"
        else:
            head += f"330\n{self._owner}\n100\nAcDbEntity\n  8\n{layer}\n"
            if ltscale is not None:
                head += f" 48\n{ltscale}\n"
            head += f"100\n{subclass}\n" if subclass else ""
        self._row().extend((head, *values))

    def _row(self) -> list[str]:
        """Return the pieces of the last row, or of a new one after an entity of the library's."""
        last = self._entities[-1] if len(self._entities) else None
        if not isinstance(last, WrittenEntities):
            last = WrittenEntities.new(doc=self._doc, owner=self._owner)
            self._doc.entitydb.add(last)
            self._entities.add(last)
        return last.pieces


def _point(number: int, point: Point) -> str:
    return f" 1{number}\n{point[0]}\n 2{number}\n{point[1]}\n 3{number}\n0.0\n"
