"""Views: what is hidden, chains that close, and the kernel's own projection beside ours."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest
import shapely

from helpers import fence_of
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.figures import Figures
from palewright.export.drawing.draft.lettering import text_width
from palewright.export.drawing.draft.scales import METRIC, Scale, scale_for
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.draft.view import Dimension, Insert, Line
from palewright.export.drawing.views.dimensions import chain
from palewright.export.drawing.views.elevation import elevation
from palewright.export.drawing.views.front import fronts_of, members_near, parts_of_front
from palewright.export.drawing.views.members_shown import Facing, show
from palewright.export.drawing.views.projection import project, visible
from palewright.export.models.product import Product
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Frame
from palewright.model.layout.run_layout import stations_of_leg

STYLE = Style()
FIFTY = Draft(Scale(50, "1:50"), STYLE)


def elevations(fence: FenceModel) -> Any:
    for run, layout in enumerate(fence.layouts):
        for front in fronts_of(layout):
            for part in parts_of_front(run, front, 15000.0):
                yield layout, front, part, elevation(fence, part, FIFTY)


def test_chains_close(built: Product) -> None:
    """On the line of bays neighbours join, and the parts of a leg add up to its length."""
    totals: dict[tuple[int, int], tuple[float, float]] = {}
    for _, front, part, view in elevations(built.fence):
        lines: dict[float, list[Dimension]] = {}
        for item in view.items:
            if isinstance(item, Dimension) and item.degrees == 0.0:
                lines.setdefault(item.base[1], []).append(item)
        bays = lines[max(lines)]  # the nearest dimension line below the concrete
        for one, other in pairwise(bays):
            assert one.end == other.start
        total = math.fsum(item.end[0] - item.start[0] for item in bays)
        length = front.stations[-1][0] - front.stations[0][0]
        before, _ = totals.get((part.run, front.number), (0.0, 0.0))
        totals[part.run, front.number] = before + total, length
    for total, length in totals.values():
        assert length > 0
        assert total == pytest.approx(length, abs=1e-6)


def test_chains_close_as_they_are_written(built: Product) -> None:
    """Whole millimetres of the bays add up to those of the length that they make up."""
    style = replace(STYLE, figures=Figures(whole=True))
    draft = Draft(FIFTY.scale, style)
    for run, layout in enumerate(built.fence.layouts):
        for front in fronts_of(layout):
            (part,) = parts_of_front(run, front, 1e9)
            view = elevation(built.fence, part, draft)
            found = [item for item in view.items if isinstance(item, Dimension)]
            level = [item for item in found if item.degrees == 0.0]
            first = max(item.base[1] for item in level)
            bays = [item for item in level if item.base[1] == first]
            written = [item.figure or draft.usual(item.end[0] - item.start[0]) for item in bays]
            whole = bays[-1].end[0] - bays[0].start[0]
            assert sum(int(figure) for figure in written) == round(whole)


def test_every_pale_is_drawn_once(built: Product) -> None:
    count = 0
    for _, _, _, view in elevations(built.fence):
        count += sum(isinstance(item, Insert) for item in view.items)
    assert count == sum(member.kind.name == "pale" for member in built.fence.members)


def test_nothing_is_drawn_through_a_pale(built: Product) -> None:
    for _, _, _, view in elevations(built.fence):
        covers = []
        for item in view.items:
            if isinstance(item, Insert):
                loop = item.block.lines[0].vertices
                spots = [(x + item.at[0], y + item.at[1]) for x, y, _ in loop]
                covers.append(shapely.Polygon(spots).buffer(-0.5))
        whole = shapely.union_all(covers)
        for item in view.items:
            if isinstance(item, Line) and item.layer.name in ("W-RAILS-E-", "W-POSTS-E-"):
                line = shapely.LineString([(x, y) for x, y, _ in item.vertices])
                assert line.intersection(whole).length < 1e-6


def test_hidden_lines_are_left_out_behind_nearer_pieces() -> None:
    fence = fence_of({"run": [{"points": [[0, 0], [3000, 0]]}], "pales": {"head": "square"}})
    leg = fence.layouts[0].legs[0]
    drawn = [
        project(m, leg.frame)
        for m in members_near(fence, 0, 0, -1e9, 1e9)
        if m.kind.name != "footing"
    ]
    lines = {member.name: found for member, found in visible(drawn)}
    rail = next(m for m in fence.members if m.kind.name == "rail")
    row = fence.layouts[0].stretches[0].row
    # of a rail both long edges are seen in each gap, and nothing behind the pales
    gaps = (row.count - 1) * row.gap
    assert lines[rail.name].length == pytest.approx(2 * gaps, rel=1e-6)


def kernel_lines(built: Product, names: set[str], frame: Frame) -> Any:
    """Visible lines of solids by the kernel's hidden line removal, in a view's x and z."""
    import cadquery as cq
    from OCP.BRepLib import BRepLib
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
    from OCP.HLRAlgo import HLRAlgo_Projector
    from OCP.HLRBRep import HLRBRep_Algo, HLRBRep_HLRToShape

    solids = []
    for member in built.fence.members:
        if member.name in names:
            place = cq.Location(cq.Plane(member.frame.origin, member.frame.x, member.frame.z))
            solids.append(built.solids[member.mark].moved(place))
    back = tuple(-v for v in frame.y)
    algorithm = HLRBRep_Algo()
    algorithm.Add(cq.Compound.makeCompound(solids).wrapped)
    axes = gp_Ax2(gp_Pnt(*frame.origin), gp_Dir(*back), gp_Dir(*frame.x))
    algorithm.Projector(HLRAlgo_Projector(axes))
    algorithm.Update()
    algorithm.Hide()
    shapes = HLRBRep_HLRToShape(algorithm)
    found = []
    for compound in (shapes.VCompound(), shapes.OutLineVCompound()):
        if compound is None or compound.IsNull():
            continue
        BRepLib.BuildCurves3d_s(compound)
        for edge in cq.Shape.cast(compound).Edges():
            count = 2 if edge.geomType() == "LINE" else 60
            spots = [edge.positionAt(i / (count - 1)) for i in range(count)]
            found.append(shapely.LineString([(p.x, p.y) for p in spots]))
    return shapely.union_all(found)


@pytest.mark.slow
@pytest.mark.parametrize("back", [False, True], ids=["front", "back"])
@pytest.mark.parametrize("head", ["clipped", "pointed", "square"])
def test_what_is_seen_agrees_with_the_kernels_hidden_line_removal(head: str, back: bool) -> None:
    """Every drawn line lies on one of the kernel's and the other way round, within 0.01 mm."""
    fence = fence_of(
        {
            "run": [{"points": [[0, 0], [4200, 0]], "gate": [{"at": 2900, "opening": 900}]}],
            "pales": {"head": head},
            "posts": {"top": "pyramid"},
        }
    )
    leg = fence.layouts[0].legs[0]
    frame = leg.frame
    if back:
        frame = Frame(frame.origin, tuple(-v for v in frame.x), tuple(-v for v in frame.y))  # type: ignore[arg-type]
    timber = [m for m in members_near(fence, 0, 0, -1e9, 1e9) if m.kind.material == "timber"]
    shown = show(timber, Facing(frame), blocks=False)
    ours = shapely.union_all(
        [
            shapely.LineString([(x, y) for x, y, _ in item.vertices])
            for item in shown
            if isinstance(item, Line)
        ]
    )
    kernels = kernel_lines(Product(fence), {m.name for m in timber}, frame)
    assert ours.length > 10_000
    assert ours.difference(kernels.buffer(0.01)).length < 1.0
    assert kernels.difference(ours.buffer(0.01)).length < 1.0


