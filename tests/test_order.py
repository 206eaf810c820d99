"""Quantities against the solids and against counting by hand; prices, quotation, workbook."""

from __future__ import annotations

import csv
import io
import json
import math
import re
import shutil
import subprocess
import zipfile
from collections import Counter
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import jsonschema
import openpyxl
import pdfplumber
import pytest
from click.testing import CliRunner

from helpers import EXAMPLES, ROOT, example_fence, fence_of, filled_in
from palewright.cli.main import main
from palewright.export.models.product import Product
from palewright.export.papers.alternatives import Alternative, compare_table
from palewright.export.papers.quote_pdf import write_quote
from palewright.export.papers.workbook import write_workbook
from palewright.export.tables.order_tables import ORDER_TABLES, board_lines, quote_table
from palewright.model.basis.errors import SpecError
from palewright.model.lists.takeoff import pale_count
from palewright.model.order.fence_figures import surface
from palewright.model.order.fixings import SCREWS, crossings, driven_size, fixing_lines
from palewright.model.order.order_lines import Order, order
from palewright.model.order.prices import blank_prices, quote, with_prices
from palewright.model.order.sawing import Section, sawn
from palewright.model.order.takeoff_document import takeoff_json, takeoff_schema
from palewright.model.parts.members import CAP, CONCRETE, METAL, PALE, POST, TIMBER
from palewright.model.spec.price_file import read_prices
from palewright.model.spec.price_list import PriceItem, PriceList

PLAIN = {"run": [{"points": [[0, 0], [5400, 0]]}]}
GATED = {"run": [{"points": [[0, 0], [7200, 0]], "gate": [{"at": 3600}]}]}
PRICED = ROOT / "examples" / "cottage-prices.csv"


@pytest.fixture(scope="module")
def cottage() -> Product:
    return Product(example_fence(ROOT / "examples" / "cottage.toml"))


def test_quantities_are_those_of_the_solids(built: Product) -> None:
    """Volumes of the kernel's solids, summed by material."""
    sums: Counter[str] = Counter()
    for mark, group in built.fence.by_mark.items():
        sums[group[0].kind.material] += built.solids[mark].Volume() * len(group)
    caps = sum(m.shape.volume for m in built.fence.members if m.kind == CAP)
    found = built.order
    timber = sum(line.volume for line in found.timber)
    assert timber + caps == pytest.approx(sums[TIMBER], rel=1e-6)
    assert found.concrete.net * 1e9 == pytest.approx(sums[CONCRETE], rel=1e-6)
    weights = found.weights
    assert weights.timber == pytest.approx(sums[TIMBER] * 600.0 / 1e9, rel=1e-6)
    assert weights.metal == pytest.approx(sums[METAL] * 7850.0 / 1e9, rel=1e-6)
    each = sum(weights.each[m.mark] for m in built.fence.members if m.kind.material != CONCRETE)
    assert each == pytest.approx(weights.load)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_member_is_sawn_once_and_fits(path: Path) -> None:
    fence = example_fence(path)
    found = order(fence)
    pieces: dict[Section, Counter[float]] = {}
    for section, marks in sawn(fence).items():
        pieces[section] = Counter()
        for length, count in marks.values():
            pieces[section][round(length, 1)] += count
    for line in found.timber:
        made: Counter[float] = Counter()
        for board in line.plan.boards:
            used = sum(board.pieces) + 3.0 * (len(board.pieces) - 1)
            trim = 0.0 if line.section.ground or len(board.pieces) == 1 else 20.0
            assert used + trim <= board.stock.length + 1e-6
            assert not line.section.ground or len(board.pieces) <= 2
            for piece in board.pieces:
                made[piece] += board.count
                assert line.marks_of(piece)
        assert made == pieces[line.section]
        bought = dict(line.plan.bought)
        assert sum(bought.values()) == sum(board.count for board in line.plan.boards)
        assert line.plan.optimal or line.plan.gap < 0.01
    posts = [m for m in fence.members if m.kind == POST]
    ground = [line for line in found.timber if line.section.ground]
    assert sum(b.count * len(b.pieces) for ln in ground for b in ln.plan.boards) == len(posts)


def test_fixings_counted_by_hand() -> None:
    """Rails end 50 mm beyond the end posts' middles, so no two bays fit a length of 3.6 m: a row is
    three rails with a bolt at either end.
    """
    fence = fence_of(PLAIN)
    lines = {line.item: line for line in fixing_lines(fence)}
    bolts = [line for name, line in lines.items() if name.startswith("bolt")]
    assert sum(line.count for line in bolts) == 2 * 3 * 2
    assert lines["nut M10"].count == lines["washer M10"].count == 12
    pales = sum(1 for member in fence.members if member.kind == PALE)
    nails = lines["nail 2.65 x 50"]
    assert nails.count == math.ceil(pales * 2 * 2 * 1.1)
    # 50 mm of 2.65 mm wire at 7850 kg/m3 is 2.165 g
    assert nails.quantity == pytest.approx(nails.count * 2.165e-3, abs=0.1)
    assert bolts[0].note == "cup head; hole 11 mm"  # ISO 273 medium


