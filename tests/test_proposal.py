"""The papers by which a customer says yes: proposal, firm's file, order sheet, priced sheets."""

from __future__ import annotations

import io
import math
import re
import shutil
from dataclasses import replace
from decimal import Decimal
from functools import cache
from itertools import combinations
from pathlib import Path
from typing import Any

import openpyxl
import pdfplumber
import pytest
import shapely
from back_lot import BACK_LOT
from click.testing import CliRunner
from PIL import Image

from helpers import ROOT, example_fence, fence_of, filled_in
from palewright.cli.main import main
from palewright.export.drawing.writers.pdf import FONT_NAME
from palewright.export.papers.alternatives import Alternative
from palewright.export.papers.firm_paper import look_of
from palewright.export.papers.offer_terms import (
    Issue,
    crew_days,
    payments,
    price_rows,
    tasks_without_hours,
)
from palewright.export.papers.order_sheet import write_order_sheet
from palewright.export.papers.proposal_pdf import MOST_OFFERS, write_proposal
from palewright.export.papers.quote_pdf import write_quote
from palewright.export.papers.workbook import write_workbook
from palewright.model.basis.errors import OutputError, SpecError
from palewright.model.checks.building_checks import check
from palewright.model.checks.paper_checks import offer_gaps
from palewright.model.fence.fence_model import FenceModel
from palewright.model.lists.takeoff import pale_count
from palewright.model.order.order_lines import order
from palewright.model.order.prices import blank_prices, quote, with_prices
from palewright.model.spec.firm_file import read_firm
from palewright.model.spec.price_file import read_prices
from palewright.model.spec.price_list import PriceItem, PriceList, price_key
from palewright.model.spec.svg_logo import SvgError, read_svg
from palewright.model.spec.work_keys import Work

FIRM = ROOT / "examples" / "wren" / "firm.toml"
COTTAGE = ROOT / "examples" / "cottage.toml"
PRICED = ROOT / "examples" / "cottage-prices.csv"
TOLD = read_firm(FIRM).told


def offer_of(fence: FenceModel, name: str = "job", currency: str = "GBP") -> Alternative:
    """Return a fence with an invented price for each line of its order."""
    rows = {price_key(item): PriceItem(item, unit, Decimal("3.10"))
            for item, unit, _ in blank_prices(order(fence))[5:]}  # fmt: skip
    prices = PriceList(
        currency, 2, Decimal("12.5"), Decimal(0), Decimal(20), tuple(rows.values()), "p.csv"
    )
    known = with_prices(fence, prices)
    ordered = order(known)
    return Alternative(name, known, ordered, quote(ordered, prices))


@cache
def cottage_offer() -> Alternative:
    """The cottage with the prices beside it."""
    prices = read_prices(PRICED)
    fence = with_prices(example_fence(COTTAGE), prices)
    ordered = order(fence)
    return Alternative("cottage", fence, ordered, quote(ordered, prices))


@cache
def rounded_offer() -> Alternative:
    """Another fence for the same garden, with closer pales, and costlier by its fixed prices."""
    first = cottage_offer()
    rails = {"section": [75, 38], "tops": [225, 500, 800]}
    spec = {
        "project": {"name": "Rosehip Cottage", "option": "Three rails"},
        "run": [{"points": [[0, 0], ["10.8 m", 0], ["10.8 m", "6.3 m"]], "name": "lane"}],
        "rails": rails, "pales": {"width": 90, "length": 900, "gap": 40, "head": "round"},
    }  # fmt: skip
    fence = fence_of(spec)
    job = replace(fence.job, firm=first.fence.job.firm)
    return offer_of(replace(fence, job=job), "three-rails")


