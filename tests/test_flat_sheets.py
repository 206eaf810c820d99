"""Sheets for other programs: flat DXF drawings (also R12), layers of the SVG, bookmarks of the PDF,
the plot style table, and how a general CAD program draws them.
"""

from __future__ import annotations

import io
import os
import shutil
import struct
import subprocess
import zlib
from collections import Counter
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import numpy as np
import pypdfium2
import pytest
from ezdxf.addons import acadctb
from ezdxf.lldxf.encoding import decode_dxf_unicode
from numpy.typing import NDArray
from scipy import ndimage

from helpers import EXAMPLES, example_fence
from palewright.export.drawing.draft.paper import Label, Stroke
from palewright.export.drawing.draft.style import BLACK, LAYERS, Style
from palewright.export.drawing.sets.drawing_files import set_files
from palewright.export.drawing.sets.sheet_sets import Purpose, sheet_set
from palewright.export.drawing.writers.dxf_flat import write_flat_dxf
from palewright.export.drawing.writers.plot_styles import write_ctb
from palewright.model.basis.text import in_dxf
from palewright.model.fence.fence_model import FenceModel


@pytest.fixture(scope="module")
def fence() -> FenceModel:
    (path,) = (path for path in EXAMPLES if path.stem == "hillside")
    return example_fence(path)


@pytest.mark.parametrize("version", ["R12", "R2010", "R2018"])
def test_a_flat_sheet_has_all_that_is_printed(fence: FenceModel, version: str) -> None:
    sheets, style = sheet_set(fence, Purpose.BUILD, Style())
    for sheet in sheets:
        data = write_flat_dxf(sheet, "t", style, version)
        encoding = "cp1252" if version in ("R12",) else "utf-8"
        # signs that the code page of R12 has not stand as the format's own escapes
        doc = ezdxf.read(io.StringIO(decode_dxf_unicode(data.decode(encoding))))
        audit = doc.audit()
        assert not audit.errors
        assert not audit.fixes
        space = doc.modelspace()
        marks = sheet.marks
        texts = Counter((t.dxf.text, t.dxf.layer, t.dxf.height) for t in space.query("TEXT"))
        printed = [mark for mark in marks if isinstance(mark, Label)]
        assert texts == Counter((in_dxf(m.text), m.layer.name, m.height) for m in printed)
        drawn = Counter(e.dxf.layer for e in space.query("LINE LWPOLYLINE POLYLINE"))
        assert drawn == Counter(m.layer.name for m in marks if isinstance(m, Stroke))
        assert set(drawn) <= {layer.dxf.name for layer in doc.layers}
        assert doc.header["$EXTMAX"][:2] == pytest.approx((sheet.size.width, sheet.size.height))
        ends = [p for line in space.query("LINE") for p in (line.dxf.start, line.dxf.end)]
        assert all(0 <= x <= sheet.size.width and 0 <= y <= sheet.size.height for x, y, _ in ends)


def test_r12_has_its_sheets_as_files_of_their_own(fence: FenceModel) -> None:
    data = fence.job.sheets.model_copy(update={"dxf": "R12"})
    old = fence.__class__(
        fence.job.__class__(**{**vars(fence.job), "sheets": data}), fence.layouts, fence.members
    )
    sheets, _ = sheet_set(old, Purpose.BUILD, Style())
    files = set_files(old, Purpose.BUILD, "f", ("dxf",))
    flat = [name for name in files if name.startswith("f-") and name.endswith(".dxf")]
    assert len(flat) == len(sheets)
    assert all(b"AC1009" in files[name][:200] for name in ("f.dxf", *flat))
    assert not [n for n in set_files(fence, Purpose.BUILD, "f", ("dxf",)) if n.startswith("f-")]