def test_a_chain_moves_figures_that_have_no_room() -> None:
    spots = [(0.0, 0.0), (30.0, 0.0), (2000.0, 0.0), (2030.0, 0.0), (4000.0, 0.0)]
    made = chain(spots, (0, -500), 0.0, FIFTY)
    assert [item.text_at is None for item in made] == [False, True, False, True]
    first, moved = made[0].text_at, made[2].text_at
    assert first is not None
    assert first[0] < 0  # before the chain
    assert moved is not None
    # away from the object, beyond the ends of the extension lines
    assert moved[1] < -500 - (STYLE.overrun + STYLE.text / 2) * 50


def test_short_neighbours_stand_one_beyond_the_other() -> None:
    spots = [(x, 0.0) for x in (0.0, 2000.0, 2150.0, 2300.0, 2450.0, 4450.0)]
    made = chain(spots, (0, -500), 0.0, FIFTY)
    rows = [item.text_at[1] for item in made if item.text_at is not None]
    assert len(rows) == 3
    assert len(set(rows)) == 3
    above = chain(spots, (0, 500), 0.0, FIFTY)
    assert all(item.text_at[1] > 500 for item in above if item.text_at is not None)


def test_text_widths_are_the_fonts() -> None:
    # Liberation Sans has the widths of Arial: digits 1139, capitals 1409 high, of 2048
    assert text_width("0", 2.5) == pytest.approx(1139 / 1409 * 2.5, rel=1e-3)
    assert text_width("1800", 2.5) == pytest.approx(4 * text_width("0", 2.5))


def test_scales_are_those_of_the_standard() -> None:
    # ISO 5455 (from memory): 1:1, 1:2, 1:5 and their tenfolds
    sizes = (100, 101, 450, 900, 1900, 4900, 9900)
    found = [scale_for(size, 100.0, STYLE.figures.units).n for size in sizes]
    assert found == [1, 2, 5, 10, 20, 50, 100]
    assert METRIC[-1].text == "1:10000"


def test_stations_run_from_left_to_right(built: Product) -> None:
    for layout in built.fence.layouts:
        for number, leg in enumerate(layout.legs):
            xs = [x for x, _ in stations_of_leg(layout, number)]
            assert xs == sorted(xs)
            starts_at, ends_at = 0.0, leg.length
            if layout.run.walls.at_start and number == 0:
                starts_at = layout.run.walls.plate.width / 2.0
            if layout.run.corners.posts == "pair":
                assert xs[0] >= starts_at
                assert xs[-1] <= ends_at
                continue
            assert xs[0] == pytest.approx(starts_at)
            assert xs[-1] == pytest.approx(ends_at)
