"""What a customer chooses with on the page: against the order, the shapes, and in real Chromium."""

from __future__ import annotations

import base64
import io
import json
import re
import urllib.parse
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pdfplumber
import pytest
from click.testing import CliRunner
from coloraide import Color
from PIL import Image
from test_page_bar import violations

from browser import opened, said, shot, still, until
from helpers import ROOT, example_fence, fence_of
from palewright.cli.main import main
from palewright.export.models.finishes import TIMBER_FINISHES
from palewright.export.models.product import Product, mesh_of_shape
from palewright.export.page.choices import choice_names, choices_data, palette, unpriced_fences
from palewright.export.page.html import PageOptions, models_of, write_page
from palewright.export.page.other_heads import other_heads
from palewright.export.papers.alternatives import option_of
from palewright.export.papers.offer_terms import with_tax_words
from palewright.export.papers.offer_words import offered, summary
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.heads import HeadError, named_heads, pale_outline
from palewright.model.geometry.shapes import Plate
from palewright.model.order.order_lines import order
from palewright.model.order.prices import quote, with_prices
from palewright.model.spec.price_file import read_prices

pytestmark = pytest.mark.xdist_group("browser")

COTTAGE = ROOT / "examples" / "cottage.toml"
PRICES = ROOT / "examples" / "cottage-prices.csv"
BARE = {"run": [{"points": [[0, 0], ["6 m", 0]], "name": "lane"}], "rails": {"tops": [225, 800]}}

PLACES = """() => {
  const { world, views } = palewright;
  const at = views.controls.target.clone().set(7500, 0, 500);
  views.look(at.clone().setY(-4000), at);
  world.detail(views.camera.position);
  const spots = [];
  world.timber.children.filter((mesh) => world.data.marks[mesh.userData.mark]?.part === "pale")
    .forEach((mesh) => {
      const matrix = mesh.matrixWorld.clone();
      for (let i = 0; i < mesh.count; i += 1) {
        mesh.getMatrixAt(i, matrix);
        const spot = at.clone().set(0, 0, 450).applyMatrix4(matrix);
        if (spot.y < 50 && Math.abs(spot.x - at.x) < 1200) {
          spots.push(views.spot(spot.x, spot.y, spot.z));
        }
      }
    });
  return spots;
}"""
"""Looks at pales of the front from near, and tells where they are on the screen."""

PALES = """() => {
  const { world } = palewright;
  const mesh = world.meshes.filter((one) => world.data.marks[one.userData.mark].part === "pale"
    && one.userData.leaf === undefined).reduce((a, b) => (b.count > a.count ? b : a));
  const at = mesh.geometry.getAttribute("position");
  let [volume, top] = [0, 0];
  for (let i = 0; i < at.count; i += 3) {
    const [a, b, c] = [0, 1, 2].map((n) => [at.getX(i + n), at.getY(i + n), at.getZ(i + n)]);
    volume += (a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2])
      + a[2] * (b[0] * c[1] - b[1] * c[0])) / 6;
    top = Math.max(top, a[2], b[2], c[2]);
  }
  return [volume, top];
}"""
"""Volume and height of the pale that stands most often."""

HELD = """() => [...palewright.views.camera.position.toArray(),
  ...palewright.views.controls.target.toArray()]"""


@cache
def rounded_spec() -> str:
    """The cottage with another head, and what the customer would put on it."""
    text = COTTAGE.read_text("utf-8")
    for old, new in (
        ("Pointed, as drawn", "Rounded"),
        ('date = "2026-03-02"', 'date = "2026-03-02"\nfinish = "Oiled by you in the summer"'),
        ('{ shape = "pointed", rise = 55 }', '"round"'),
        ("wren/firm.toml", (ROOT / "examples" / "wren" / "firm.toml").as_posix()),
    ):
        assert old in text
        text = text.replace(old, new)
    return text


@pytest.fixture(scope="module")
def fences(tmp_path_factory: pytest.TempPathFactory) -> list[tuple[str, Product]]:
    path = tmp_path_factory.mktemp("specs") / "rounded.toml"
    path.write_text(rounded_spec(), "utf-8")
    prices = read_prices(PRICES)
    return [(spec.stem, Product(with_prices(example_fence(spec), prices)))
            for spec in (COTTAGE, path)]  # fmt: skip


