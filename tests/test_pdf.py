"""The PDF measured by other readers: sheet size, true scale, text as text; and the SVG."""

from __future__ import annotations

import io
from xml.etree import ElementTree

import numpy as np
import pdfplumber
import pypdfium2
import pytest
from pdfminer.pdftypes import resolve1, resolve_all

from helpers import ROOT, example_fence, fence_of
from palewright.export.drawing.draft.paper import Label, Stroke
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.sets.drawing_files import set_files, template_files
from palewright.export.drawing.sets.sheet_sets import Purpose, sheet_set
from palewright.export.drawing.sets.template import Template, template_sheets
from palewright.export.drawing.sheets.sheet_frame import SIZES
from palewright.export.drawing.writers.pdf import write_pdf
from palewright.export.drawing.writers.svg import write_svg
from palewright.model.geometry.outlines import Outline

STYLE = Style()
MM = 25.4 / 72.0
"""Millimetres in a point."""

TEN_METRES = {
    "project": {"name": "Ten metres", "reference": "TM"},
    "run": [{"points": [[0, 0], [10000, 0]]}],
    "sheets": {"elevation_scale": 50},
}


@pytest.fixture(scope="module")
def ten_metres() -> bytes:
    return set_files(fence_of(TEN_METRES), Purpose.BUILD, "t", ("pdf",))["t.pdf"]


def test_pages_are_sheets_exactly(ten_metres: bytes) -> None:
    document = pypdfium2.PdfDocument(ten_metres)
    for page in document:
        width, height = page.get_size()
        assert width * MM == pytest.approx(420.0, abs=1e-4)
        assert height * MM == pytest.approx(297.0, abs=1e-4)


def lines(page: pdfplumber.page.Page) -> list[tuple[float, float, float]]:
    """Level lines: left end, height and length, mm."""
    found = []
    for line in page.lines:
        if abs(line["y0"] - line["y1"]) < 1e-6:
            found.append((line["x0"] * MM, line["y0"] * MM, (line["x1"] - line["x0"]) * MM))
    return found


def test_ten_metres_at_1_50_measure_200_mm(ten_metres: bytes) -> None:
    """The dimension line of the leg on the plan, and the fence line's own ends."""
    with pdfplumber.open(io.BytesIO(ten_metres)) as document:
        sheets, drawn = sheet_set(fence_of(TEN_METRES), Purpose.BUILD, STYLE)
        number, plan = next(
            (number, placed)
            for number, sheet in enumerate(sheets)
            for placed in sheet.placed
            if placed.view.title == "Setting-out plan"
        )
        page = document.pages[number]
        words = page.extract_words()
        assert any(word["text"] == "10000" for word in words)
        assert any(abs(length - 200.0) < 0.05 for _, _, length in lines(page))
    figures = drawn.figures
    assert plan.view.scale == 50
    assert figures.note == "millimetres"


def test_text_is_text_in_an_embedded_font(ten_metres: bytes) -> None:
    with pdfplumber.open(io.BytesIO(ten_metres)) as document:
        characters = [c for page in document.pages for c in page.chars]
        assert characters
        assert all("LiberationSans" in c["fontname"] for c in characters)
        text = " ".join(page.extract_text() for page in document.pages)
    for words in ("Setting-out plan", "Ten metres", "buried pipes", "TM-B01", "Members by mark"):
        assert words in text
    assert b"/FontFile2" in ten_metres


def test_letters_have_their_height(ten_metres: bytes) -> None:
    # 2.5 mm capitals: the font's capitals are 1409 of 2048 high
    with pdfplumber.open(io.BytesIO(ten_metres)) as document:
        sizes = {
            round(c["size"] * MM * 1409 / 2048, 2) for c in document.pages[0].chars if c["upright"]
        }
    assert sizes <= {1.8, 2.5, 3.5}


def test_the_same_sheets_give_the_same_bytes(ten_metres: bytes) -> None:
    assert set_files(fence_of(TEN_METRES), Purpose.BUILD, "t", ("pdf",))["t.pdf"] == ten_metres


def test_the_check_bar_and_the_template_are_full_size() -> None:
    fence = example_fence(ROOT / "examples" / "cottage.toml")
    data = template_files(fence, "c", "A4", 0.0)["c-head-A.pdf"]
    with pdfplumber.open(io.BytesIO(data)) as document:
        (page,) = document.pages
        assert page.width * MM == pytest.approx(210.0, abs=1e-4)
        assert any(abs(length - 100.0) < 0.05 for _, _, length in lines(page))
        shapes = [*page.curves, *page.rects]
        widths = [(shape["x1"] - shape["x0"]) * MM for shape in shapes]
        assert any(abs(width - 90.0) < 0.05 for width in widths)
        assert "100 %" in page.extract_text()


