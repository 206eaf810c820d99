"""The preview page in real Chromium, from a file, with no network."""

from __future__ import annotations

import base64
import io
import itertools
import json
import math
import random
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from coloraide import Color
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from browser import TOPS, opened, presented, said, shot, still, until
from helpers import EXAMPLES, ROOT, example_fence, fence_of
from palewright.export.models.finishes import TIMBER_FINISHES
from palewright.export.models.glb import write_glb
from palewright.export.models.product import Product
from palewright.export.montage.photo_points import read_points
from palewright.export.montage.picking_page import write_picking_page
from palewright.export.page.html import PageOptions, models_of, write_page
from palewright.export.page.page_scene import quaternion, scene_of
from palewright.model.basis.text import plain
from palewright.model.geometry.frames import Frame
from palewright.model.parts.members import PALE
from readers import validated

LEAF_PALE = """() => {
  const pales = palewright.world.leaves[0].pivot.children.find(
    (mesh) => palewright.world.data.marks[mesh.userData.mark].part === "pale");
  const matrix = pales.matrixWorld.clone();
  pales.getMatrixAt(2, matrix);
  matrix.premultiply(pales.matrixWorld);
  const spot = pales.boundingSphere.center.clone().set(0, 0, 400).applyMatrix4(matrix);
  return palewright.views.spot(spot.x, spot.y, spot.z);
}"""
"""Where a pale of the first leaf is on the screen."""

TIPS = """() => {
  const { world } = palewright;
  const pales = world.meshes.filter((mesh) =>
    world.data.marks[mesh.userData.mark].part === "pale" && mesh.userData.leaf === undefined)
    .reduce((a, b) => (b.count > a.count ? b : a));
  const at = pales.geometry.getAttribute("position");
  let top = 0;
  for (let i = 0; i < at.count; i += 1) {
    const higher = at.getZ(i) - at.getZ(top);
    if (higher > 0 || (higher === 0 && at.getY(i) < at.getY(top))) top = i;
  }
  const seen = [];
  for (let n = 0; n < pales.count; n += 1) {
    const matrix = pales.matrixWorld.clone();
    pales.getMatrixAt(n, matrix);
    const tip = pales.boundingSphere.center.clone().fromBufferAttribute(at, top);
    const spot = tip.applyMatrix4(matrix).toArray();
    const x = palewright.views.spot(...spot)[0];
    if (x > 150 && x < 750) seen.push(spot);
  }
  return [seen[2], seen[seen.length - 3]];
}"""
"""Front tips of two pales that are in view, in the model's coordinates."""

PLATES = """(rgb) => {
  const { world } = palewright;
  world.materials.forEach((material) => material.color.setRGB(...rgb, "srgb"));
  const at = palewright.views.controls.target.clone().set(7500, 0, 500);
  palewright.views.look(at.clone().setY(-4000), at);
  world.detail(palewright.views.camera.position);
  const spots = [];
  const pales = world.timber.children.filter(
    (mesh) => world.data.marks[mesh.userData.mark]?.part === "pale");
  pales.forEach((mesh) => {
    const matrix = mesh.matrixWorld.clone();
    for (let i = 0; i < mesh.count; i += 1) {
      mesh.getMatrixAt(i, matrix);
      const spot = at.clone().set(0, 0, 450).applyMatrix4(matrix);
      if (spot.y < 50 && Math.abs(spot.x - at.x) < 1200) {
        spots.push(palewright.views.spot(spot.x, spot.y, spot.z));
      }
    }
  });
  return spots;
}"""
"""Gives all timber a colour, looks at pales of the front, and tells where they are."""

UNDER_THE_CROSS = """(p) => {
  const at = palewright.views.controls.target.clone().set(p[0], p[1], p[2] - 2);
  const from = at.clone();
  from.y -= 2500;
  from.z += 300;
  palewright.views.look(from, at);
}"""

pytestmark = pytest.mark.xdist_group("browser")


def cottage() -> Product:
    return Product(example_fence(next(path for path in EXAMPLES if path.stem == "cottage")))