@pytest.fixture(scope="module")
def file(fences: list[tuple[str, Product]], tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("page") / "choices.html"
    path.write_bytes(write_page(fences, options=PageOptions(beside=("a.usdz", "a.glb"))))
    return path


@pytest.fixture(scope="module")
def kept(chromium: Any, file: Path) -> Iterator[Any]:
    page, faults = opened(chromium, file)
    yield page
    assert faults == []
    page.context.close()


@pytest.fixture
def page(kept: Any) -> Any:
    """The page as it is offered, with its panel open; one for all tests."""
    kept.evaluate("""() => {
      const { choosing, gates, panels, views } = palewright;
      choosing.photo.hide();
      choosing.sheet.box.close();
      choosing.take(0);
      gates.move(gates.names(), false);
      if (panels.shown?.name !== "choose") panels.toggle("choose");
      views.first();
    }""")
    kept.locator("label:has(#on-all)").click()
    still(kept)
    return kept


def choose(page: Any, group: str, value: str) -> None:
    page.locator(f'#choose input[name="{group}"][value="{value}"]').check()
    still(page)


# what Python hands over


def priced(fence: FenceModel) -> Any:
    assert fence.job.prices is not None
    return quote(order(fence), fence.job.prices)


def test_prices_are_the_orders_and_words_the_proposals(fences: Any) -> None:
    told = [dict(offered(one.fence, one.order)) for _, one in fences]
    data = [one["offer"] for one in choices_data(fences)]
    for (_, built), words, one in zip(fences, told, data, strict=True):
        total = priced(built.fence)
        assert one["price"] == f"£{total.total:,}"
        assert one["tax"] == with_tax_words(total, built.fence.job) == "with VAT, 20 %"
        assert one["summary"] == summary(built.fence)
        assert one["differs"] == [
            [label, words.get(label, "none")] for label in ("Pales", "Finish")
        ]
        assert "posts" in one["same"]
        assert (one["holds"], one["until"]) == ("until 1 April 2026, 30 days", "2026-04-01")
    assert [one["option"] for one in data] == ["Pointed, as drawn", "Rounded"]


def test_what_nobody_gave_is_not_said(fences: Any) -> None:
    bare = Product(fence_of(BARE))
    (one,) = choices_data([("bare", bare)])
    assert one["offer"] == {
        "option": "bare", "summary": summary(bare.fence), "differs": [], "same": [],
    }  # fmt: skip
    assert all("price" not in one["offer"] for one in choices_data(fences, priced=False))
    # what is rebuilt at every save waits for no order
    for one in choices_data(fences, ordered=False):
        assert "price" not in one["offer"]
        assert one["offer"]["differs"] == []
    # a price with a hole in it is too low: none is shown
    known = read_prices(PRICES)
    holed = with_prices(bare.fence, replace(known, items=known.items[:3]))
    assert "price" not in choices_data([("holed", Product(holed))])[0]["offer"]
    assert unpriced_fences([*fences, ("holed", Product(holed))]) == ["holed"]


def test_names_that_are_said_twice_have_their_files_behind(fences: Any) -> None:
    (_, first), (_, second) = fences
    assert choice_names(fences) == ["Pointed, as drawn", "Rounded"]
    assert choice_names([("a", first), ("b", first), ("c", second)]) == [
        "Pointed, as drawn (a)", "Pointed, as drawn (b)", "Rounded",
    ]  # fmt: skip
    assert option_of(fence_of(BARE), "bare") == "bare"


def test_every_finish_of_the_catalogue_can_be_tried() -> None:
    for given, finish in zip(palette(), TIMBER_FINISHES.values(), strict=True):
        assert given["name"] == finish.name
        assert given["colour"] == pytest.approx(finish.rgb, abs=1e-4)


@pytest.mark.parametrize("name", ["cottage", "green", "hillside"])
def test_other_heads_are_those_of_the_shapes(name: str) -> None:
    """A mesh of another length, its head moved, has the volume of the pale with that head."""
    built = Product(example_fence(ROOT / "examples" / f"{name}.toml"))
    known = other_heads(built)
    assert set(known.by_mark) <= set(built.fence.by_mark)
    assert known.offered
    assert not {*known.offered} & {*known.pales} or len(known.offered) > 1
    tables = named_heads()
    size = 0
    for head, pales in known.pales.items():
        for pale, section in zip(pales, known.sections, strict=True):
            size += 16 * (len(pale.mesh.vertices) + len(pale.mesh.triangles))
            assert set(np.unique(pale.mesh.vertices[:, 2] > 0.0)) == {False, True}
            for at, length in known.by_mark.values():
                if known.sections[at] != section:
                    continue
                points = pale.mesh.vertices.copy()
                points[points[:, 2] > 0.0, 2] += length - pale.length
                outline = pale_outline(tables[head].head(section.width), section.width, length)
                plate = Plate(outline, section.thickness, *section.bevels)
                a, b, c = (points[pale.mesh.triangles[:, n]] for n in range(3))
                volume = np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0
                assert volume == pytest.approx(plate.volume, rel=2e-3)
                assert points[:, 2].max() == pytest.approx(length, abs=0.3)  # chords
    assert size < 30_000  # bytes as base64


def test_heads_that_cannot_be_are_not_tried() -> None:
    """None may rise over the top rail, nor be cut from too narrow a pale; curves have none."""
    spec = {**BARE, "pales": {"width": 90, "length": 900, "head": "square"}}
    assert "ogee" in other_heads(Product(fence_of(spec))).pales
    close = {**spec, "rails": {"tops": [225, 930]}}
    assert set(other_heads(Product(fence_of(close))).pales) == {"segmental"}
    narrow = {**spec, "pales": {"width": 45, "length": 900, "head": "square", "gap": 40}}
    with pytest.raises(HeadError):
        pale_outline(named_heads()["clipped"].head(45.0), 45.0, 900.0)
    assert "clipped" not in other_heads(Product(fence_of(narrow))).pales
    curved = {**spec, "top_line": {"shape": "dip", "rise": 100, "heads": "curve"}}
    assert other_heads(Product(fence_of(curved))).pales == {}
    assert named_heads()["pointed arch"].head(90.0).rise(90.0) == 67.5


def test_meshes_of_own_heads_stay_as_they_are(fences: Any) -> None:
    """What can be tried changes nothing of what is offered."""
    (_, built), _ = fences
    for mark, mesh in built.meshes.items():
        assert np.array_equal(
            mesh.vertices, mesh_of_shape(built.fence.by_mark[mark][0].shape).vertices
        )
    model, _ = models_of(fences, PageOptions(live=True))
    assert model["heads"]["offered"] == ("pointed",)
    assert json.loads(json.dumps(model))["finished"] == {
        "pales": "plain", "rails": "plain", "posts": "treated",
    }  # fmt: skip


def test_the_command_tells_of_prices_and_of_models_beside(tmp_path: Path) -> None:
    runner = CliRunner()
    out = tmp_path / "page.html"
    done = runner.invoke(main, ["page", str(COTTAGE), "-o", str(out), "--no-pictures", "--prices",
                                str(PRICES), "--models"])  # fmt: skip
    assert done.exit_code == 0, done.output
    assert {path.name for path in tmp_path.iterdir()} == {"page.html", "page.glb", "page.usdz"}
    data = json.loads(page_data(out))
    assert data["beside"] == ["page.usdz", "page.glb"]
    assert data["models"][0]["offer"]["price"] == "£1,725.74"
    holed = tmp_path / "holed.csv"
    holed.write_text("\n".join(PRICES.read_text().splitlines()[:8]))
    asked = ["page", str(COTTAGE), "-o", str(out), "--no-pictures", "--prices", str(holed)]
    done = runner.invoke(main, asked)
    assert "lines of its order have no price, so the page shows none" in done.stderr
    assert "price" not in json.loads(page_data(out))["models"][0]["offer"]
    done = runner.invoke(main, [*asked, "--unpriced"])
    assert (done.exit_code, done.stderr) == (0, "")


def page_data(path: Path) -> str:
    found = re.search(r'id="data">(.*?)</script>', path.read_text("utf-8"), re.DOTALL)
    assert found
    return found[1]


# in the browser


def test_alternatives_are_told_with_what_differs_and_their_price(page: Any, fences: Any) -> None:
    cards = page.locator("#alternatives label").all_inner_texts()
    for card, (_, built) in zip(cards, fences, strict=True):
        assert f"£{priced(built.fence).total:,}" in card
        assert "with VAT, 20 %" in card
        assert dict(offered(built.fence, built.order))["Pales"] in card
    assert "Oiled by you in the summer" in cards[1]
    choose(page, "alternative", "1")
    assert page.evaluate("palewright.chosen") == 1
    assert page.evaluate("document.activeElement.id") == "alternative-1"
    assert said(page).startswith("Rounded")
    assert page.locator("#choice-1").get_attribute("aria-pressed") == "true"
    page.locator("#choice-0").click()
    assert page.locator("#alternative-0").is_checked()


@pytest.mark.parametrize("name", ["green paint", "brown stain"])
def test_a_finish_that_is_tried_has_its_colour(page: Any, name: str) -> None:
    choose(page, "finish", name)
    places = page.evaluate(PLACES)
    pixels = shot(page)
    box = page.locator("#view").bounding_box()
    fine = pixels.shape[1] / box["width"]
    spots = [(round(fine * (x - box["x"])), round(fine * (y - box["y"]))) for x, y in places]
    parts = [pixels[y - 3 : y + 4, x - 2 : x + 3].reshape(-1, 3) for x, y in spots]
    colour = np.concatenate(parts).mean(axis=0) / 255.0
    found = Color("srgb", [float(part) for part in colour])
    wanted = Color("srgb", list(TIMBER_FINISHES[name].rgb))
    assert len(places) > 8
    assert found.delta_e(wanted, method="2000") < 5.0


def test_a_part_alone_can_be_tried_and_taken_back(page: Any) -> None:
    choose(page, "on", "posts")
    choose(page, "finish", "white paint")
    assert page.evaluate("palewright.choosing.finish") == {
        "pales": None, "rails": None, "posts": "white paint",
    }  # fmt: skip
    dressed = page.evaluate("""() => palewright.world.meshes.map((one) => [
      palewright.world.data.marks[one.userData.mark].of, one.material.color.getHexString()])""")
    white = {part for part, colour in dressed if colour == "edede6"}
    assert white == {"posts"}
    assert page.evaluate("palewright.choosing.finishWords()") == (
        "posts white paint, the rest as offered"
    )
    page.locator("label:has(#finish-treated)").click()  # as offered
    assert page.evaluate("palewright.choosing.tried()") == []
    choose(page, "on", "all")
    assert page.locator("#finish-offered").is_checked()


def test_every_head_is_cut_on_all_pales_and_given_back(page: Any) -> None:
    plain = page.evaluate(PALES)
    for name in ("square", "ogee", "pointed arch"):
        choose(page, "head", name)
        volume, top = page.evaluate(PALES)
        outline = pale_outline(named_heads()[name].head(90.0), 90.0, 900.0)
        assert volume == pytest.approx(Plate(outline, 20.0).volume, rel=2e-3)
        assert top == pytest.approx(900.0, abs=0.3)
    choose(page, "head", "offered")
    assert page.evaluate(PALES) == plain


def test_trying_leaves_nothing_on_the_graphics_card(page: Any) -> None:
    names = [finish["name"] for finish in palette()]
    held = []
    for _ in range(3):
        page.evaluate(
            """(names) => {
              const { choosing } = palewright;
              names.forEach((name) => choosing.paint(["pales", "rails", "posts"], name));
              ["ogee", "round", "square", null].forEach((head) => choosing.cut(head));
            }""",
            names,
        )
        shot(page)
        held.append(page.evaluate("({ ...palewright.frame.renderer.info.memory })"))
    assert held[1] == held[2]
    page.evaluate("palewright.choosing.take(0)")


def test_the_fence_stands_on_a_photo(page: Any, tmp_path: Path) -> None:
    pixels = np.zeros((600, 900, 3), np.uint8)
    pixels[:300], pixels[300:] = (120, 160, 230), (200, 180, 90)
    path = tmp_path / "garden.png"
    Image.fromarray(pixels).save(path)
    page.set_input_files("#photo-file", path)
    until(page, "palewright.choosing.photo.on")
    for name, value in (("horizon", 50), ("turn", 0), ("away", 9000)):
        page.evaluate(
            "([name, value]) => palewright.choosing.photo.set(name, value)", [name, value]
        )
    box = page.locator("#view").bounding_box()
    assert box["width"] / box["height"] == pytest.approx(1.5, rel=0.01)
    # what is as high as the eye lies on the horizon, however far
    for far in (0.0, 50_000.0):
        _, y = page.evaluate("(y) => palewright.views.spot(4200, y, 1600)", far)
        assert (y - box["y"]) / box["height"] == pytest.approx(0.5, abs=0.01)
    with page.expect_download() as saved:
        page.click("#save-picture")
    assert saved.value.suggested_filename == "rosehip-cottage-front-garden.png"
    with Image.open(saved.value.path()) as image:
        assert image.width >= 1500
        seen = np.asarray(image.convert("RGB").resize((900, 600))).astype(int)
    assert np.abs(seen[5, 450] - (120, 160, 230)).max() < 6
    assert np.abs(seen[-5, 450] - (200, 180, 90)).max() < 6
    timber = (seen[..., 0] > seen[..., 2] + 30) & (np.abs(seen - (200, 180, 90)).max(axis=2) > 25)
    assert 0.02 < timber.mean() < 0.5
    # by the keys alone
    page.focus("#photo-eye")
    page.keyboard.press("ArrowRight")
    assert page.locator("#photo-eye-said").inner_text() == "1.61 m"
    assert page.evaluate("palewright.views.camera.position.z") == pytest.approx(1610.0)
    page.focus("#view")
    page.keyboard.press("ArrowLeft")
    assert page.evaluate("palewright.choosing.photo.values.turn") == -2
    page.click("#photo-shown")
    assert page.evaluate("palewright.world.ground.visible")
    assert page.evaluate("palewright.views.camera.fov") == 38
    broken = tmp_path / "broken.png"
    broken.write_bytes(b"no picture")
    page.set_input_files("#photo-file", broken)
    until(page, "document.getElementById('said').textContent.startsWith('This file is no')")
    assert not page.evaluate("palewright.choosing.photo.on")


def test_an_address_brings_back_what_is_seen(page: Any, chromium: Any, file: Path) -> None:
    choose(page, "alternative", "1")
    choose(page, "finish", "cream paint")
    choose(page, "head", "ogee")
    page.evaluate("palewright.gates.swing(palewright.gates.names()[0])")
    until(page, "palewright.world.leaves[0].open === 1")
    page.evaluate("palewright.views.walk(1)")
    page.click("#copy-link")
    until(page, "document.getElementById('said').textContent.includes('address')")
    address, seen = page.evaluate("location.hash"), page.evaluate(HELD)
    other, faults = opened(chromium, file, fragment=address)
    assert other.evaluate("palewright.chosen") == 1
    assert other.evaluate("palewright.choosing.finish.rails") == "cream paint"
    assert other.evaluate("palewright.choosing.head") == "ogee"
    assert other.evaluate("palewright.world.leaves[0].wanted") == 1
    assert other.evaluate(HELD) == pytest.approx(seen, abs=1.0)
    assert said(other) == ""
    # another address on the same page; what it has wrongly is said, the rest is shown
    for bad in (
        "#pales=gold&head=square",
        "#head=square&eye=1,2",
        "#alternative=none&head=square",
        "#nonsense&head=square",
        "#head=square&open=barn",
        "#head=square&eye=1e99,0,0&at=0,0,0",
    ):
        other.evaluate("palewright.choosing.cut(null)")
        other.evaluate("(to) => { location.hash = to; }", bad)
        until(other, "palewright.choosing.head === 'square'")
        assert said(other).startswith("The address asks for something"), bad
    assert faults == []
    other.context.close()


def test_what_is_chosen_is_printed_to_be_signed(page: Any, fences: Any) -> None:
    choose(page, "finish", "green paint")
    choose(page, "head", "round")
    page.click("#agree")
    with pdfplumber.open(io.BytesIO(page.pdf(format="A4"))) as pdf:
        assert len(pdf.pages) == 1
        text = " ".join((pdf.pages[0].extract_text() or "").split())
        assert len(pdf.pages[0].images) == 1
    today = date.today()
    total = priced(fences[0][1].fence).total
    for words in (
        "What I choose", "Rosehip Cottage, front garden", "4 Tanner's Lane, Aldermoor",
        "Q-2026-031 of 2 March 2026", "Pointed, as drawn", "green paint, which is not as offered",
        "round, in place of: pointed", f"£{total:,} with VAT, 20 % (as offered)",
        "what it costs with this finish and this head of the pales", "until 1 April 2026, 30 days",
        f"{today.day} {today:%B} {today.year}", "M. Okafor", "Wren & Daughter, fencing",
        "Signature Signature", "Date Date",
    ):  # fmt: skip
        assert words in text, words
    assert "Print it" not in text
    assert "Alternatives" not in text
    link = page.locator("#chosen a").get_attribute("href")
    to, _, asked = link.removeprefix("mailto:").partition("?")
    mail = dict(urllib.parse.parse_qsl(asked))
    assert urllib.parse.unquote(to) == "office@wren-fencing.example"
    assert mail["subject"] == "Rosehip Cottage, front garden: what I choose"
    lines = mail["body"].split("\r\n")
    assert lines == page.locator("#chosen textarea").input_value().split("\n")
    assert f"Price: £{total:,} with VAT, 20 % (as offered)" in lines
    page.keyboard.press("Escape")
    until(page, "!document.body.classList.contains('signing')")
    assert page.evaluate("palewright.panels.shown.name") == "choose"


def test_as_it_is_offered_the_price_is_the_price(page: Any, fences: Any) -> None:
    page.click("#agree")
    told = page.locator("#chosen dl > *").all_inner_texts()
    rows = dict(zip(told[::2], told[1::2], strict=True))
    assert rows["Price"] == f"£{priced(fences[0][1].fence).total:,} with VAT, 20 %"
    assert rows["Head of the pales"] == "pointed (as offered)"
    assert rows["Finish"] == "as offered"
    assert "To be asked" not in rows
    picture = page.locator("#chosen img").get_attribute("src").partition("base64,")[2]
    with Image.open(io.BytesIO(base64.b64decode(picture))) as image:
        assert np.asarray(image).std() > 20
    page.keyboard.press("Escape")


def test_a_finish_that_another_alternative_has_is_offered_as_that(
    chromium: Any, tmp_path: Path
) -> None:
    bare = {**BARE, "project": {"option": "Bare"}}
    white = dict.fromkeys(("pales", "rails", "posts"), "white paint")
    painted = {**BARE, "project": {"option": "White"}, "finishes": white}
    path = tmp_path / "two.html"
    path.write_bytes(write_page([(name, Product(fence_of(one)))
                                 for name, one in (("a", bare), ("b", painted))]))  # fmt: skip
    page, faults = opened(chromium, path)
    page.evaluate("palewright.choosing.paint(['pales', 'rails', 'posts'], 'white paint')")
    assert said(page) == "Finish: white paint. Offered as: White"
    rows = dict(page.evaluate("palewright.choosing.sheet.rows()"))
    assert rows["Offered as"] == "White"
    assert "To be asked" not in rows
    page.evaluate("palewright.choosing.paint(['posts'], 'oiled')")
    assert "To be asked" in dict(page.evaluate("palewright.choosing.sheet.rows()"))
    assert faults == []
    page.context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_wrong_with_choosing(page: Any, scheme: str) -> None:
    page.emulate_media(color_scheme=scheme)
    assert violations(page) == []
    page.click("#agree")
    assert violations(page) == []
    page.keyboard.press("Escape")
    page.emulate_media(color_scheme="light")


def test_models_are_told_of_only_where_they_come_with_the_page(page: Any) -> None:
    told = page.locator("#room").inner_text()
    assert "a.usdz comes with this page. Open it on an iPhone or iPad" in told
    assert "a.glb is the same model" in told
    page.evaluate("palewright.choosing.panel.beside = []; palewright.choosing.panel.list()")
    assert page.locator("#room").count() == 0