def test_a_brace_adds_its_own_crossings() -> None:
    fence = fence_of(GATED)
    leaf = [m for m in fence.members if m.kind == PALE and m.leaf is not None]
    others = [m for m in fence.members if m.kind == PALE and m.leaf is None]
    brace = crossings(fence).total() - 2 * len(others) - 2 * len(leaf)
    # at 36 degrees between ledges 475 mm apart it ends short of the last pale at the latch
    assert brace == len(leaf) - 1


def test_lengths_of_nails_and_screws() -> None:
    assert driven_size(20.0, 38.0, SCREWS) == (50.0, 4.5)
    assert driven_size(32.0, 28.0, SCREWS) == (50.0, 4.5)  # 80 would come out behind


def test_bolts_are_as_long_as_what_they_clamp() -> None:
    """38 rail + 100 post + washer 3 + nut 8.4 + thread 3, head 5.4 let in: 147 of 150."""
    lines = fixing_lines(fence_of(PLAIN))
    assert [line.item for line in lines if line.item.startswith("bolt")] == ["bolt M10 x 150"]


def test_arris_rails_have_a_section_of_their_own() -> None:
    fence = fence_of({"run": PLAIN["run"], "rails": {"form": "arris", "section": [75, 75]}})
    forms = {section.form for section in sawn(fence)}
    assert forms == {"", "arris"}


def test_a_piece_longer_than_any_length_is_ordered_to_length() -> None:
    fence = fence_of(PLAIN | {"timber": {"lengths": [1800.0]}, "rails": {"stock_length": 3600}})
    found = order(fence)
    rails = next(line for line in found.timber if line.section.same((75.0, 38.0)))
    assert rails.special == (2100.0,)  # of 1850, in steps of 300
    notes = [line.note for line in found.lines if "75 x 38 use class 3, 2.1 m" in line.item]
    assert notes == ["longer than any length listed: to order"]


def test_what_is_in_the_yard_is_used_and_not_bought() -> None:
    """Six rails, four of 1850 and two of 1800: each offcut gives one of both, and the last two of
    1850 come out of 3.9 m with a cut between them.
    """
    yard = {"offcut": [{"section": [38, 75], "length": 3700, "count": 2}]}
    found = order(fence_of(PLAIN | {"timber": yard}))
    lines = {line.item: line.quantity for line in found.lines if "75 x 38" in line.item}
    assert lines == {
        "offcut of timber 75 x 38 use class 3, 3.7 m": Decimal(2),
        "timber 75 x 38 use class 3, 3.9 m": Decimal(1),
    }


def test_rails_jointed_for_least_timber() -> None:
    """Lengths of 1.8, 2.4 and 4.8 m and bays of 1.7: fewer metres than with the fewest joints."""
    spec: dict[str, Any] = {
        "run": [{"points": [[0, 0], [17_000, 0], [17_000, 9000]]}],
        "posts": {"bay": 1700},
        "timber": {"lengths": [1800.0, 2400.0, 4800.0]},
    }
    bought = {}
    for joints in ("fewest", "least timber"):
        fence = fence_of(spec | {"rails": {"joints": joints, "stock_length": 4800}})
        line = next(x for x in order(fence).timber if x.section.same((75.0, 38.0)))
        assert line.plan.optimal
        bought[joints] = line.plan.length
        for layout in fence.layouts:
            for stretch in layout.stretches:
                low, high = (
                    {piece.bays[0] for piece in stretch.rails if piece.row == row} - {0}
                    for row in (0, 1)
                )
                assert not low & high or len(stretch.bays) == len(low) + 1
    assert bought["least timber"] < 0.9 * bought["fewest"]


def test_tables_are_complete(cottage: Product) -> None:
    for name, table in ORDER_TABLES.items():
        rows = table(cottage.fence, cottage.order)
        assert len(rows) > 1, name
        assert len({len(row) for row in rows}) == 1, name
    text = "\n".join(board_lines(cottage.order))
    assert "21 x  4800 |----900----|" in text
    assert max(len(line) for line in text.splitlines()) <= 90


def test_the_json_follows_its_published_schema(built: Product) -> None:
    data = json.loads(takeoff_json(built.fence, built.order))
    schema = takeoff_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(data, schema)
    assert sum(part["count"] for part in data["members"]) == len(built.fence.members)
    data["order"]["lines"][0]["quantity"] = None
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(data, schema)