@cache
def third_offer() -> Alternative:
    """A shorter fence with the crew's hours, further items, and a price that is left open."""
    hours = dict.fromkeys(Work.model_fields, 0.5)
    fence = fence_of({
        "project": {"name": "Rosehip Cottage", "option": "Along the lane alone"},
        "run": [{"points": [[0, 0], ["10.8 m", 0]], "name": "lane"}],
        "work": hours, "offer": {"crew": 2},
        "extra": [{"item": "carting away", "hours": 3.0}, {"item": "a skip"}],
    })  # fmt: skip
    made = offer_of(fence, "lane")
    assert made.quote is not None
    prices = made.quote.prices
    open_ = replace(prices, items=tuple(i for i in prices.items if i.name != "a skip"))
    return replace(made, quote=quote(made.order, open_))


def long_names() -> Alternative:
    """The cottage with names as long as people write them."""
    first = cottage_offer()
    given = {
        "name": "The old orchard wall and kitchen-garden boundary at "
        "Hinterholzwinkelmannstrassenweg 117",
        "client": "Mr and Mrs Bartholomew-Featherstonehaugh-Cholmondeley of the old rectory",
        "site": "Hinterholzwinkelmannstrassenweg 117, the second lot towards the river",
        "option": "Pointed heads as they were drawn for the first meeting with all neighbours",
    }
    job = replace(first.fence.job, project=first.fence.job.project.model_copy(update=given))
    return replace(first, fence=replace(first.fence, job=job))


def lot_offer() -> Alternative:
    """The job in feet."""
    return offer_of(fence_of(BACK_LOT), "lot", "USD")


@cache
def dot() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (40, 20), "#88aa66").save(out, "PNG")
    return out.getvalue()


@cache
def paper(name: str) -> bytes:
    """Return a proposal by what it is of."""
    first = cottage_offer()
    match name:
        case "one":
            return write_proposal([first], dot())
        case "two":
            return write_proposal([first, rounded_offer()], dot(), None, [dot()] * 2)
        case "three":
            three = [third_offer(), cottage_offer(), rounded_offer()]
            return write_proposal(three, dot(), None, [dot()] * 3)
        case "names":
            return write_proposal([long_names(), rounded_offer()], dot(), None, [dot()] * 2)
        case "four":
            return write_proposal([first, rounded_offer()] * 2)
        case "bare":
            job = replace(first.fence.job, firm=None)
            return write_proposal([replace(first, fence=replace(first.fence, job=job))])
        case "feet":
            return write_proposal([lot_offer()])
        case "long":
            run = {"points": [[0, 0], ["2100 m", 0]]}
            return write_proposal([offer_of(fence_of({"run": [run]}))])
        case _:
            return write_proposal([offer_of(example_fence(ROOT / "examples" / f"{name}.toml"))])


PAPERS = ("one", "two", "three", "four", "names", "bare", "feet", "terrace")
SLOW = [pytest.param(name, marks=pytest.mark.slow) for name in ("long", "green", "larchgate")]


def text_of(data: bytes) -> str:
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        return "\n".join(page.extract_text() for page in pdf.pages)


def money_in(text: str) -> set[Decimal]:
    return {Decimal(found.replace(",", "")) for found in re.findall(r"[£$]([\d,]+\.\d\d)", text)}


@pytest.mark.parametrize("name", ["one", "two", "three", "feet", "terrace"])
def test_every_amount_is_one_of_the_quotation(name: str) -> None:
    offers = {
        "one": [cottage_offer()], "three": [third_offer(), cottage_offer(), rounded_offer()],
        "two": [cottage_offer(), rounded_offer()], "feet": [lot_offer()],
    }.get(name) or [offer_of(example_fence(ROOT / "examples" / f"{name}.toml"))]  # fmt: skip
    text = text_of(paper(name))
    known: set[Decimal] = set()
    wanted: dict[str, list[Decimal]] = {}
    for offer in offers:
        told = offer.quote
        assert told is not None
        parts = price_rows(told)
        assert sum(amount for _, amount in parts) == told.before_tax
        for word, amount in (*parts, ("price in all", told.total)):
            wanted.setdefault(word.capitalize(), []).append(amount)
        paid = payments(told, TOLD) if offers[0].fence.job.firm is not None else ()
        assert {told.total, told.before_tax, told.tax, *paid} <= money_in(text)
        assert not paid or sum(paid) == told.total
        known |= {told.total, told.before_tax, told.tax, *paid, *(amount for _, amount in parts)}
    rows = re.findall(r"^(Materials|Work|Further items|Price in all) (.*)$", text, re.MULTILINE)
    found = {word: amounts for word, told in rows if (amounts := in_order(told))}
    assert found == wanted
    assert "Work" in found
    assert money_in(text) <= known


