"""DXF surveys: binary and damaged files, arcs in tilted planes, against ezdxf's own figures."""

from __future__ import annotations

import io
import logging
import math
import random
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import ezdxf
import pytest

from helpers import ROOT
from palewright.model.basis.errors import PalewrightError
from palewright.model.geometry.curves import Traced
from palewright.model.survey.extents import length, outline
from palewright.model.survey.points_and_lines import Asked, Survey, SurveyError
from palewright.model.survey.survey_files import parse_survey

TILTED = [(0.3, -0.2, 0.9), (1.0, 0.0, 0.2), (0.0, -1.0, 1.0), (-0.5, 0.5, -0.4), (0.0, 0.0, -1.0)]


def drawing() -> Any:
    doc = ezdxf.new("R2018", units=6)
    doc.header["$INSUNITS"] = 6
    return doc


def saved(doc: Any, *, binary: bool = False) -> bytes:
    if binary:
        out = io.BytesIO()
        doc.write(out, fmt="bin")
        return out.getvalue()
    text = io.StringIO()
    doc.write(text)
    return text.getvalue().encode(doc.output_encoding)


def read(data: bytes, **options: Any) -> Survey:
    return parse_survey(data, "s.dxf", "DXF", Asked(**options))


def plan_length(entity: Any) -> float:
    """Return the length in plan of an entity by ezdxf's own points of it, m."""
    kind = entity.dxftype()
    if kind in ("LWPOLYLINE", "POLYLINE"):
        return math.fsum(map(plan_length, entity.virtual_entities()))
    if kind in ("ARC", "CIRCLE"):
        first = entity.dxf.start_angle if kind == "ARC" else 0.0
        sweep = (entity.dxf.end_angle - first) % 360.0 if kind == "ARC" else 360.0
        points = list(entity.vertices([first + sweep * n / 5000 for n in range(5001)]))
    elif kind == "LINE":
        points = [entity.dxf.start, entity.dxf.end]
    else:
        points = list(entity.flattening(1e-7))
    return math.fsum(math.dist((a.x, a.y), (b.x, b.y)) for a, b in zip(points, points[1:]))


def full(doc: Any) -> Any:
    """Put every kind of line into a drawing, some in tilted planes; each on a layer of its own."""
    model = doc.modelspace()
    for number, (x, y, z) in enumerate(TILTED):
        turned = {"extrusion": (x, y, z)}
        model.add_arc((3, 4, 5), 7, 20, 140, dxfattribs={**turned, "layer": f"arc{number}"})
        model.add_circle((3, 4, 5), 6, dxfattribs={**turned, "layer": f"circle{number}"})
        model.add_lwpolyline(
            [(0, 0, 0.6), (10, 0, -0.3), (18, 4, 0), (20, 9, 0)], format="xyb",
            dxfattribs={**turned, "elevation": 2.0, "layer": f"bulge{number}"},
        )  # fmt: skip
        model.add_polyline2d(
            [(0, 0, 0.6), (10, 0, 0), (18, 4, 1.5)], format="xyb", close=True,
            dxfattribs={**turned, "layer": f"old{number}"},
        )  # fmt: skip
    model.add_line((0, 0, 1), (3, 4, 1), dxfattribs={"layer": "Zäune"})
    model.add_ellipse((5, 5), (4, 0), 0.5, dxfattribs={"layer": "ellipse"})
    model.add_spline([(0, 0), (5, 4), (10, 0), (15, -4)], dxfattribs={"layer": "spline"})
    return doc


@pytest.mark.parametrize("binary", [False, True])
@pytest.mark.parametrize("version", ["R2000", "R2010", "R2018"])
def test_lengths_in_plan_are_ezdxfs(binary: bool, version: str) -> None:
    """Every line to a millimetre, from text and binary files; layers in any letters."""
    doc = full(ezdxf.new(version, units=6))
    doc.header["$INSUNITS"] = 6
    found = read(saved(doc, binary=binary), tolerance=0.1)
    lines = {line.group: line for line in found.lines}
    assert len(lines) == 23 and found.notes == ()
    for entity in doc.modelspace():
        true = plan_length(entity) * 1000.0
        assert length(lines[entity.dxf.layer]) == pytest.approx(true, abs=1.0), entity.dxf.layer


@pytest.mark.parametrize("number", range(len(TILTED)))
def test_arcs_in_tilted_planes_stand_where_they_do(number: int) -> None:
    """Places and levels of an arc against the plane's own axes in ezdxf."""
    doc = full(drawing())
    found = read(saved(doc), tolerance=2.0)
    arc = next(e for e in doc.modelspace() if e.dxf.layer == f"arc{number}")
    line = found.line(f"arc{number}")
    true = [p * 1000.0 for p in arc.vertices([20 + 120 * n / 5000 for n in range(5001)])]
    assert line.nodes[0].at == pytest.approx((true[0].x, true[0].y), abs=0.01)
    assert line.nodes[-1].level == pytest.approx(true[-1].z, abs=0.01)
    import shapely

    fine = shapely.LineString([(p.x, p.y) for p in true])
    assert fine.hausdorff_distance(shapely.LineString(outline(line, 400))) < 2.0
    flat = TILTED[number][:2] == (0.0, 0.0)
    assert isinstance(line.nodes[1].curve, Traced) != flat
    for x, y, z in line.spots:
        near = min(true, key=lambda p: math.dist((p.x, p.y, p.z), (x, y, z)))
        assert math.dist((near.x, near.y, near.z), (x, y, z)) < 50.0
    if not flat:
        assert len(line.spots) > 5
    ring = found.line(f"circle{number}")
    assert ring.closed and len(ring.nodes) == 3