def test_a_blank_price_file_reads_back(cottage: Product, tmp_path: Path) -> None:
    path = tmp_path / "prices.csv"
    with path.open("w", newline="") as out:
        rows = blank_prices(cottage.order)
        csv.writer(out).writerows(rows)
    with pytest.raises(SpecError, match="2: currency: is to be filled in: three capitals"):
        read_prices(path)
    with path.open("w", newline="") as out:
        csv.writer(out).writerows(filled_in(rows, "1.00"))
    found = quote(cottage.order, read_prices(path))
    assert found.unpriced == ()


def test_money_is_decimal_and_rounded_half_up(cottage: Product) -> None:
    items = (
        PriceItem("dig hole", "each", Decimal("0.005")),  # 13 holes: 0.065
        PriceItem("clear spoil", "m3", Decimal("1.25")),  # 0.97 m3: 1.2125
    )
    prices = PriceList("GBP", 2, Decimal("12.5"), Decimal(0), Decimal(20), items)
    found = quote(cottage.order, prices)
    totals = {p.line.item: p.total for p in found.lines if p.total is not None}
    assert totals == {"dig hole": Decimal("0.07"), "clear spoil": Decimal("1.21")}
    assert found.net == Decimal("1.28")
    assert found.gain == Decimal("0.16")
    assert found.tax == Decimal("0.29")
    assert found.total == Decimal("1.73")
    assert len(found.unpriced) == len(cottage.order.lines) - 2


def test_a_length_with_a_price_of_its_own_changes_the_plan(cottage: Product) -> None:
    base = read_prices(PRICED)
    cheap = PriceItem("timber 90 x 20 use class 3, 2.1 m", "each", Decimal("1.00"))
    prices = replace(base, items=(*base.items, cheap))
    plain = quote(order(with_prices(cottage.fence, base)), base)
    found = quote(order(with_prices(cottage.fence, prices)), prices)
    assert found.net < plain.net
    pales = [p.line.item for p in found.lines if "90 x 20" in p.line.item]
    assert pales == ["timber 90 x 20 use class 3, 2.1 m"]


def test_lengths_without_a_price_are_not_sold() -> None:
    items = (PriceItem("timber 75 x 38 use class 3, 3.6 m", "each", Decimal("5.40")),)
    prices = PriceList("GBP", 2, Decimal(0), Decimal(0), Decimal(0), items)
    found = order(with_prices(fence_of(PLAIN), prices))
    rails = next(line for line in found.timber if line.section.same((75.0, 38.0)))
    assert {stock.length for stock, _ in rails.plan.bought} == {3600.0}


@pytest.mark.parametrize(
    ("name", "text", "message"),
    [
        ("p.csv", "a,b\n", "p.csv:1: must start with the heads item, unit, price"),
        ("p.csv", "item,unit,price\nnail,kg,x\n", "p.csv:2: nail: 'x' is not allowed: a number"),
        ("p.csv", "item,unit,price\nnail,kg,-1\n", "p.csv:2: nail: '-1' is not allowed"),
        ("p.csv", "item,unit,price\nnail,kg,1\nNail,kg,2\n", "p.csv:3: Nail: has a price already"),
        ("p.csv", "item,unit,price\ncurrency,,pounds\n", "three capitals"),
        ("p.toml", "margins = 3\n", "p.toml:1: margins: is not known; allowed: currency"),
        ("p.toml", "[price]\nnail = 3\n", 'must be { unit = "each"'),
        ("p.toml", "tax = [\n", "is not TOML"),
    ],
)
def test_mistakes_in_price_files(tmp_path: Path, name: str, text: str, message: str) -> None:
    path = tmp_path / name
    path.write_text(text)
    with pytest.raises(SpecError) as caught:
        read_prices(path)
    assert message in str(caught.value).replace(str(tmp_path) + "/", "")


def test_a_price_file_in_toml(tmp_path: Path) -> None:
    path = tmp_path / "p.toml"
    path.write_text(
        'currency = "EUR"\nmargin = 10\ntax = 19.5\n[price]\n'
        '"bolt M10 x 150" = { unit = "each", price = "0.98" }\n'
    )
    prices = read_prices(path)
    assert (prices.currency, prices.margin, prices.tax) == ("EUR", Decimal(10), Decimal("19.5"))
    assert prices.price("Bolt  m10 x 150", "each") == Decimal("0.98")
    assert prices.price("bolt M10 x 150", "kg") is None


def priced(cottage: Product) -> tuple[Order, Any]:
    prices = read_prices(PRICED)
    found = order(with_prices(cottage.fence, prices))
    return found, quote(found, prices)


