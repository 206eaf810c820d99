"""Quantities counted again from what is built: STEP by the kernel, DXF blocks, and every list.

A hundred random fences with gates, slopes and corners: order, CSV, XLSX, JSON, STEP and DXF say one
thing.
"""

from __future__ import annotations

import csv
import io
import json
import math
import random
from collections import Counter
from decimal import Decimal
from pathlib import Path

import ezdxf
import openpyxl
import pytest
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label, TDF_LabelSequence
from OCP.TDocStd import TDocStd_Document
from OCP.XCAFDoc import XCAFDoc_DocumentTool, XCAFDoc_ShapeTool
from test_second_calculator import random_spec

from helpers import fence_of, usually
from palewright.export.drawing.sets.drawing_files import set_files
from palewright.export.drawing.sets.sheet_sets import Purpose
from palewright.export.models.product import Product
from palewright.export.models.step import write_step
from palewright.export.papers.workbook import write_workbook
from palewright.export.tables.order_tables import write_tables
from palewright.model.basis.errors import SpecError
from palewright.model.checks.building_checks import check
from palewright.model.fence.fence_model import FenceModel
from palewright.model.order.order_lines import Order
from palewright.model.order.takeoff_document import takeoff_json

FENCES, EACH, DRAWN = usually(100, 40), 10, 5
"""Fences in all, in one test, and of how many one is drawn too."""


def counted(step: bytes, path: Path) -> tuple[Counter[str], dict[str, float]]:
    """Return how often each mark stands in a STEP file, and the volume of one, mm3."""
    path.write_bytes(step)
    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    assert reader.ReadFile(str(path)) == IFSelect_ReturnStatus.IFSelect_RetDone
    assert reader.Transfer(document)
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    count: Counter[str] = Counter()
    volumes: dict[str, float] = {}

    def walk(label: TDF_Label) -> None:
        parts = TDF_LabelSequence()
        XCAFDoc_ShapeTool.GetComponents_s(label, parts)
        for number in range(1, parts.Length() + 1):
            part = TDF_Label()
            assert XCAFDoc_ShapeTool.GetReferredShape_s(parts.Value(number), part)
            if XCAFDoc_ShapeTool.IsAssembly_s(part):
                walk(part)
                continue
            name = TDataStd_Name()
            assert part.FindAttribute(TDataStd_Name.GetID_s(), name)
            mark = name.Get().ToExtString()
            count[mark] += 1
            if mark not in volumes:
                properties = GProp_GProps()
                BRepGProp.VolumeProperties_s(XCAFDoc_ShapeTool.GetShape_s(part), properties)
                volumes[mark] = properties.Mass()

    free = TDF_LabelSequence()
    shapes.GetFreeShapes(free)
    for number in range(1, free.Length() + 1):
        walk(free.Value(number))
    return count, volumes


def random_fence(number: int) -> FenceModel:
    """Return a random fence without faults that stop the job."""
    rng = random.Random(1000 + number)
    while True:
        try:
            fence = fence_of(random_spec(rng))
        except (SpecError, AssertionError):
            continue
        if not any(finding.severity.value == "stop" for finding in check(fence)):
            return fence


def same_lists(fence: FenceModel, order: Order) -> dict[str, Decimal]:
    """Return what is ordered, by item, after finding it alike in CSV, XLSX and JSON."""
    told = [(line.item, line.unit, line.quantity) for line in order.lines]
    table = write_tables(fence, order, "f")["f-order.csv"].decode("utf-8-sig")
    rows = list(csv.reader(io.StringIO(table)))[1:]
    assert [(row[1], row[3], Decimal(row[2])) for row in rows] == told
    book = openpyxl.load_workbook(io.BytesIO(write_workbook(fence, order)))["Order"]
    cells = [[cell.value for cell in row] for row in book.iter_rows(min_row=2)]
    assert [(row[1], row[3], Decimal(str(row[2]))) for row in cells] == told
    lines = json.loads(takeoff_json(fence, order))["order"]["lines"]
    assert [(x["item"], x["unit"], Decimal(x["quantity"])) for x in lines] == told
    return {item: quantity for item, _, quantity in told}


@pytest.mark.slow
@pytest.mark.parametrize("first", range(0, FENCES, EACH))
def test_every_list_is_what_stands_in_the_step_file(first: int, tmp_path: Path) -> None:
    for number in range(first, first + EACH):
        fence = random_fence(number)
        built = Product(fence)
        count, volumes = counted(write_step(built), tmp_path / "f.step")
        assert count == Counter(m.mark for m in fence.members)

        def of(prefix: str, marks: Counter[str] = count) -> int:
            return sum(n for mark, n in marks.items() if mark.rstrip("0123456789") == prefix)

        def volume(*prefixes: str, marks: Counter[str] = count, each=volumes) -> float:  # type: ignore[no-untyped-def]
            return math.fsum(
                each[mark] * n for mark, n in marks.items()
                if mark.rstrip("0123456789") in prefixes
            )  # fmt: skip

        order = built.order
        ordered = same_lists(fence, order)
        assert ordered["set post"] == of("PO")
        assert ordered["dig hole"] == of("FO")
        assert ordered["fix rail"] == of("RA")
        assert ordered["fix pale"] == of("PA")
        bolts = {item: n for item, n in ordered.items() if item.startswith("bolt ")}
        straps = [m for m in fence.members if m.mark.startswith("HS")]
        held = sum(bolts.values())
        assert of("BO") <= held <= of("BO") + len(straps)
        assert order.concrete.net * 1e9 == pytest.approx(volume("FO"), rel=1e-6)
        timber = sum(line.volume for line in order.timber)
        sawn = volume("PO", "WP", "RA", "PA", "GB", "LE", "BR")
        assert timber == pytest.approx(sawn, rel=1e-6)
        pieces = sum(b.count * len(b.pieces) for line in order.timber for b in line.plan.boards)
        assert pieces == sum(of(kind) for kind in ("PO", "WP", "RA", "PA", "GB", "LE", "BR"))
        if number % DRAWN == 0:
            files = set_files(fence, Purpose.BUILD, "f", ("dxf",))
            drawn = ezdxf.read(io.StringIO(next(iter(files.values())).decode("utf-8")))
            inserts = Counter(
                insert.dxf.name for insert in drawn.modelspace().query("INSERT")
                if insert.dxf.name.endswith("-PLAN")
            )  # fmt: skip
            assert sum(inserts.values()) == of("PA")
            for name, many in inserts.items():
                assert many == count[name.removesuffix("-PLAN")]