def entities(count: int = 50) -> Any:
    doc = drawing()
    for n in range(count):
        doc.modelspace().add_line((n, 0), (n, 9), dxfattribs={"layer": "F"})
    doc.modelspace().add_polyline2d([(0, 20), (5, 20), (9, 25)], dxfattribs={"layer": "P"})
    return doc


def test_a_damaged_file_says_how_much_is_lost() -> None:
    text = saved(entities()).decode()
    assert read(text.encode()).notes == ()
    broken = text.replace(" 10\n5.0\n", " 10\nfive\n").replace(" 21\n9.0\n", "9.0\n", 1)
    found = read(broken.encode())
    assert len(found.lines) == 48  # two of 50 lines, and the polyline whose corner is broken
    assert found.notes == (
        "the file is damaged: 3 of 51 entities cannot be read and are left out "
        "(LINE, LINE, POLYLINE)",
    )
    cut = read(text[: text.index("ENTITIES") + 2000].encode())
    assert 5 < len(cut.lines) < 40
    assert cut.notes == (
        f"the file is damaged: it ends early, and what followed is lost; {len(cut.lines)} entities "
        "are read",
        f"the file is damaged: 1 of {len(cut.lines) + 1} entities cannot be read and are left out "
        "(LINE)",
    )
    for line in cut.lines:  # what is there is whole
        assert length(line) == 9000.0


def test_a_binary_file_that_is_cut_says_so() -> None:
    data = saved(entities(300), binary=True)
    found = read(data[: len(data) * 2 // 3])
    assert found.notes[0].startswith("the file is damaged: it ends early, and what followed is")
    assert all(length(line) == 9000.0 for line in found.lines if line.group == "F")
    with pytest.raises(SurveyError, match=r"nothing in it is sound|does not start as one"):
        read(data[:24])
    with pytest.raises(SurveyError, match="is larger than 4000000 bytes"):
        read(data[:22] + b"\0" * 4_000_000)


def test_uses_of_blocks_that_are_not_there_are_told() -> None:
    doc = entities(1)
    doc.blocks.new("TREE")
    doc.modelspace().add_blockref("TREE", (0, 0))
    text = saved(doc).decode()
    body = text.index("ENTITIES")
    found = read((text[:body] + text[body:].replace("TREE", "HEDGE")).encode())
    assert len(found.lines) == 2
    (note,) = found.notes
    assert note.startswith("1 uses of blocks that are not in the file are left out: ")


def test_lines_of_one_point_are_counted() -> None:
    doc = entities(1)
    doc.modelspace().add_lwpolyline([(1, 1)])
    (note,) = read(saved(doc)).notes
    assert note == "left out as no line (less than two points, or a mesh): 1"


def test_the_library_says_nothing_on_the_terminal(tmp_path: Path) -> None:
    """And another program's logging is as it was."""
    doc = entities(2)
    doc.modelspace().add_lwpolyline([(0, 0), (1, 1)])
    text = saved(doc).decode().replace("AcDbPolyline", "AcDbNothing").replace("AcDbEntity", "Ac")
    path = tmp_path / "s.dxf"
    path.write_text(text)
    done = subprocess.run(
        [sys.executable, "-m", "palewright.cli", "survey", str(path)],
        capture_output=True, text=True, check=False, cwd=ROOT,
    )  # fmt: skip
    assert done.returncode in (0, 2)
    assert len(done.stderr.splitlines()) <= 1, done.stderr
    before = (list(logging.getLogger("ezdxf").handlers), logging.getLogger("ezdxf").propagate)
    read(saved(entities(1)))
    assert before == (logging.getLogger("ezdxf").handlers, logging.getLogger("ezdxf").propagate)


def test_a_file_without_a_line_ends_with_2(tmp_path: Path) -> None:
    doc = drawing()
    doc.modelspace().add_point((1, 2, 3))
    path = tmp_path / "s.dxf"
    path.write_bytes(saved(doc))
    done = subprocess.run(
        [sys.executable, "-m", "palewright.cli", "survey", str(path)],
        capture_output=True, text=True, check=False, cwd=ROOT,
    )  # fmt: skip
    assert done.returncode == 2
    assert "holds no line that a fence could follow" in done.stdout
    assert done.stderr == ""


@pytest.mark.slow
def test_damaged_binary_files_are_read_or_refused_in_time() -> None:
    sound = saved(full(drawing()), binary=True)
    rng = random.Random(11)
    ends = set()
    for _ in range(60):
        data = bytearray(sound)
        for _ in range(rng.randint(1, 6)):
            data[rng.randrange(22, len(data))] = rng.randrange(256)
        if rng.random() < 0.4:
            del data[rng.randrange(30, len(data)) :]
        start = time.process_time()
        try:
            read(bytes(data))
            ends.add("read")
        except PalewrightError as error:
            ends.add("refused")
            said = str(error)
            if "\n" in said or len(said) > 500:
                pytest.fail(said)
        assert time.process_time() - start < 5.0
    assert ends == {"read", "refused"}


def test_a_large_binary_file_is_refused_in_time() -> None:
    many = saved(entities(11_000), binary=True)
    start = time.process_time()
    with pytest.raises(SurveyError, match="has more lines and points than are read"):
        read(many)
    assert time.process_time() - start < 5.0