def test_the_spreadsheet_says_the_same_to_independent_readers(
    cottage: Product, tmp_path: Path
) -> None:
    found, quoted = priced(cottage)
    path = tmp_path / "quote.xlsx"
    path.write_bytes(write_workbook(cottage.fence, found, quoted))
    stored = openpyxl.load_workbook(path, data_only=True)["Quotation"]
    live = openpyxl.load_workbook(path)["Quotation"]
    last = live.max_row
    assert live.cell(last, 2).value == "total"
    assert live.cell(last, 6).value.startswith("=F")
    assert Decimal(str(stored.cell(last, 6).value)) == quoted.total
    assert live.freeze_panes == "A5"
    assert live.print_area
    rows = quote_table(quoted)[1:-4]
    for number, row in enumerate(rows, 5):
        cell = stored.cell(number, 6).value
        assert Decimal(str(cell)).quantize(Decimal("0.01")) == Decimal(str(row[-1]))
        assert live.cell(number, 6).value == f"=ROUND(C{number}*E{number},2)"


@pytest.mark.slow
def test_recalculated_sums_are_the_same(cottage: Product, tmp_path: Path) -> None:
    """Every formula worked out anew by a formula interpreter, not read from the file."""
    import formulas

    found, quoted = priced(cottage)
    path = tmp_path / "quote.xlsx"
    path.write_bytes(write_workbook(cottage.fence, found, quoted))
    book = formulas.ExcelModel().loads(str(path)).finish().calculate()
    last = openpyxl.load_workbook(path)["Quotation"].max_row
    values = {}
    for key, cell in book.items():
        if "QUOTATION'!F" in str(key) and ":" not in str(key).rsplit("!", 1)[1]:
            values[int(str(key).rsplit("!F", 1)[1])] = cell.value[0, 0]
    lines = len(quoted.lines)
    for number, one in enumerate(quoted.lines, 5):
        assert values[number] == pytest.approx(float(one.total), abs=1e-9)
    sums = [amount for _, amount in quoted.groups]
    sums += [quoted.net, quoted.gain, quoted.tax, quoted.total]
    for number, amount in enumerate(sums, 5 + lines):
        assert values[number] == pytest.approx(float(amount), abs=1e-9)
    assert number == last


@pytest.mark.skipif(not shutil.which("soffice"), reason="only where LibreOffice is installed")
def test_libreoffice_recalculates_the_same(cottage: Product, tmp_path: Path) -> None:
    found, quoted = priced(cottage)
    path = tmp_path / "quote.xlsx"
    path.write_bytes(write_workbook(cottage.fence, found, quoted))
    convert = ["soffice", "--headless", "--convert-to", "csv", "--outdir", str(tmp_path)]
    subprocess.run([*convert, str(path)], check=True, timeout=120)
    rows = list(csv.reader(io.StringIO(path.with_suffix(".csv").read_text("utf-8"))))
    total = next(row for row in rows if row[1] == "total")
    assert Decimal(total[5].replace(",", "")) == quoted.total


def test_spreadsheets_are_the_same_bytes_and_run_no_formula_of_a_name() -> None:
    evil = {"project": {"name": '=HYPERLINK("http://x","y")', "site": "+1&R2"}} | PLAIN
    built = Product(fence_of(evil))
    data = write_workbook(built.fence, built.order)
    assert data == write_workbook(built.fence, built.order)
    with zipfile.ZipFile(io.BytesIO(data)) as pack:
        sheets = [pack.read(name) for name in pack.namelist() if "worksheets/sheet" in name]
    assert sheets
    assert not any(b"<f>" in sheet for sheet in sheets)
    book = openpyxl.load_workbook(io.BytesIO(data))
    assert book["Cutting list"].freeze_panes == "A2"
    count = book["Cutting list"]["C2"].value
    assert isinstance(count, int)


def test_the_quotation_for_the_customer(cottage: Product) -> None:
    found, quoted = priced(cottage)
    offers = [Alternative("low", cottage.fence, found, quoted)] * 2
    data = write_quote(offers)
    assert data == write_quote(offers)
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        text = "\n".join(page.extract_text() for page in pdf.pages)
        assert (pdf.pages[0].width, pdf.pages[0].height) == pytest.approx((595.3, 841.9), abs=0.1)
    assert "1,725.74 GBP" in text
    assert "Alternatives" in text
    assert "margin" not in text  # the customer's prices hold it
    money = [Decimal(line.split()[1].replace(",", "")) for line in text.splitlines()
             if line.startswith(("materials", "work"))]  # fmt: skip
    assert sum(money) == quoted.before_tax


