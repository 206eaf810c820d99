"""Checks against sources outside the project, each named beside its figures."""

from __future__ import annotations

import math

import pytest

from palewright.export.drawing.draft.scales import METRIC
from palewright.export.drawing.draft.style import LAYERS, Style
from palewright.export.drawing.sheets.sheet_frame import SIZES
from palewright.model.basis.units import parse_length
from palewright.model.geometry.shapes import Bar, Footing, RoundHole, SquareHole, rectangle_section
from palewright.model.layout.spacing import space_pales
from palewright.model.parts.hardware import BOLTS


def test_the_inch() -> None:
    # International yard and pound agreement of 1959: 1 yd = 0.9144 m exactly
    assert parse_length("3 ft") == pytest.approx(914.4, abs=1e-9)
    assert parse_length("36 in") == pytest.approx(914.4, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        # International Swimming Pool and Spa Code 2018, 305.2, gives both figures
        ("48 in", 1219),
        ("45 in", 1143),
        ("4 in", 102),
        ("1-3/4 in".replace("-", " "), 44),
        ("2 in", 51),
    ],
)
def test_inches_of_a_building_code(text: str, mm: float) -> None:
    assert round(parse_length(text)) == mm


def test_the_equal_gap_identity() -> None:
    # N pales of width w in a clear length L with N + 1 equal gaps: g = (L - N w) / (N + 1);
    # arithmetic identity, worked with L = 2900, w = 75, N = 19
    found = space_pales(2900, 75, 75, largest=90, at_start=1, at_end=1)
    assert (found.count, found.gap) == (19, 73.75)


def test_volumes_of_post_holes() -> None:
    # elementary geometry, worked by hand: 300 mm holes 600 mm deep with a 100 mm post
    assert Footing(RoundHole(300), 0, 600, 100, 100, 0).volume / 1e9 == pytest.approx(
        0.03641, abs=5e-6
    )
    assert Footing(SquareHole(300, 300), 0, 600, 100, 100, 0).volume / 1e9 == pytest.approx(
        0.04800, abs=5e-6
    )


def test_weight_of_a_post() -> None:
    # common practice, no source: 100 x 100 x 2400 of treated softwood at 600 kg/m3 is 14.4 kg
    assert Bar(rectangle_section(100, 100), 2400).volume / 1e9 * 600 == pytest.approx(14.4)


@pytest.mark.parametrize(("size", "thread"), [("M8", 8), ("M10", 10), ("M12", 12)])
def test_washers_for_timber(size: str, thread: float) -> None:
    # EN 1995-1-1, 10.4.3 (from memory): side or diameter at least 3 d, thickness at least 0.3 d
    bolt = BOLTS[size]
    assert bolt.diameter == thread
    assert bolt.washer_diameter >= 3 * thread
    assert bolt.washer_height >= 0.3 * thread


def test_across_corners_of_nuts() -> None:
    # a hexagon 13 / 16 / 18 across flats is 15.01 / 18.48 / 20.78 across corners (s / cos 30)
    for size, corners in (("M8", 15.01), ("M10", 18.48), ("M12", 20.78)):
        assert BOLTS[size].nut_width / math.cos(math.radians(30)) == pytest.approx(
            corners, abs=0.01
        )


def test_line_widths_and_lettering() -> None:
    # ISO 128: 0.13 0.18 0.25 0.35 0.5 0.7 1.0 1.4 2.0; ISO 3098: 1.8 2.5 3.5 5 7 (from memory)
    assert {layer.weight for layer in LAYERS} <= {13, 18, 25, 35, 50, 70, 100, 140, 200}
    style = Style()
    assert {style.text, style.subtitle} <= {1.8, 2.5, 3.5, 5.0, 7.0}


def test_layer_names() -> None:
    # ISO 13567-2: agent (2, W for contractor), element (6), presentation (2; E, T, D, H, ...)
    for layer in LAYERS:
        assert layer.name[0] == "W"
        assert layer.name[8] in "ETDHBVU"  # B border, V title text, U construction lines


def test_scales() -> None:
    # ISO 5455 (from memory): reductions 1:2 1:5 1:10 ... 1:10000, and full size
    standard = {1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000}
    assert {scale.n for scale in METRIC} == standard


@pytest.mark.parametrize(
    ("name", "sides"),
    [("A1", (594, 841)), ("A2", (420, 594)), ("A3", (297, 420)), ("A4", (210, 297))],
)
def test_sheet_sizes(name: str, sides: tuple[float, float]) -> None:
    # ISO 216 / ISO 5457, trimmed sheets
    size = SIZES[name]
    assert tuple(sorted((size.width, size.height))) == sides
    # ISO 216: each size is the next larger one halved, sides as 1 to the root of 2
    assert size.width * size.height == pytest.approx(1e6 / 2 ** int(name[1:]), rel=0.005)