def in_order(text: str) -> list[Decimal]:
    return [Decimal(one.replace(",", "")) for one in re.findall(r"[£$]([\d,]+\.\d\d)", text)]


def test_the_crews_days_follow_from_the_hours_of_all_tasks() -> None:
    offer = third_offer()
    assert offer.quote is not None
    hours = sum(float(one.line.quantity) * float(one.line.hours or 0) for one in offer.quote.lines)
    days = math.ceil(hours / 16.0)
    assert f"about {days} working days of 8 hours for a crew of 2" in text_of(paper("three"))
    job = offer.fence.job
    nobody = replace(job, offer=job.offer.model_copy(update={"crew": None}))
    assert crew_days(nobody, offer.quote) == ""
    assert crew_days(replace(job, offer=job.offer), offer.quote).startswith("about")
    first = cottage_offer().quote
    assert first is not None and tasks_without_hours(first)
    assert crew_days(job, first) == ""
    assert "a skip" in text_of(paper("three"))


def test_a_quotation_says_nothing_that_nobody_gave() -> None:
    offer = third_offer()
    assert offer.quote is not None
    text = text_of(write_quote([offer]))
    for words in ("Please note", "boundary", "buried", "planning", "Terms", "Guarantee"):
        assert words not in text
    prices = replace(offer.quote.prices, tax=Decimal(0))
    untaxed = text_of(write_quote([replace(offer, quote=quote(offer.order, prices))]))
    assert "tax" not in untaxed


def test_what_is_offered_is_the_fences() -> None:
    offer, text = cottage_offer(), text_of(paper("one"))
    assert f"{pale_count(offer.fence)} pales 90 \u00d7 20 mm, with pointed heads" in text
    for words in (
        "17.10 m", "0.95 m high", "Two rails 75 \u00d7 38 mm", "13 posts",
        "125 \u00d7 125 mm (gate posts)",
        "0.90 m wide in the clear", "600 to 700 mm deep", "Use class 4", "10.94",
        offer.fence.job.offer.number, "M. Okafor", "4 Tanner's Lane, Aldermoor",
        "1 April 2026, 30 days",
        "Days 2 to 3 No work on site", "In all 5 days", "VAT, 20 %", "Signature",
        "person is 1.75 m",
        TOLD.telephone, TOLD.tax_number, TOLD.not_included[0].replace("breaking", "Breaking")[:30],
    ):  # fmt: skip
        assert words in text, words
    for words in (TOLD.guarantee, TOLD.care):
        assert " ".join(words.split())[:60] in " ".join(text.split())


def test_alternatives_stand_beside_each_other_with_what_differs() -> None:
    text = text_of(paper("two"))
    first, second = cottage_offer(), rounded_offer()
    assert first.quote and second.quote
    for words in (
        "Your choices",
        "Pointed, as drawn",
        "Three rails",
        "Three rails 75 \u00d7 38 mm",
    ):
        assert words in text
    assert f"£{first.quote.total:,}" in text
    assert f"£{second.quote.total:,}" in text
    assert "as ticked" in text
    assert "as ticked" not in text_of(paper("one"))
    with pytest.raises(OutputError, match=f"at most {MOST_OFFERS} alternatives, not 5"):
        write_proposal([first] * 5)