def test_the_plot_style_table_is_read_by_its_format(tmp_path: Path) -> None:
    """Three numbers of four bytes stand before the packed text, whatever the machine's own width;
    their order and meaning are as the library's reader and other descriptions have them.
    """
    data = write_ctb("all black")
    path = tmp_path / "f.ctb"
    path.write_bytes(data)
    table = acadctb.load(path)
    assert isinstance(table, acadctb.ColorDependentPlotStyles)
    inked = {layer.colour for layer in LAYERS if layer.ink != BLACK}
    assert inked == {10, 170}  # red and blue of the 256 colours
    assert not inked & {layer.colour for layer in LAYERS if layer.ink == BLACK}
    assert all(table[n].color == (0, 0, 0) for n in range(1, 256) if n not in inked)
    assert (table[10].color, table[170].color) != ((0, 0, 0), (0, 0, 0))
    assert all(table.get_lineweight(layer.colour) in (0.0, None) for layer in LAYERS)
    checksum, plain, packed = struct.unpack("<LLL", data[48:60])
    assert zlib.adler32(data[60:]) == checksum
    assert len(data) - 60 == packed
    assert len(zlib.decompress(data[60:])) == plain


def test_layers_of_the_svg_are_groups(fence: FenceModel) -> None:
    sheets, _ = sheet_set(fence, Purpose.BUILD, Style())
    files = set_files(fence, Purpose.BUILD, "f", ("svg",))
    for number, sheet in enumerate(sheets, 1):
        root = ElementTree.fromstring(files[f"f-{number:02d}.svg"])
        groups = [g for g in root if g.tag.endswith("}g")]
        marks = [mark for mark in sheet.marks if isinstance(mark, (Label, Stroke))]
        assert {g.attrib["id"] for g in groups} == {mark.layer.name for mark in marks}
        counted = {
            g.attrib["id"]: sum(e.tag.endswith(("}path", "}text")) for e in g.iter())
            for g in groups
        }
        assert counted == Counter(mark.layer.name for mark in marks)


def test_the_pdf_has_a_bookmark_for_each_sheet(fence: FenceModel) -> None:
    sheets, _ = sheet_set(fence, Purpose.BUILD, Style())
    document = pypdfium2.PdfDocument(set_files(fence, Purpose.BUILD, "f", ("pdf",))["f.pdf"])
    marks = list(document.get_toc())
    assert [mark.get_title() for mark in marks] == [
        f"{number:02d} {sheet.title}" for number, sheet in enumerate(sheets, 1)
    ]
    assert [mark.get_dest().get_index() for mark in marks] == list(range(len(sheets)))


def inked(page: pypdfium2.PdfPage) -> NDArray[np.bool_]:
    """Where there is ink, two pixels a millimetre."""
    grey = np.asarray(page.render(scale=2.0 * 25.4 / 72.0).to_pil().convert("L"))
    return np.asarray(grey < 235)


@pytest.mark.slow
@pytest.mark.skipif(shutil.which("librecad") is None, reason="LibreCAD is not installed")
@pytest.mark.parametrize("name", ["cottage", "hillside", "larchgate"])
def test_a_general_cad_program_draws_what_the_pdf_shows(name: str, tmp_path: Path) -> None:
    (path,) = (path for path in EXAMPLES if path.stem == name)
    fence = example_fence(path)
    sheets, _ = sheet_set(fence, Purpose.BUILD, Style())
    files = set_files(fence, Purpose.BUILD, "f", ("pdf", "dxf-flat"))
    ours = pypdfium2.PdfDocument(files["f.pdf"])
    for number, sheet in enumerate(sheets, 1):
        stem = f"f-{number:02d}"
        (tmp_path / f"{stem}.dxf").write_bytes(files[f"{stem}.dxf"])
        paper = f"{sheet.size.width:g}x{sheet.size.height:g}"
        subprocess.run(
            ["librecad", "dxf2pdf", "-a", "-m", "-p", paper, f"{stem}.dxf"],
            cwd=tmp_path, check=True, capture_output=True, timeout=120,
            env={**os.environ, "QT_QPA_PLATFORM": "offscreen", "HOME": str(tmp_path)},
        )  # fmt: skip
        theirs = inked(pypdfium2.PdfDocument(tmp_path / f"{stem}.pdf")[0])
        own = inked(ours[number - 1])
        rows, columns = min(own.shape[0], theirs.shape[0]), min(own.shape[1], theirs.shape[1])
        own, theirs = own[:rows, :columns], theirs[:rows, :columns]
        assert own.sum() > 1000
        for one, other in ((own, theirs), (theirs, own)):
            alone = one & (ndimage.distance_transform_edt(~other) > 8.0)
            share = float(alone.sum() / one.sum())  # its own lettering is wider
            assert share < 0.04, (name, number, share)