@pytest.fixture(scope="module")
def built() -> Product:
    return cottage()


@pytest.fixture(scope="module")
def file(built: Product, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("page") / "fence.html"
    path.write_bytes(write_page([("cottage", built)]))
    return path


@pytest.fixture
def page(chromium: Any, file: Path) -> Iterator[Any]:
    page, faults = opened(chromium, file)
    yield page
    assert faults == []
    page.context.close()


def test_the_canvas_shows_sky_grass_and_timber(page: Any) -> None:
    pixels = presented(page)
    sky, low = pixels[10], pixels[-10]
    assert sky[:, 2].mean() > sky[:, 0].mean() + 5  # blue over
    assert low[:, 1].mean() > low[:, 2].mean() + 30  # green under
    red, green, blue = pixels[..., 0], pixels[..., 1], pixels[..., 2]
    brown = (red > green) & (green > blue + 15)
    assert 0.03 < brown.mean() < 0.6
    assert pixels.std() > 20


def test_finishes_keep_their_colours_in_the_sun(page: Any) -> None:
    """Pales of each finish on the front of the gated leg: CIE difference 2000 under 5."""
    for name, finish in TIMBER_FINISHES.items():
        places = page.evaluate(PLATES, list(finish.rgb))
        assert len(places) > 8
        pixels = shot(page)
        box = page.locator("#view").bounding_box()
        fine = pixels.shape[1] / box["width"]  # drawn coarser while a slow machine moves
        spots = [(round(fine * (x - box["x"])), round(fine * (y - box["y"]))) for x, y in places]
        parts = [pixels[y - 3 : y + 4, x - 2 : x + 3].reshape(-1, 3) for x, y in spots]
        colour = np.concatenate(parts).mean(axis=0) / 255.0
        found = Color("srgb", [float(part) for part in colour])
        assert found.delta_e(Color("srgb", list(finish.rgb)), method="2000") < 5.0, name
        if name == "white paint":
            assert colour.min() * 255.0 >= 225.0


def test_orbit_by_mouse_changes_the_view(page: Any) -> None:
    before = shot(page)
    box = page.locator("#view").bounding_box()
    page.mouse.move(box["x"] + 300, box["y"] + 250)
    page.mouse.down()
    page.mouse.move(box["x"] + 450, box["y"] + 230, steps=4)
    page.mouse.up()
    after = shot(page)
    assert (np.abs(before - after).sum(axis=2) > 40).mean() > 0.05
    page.mouse.wheel(0, -400)
    assert (np.abs(shot(page) - after).sum(axis=2) > 40).mean() > 0.02


def test_every_view_differs_and_fits(page: Any) -> None:
    seen = []
    for key in "1234":
        page.focus("#view")
        page.keyboard.press(key)
        still(page)
        if key != "4":
            corners = page.evaluate(TOPS)
            box = page.locator("#view").bounding_box()
            for x, y in corners:
                assert box["x"] - 1 <= x <= box["x"] + box["width"] + 1
                assert box["y"] - 1 <= y <= box["y"] + box["height"] + 1
        seen.append(shot(page))
    for number, one in enumerate(seen):
        for other in seen[number + 1 :]:
            assert np.abs(one - other).mean() > 2
    eye = page.evaluate("palewright.views.camera.position.toArray()")
    assert eye[2] == pytest.approx(1600.0)


def test_a_gate_opens_on_click_within_its_swing(page: Any) -> None:
    page.click("#tool-front")
    still(page)
    ledge = page.evaluate(LEAF_PALE)
    page.mouse.click(*ledge)
    until(page, "palewright.world.leaves[0].open === 1")
    assert said(page) == "lane and side, gate 1 opens"
    turn = page.evaluate("palewright.world.leaves[0].pivot.rotation.z")
    assert math.degrees(turn) == pytest.approx(95.0)  # to the back: hung on the left, swing in
    button = page.get_by_role("button", name="Open gate")
    assert button.get_attribute("aria-pressed") == "true"
    button.click()
    until(page, "palewright.world.leaves[0].open === 0")


def test_parts_are_listed_and_lit(page: Any, built: Product) -> None:
    page.click("#tool-parts")
    rows = page.locator("#list tr")
    assert rows.count() == 1 + len(built.fence.by_mark)
    before = shot(page)
    pale = next(mark for mark, group in built.fence.by_mark.items() if group[0].kind == PALE)
    page.locator("#list button", has_text=re.compile(f"^{pale}$")).click()
    count = len(built.fence.by_mark[pale])
    assert said(page).startswith(f"{pale}, pale: {count} in the fence")
    lit = shot(page)
    orange = (lit[..., 0] > 200) & (lit[..., 1] > 90) & (lit[..., 2] < 110)
    assert orange.mean() > 0.02
    page.locator("#list button", has_text=re.compile(f"^{pale}$")).click()
    assert np.abs(shot(page) - before).mean() < 1.0


@pytest.mark.parametrize("way", ["mouse", "keys"])
def test_measuring_gives_the_models_distance(page: Any, way: str) -> None:
    """Between the outer front edges of the first post's neighbours: known from the spec."""
    page.focus("#view")
    page.keyboard.press("4")
    page.keyboard.press("m")
    still(page)
    # two tips of pales, from the scene's own places
    tips = page.evaluate(TIPS)
    wanted = math.dist(*tips)
    assert wanted > 500
    for tip in tips:
        if way == "mouse":
            x, y = page.evaluate("(p) => palewright.views.spot(...p)", tip)
            page.mouse.click(x, y + 3)
            still(page)
        else:
            page.evaluate(UNDER_THE_CROSS, tip)
            page.focus("#view")
            still(page)
            page.keyboard.press("Enter")
    found = re.match(r"([\d.]+) mm;", said(page))
    assert found, said(page)
    assert float(found[1]) == pytest.approx(wanted, abs=1.0)


def section_points(page: Any) -> list[list[float]]:
    """Return places in the plane of the cut, 300 mm below ground: post, and concrete beside it."""
    x, y, z = page.evaluate("palewright.section.post.at")
    ax, ay = page.evaluate("palewright.section.post.along")
    return [[x - ay * side, y + ax * side, z - 300.0] for side in (0.0, -75.0, 75.0)]


def test_the_section_shows_what_is_below_ground(page: Any) -> None:
    page.click("#more")
    page.click("#tool-section")
    page.keyboard.press("Escape")  # 'more' stays open for what is toggled
    assert re.match(r"Cut through post A02: 0\.65 m below ground", said(page))
    pixels = shot(page)
    red, green, blue = (pixels[-150:, :, n] for n in range(3))
    soil = (np.abs(red - 172) < 25) & (np.abs(green - 155) < 25) & (np.abs(blue - 134) < 25)
    concrete = (np.abs(red - green) < 14) & (np.abs(green - blue) < 16) & (red < 165)
    assert soil.mean() > 0.3
    assert concrete.mean() > 0.005
    # cut faces are filled: of the post, the concrete on both sides of it, rails and a bolt
    across = [
        page.evaluate(f"palewright.views.spot({x}, {y}, {z})") for x, y, z in section_points(page)
    ]
    box = page.locator("#view").bounding_box()
    post, left, right = (pixels[round(v - box["y"]), round(u - box["x"])] for u, v in across)
    assert post[0] > post[2] + 40  # fresh timber
    for side in (left, right):
        assert np.ptp(side) < 25
        assert 120 < side.mean() < 190  # concrete, as bright on both sides
    page.keyboard.press("Escape")
    assert page.locator("#tool-section").get_attribute("aria-pressed") == "false"


def test_dimensions_can_be_shown(page: Any) -> None:
    before = shot(page)
    page.click("#tool-dimensions")
    assert np.abs(shot(page) - before).mean() > 0.2
    assert page.evaluate("palewright.world.dimensions.children.length") > 8
    page.click("#tool-dimensions")
    assert np.abs(shot(page) - before).mean() < 0.5


def test_what_is_printed_is_what_is_seen(page: Any) -> None:
    page.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    data = page.locator("#print").get_attribute("src")
    assert data.startswith("data:image/png;base64,")
    with Image.open(io.BytesIO(base64.b64decode(data.split(",")[1]))) as image:
        printed = np.asarray(image.convert("RGB")).astype(int)
    seen = shot(page)
    rows = min(len(printed), len(seen))
    assert abs(len(printed) - len(seen)) <= 1
    # but for the message that lies over the canvas
    assert np.median(np.abs(printed[:rows] - seen[:rows])) <= 2
    page.emulate_media(media="print")
    assert page.locator("#print").is_visible()
    assert not page.locator("#tools").is_visible()
    page.emulate_media(media="screen")


def distance(page: Any) -> float:
    return float(
        page.evaluate(
            "palewright.views.camera.position.distanceTo(palewright.views.controls.target)"
        )
    )


def fingers(page: Any, start: list[tuple[int, int]], end: list[tuple[int, int]]) -> None:
    """Put fingers down, move them to another place in steps, and lift them."""
    tool = page.context.new_cdp_session(page)

    def touch(kind: str, places: list[tuple[float, float]]) -> None:
        points = [{"x": x, "y": y, "id": number} for number, (x, y) in enumerate(places)]
        tool.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", [(x, y) for x, y in start])
    for step in range(1, 9):
        moved = [(a + (c - a) * step / 8, b + (d - b) * step / 8)
                 for (a, b), (c, d) in zip(start, end, strict=True)]  # fmt: skip
        touch("touchMove", moved)
    touch("touchEnd", [])
    still(page)


def test_on_a_phone(chromium: Any, file: Path) -> None:
    page, faults = opened(chromium, file, viewport={"width": 390, "height": 760}, has_touch=True,
                          is_mobile=True, device_scale_factor=2)  # fmt: skip
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    buttons = page.locator("#tools button")
    for number in range(buttons.count()):
        box = buttons.nth(number).bounding_box()
        assert box["height"] >= 44
        assert box["x"] + box["width"] <= 390
    # the fence beside the gate fills an upright screen from side to side
    xs = [x for x, _ in page.evaluate(TOPS)]
    assert max(xs) - min(xs) > 0.8 * 390
    page.locator("#more").tap()
    page.locator("#tool-back").tap()
    still(page)
    assert page.evaluate("palewright.views.camera.position.y") > 0
    before = distance(page)
    fingers(page, [(180, 300), (210, 300)], [(110, 300), (280, 300)])
    assert distance(page) < 0.6 * before  # two fingers apart: nearer
    turned = page.evaluate("palewright.views.camera.position.toArray()")
    fingers(page, [(200, 300)], [(120, 300)])
    assert (
        page.evaluate("palewright.views.camera.position.toArray()") != turned
    )  # one finger: orbit
    assert faults == []
    page.context.close()


def test_alternatives_are_switched_with_one_click(chromium: Any, tmp_path: Path) -> None:
    low = fence_of({"run": [{"points": [[0, 0], [5400, 0]]}]})
    tall = fence_of({"run": [{"points": [[0, 0], [5400, 0]]}], "pales": {"length": 1500}})
    path = tmp_path / "both.html"
    path.write_bytes(write_page([("low", Product(low)), ("tall", Product(tall))]))
    page, faults = opened(chromium, path)
    first = shot(page)
    camera = page.evaluate("palewright.views.camera.position.toArray()")
    page.get_by_role("button", name="tall").click()
    assert page.evaluate("palewright.views.camera.position.toArray()") == camera
    assert np.abs(shot(page) - first).mean() > 1.0
    assert "1.55 m high at its highest point" in said(page)
    assert faults == []
    page.context.close()


def test_without_3d_the_drawings_are_shown(chromium: Any, file: Path) -> None:
    context = chromium.new_context()
    page = context.new_page()
    page.add_init_script("HTMLCanvasElement.prototype.getContext = () => null;")
    page.goto(file.as_uri())
    page.wait_for_selector("#pictures svg")
    assert page.locator("#pictures").is_visible()
    assert "no 3D" in said(page)
    context.close()


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_pages_are_small_and_hold_every_member(path: Path) -> None:
    built = Product(example_fence(path))
    data = write_page([("a", built)])
    assert len(data) < 3_000_000
    text = data.decode()
    found = re.search(r'<script type="application/json" id="data">(.*?)</script>', text, re.S)
    assert found
    scene = json.loads(found[1])["models"][0]
    places = [mark["places"] for mark in scene["marks"] if mark["count"]]
    places += [part["places"] for leaf in scene["leaves"] for part in leaf["parts"]]
    assert sum(len(p) * 3 // 4 // 28 for p in places) == len(built.fence.members)
    assert data == write_page([("a", built)])


def test_pictures_take_the_place_of_drawings(built: Product) -> None:
    drawn = io.BytesIO()
    Image.new("RGB", (64, 32), (120, 150, 90)).save(drawn, "PNG")
    text = write_page([("cottage", built)], [drawn.getvalue()]).decode()
    start = text.index('<img alt="Picture of Pointed, as drawn" src="data:image/jpeg;base64,')
    packed = text[text.index("base64,", start) + 7 : text.index('">', start)]
    with Image.open(io.BytesIO(base64.b64decode(packed))) as image:
        assert image.size == (64, 32)
    assert "<svg" not in text.split("<script")[0]


def test_names_cannot_break_out_of_the_page() -> None:
    fence = fence_of(
        {
            "run": [{"points": [[0, 0], [1800, 0]], "name": "</script><b>"}],
            "project": {"name": "</script><script>alert(1)</script>&\"'"},
        }
    )
    text = write_page([('<img src=x onerror="1">', Product(fence))]).decode()
    assert "alert(1)</script>" not in text
    assert "<img src=x" not in text
    assert text.count("<script") == 2


NASTY = (
    "@DATA@", "@BUNDLE@", "@TITLE@", "@PICTURES@", "</script><script>window.ran = 1</script>",
    "<img src=x onerror='window.ran = 1'>", '"><svg onload="window.ran = 1">', "${window.ran = 1}",
    "javascript:window.ran=1", "<!--<script>", "]]><script>window.ran=1</script>", "&lt;b&gt;",
    "\u2028window.ran=1",
    "'; window.ran = 1; '", "<style>*{display:none}</style>", "\\u003cscript>",
)  # fmt: skip


@pytest.mark.parametrize("nasty", NASTY)
def test_nasty_names_run_nothing_and_print_themselves(
    chromium: Any, tmp_path: Path, nasty: str
) -> None:
    """In the title, the run, the customer, the choices: a name is a name in a real browser."""
    spec = {
        "project": dict.fromkeys(("name", "site", "client", "reference", "owner"), nasty),
        "run": [{"points": [[0, 0], [1800, 0]], "name": nasty}],
    }
    fence = Product(fence_of(spec))
    path = tmp_path / "nasty.html"
    path.write_bytes(write_page([(nasty, fence), ("other", fence)]))
    page, faults = opened(chromium, path)
    assert page.evaluate("window.ran") is None
    assert page.locator("#title").text_content() == nasty
    assert plain(nasty) in page.locator("#choices button").all_text_contents()
    assert faults == []
    page.context.close()


def nasty_strings(count: int) -> list[str]:
    """Strings that try to leave where they stand, by what opens, runs and closes there."""
    runs = (
        "window.ran=1", "<script>window.ran=1</script>", "<img src=x onerror=window.ran=1>",
        "<svg/onload=window.ran=1>", "javascript:window.ran=1", "<iframe srcdoc='<script>top.ran=1"
        "</script>'>", "<a href=javascript:window.ran=1>x</a>", "<style>*{display:none}</style>",
        "<base href=//x/>", "<meta http-equiv=refresh content=0>", "{{constructor}}", "@SCRIPT@",
    )  # fmt: skip
    opens = (
        "", "\"", "'", "`", "</script>", "</title>", "</style>", "</figcaption>", "-->", "]]>",
        "\\", "\\\"", "\u2028", "&quot;", "&#x22;", "\\u0022", "*/", "//", "${", "</textarea>",
        "\U0001f600", "\u202e", "\uff1c", "%3C", "<!--", "<![CDATA[",
    )  # fmt: skip
    pairs = [f"{one}{other}{number}" for number, (one, other) in
             enumerate(itertools.product(opens, runs))]  # fmt: skip
    random.Random(3).shuffle(pairs)
    return pairs[:count]


@pytest.mark.slow
def test_two_hundred_nasty_strings_run_nothing_and_print_themselves(
    chromium: Any, tmp_path: Path
) -> None:
    """In every text field of a spec, and as the name of its file, fifty to a page."""
    strings = nasty_strings(200)
    known: dict[Any, Any] = {}
    for start in range(0, len(strings), 50):
        fences = []
        for nasty in strings[start : start + 50]:
            project = ("name", "site", "client", "finish")
            spec = {
                "project": dict.fromkeys(project, nasty)
                | dict.fromkeys(("reference", "owner", "author", "approver", "date"), nasty[:40]),
                "run": [{"points": [[0, 0], [1800, 0]], "name": nasty[:80],
                         "existing": nasty[:120]}],
                "revision": [{"index": nasty[:4], "date": nasty[:40], "text": nasty}],
                "extra": [{"item": nasty[:120], "unit": nasty[:20], "note": nasty}],
            }  # fmt: skip
            fences.append((nasty, Product(fence_of(spec), known)))
        path = tmp_path / f"{start}.html"
        path.write_bytes(write_page(fences))
        page, faults = opened(chromium, path)
        shown = page.evaluate("""() => [...document.querySelectorAll("#choices button")].map(b => {
          b.click();
          return [b.textContent, document.querySelector("#title").textContent];
        })""")
        assert shown == [[plain(nasty), nasty] for nasty in strings[start : start + 50]]
        assert page.evaluate("window.ran") is None
        assert faults == []
        page.context.close()


def test_nothing_inline_runs_but_what_the_page_is_made_with(chromium: Any, file: Path) -> None:
    """The policy names the script and the styles by their hashes; a script put in is refused."""
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', file.read_text("utf-8"))
    assert policy
    assert "unsafe" not in policy[1]
    page, _ = opened(chromium, file)
    page.evaluate("""() => {
      const script = document.createElement("script");
      script.textContent = "window.ran = 1";
      document.body.append(script);
    }""")
    assert page.evaluate("window.ran") is None
    page.context.close()


@given(st.floats(-180, 180), st.floats(-89, 89), st.booleans())
def test_quaternions_turn_as_their_frames_do(azimuth: float, rise: float, back: bool) -> None:
    frame = Frame.turned(0, 0, 0, azimuth) @ Frame.tilted(0, 0, 0, rise)
    if back:
        frame = frame @ Frame((0, 0, 0), (-1.0, 0.0, 0.0), (0.0, -1.0, 0.0))
    x, y, z, w = quaternion(frame)
    turned = (1 - 2 * (y * y + z * z), 2 * (x * y + z * w), 2 * (x * z - y * w))
    assert turned == pytest.approx(frame.x, abs=1e-9)
    assert math.hypot(x, y, z, w) == pytest.approx(1.0)


@pytest.mark.slow
def test_the_bundle_is_what_its_sources_make(node_folder: Path) -> None:
    subprocess.run(["npm", "run", "build"], cwd=node_folder, check=True, capture_output=True)
    made = (node_folder / "bundle.js").read_bytes()
    assert made == (ROOT / "export/page/bundle.js").read_bytes()


@pytest.mark.slow
@pytest.mark.parametrize("script", ["types", "lint"])
def test_the_script_is_typed_and_tidy(node_folder: Path, script: str) -> None:
    """By TypeScript's checker of JavaScript and by eslint's recommended rules."""
    command = ["npm", "run", "--silent", script]
    done = subprocess.run(command, cwd=node_folder, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_scene_has_the_keys_that_the_script_is_typed_by(built: Product) -> None:
    text = (ROOT / "export/page/source/data.js").read_text()
    typed = {
        name: set(re.findall(r"@property \{.+\} (\w+)", block))
        for block in re.findall(r"/\*\*(.*?)\*/", text, re.S)
        for name in re.findall(r"@typedef \{object\} (\w+)", block)
    }
    (scene,) = models_of([("x", built)], PageOptions())
    (leaf,) = scene["leaves"]
    offer, heads = scene["offer"], scene["heads"]
    handed = {
        "FenceData": [scene], "FinishData": scene["finishes"], "MarkData": scene["marks"],
        "LeafData": [leaf], "LeafPartData": leaf["parts"], "GroundData": [scene["ground"]],
        "LegData": scene["legs"], "PostData": scene["posts"], "LightData": [scene["light"]],
        "GateData": scene["gates"], "HeadsData": [heads], "HeadData": heads["shapes"]["ogee"],
        "OfferData": [{key: offer[key] for key in ("option", "summary", "differs", "same")}],
    }  # fmt: skip
    assert typed.keys() == {*handed, "PageData"}
    for name, values in handed.items():
        assert values
        for value in values:
            assert value.keys() == typed[name], name


@pytest.mark.slow
def test_khronos_validator_finds_nothing_wrong_with_any_glb(
    node_folder: Path, tmp_path: Path
) -> None:
    """The glTF validator of the Khronos Group (npm gltf-validator): no errors, no warnings."""
    files = []
    for path in EXAMPLES:
        files.append(tmp_path / f"{path.stem}.glb")
        files[-1].write_bytes(write_glb(Product(example_fence(path))))
    for file, report in zip(files, validated(node_folder, files), strict=True):
        # one primitive a mark, so one draw call a member at most
        fence = example_fence(next(p for p in EXAMPLES if p.stem == file.stem))
        assert report["info"]["drawCallCount"] <= len(fence.members)
        assert file.stat().st_size < 450_000


def test_scene_places_are_those_of_the_members(built: Product) -> None:
    scene = scene_of(built, "x")
    names = [mark["mark"] for mark in scene["marks"]]
    assert sorted(names) == sorted(built.fence.by_mark)
    assert scene["facts"][3] == ["Pales", "117"]


def test_points_are_picked_in_a_photograph(chromium: Any, tmp_path: Path) -> None:
    """What is clicked comes out as a file that the montage reads, to a pixel of the photograph."""
    photo = tmp_path / "front.png"
    Image.new("RGB", (1600, 1200), (120, 150, 90)).save(photo)
    file = tmp_path / "pick.html"
    file.write_bytes(write_picking_page(cottage().fence, photo))
    page = chromium.new_context(viewport={"width": 1200, "height": 900}).new_page()
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on("console", lambda said: faults.append(said.text) if said.type == "error" else None)
    page.goto(file.as_uri())
    until(page, "document.getElementById('photo').naturalWidth === 1600")
    box = page.locator("#photo").bounding_box()

    def click(x: float, y: float) -> None:
        share = box["width"] / 1600
        page.mouse.click(box["x"] + x * share, box["y"] + y * share)

    click(400, 300)  # the first post's foot, as the list begins
    page.locator("#stage").press("ArrowRight")
    page.fill("#own", "5.4 m, 1.2 m, 0")
    click(800, 600)
    page.check("input[value=horizon]")
    click(10, 500)
    click(1590, 510)
    page.check("input[value=mask]")
    for x, y in ((100, 100), (200, 100), (200, 250)):
        click(x, y)
    page.click("#close")
    (tmp_path / "front.toml").write_text(page.input_value("#text"))
    known = read_points(tmp_path / "front.toml")
    first, own = known.point
    assert (first.post, first.at) == ("A01", "ground")
    assert first.pixel == pytest.approx((401, 300), abs=1.5)
    assert own.place == (5400.0, 1200.0, 0.0)
    assert known.horizon is not None
    assert known.horizon.pixels[1] == pytest.approx((1590, 510), abs=1.5)
    assert len(known.mask[0].pixels) == 3
    assert faults == []
    page.context.close()