def test_alternatives_side_by_side(cottage: Product) -> None:
    low = Alternative("low", cottage.fence, cottage.order)
    fence = fence_of(PLAIN)
    rows = compare_table([low, Alternative("plain", fence, order(fence))])
    assert rows[0] == ("", "Pointed, as drawn", "plain")  # as its spec says, or its file
    table = {row[0]: row[1:] for row in rows}
    assert table["length of fence"] == ("17.10 m", "5.40 m")
    assert table["gates"] == ("1", "0")
    assert "with tax" not in table


def test_the_commands(tmp_path: Path) -> None:
    run = CliRunner().invoke
    spec = tmp_path / "job.toml"
    spec.write_text('[[run]]\npoints = [[0, 0], ["5.4 m", 0]]\n')
    prices = tmp_path / "prices.csv"
    made = run(main, ["prices", str(spec), "-o", str(prices)])
    assert made.exit_code == 0, made.output
    again = run(main, ["prices", str(spec), "-o", str(prices)])
    assert again.exit_code == 2
    assert "is there already" in again.output
    text = prices.read_text("utf-8-sig").replace("currency,,", "currency,,GBP")
    prices.write_text(text.replace("dig hole,each,", "dig hole,each,10"))
    out = tmp_path / "out"
    asked = ["quote", str(spec), "--prices", str(prices), "-o", str(out), "--no-picture"]
    refused = run(main, asked)
    assert refused.exit_code == 2
    assert "no price for:" in refused.output
    assert not out.exists()
    done = run(main, [*asked, "--part-priced"])
    assert done.exit_code == 0, done.output
    assert "no price" in done.output
    assert sorted(path.name for path in out.iterdir()) == ["job-quote.pdf", "job-quote.xlsx"]
    shown = run(main, ["compare", str(spec), str(spec), "--prices", str(prices)])
    assert "lines without a price" in shown.output
    boards = run(main, ["list", str(spec), "--table", "boards"])
    assert "optimal" in boards.output
    schema = run(main, ["schema", "--of", "takeoff"])
    assert json.loads(schema.output)["title"] == "Takeoff"
    prices.write_text("nonsense")
    broken = run(main, asked)
    assert broken.exit_code == 2
    assert "must start with the heads" in broken.output


def test_what_differs_between_two_orders_is_told_line_by_line(tmp_path: Path) -> None:
    """The differences of all lines come to that of the sums."""
    from palewright.export.papers.changes import order_changes

    path = tmp_path / "prices.csv"
    rows = ("item,unit,price", "currency,,GBP", "timber 75 x 20 use class 3,m,2.5", "labour,h,30")
    path.write_text("\n".join(rows))
    known = read_prices(path)
    offers = []
    for name, gap in (("old", 55), ("new", 80)):
        work = {"fix_pale": 0.1, "set_post": 1}
        spec = PLAIN | {"pales": {"width": 75, "gap": gap}, "work": work}
        fence = with_prices(fence_of(spec), known)
        ordered = order(fence)
        offers.append(Alternative(name, fence, ordered, quote(ordered, known)))
    changes = order_changes(*offers)
    assert changes[0] == ("item", "unit", "old", "new", "difference", "money")
    told = {row[0]: row for row in changes[1:]}
    counts = [pale_count(offer.fence) for offer in offers]
    assert told["fix pale"] == (
        "fix pale", "each", str(counts[0]), str(counts[1]), f"{counts[1] - counts[0]:+d}",
        f"{(counts[1] - counts[0]) * 3:+d}.00",
    )  # fmt: skip
    assert "set post" not in told  # as many as before
    money = [float(row[5]) for row in changes[1:]]
    assert sum(money[:-1]) == pytest.approx(money[-1])
    assert order_changes(offers[0], offers[0])[1:] == []
    plain = [Alternative(one.name, one.fence, one.order) for one in offers]
    assert order_changes(plain[0], plain[0]) == [("item", "unit", "old", "old", "difference")]


def test_a_piece_longer_than_any_length_is_noted() -> None:
    from palewright.model.checks.building_checks import check

    short = PLAIN | {"timber": {"lengths": [1800.0]}}
    notes = [f for f in check(fence_of(short)) if f.code == "TIMBER-LONG"]
    assert [f.where for f in notes] == ["75 x 38 use class 3, RA1"]
    fits = PLAIN | {"timber": {"lengths": [1850.0]}}
    assert not [f for f in check(fence_of(fits)) if f.code == "TIMBER-LONG"]