def test_a_job_in_feet_is_on_letter_and_in_feet() -> None:
    data = paper("feet")
    text = text_of(data)
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        assert {(page.width, page.height) for page in pdf.pages} == {(612.0, 792.0)}
    with pdfplumber.open(io.BytesIO(paper("one"))) as pdf:
        assert round(float(pdf.pages[0].width), 1) == 595.3
    assert not re.search(r"\d (mm|m|cm)\b", text)
    for words in ("70'-4 15/16\"", '3 1/2" \u00d7 3/4"', "April 14, 2026", "in feet and inches"):
        assert words in text


def test_nothing_is_said_that_nobody_gave() -> None:
    text = text_of(paper("bare"))
    for words in ("Guarantee", "Payment", "Deposit", "holds", "Not in the price", "VAT", "Please"):
        assert words not in text
    gaps = offer_gaps(replace(cottage_offer().fence.job, firm=None))
    assert gaps == ["firm.file (who the firm is, and its terms)"]
    assert offer_gaps(cottage_offer().fence.job) == []


def test_a_proposal_with_holes_is_noted() -> None:
    run = [{"points": [[0, 0], [3600, 0]]}]
    (found,) = (f for f in check(fence_of({"run": run, "offer": {"start": "soon"}}))
                if f.code == "OFFER-EMPTY")  # fmt: skip
    for key in ("offer.number", "offer.stage", "project.client", "firm.file"):
        assert key in str(found)
    assert not [f for f in check(fence_of({"run": run})) if f.code == "OFFER-EMPTY"]
    assert not [f for f in check(cottage_offer().fence) if f.code == "OFFER-EMPTY"]


@pytest.mark.parametrize("name", [*PAPERS, *SLOW])
def test_pages_are_few_and_nothing_stands_on_another(name: str) -> None:
    with pdfplumber.open(io.BytesIO(paper(name))) as pdf:
        assert 2 <= len(pdf.pages) <= 4
        for page in pdf.pages:
            level = page.filter(lambda o: o["object_type"] != "char" or o["matrix"][1] == 0.0)
            words = level.extract_words(use_text_flow=True)
            for word in words:
                assert word["x0"] > 20.0, word
                assert word["x1"] < float(page.width) - 20.0, word
                assert 15.0 < word["top"] < word["bottom"] < float(page.height) - 15.0, word
            boxes = [(w["x0"] + 0.5, w["top"] + 1.5, w["x1"] - 0.5, w["bottom"] - 1.5, w["text"])
                     for w in words]  # fmt: skip
            over = [
                (a[4], b[4])
                for a, b in combinations(boxes, 2)
                if a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
            ]
            assert not over, (page.page_number, over)
            crossed = [
                (box[4], line["x0"], line["top"])
                for line in level.lines
                for box in boxes
                if line["x0"] < box[2] and box[0] < line["x1"]
                and line["top"] < box[3] and box[1] < line["bottom"]
                and _through(line, box[:4])
            ]  # fmt: skip
            assert not crossed, (page.page_number, crossed)


def _through(line: dict[str, Any], box: tuple[float, ...]) -> bool:
    """Tell whether a line, which is drawn from corner to corner of its bounds, meets a box."""
    points = [(x, y) for x, y in line["pts"]]
    return bool(shapely.LineString(points).intersects(shapely.box(*box)))


def test_the_same_bytes_twice() -> None:
    assert paper("two") == write_proposal(
        [cottage_offer(), rounded_offer()], dot(), None, [dot()] * 2
    )
    first = cottage_offer()
    sheet = write_order_sheet(first.fence, first.order)
    assert sheet == write_order_sheet(first.fence, first.order)
    assert write_quote([first], None, Issue("7", "2026-01-05")) == write_quote(
        [first], None, Issue("7", "2026-01-05")
    )


