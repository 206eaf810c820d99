"""A job in feet is in feet, pounds, yards and gallons on everything that people read of it."""

from __future__ import annotations

import csv
import io
import json
import re
import subprocess
import zipfile
from pathlib import Path

import pypdfium2
import pytest
from back_lot import BUILT, back_lot_sheets, words_on
from click.testing import CliRunner

from helpers import ROOT, filled_in
from palewright.cli.main import main
from palewright.export.drawing.sets.sheet_sets import Purpose
from palewright.export.models.product import Product
from palewright.export.page.page_scene import scene_of
from palewright.export.papers.changes import change_text, fence_figures
from palewright.model.basis.units import feet_and_inches
from palewright.reading import read_fence

pytestmark = pytest.mark.xdist_group("back lot")

METRIC = re.compile(
    r"\d\s*(mm|cm|m|m2|m3|kg|kg/m3|litres?|l|kN|N)(?![\w/'])"
    r"|\b(mm|m2|m3|kg|litres?|metres?|millimetres?|kilograms?)\b"
)
"""A figure with a metric unit, or the unit alone, as in the head of a column."""

EXCEPTIONS = (
    # what is sold by a metric designation is called by it, without a unit
    r"\bbolts? M\d+ x \d+",
    r"called by the metric sizes they are sold in",
)
"""What METRIC may find, each with why."""

NOT_SCANNED = {
    "takeoff.json": "for programs: its schema says mm",
    "setting-out.dxf": "for CAD and total stations: its header says metres",
    "wind": "EN 1991, EN 1995 and IBC formulas are worked in the units they are written in",
}


def metric_in(text: str) -> list[str]:
    """Return what is metric in a text, with what stands round it."""
    assert not re.search(r'M\d+ x [\d /]*"', text)  # half metric is no name
    for exception in EXCEPTIONS:
        text = re.sub(exception, "", text)
    return [text[max(f.start() - 30, 0) : f.end() + 10] for f in METRIC.finditer(text)]


def pdf_text(path: Path) -> str:
    document = pypdfium2.PdfDocument(path)
    return "\n".join(page.get_textpage().get_text_range() for page in document)


def xlsx_text(path: Path) -> str:
    with zipfile.ZipFile(path) as book:
        return re.sub(r"<[^>]*>", "\n", book.read("xl/sharedStrings.xml").decode())


@pytest.fixture(scope="module")
def spec(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The back lot, with posts measured and pieces cut, as a spec."""
    data = {**BUILT, "cut": [{"part": "pale", "length": "3 ft 9 in", "count": 9}]}
    path = tmp_path_factory.mktemp("feet") / "lot.toml"
    path.write_text("\n".join(toml(data)), encoding="utf-8")
    return path


def toml(data: dict[str, object]) -> list[str]:
    """Return tables as TOML: each as an inline value, which is enough."""
    return [f"{key} = {inline(value)}" for key, value in data.items()]


def inline(value: object) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key} = {inline(one)}" for key, one in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(inline(one) for one in value) + "]"
    return json.dumps(value)


def run(*arguments: str) -> str:
    result = CliRunner().invoke(main, list(arguments), catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.output


@pytest.mark.parametrize("purpose", list(Purpose))
def test_sheets(purpose: Purpose) -> None:
    assert metric_in("\n".join(words_on(back_lot_sheets(purpose)))) == []


def test_what_commands_print(spec: Path) -> None:
    for command in ("check", "list", "compare", "survey"):
        assert metric_in(run(command, str(spec))) == [], command


def test_files_of_lists_and_labels(spec: Path, tmp_path: Path) -> None:
    run("build", str(spec), "-o", str(tmp_path), "--only", "csv,xlsx,labels", "--fresh")
    for path in sorted(tmp_path.iterdir()):
        match path.suffix:
            case ".csv":
                text = path.read_text("utf-8-sig")
            case ".xlsx":
                text = xlsx_text(path)
            case ".pdf":
                text = pdf_text(path)
            case _:
                continue
        assert metric_in(text) == [], path.name


def test_the_quotation_and_its_price_file(spec: Path, tmp_path: Path) -> None:
    prices = tmp_path / "prices.csv"
    run("prices", str(spec), "-o", str(prices))
    assert metric_in(prices.read_text("utf-8-sig")) == []
    with prices.open(newline="", encoding="utf-8-sig") as file:
        rows = filled_in(csv.reader(file))
    out = io.StringIO()
    csv.writer(out).writerows(rows)
    prices.write_text(out.getvalue(), encoding="utf-8")
    told = run("quote", str(spec), "--prices", str(prices), "-o", str(tmp_path), "--no-picture")
    assert "no price" not in told and "nothing of this order" not in told
    assert metric_in(told) == []
    assert metric_in(pdf_text(tmp_path / "lot-quote.pdf")) == []
    assert metric_in(xlsx_text(tmp_path / "lot-quote.xlsx")) == []


def test_the_page(spec: Path) -> None:
    data = scene_of(Product(read_fence(spec)), "lot")
    assert data["feet"]
    assert metric_in(json.dumps(data["facts"])) == []


def test_what_a_rebuild_changed(spec: Path) -> None:
    told = change_text(None, fence_figures(Product(read_fence(spec))))
    assert metric_in(told) == []
    assert re.search(r"length [\d.,]+ ft, height \d+\.\d\d ft, concrete \d+\.\d\d cu yd", told)


def test_the_page_writes_feet_and_inches_as_the_drawings_do() -> None:
    values = [0.0, 3.0, 25.4, 22.225, 304.8, 307.975, 1689.1, 4594.225, -50.8, 2400.3]
    script = (
        f'import {{ long }} from "{ROOT}/export/page/source/lengths.js"; '
        f"console.log(JSON.stringify({values}.map((one) => long({{ feet: true }}, one))))"
    )
    done = subprocess.run(
        ["node", "--input-type=module", "-e", script], capture_output=True, text=True, check=True
    )
    assert json.loads(done.stdout) == [feet_and_inches(value) for value in values]