def test_build_list_sheets_and_quote_saw_the_same_boards(tmp_path: Path) -> None:
    """By length two posts come out of 3 m; a price that makes 1.8 m cheap changes every paper."""
    run = CliRunner().invoke
    rows = [",".join(f'"{cell}"' for cell in row) for row in blank_prices(order(fence_of(PLAIN)))]
    text = "\n".join(row.replace('""', '"2"') for row in rows).replace('"currency","2","2"', "")
    text = text.replace('"timber 100 x 100 use class 4","m","2"',
                        '"timber 100 x 100 use class 4, 1.8 m","each","1"')  # fmt: skip
    (tmp_path / "yard.csv").write_text(text)
    bare = '[[run]]\npoints = [[0, 0], ["5.4 m", 0]]\n'
    (tmp_path / "named.toml").write_text(bare + '[prices]\nfile = "yard.csv"\n')
    (tmp_path / "bare.toml").write_text(bare)
    given = ["--prices", str(tmp_path / "yard.csv")]
    boards = {}
    for stem, more in (("named", []), ("bare", given)):
        spec, out = str(tmp_path / f"{stem}.toml"), tmp_path / stem
        for command in (
            ["build", spec, "-o", str(out), "--only", "csv,takeoff", "-q", *more],
            ["quote", spec, "-o", str(out), "--no-picture", *more],
            ["sheets", spec, "-o", str(out), "--for", "workshop", "--formats", "svg", *more],
        ):
            done = run(main, command)
            assert done.exit_code == 0, done.output
        boards[stem] = (out / f"{stem}-boards.csv").read_text("utf-8-sig")
        assert "100 x 100 use class 4,1 to 4,4,1800" in boards[stem]
        book = openpyxl.load_workbook(out / f"{stem}-quote.xlsx")
        sawn_from = [[cell.value for cell in row] for row in book["Boards"].iter_rows(min_row=2)]
        assert ["100 x 100 use class 4", "1 to 4", 4, 1800] in [row[:4] for row in sawn_from]
        drawn = "".join(path.read_text("utf-8") for path in out.glob("*.svg"))
        assert "4 x 1800" in drawn or "1800" in drawn
        listed = run(main, ["list", spec, "--table", "boards", *more])
        assert "1800" in listed.output
    assert boards["named"] == boards["bare"]
    plain = run(main, ["list", str(tmp_path / "bare.toml"), "--table", "boards"])
    assert "100 x 100 use class 4  1 to 2" in plain.output


def test_mark_up_is_on_cost_and_margin_is_of_the_price(cottage: Product) -> None:
    """20 % on 100 is 20; 20 % of a price of 125 is 25."""
    items = tuple(PriceItem(x.item, x.unit, Decimal(1)) for x in cottage.order.lines)
    nothing = Decimal(0)
    up = quote(cottage.order, PriceList("GBP", 2, Decimal(20), nothing, nothing, items))
    of = quote(cottage.order, PriceList("GBP", 2, nothing, Decimal(20), nothing, items))
    assert up.gain == (up.net * Decimal("0.2")).quantize(Decimal("0.01"))
    assert of.gain == pytest.approx(of.before_tax * Decimal("0.2"), abs=Decimal("0.01"))
    assert (up.prices.gain_text, of.prices.gain_text) == (
        "mark-up 20 % on cost", "margin 20 % of the price",
    )  # fmt: skip


def test_a_margin_in_the_spreadsheet_is_worked_out_by_others_alike(tmp_path: Path) -> None:
    import formulas

    fence = fence_of(PLAIN | {"work": {"dig_hole": 0.5}})
    found = order(fence)
    items = tuple(PriceItem(x.item, x.unit, Decimal("1.37")) for x in found.lines)
    quoted = quote(found, PriceList("EUR", 2, Decimal(0), Decimal("17.5"), Decimal(19), items))
    path = tmp_path / "quote.xlsx"
    path.write_bytes(write_workbook(fence, found, quoted))
    book = formulas.ExcelModel().loads(str(path)).finish().calculate()
    sheet = openpyxl.load_workbook(path)["Quotation"]
    rows = {sheet.cell(n, 2).value: n for n in range(1, sheet.max_row + 1)}

    def value(column: str, row: int) -> float:
        return next(
            float(cell.value[0, 0]) for key, cell in book.items()
            if str(key).endswith(f"QUOTATION'!{column}{row}")
        )  # fmt: skip

    assert value("F", rows["margin of the price"]) == pytest.approx(float(quoted.gain))
    assert value("F", rows["total"]) == pytest.approx(float(quoted.total))
    assert value("H", rows["dig hole"]) == 2.0  # four holes of half an hour


@pytest.mark.parametrize(
    ("text", "price"),
    [
        ("item;unit;price\nnail;kg;6,35\n", "6.35"),
        ("item;unit;price\nnail;kg;1.234,50\n", "1234.50"),
        ('item,unit,price\nnail,kg,"6,35"\n', "6.35"),
        ("item,unit,price\nnail,kg,6.35\n", "6.35"),
    ],
)
def test_semicolons_and_decimal_commas(tmp_path: Path, text: str, price: str) -> None:
    path = tmp_path / "p.csv"
    path.write_text(text)
    assert read_prices(path).price("nail", "kg") == Decimal(price)