def test_texts_too_long_for_four_pages_are_refused() -> None:
    first = cottage_offer()
    firm = first.fence.job.firm
    assert firm is not None
    long = firm.told.model_copy(update={"care": "Oil it.\n\n" * 400})
    job = replace(first.fence.job, firm=replace(firm, told=long))
    with pytest.raises(OutputError, match="shorten the texts"):
        write_proposal([replace(first, fence=replace(first.fence, job=job))])


@pytest.mark.parametrize(
    ("key", "value", "message"),
    [
        ("colour", '"green"', "4: colour: must be a colour as #22302a: # and six of 0-9 and a-f "
         "(found 'green')"),
        ("deposit", "140", "4: deposit: must be 100 or less (found 140)"),
        ("validity", "1.5", "4: validity: must be a whole number (found 1.5)"),
        ("validity", "0", "4: validity: must be 1 or more (found 0)"),
        ("terms", '"all"', "4: terms: must be a list of texts"),
        ("fax", '"1"', "4: fax: unknown key; allowed here: accent, address, bold, care, colour"),
        ("logo", '"none.png"', "4: logo: none.png: cannot be read: No such file"),
        ("logo", '"text.png"', "4: logo: text.png: is no picture that can be read; allowed: PNG, "
         "JPEG, SVG"),
        ("logo", '"text.svg"', "4: logo: text.svg: is no SVG that can be read"),
        ("logo", '"letters.svg"', "4: logo: letters.svg: has <text>, which is not drawn"),
        ("font", '"text.png"', "4: font: text.png: is no font that can be read; allowed: TrueType"),
        ("name", '""', "1: name: must not be empty"),
    ],
)  # fmt: skip
def test_mistakes_in_a_firms_file(tmp_path: Path, key: str, value: str, message: str) -> None:
    name = value if key == "name" else '"A"'
    line = "" if key == "name" else f"{key} = {value}\n"
    (tmp_path / "firm.toml").write_text(f"name = {name}\n\n\n{line}")
    (tmp_path / "text.png").write_text("no picture")
    (tmp_path / "text.svg").write_text("<a>")
    svg = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><text>A</text></svg>'
    (tmp_path / "letters.svg").write_text(svg)
    (tmp_path / "job.toml").write_text(
        '[firm]\nfile = "firm.toml"\n[[run]]\npoints = [[0, 0], [3600, 0]]\n'
    )
    result = CliRunner().invoke(main, ["check", str(tmp_path / "job.toml")])
    assert result.exit_code == 2
    (said,) = result.output.splitlines()
    assert f"firm.toml:{message}" in said
    assert "firm.file" in said


def test_a_firm_without_a_name_and_a_file_that_is_not_there(tmp_path: Path) -> None:
    path = tmp_path / "firm.toml"
    path.write_text('address = "here"\n')
    with pytest.raises(SpecError, match=r"name: must be given"):
        read_firm(path)
    with pytest.raises(SpecError, match="cannot be read"):
        read_firm(tmp_path / "none.toml")


def test_the_firm_owns_the_sheets_where_nobody_else_is_named(tmp_path: Path) -> None:
    shutil.copytree(FIRM.parent, tmp_path / "wren")
    spec = tmp_path / "job.toml"
    run = '[[run]]\npoints = [[0, 0], [3600, 0]]\n[firm]\nfile = "wren/firm.toml"\n'
    spec.write_text(run)
    assert example_fence(spec).job.project.owner == TOLD.name
    spec.write_text(f'[project]\nowner = "Another"\n{run}')
    assert example_fence(spec).job.project.owner == "Another"


