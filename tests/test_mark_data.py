"""Marks in CAD: blocks with attributes, whose counts add up to the members of the fence."""

from __future__ import annotations

import io
from collections import Counter

import ezdxf
import pytest

from helpers import ROOT, example_fence
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.sets.sheet_sets import Purpose, sheet_set
from palewright.export.drawing.writers.dxf import write_dxf
from palewright.model.fence.fence_model import FenceModel

STYLE = Style()


def extracted(fence: FenceModel, purpose: Purpose, version: str) -> list[dict[str, str]]:
    """What a data extraction lists: the attributes of every block in the model space."""
    sheets, drawn = sheet_set(fence, purpose, STYLE)
    data = write_dxf(sheets, "test", drawn, version)
    doc = ezdxf.read(io.StringIO(data.decode("utf-8" if version != "R12" else "cp1252")))
    assert not doc.audit().has_errors
    rows = []
    for insert in doc.modelspace().query("INSERT"):
        if insert.attribs:
            block = doc.blocks.get(insert.dxf.name)
            tags = [attdef.dxf.tag for attdef in block.query("ATTDEF")]
            assert tags == [attrib.dxf.tag for attrib in insert.attribs]
            assert all(attrib.is_invisible for attrib in insert.attribs)
            rows.append({attrib.dxf.tag: attrib.dxf.text for attrib in insert.attribs})
    return rows


@pytest.mark.parametrize(
    ("name", "version"), [("cottage", "R2018"), ("hillside", "R2010"), ("cottage", "R12")]
)
def test_a_data_extraction_counts_every_member_once(name: str, version: str) -> None:
    fence = example_fence(ROOT / "examples" / f"{name}.toml")
    rows = extracted(fence, Purpose.WORKSHOP, version)
    counts: Counter[str] = Counter()
    for row in rows:
        counts[row["MARK"]] += int(row["COUNT"])
    assert counts == {mark: len(members) for mark, members in fence.by_mark.items()}
    for row in rows:
        member = fence.by_mark[row["MARK"]][0]
        assert row["KIND"] == member.kind.name
        assert float(row["LENGTH"]) == pytest.approx(member.shape.size[2], abs=0.5001)
        first, second = row["SIZE"].split(" x ")
        assert float(first) == pytest.approx(member.shape.size[0], abs=0.051)
        assert float(second) == pytest.approx(member.shape.size[1], abs=0.051)
        assert row["PLACE"]


def test_the_text_of_marks_is_in_their_blocks() -> None:
    """Programs that know no attributes show the marks all the same."""
    fence = example_fence(ROOT / "examples" / "cottage.toml")
    sheets, drawn = sheet_set(fence, Purpose.WORKSHOP, STYLE)
    doc = ezdxf.read(io.StringIO(write_dxf(sheets, "test", drawn).decode()))
    insert = next(i for i in doc.modelspace().query("INSERT") if i.dxf.name == "MARKS-PO1")
    assert insert.dxf.xscale == insert.dxf.yscale == 50.0
    (text,) = doc.blocks.get("MARKS-PO1").query("TEXT")
    assert text.dxf.text == "PO1"
    assert text.dxf.height * insert.dxf.yscale == pytest.approx(125.0)
