"""What is cut in the timber as rows for the workshop, by mark, face and place."""

from __future__ import annotations

from collections.abc import Callable

from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.lists.machining import MachinedCut, machined_marks

from .list_tables import Row, in_units

THROUGH = "through"


def machining_table(fence: FenceModel) -> list[Row]:
    """Return one row for each cut in a mark, mm: of a round one its middle, of others the edge that
    is nearest to the foot, the left end, and the edge of the face that places count from.
    """
    rows: list[Row] = [
        ("mark", "part", "pieces", "face", "cut", "from foot or left end mm", "from edge mm",
         "diameter mm", "length mm", "width mm", "depth mm", "off square degrees"),
    ]  # fmt: skip
    for made in machined_marks(fence):
        for cut in made.cuts:
            diameter, length, width = (
                (mm(cut.size[0]), "", "") if cut.round else ("", mm(cut.size[0]), mm(cut.size[1]))
            )
            rows.append(
                (made.mark, made.kind.name, made.count, cut.face.name, cut.what, mm(cut.along),
                 mm(cut.across), diameter, length, width,
                 THROUGH if cut.depth is None else mm(cut.depth),
                 f"{cut.slant:.1f}" if cut.slant else "")
            )  # fmt: skip
    return in_units(rows, feet=fence.job.feet)


def machining_tables(fence: FenceModel) -> dict[str, list[Row]]:
    """Return the table by its name, none where joints are not cut."""
    return {"machining": machining_table(fence)} if fence.job.joinery.cut else {}


def cut_words(cut: MachinedCut, text: Callable[[float], str]) -> str:
    """Return a cut in words: "hole 11 through", "mortise 75 x 12.7, 40 deep"."""
    size = " x ".join(text(value) for value in cut.size)
    deep = f" {THROUGH}" if cut.depth is None else f", {text(cut.depth)} deep"
    slant = f", {cut.slant:.1f} degrees off square" if cut.slant else ""
    return f"{cut.what} {size}{deep}{slant}"