def test_a_font_and_a_picture_of_the_firms_own_are_used(tmp_path: Path) -> None:
    font = ROOT / "export/drawing/draft/fonts/LiberationSans-Regular.ttf"
    shutil.copy(font, tmp_path / "own.ttf")
    (tmp_path / "logo.png").write_bytes(dot())
    path = tmp_path / "firm.toml"
    path.write_text('name = "Å & B <Fences>"\nfont = "own.ttf"\nlogo = "logo.png"\n')
    first = cottage_offer()
    job = replace(first.fence.job, firm=read_firm(path))
    job = replace(
        job, project=job.project.model_copy(update={"name": "木 garden <b>", "owner": ""})
    )
    data = write_proposal([replace(first, fence=replace(first.fence, job=job))])
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        assert len(pdf.pages[0].images) == 1
    look = look_of(job.firm, feet=False)
    assert look.marked("a < b", look.text) == "a &lt; b"
    assert look.marked("木 x", look.text) == f'<font name="{FONT_NAME}">木</font> x'
    assert not look.apart
    assert "garden <b>" in text_of(data)


def test_shapes_of_a_drawn_logo() -> None:
    drawn = read_svg(
        b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="10 0 40 20"><g fill="#ff0000" '
        b'transform="translate(10 5)"><rect x="0" y="0" width="4" height="2"/></g>'
        b'<path d="M10 0 Q15 0 20 5 L10 5 Z" style="fill:none;stroke:blue;stroke-width:2"/></svg>'
    )
    assert (drawn.width, drawn.height) == (40.0, 20.0)
    box, curve = drawn.shapes
    corners = {values for _, values in box.steps if values}
    assert corners == {(0.0, 5.0), (4.0, 5.0), (4.0, 7.0), (0.0, 7.0)}
    assert (box.fill, box.stroke) == ((1.0, 0.0, 0.0), None)
    assert (curve.fill, curve.stroke, curve.width) == (None, (0.0, 0.0, 1.0), 2.0)
    kinds = [step for step, _ in curve.steps]
    assert kinds[:3] == ["move", "curve", "line"]
    assert kinds[-1] == "close"
    gradient = b"<svg viewBox='0 0 9 9'><rect width='1' height='1' fill='url(#a)'/></svg>"
    for wrong in (b"<svg viewBox='0 0 0 0'/>", b"<svg viewBox='0 0 9 9'/>", b"<!ENTITY a>",
                  b"<svg viewBox='0 0 9 9'><rect width='a' height='1'/></svg>",
                  gradient):  # fmt: skip
        with pytest.raises(SvgError):
            read_svg(wrong)


def test_the_merchants_sheet_has_all_that_is_bought_and_no_work() -> None:
    offer = cottage_offer()
    text = text_of(write_order_sheet(offer.fence, offer.order))
    for line in offer.order.lines:
        row = rf"^{re.escape(line.item)} {re.escape(str(line.quantity))} {line.unit}"
        assert bool(re.search(row, text, re.M)) == (line.group != "work"), line.item
    to = offer.fence.job.delivery
    for words in (
        to.merchant,
        "10 April 2026",
        "A. Wren, 01632 960 417",
        TOLD.name,
        offer.fence.job.project.reference,
    ):
        assert words in text
    assert "£" not in text
    assert "GBP" not in text


def test_extras_go_to_the_merchant_where_they_are_said_to(tmp_path: Path) -> None:
    extra = [{"item": "skip hire"}, {"item": "weed mat", "unit": "m2", "merchant": True}]
    fence = fence_of({"run": [{"points": [[0, 0], [3600, 0]]}], "extra": extra})
    text = text_of(write_order_sheet(fence, order(fence)))
    assert "weed mat 1 m2" in text
    assert "skip" not in text


def run_in(folder: Path, *arguments: str) -> Any:
    return CliRunner().invoke(main, [*arguments, "-o", str(folder)])