@pytest.mark.parametrize("text", ["1,250", "1.25,0,0", "1 250"])
def test_a_comma_that_may_be_meant_either_way_is_no_price(tmp_path: Path, text: str) -> None:
    path = tmp_path / "p.csv"
    path.write_text(f"item;unit;price\nnail;kg;{text}\n")
    with pytest.raises(SpecError, match="is not allowed"):
        read_prices(path)


def test_prices_that_nothing_takes_are_named_with_what_is_near(tmp_path: Path) -> None:
    found = order(fence_of(PLAIN))
    path = tmp_path / "p.csv"
    path.write_text(
        "item,unit,price\ntimber 75 x 38 use clas 3,m,2\ndig hole,m,3\nlabour,h,20\n"
        'moonshine,litre,9\n"timber 100 x 100 use class 4, 7.2 m",each,30\n'
    )
    told = [line.removeprefix(str(tmp_path)) for line in quote(found, read_prices(path)).unused]
    assert told == [
        "/p.csv:2: 'timber 75 x 38 use clas 3' is nothing of this order; without a price is "
        "'timber 75 x 38 use class 3'",
        "/p.csv:3: 'dig hole' has a price by 'm'; the order counts 'each'",
        "/p.csv:5: 'moonshine' is nothing of this order",
    ]


def test_extras_by_formula_and_tasks_by_hours() -> None:
    """5.4 m of fence, four posts: hours at the price of labour, an own price before them."""
    fence = fence_of(
        PLAIN
        | {"work": {"set_post": 0.5, "fix_pale": 0.1}}
        | {"extra": [
            {"item": "clear the line", "unit": "m", "quantity": "length * 2"},
            {"item": "skip", "quantity": "ceil(spoil / 6)"},
            {"item": "travel", "unit": "km", "quantity": 30, "hours": 0.02},
        ]}
    )  # fmt: skip
    found = order(fence)
    lines = {line.item: line for line in found.lines}
    assert lines["clear the line"].quantity == Decimal("10.8")
    assert lines["skip"].quantity == 1
    items = (PriceItem("labour", "h", Decimal(30)), PriceItem("fix pale", "each", Decimal("1.5")))
    quoted = quote(found, PriceList("GBP", 2, Decimal(0), Decimal(0), Decimal(0), items))
    totals = {priced.line.item: priced.total for priced in quoted.lines}
    assert totals["set post"] == Decimal("60.00")  # 4 x 0.5 h x 30
    assert totals["travel"] == Decimal("18.00")  # 30 x 0.02 h x 30
    assert totals["fix pale"] == lines["fix pale"].quantity * Decimal("1.5")
    assert totals["dig hole"] is None


@pytest.mark.parametrize(
    ("formula", "message"),
    [
        ("lenght * 2", "knows no 'lenght'; allowed: length, posts"),
        ("__import__('os')", "is no formula"),
        ("2 ** 9", "is no formula"),
        ("length +", "is no formula"),
        ("length.real", "is no formula"),
        ("(" * 90 + "1" + ")" * 90, ""),
        ("9" * 201, "longer than 200"),
    ],
)
def test_formulas_know_figures_and_nothing_else(formula: str, message: str) -> None:
    from palewright.model.spec.quantity import parsed

    if not message:
        assert parsed(formula) == formula
        return
    with pytest.raises(ValueError, match=re.escape(message)):
        parsed(formula)


def test_a_formula_that_gives_less_than_nothing_is_a_mistake() -> None:
    fence = fence_of(PLAIN | {"extra": [{"item": "less", "quantity": "posts - 90"}]})
    with pytest.raises(SpecError, match=r"extra\[1\]\.quantity: gives -86"):
        order(fence)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_painted_timber_is_the_kernels_surface(path: Path) -> None:
    """Of all pieces but posts: those stand in the ground, where nobody paints them."""
    built = Product(example_fence(path))
    exact = ours = 0.0
    for mark, group in built.fence.by_mark.items():
        if group[0].kind.material == TIMBER and group[0].kind not in (POST, CAP):
            exact += built.solids[mark].Area() * len(group)
            ours += surface(group[0].shape) * len(group)
    assert ours == pytest.approx(exact, rel=0.01)


