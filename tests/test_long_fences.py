"""Drawings of long fences: slight corners in one elevation, outlines at small scales, and plain
entities that are written as text.
"""

from __future__ import annotations

import io
import math
from typing import Any

import ezdxf
import pytest
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment as Align
from hypothesis import given, settings
from hypothesis import strategies as st

from helpers import fence_of
from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.scales import Scale
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.draft.view import Dimension, Insert, Line, View
from palewright.export.drawing.views.elevation import elevation
from palewright.export.drawing.views.front import FrontPart, fronts_of
from palewright.export.drawing.writers.dxf import written
from palewright.export.drawing.writers.dxf_text import EntityWriter
from palewright.model.fence.fence_model import FenceModel


def turned(degrees: float, **run: Any) -> FenceModel:
    """Return two legs of 6 m that meet in a corner."""
    end = [6000 + 6000 * math.cos(math.radians(degrees)), 6000 * math.sin(math.radians(degrees))]
    return fence_of({"run": [{"points": [[0, 0], [6000, 0], end], **run}]})


def shown(fence: FenceModel, scale: float) -> View:
    """Return the elevation of the first front, whole."""
    front = fronts_of(fence.layouts[0])[0]
    part = FrontPart(0, front, 0, len(front.stations) - 1)
    return elevation(fence, part, Draft(Scale(scale, f"1:{scale:g}"), Style()))


@pytest.mark.parametrize(("degrees", "fronts"), [(10, 1), (-14.9, 1), (15.1, 2), (-60, 2)])
def test_a_slight_corner_is_no_new_front(degrees: float, fronts: int) -> None:
    fence = turned(degrees)
    found = fronts_of(fence.layouts[0])
    assert len(found) == fronts
    assert sum(front.length for front in found) == pytest.approx(12_000)
    drawn = [item for item in shown(fence, 50).items if isinstance(item, Insert)]
    pales = sum(len(s.pales) for leg in found[0].legs for s in fence.layouts[0].stretches_of[leg])
    assert len(drawn) == pales


@settings(max_examples=25, deadline=None)
@given(st.lists(st.floats(-14, 14), min_size=1, max_size=6))
def test_a_developed_front_is_as_long_as_its_line(turns: list[float]) -> None:
    """Bays of the elevation add up to the legs; each pale is where it is along the line."""
    points, heading = [(0.0, 0.0)], 0.0
    for turn in (0.0, *turns):
        heading += math.radians(turn)
        x, y = points[-1]
        points.append((x + 3300 * math.cos(heading), y + 3300 * math.sin(heading)))
    fence = fence_of({"run": [{"points": [list(point) for point in points]}]})
    layout = fence.layouts[0]
    (front,) = fronts_of(layout)
    view = shown(fence, 50)
    chain = [item for item in view.items if isinstance(item, Dimension) and not item.degrees]
    row = max(item.base[1] for item in chain)
    bays = math.fsum(item.end[0] - item.start[0] for item in chain if item.base[1] == row)
    assert bays == pytest.approx(front.stations[-1][0] - front.stations[0][0], abs=1e-6)
    along = sorted(
        layout.legs[s.leg_number].before + pale.x for s in layout.stretches for pale in s.pales
    )
    drawn = sorted(item.at[0] for item in view.items if isinstance(item, Insert))
    assert drawn == pytest.approx(along, abs=1e-3)


@pytest.fixture(scope="module")
def lane() -> FenceModel:
    """Return 300 m of fence up and down a slope, with a gate."""
    run = {
        "points": [[0, 0], ["300 m", 0]],
        "levels": [[0, 0], ["140 m", "4 m"], ["300 m", "1 m"]],
        "gate": [{"at": "40 m", "opening": 1200}],
    }
    return fence_of({"run": [run]})