def test_the_command_names_what_nobody_gave(tmp_path: Path) -> None:
    spec = tmp_path / "job.toml"
    spec.write_text('[project]\ndate = "2026-02-03"\n[[run]]\npoints = [[0, 0], [5400, 0]]\n')
    prices = tmp_path / "prices.csv"
    fence = example_fence(spec)
    rows = filled_in(blank_prices(order(fence)), "2")
    prices.write_text("\n".join(",".join(f'"{cell}"' for cell in row) for row in rows))
    asked = ("proposal", str(spec), "--no-picture")
    refused = run_in(tmp_path / "out", *asked)
    assert refused.exit_code == 2
    assert "names no price file; give --prices FILE" in refused.output
    done = run_in(tmp_path / "out", *asked, "--prices", str(prices), "--number", "No. 9")
    assert done.exit_code == 0, done.output
    assert "Not on it, as nobody gave it:" in done.output
    assert "firm.file" in done.output
    assert "offer.number" not in done.output
    text = text_of((tmp_path / "out" / "job-proposal.pdf").read_bytes())
    assert "No. 9" in text
    assert "3 February 2026" in text
    dated = run_in(tmp_path / "out", *asked, "--prices", str(prices), "--today")
    assert dated.exit_code == 0
    assert "3 February 2026" not in text_of((tmp_path / "out" / "job-proposal.pdf").read_bytes())
    made = CliRunner().invoke(main, ["build", str(spec), "-o", str(tmp_path / "b"), "--only",
                                     "order-sheet", "-q"])  # fmt: skip
    assert made.exit_code == 0, made.output
    assert (tmp_path / "b" / "job-order.pdf").exists()


@pytest.mark.slow
def test_sums_of_work_and_options_are_worked_out_by_others_alike(tmp_path: Path) -> None:
    """Every formula worked out anew by a formula interpreter, not read from the file."""
    import formulas

    work = {"fix_pale": 0.1, "dig_hole": 0.75, "set_post": 0.5}
    fence = fence_of({"run": [{"points": [[0, 0], [5400, 0]]}], "work": work})
    shorter = fence_of({"run": [{"points": [[0, 0], [3600, 0]]}]})
    first, second = offer_of(fence), offer_of(shorter)
    assert first.quote and second.quote
    path = tmp_path / "book.xlsx"
    path.write_bytes(write_workbook(first.fence, first.order, first.quote, [first, second]))
    book = openpyxl.load_workbook(path)
    assert {"Quotation", "Option 2", "Labour", "Options", "Merchant"} <= set(book.sheetnames)
    assert not any(sheet.protection.sheet for sheet in book.worksheets)
    solved = formulas.ExcelModel().loads(str(path)).finish().calculate()
    values = {
        str(key).upper().split("]")[1].replace("'", ""): cell.value[0, 0]
        for key, cell in solved.items()
        if "!" in str(key) and ":" not in str(key).rsplit("!", 1)[1]
    }
    for column, told in (("B", first.quote), ("C", second.quote)):
        wanted = (told.net, told.gain, Decimal("12.5"), None, told.before_tax, told.tax, told.total,
                  told.total - first.quote.total)  # fmt: skip
        for row, amount in enumerate(wanted, 2):
            if amount is not None:
                found = values[f"OPTIONS!{column}{row}"]
                assert found == pytest.approx(float(amount), abs=0.01), (column, row)
        share = 100.0 * float(told.gain / told.before_tax)
        assert values[f"OPTIONS!{column}5"] == pytest.approx(share)
    labour = book["Labour"]
    tasks = [one for one in first.quote.lines if one.line.group == "work"]
    assert [labour.cell(row, 1).value for row in range(2, len(tasks) + 2)] == [
        one.line.item for one in tasks
    ]
    end = len(tasks) + 2
    hours = sum(float(one.line.hours * one.line.quantity) for one in tasks if one.line.hours)
    assert values[f"LABOUR!E{end}"] == pytest.approx(hours)
    assert values["OPTIONS!B10"] == pytest.approx(hours)
    paid = sum(float(one.total) for one in tasks if one.total)
    assert values[f"LABOUR!G{end}"] == pytest.approx(paid)