def test_finishes_are_bought_in_litres() -> None:
    fence = fence_of(PLAIN | {"finishes": {"pales": "white paint"}, "painting": {"coats": 3}})
    lines = {line.item: line for line in order(fence).lines}
    area = sum(surface(m.shape) for m in fence.members if m.kind == PALE) / 1e6
    assert lines["white paint"].quantity == math.ceil(area * 3 / 8.0)
    assert float(lines["apply finish"].quantity) == pytest.approx(area * 3, abs=0.05)
    assert "white paint" not in {line.item for line in order(fence_of(PLAIN)).lines}


def test_ready_shaped_pales_are_bought_and_not_sawn_nor_shaped() -> None:
    fence = fence_of(PLAIN | {"pales": {"head": "round", "ready_shaped": True}})
    pales = sum(1 for member in fence.members if member.kind == PALE)
    found = order(fence)
    lines = {line.item: line.quantity for line in found.lines}
    assert lines["pale 100 x 20 x 900, round, ready shaped"] == pales
    assert not any("shape " in item for item in lines)
    assert not any(line.section.same((100.0, 20.0)) for line in found.timber)
    shaped = {line.item for line in order(fence_of(PLAIN | {"pales": {"head": "round"}})).lines}
    assert "shape round head" in shaped


def test_ironmongery_has_what_holds_it() -> None:
    """A leaf of 900 has straps of 300: a bolt each through 5 + 38 + 20 mm with nut and washer, five
    screws; pins have four each, latch four, keep two: 2 x 5 + 2 x 4 + 4 + 2, with a tenth more.
    """
    lines = {line.item: line for line in fixing_lines(fence_of(GATED))}
    assert lines["bolt M8 x 100"].count == lines["nut M8"].count == 2
    assert lines["ironmongery screw 4 x 40"].count == math.ceil(24 * 1.1)
    assert lines["gate stop"].count == 1
    assert "driven into the post" in lines["hinge pin 70"].note


def test_two_leaves_have_a_keep_a_drop_bolt_and_its_socket() -> None:
    gates = {"run": [{"points": [[0, 0], [9000, 0]],
                      "gate": [{"at": 4500, "leaves": 2, "opening": 2400}]}]}  # fmt: skip
    lines = {line.item: line.count for line in fixing_lines(fence_of(gates))}
    assert lines["latch keep 60"] == lines["gate latch 120"] == lines["drop bolt 450"] == 1
    assert lines["gate stop, two leaves"] == lines["ground socket for a drop bolt of 16"] == 1
    assert "gate stop" not in lines


@pytest.mark.parametrize(("thickness", "rise", "nail"), [(18, 20, 75), (18, 0, 50), (30, 30, 125)])
def test_a_cap_is_nailed_through_its_own_height(thickness: int, rise: int, nail: int) -> None:
    """Two and a half times what the nail goes through, half-way up the cap's slope."""
    top = {"shape": "cap", "thickness": thickness, "rise": rise}
    lines = [line.item for line in fixing_lines(fence_of(PLAIN | {"posts": {"top": top}}))]
    nails = {item for item in lines if item.startswith("nail ")}
    assert nails == {"nail 2.65 x 50"} | {item for item in nails if item.endswith(f" {nail}")}
    assert any(item.endswith(f" {nail}") for item in nails)


def test_the_customer_reads_what_else_is_offered() -> None:
    fence = fence_of(
        PLAIN
        | {"finishes": {"pales": "green paint"}}
        | {"extra": [{"item": "cart the old wire away", "quantity": 1}]}
    )
    found = order(fence)
    items = tuple(PriceItem(line.item, line.unit, Decimal(2)) for line in found.lines)
    prices = PriceList("GBP", 2, Decimal(10), Decimal(0), Decimal(20), items)
    offer = Alternative("one", fence, found, quote(found, prices))
    with pdfplumber.open(io.BytesIO(write_quote([offer]))) as pdf:
        text = "\n".join(page.extract_text() for page in pdf.pages)
    assert "finish green paint, 2 coats" in text
    assert "further items cart the old wire away" in text
    assert "mark-up" not in text


@pytest.mark.parametrize("name", ["007", "1_2", "1e5", "1e999", "-3", "12.50", "NaN", "=1+1"])
def test_names_stay_words_in_the_spreadsheet(name: str) -> None:
    run = {"points": [[0, 0], [5400, 0]], "name": name}
    fence = fence_of({"project": {"name": name}, "run": [run], "extra": [{"item": name}]})
    book = openpyxl.load_workbook(io.BytesIO(write_workbook(fence, order(fence))))
    posts = [[cell.value for cell in row] for row in book["Setting out"].iter_rows()]
    column = posts[0].index("run")
    assert {row[column] for row in posts[1:]} == {name}
    assert isinstance(posts[1][posts[0].index("post top over ground mm")], (int, float))
    items = [row[1].value for row in book["Order"].iter_rows(min_row=2)]
    assert name in items