def test_pales_that_run_together_are_drawn_in_outline(lane: FenceModel) -> None:
    view = shown(lane, 1000)
    layout = lane.layouts[0]
    assert not any(isinstance(item, Insert) for item in view.items)
    closed = [item for item in view.items if isinstance(item, Line) and item.closed]
    bays = [item for item in closed if item.layer == layers.PALES]
    posts = [item for item in closed if item.layer == layers.POSTS]
    leaves = sum(len(opening.leaves) for opening in layout.openings)
    assert len(bays) - leaves == sum(len(s.xs) - 1 for s in layout.stretches)
    assert len(posts) == len(layout.posts)
    pales = [pale for stretch in layout.stretches for pale in stretch.pales]
    levels = [z for item in bays for _, z, _ in item.vertices]
    assert max(levels) == pytest.approx(max(pale.top for pale in pales), abs=50)
    xs = [x for item in bays for x, _, _ in item.vertices]
    half = layout.run.pales.widest / 2.0
    assert (min(xs), max(xs)) == pytest.approx(
        (min(p.x for p in pales) - half, max(p.x for p in pales) + half), abs=1e-6
    )
    lengths = [item for item in view.items if isinstance(item, Dimension) and not item.degrees]
    assert len(lengths) == 1  # bays of 3 mm on paper have no figures


def test_pales_that_stand_apart_are_drawn_singly(lane: FenceModel) -> None:
    view = shown(lane, 500)
    pales = sum(len(stretch.pales) for stretch in lane.layouts[0].stretches)
    leaves = [m for m in lane.members if m.kind.name == "pale"]
    drawn = sum(isinstance(item, Insert) for item in view.items)
    assert pales < drawn == len(leaves)


def by_library(doc: Drawing) -> None:
    space = doc.modelspace()
    space.add_line((1, 2), (3.5, 4), dxfattribs={"layer": "A"})
    if doc.dxfversion > "AC1009":
        corners = [(0, 0, 0), (10, 0, 0.5), (10, 5, 0)]
        space.add_lwpolyline(corners, format="xyb", close=True, dxfattribs={"layer": "A"})
    space.add_circle((7, 7), 2)
    for align in (Align.LEFT, Align.CENTER, Align.RIGHT):
        text = space.add_text("Ä 12%%d", height=2.5, rotation=30, dxfattribs={"layer": "B"})
        text.set_placement((5, 6), align=align)
    space.add_blockref("PALE", (8, 9), dxfattribs={"layer": "A", "rotation": 45})


def by_text(doc: Drawing) -> None:
    space = doc.modelspace()
    writer = EntityWriter(space)
    writer.line((1.0, 2.0), (3.5, 4.0), "A")
    if doc.dxfversion > "AC1009":
        writer.polyline([(0.0, 0.0, 0.0), (10.0, 0.0, 0.5), (10.0, 5.0, 0.0)], "A", closed=True)
    space.add_circle((7, 7), 2)
    for align in ("left", "centre", "right"):
        writer.text("Ä 12%%d", (5.0, 6.0), 2.5, ("B", "Standard"), (30.0, align))
    writer.use("PALE", (8.0, 9.0), "A", 45.0)


@pytest.mark.parametrize("version", ["R12", "R2010", "R2018"])
def test_entities_written_as_text_are_those_of_the_library(version: str) -> None:
    found = []
    for draw in (by_library, by_text):
        doc = ezdxf.new(version)
        for name in ("A", "B"):
            doc.layers.add(name)
        doc.blocks.new("PALE").add_line((0, 0), (0, 1))
        draw(doc)
        encoding = "utf-8" if doc.dxfversion >= "AC1021" else "cp1252"
        again = ezdxf.read(io.StringIO(written(doc).decode(encoding)))
        audit = again.audit()
        assert not audit.errors
        assert not audit.fixes
        handles = [entity.dxf.handle for entity in again.modelspace()]
        assert len(set(handles)) == len(handles)
        entities = []
        for entity in again.modelspace():
            told = {
                k: v
                for k, v in entity.dxfattribs().items()
                if k not in ("handle", "owner", "style")
            }
            if not told.get("halign"):
                told.pop("align_point", None)  # text from its left end has no use for it
            points = [tuple(p) for p in entity.get_points()] if "LW" in entity.dxftype() else []
            entities.append((entity.dxftype(), told, points))
        found.append(entities)
    assert found[0] == found[1]
    assert len(found[0]) == 7 - (version == "R12")