def test_a_template_larger_than_the_paper_is_tiled() -> None:
    big = Template("big", Outline.rectangle(-150.0, -100.0, 150.0, 400.0))
    sheets = template_sheets(big, SIZES["A4"], STYLE)
    assert len(sheets) == 6
    data = write_pdf(sheets, "big", "")
    with pdfplumber.open(io.BytesIO(data)) as document:
        for page in document.pages:
            assert any(abs(length - 100.0) < 0.05 for _, _, length in lines(page))


def test_the_picture_is_on_the_customers_first_page() -> None:
    from PIL import Image

    out = io.BytesIO()
    Image.new("RGB", (200, 100), (10, 200, 30)).save(out, "PNG")
    fence = example_fence(ROOT / "examples" / "terrace.toml")
    files = set_files(fence, Purpose.CUSTOMER, "t", picture=out.getvalue())
    document = pypdfium2.PdfDocument(files["t.pdf"])
    assert len(document) == 2
    image = document[0].render(scale=0.5).to_pil().convert("RGB")
    colours = image.getcolors(1_000_000)
    assert colours is not None
    green = sum(count for count, (r, g, b) in colours if g > 150 and r < 60 and b < 80)
    assert green > 0.2 * image.width * image.height


def test_svg_is_well_formed_and_in_millimetres() -> None:
    spec = {**TEN_METRES, "project": {"name": "<b>&\"'</b> é 🌳", "reference": "x"}}
    sheets, _ = sheet_set(fence_of(spec), Purpose.BUILD, STYLE)
    root = ElementTree.fromstring(write_svg(sheets[0], "a & b"))
    assert root.attrib["width"] == "420mm"
    assert root.attrib["viewBox"] == "0 0 420 297"
    texts = {text.text for text in root.iter("{http://www.w3.org/2000/svg}text")}
    assert "10000" in texts
    assert "<b>&\"'</b> é 🌳" in texts


def test_layers_can_be_switched(ten_metres: bytes) -> None:
    """Optional content by another reader: every layer that is used, listed once, all shown; every
    line of a page within the layer that its sheet has it on.
    """
    sheets, _ = sheet_set(fence_of(TEN_METRES), Purpose.BUILD, STYLE)
    used = {m.layer.name for s in sheets for m in s.marks if isinstance(m, (Stroke, Label))}
    with pdfplumber.open(io.BytesIO(ten_metres)) as document:
        catalog = document.doc.catalog
        listed = resolve_all(catalog["OCProperties"])
        names = [group["Name"].decode().split()[0] for group in listed["OCGs"]]
        assert sorted(names) == sorted(used)
        assert listed["D"]["Order"] == listed["D"]["ON"] == listed["OCGs"]
        for page, sheet in zip(document.pages, sheets, strict=True):
            properties = resolve_all(page.page_obj.resources["Properties"])
            code = b"".join(s.get_data() for s in page.page_obj.contents).decode("latin-1")
            assert code.count(" BDC") == code.count("EMC") > 3
            begun = {name for name in properties if f"/OC /{name} BDC" in code}
            on_sheet = {m.layer.name for m in sheet.marks if isinstance(m, (Stroke, Label))}
            assert {properties[n]["Name"].decode().split()[0] for n in begun} == on_sheet


def test_hidden_layers_are_not_drawn(ten_metres: bytes) -> None:
    """With its layers off in the file's own list a page keeps what is on none."""
    off = ten_metres.replace(b"/ON [", b"/OFF [")
    pages = [pypdfium2.PdfDocument(data)[0].render().to_pil() for data in (ten_metres, off)]
    dark = [(np.asarray(page.convert("L")) < 128).sum() for page in pages]
    assert dark[1] < dark[0] * 0.05


def test_title_and_author_are_in_plain_metadata(ten_metres: bytes) -> None:
    with pdfplumber.open(io.BytesIO(ten_metres)) as document:
        stream = resolve1(document.doc.catalog["Metadata"])
        text = stream.get_data().decode("utf-8")
        assert stream.get_data() in ten_metres  # not packed
    root = ElementTree.fromstring(text)
    dc = "{http://purl.org/dc/elements/1.1/}"
    said = " ".join(root.find(f".//{dc}title").itertext())  # type: ignore[union-attr]
    assert said.strip() == "Ten metres"
