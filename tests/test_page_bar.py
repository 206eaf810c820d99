"""The frame of the customer's page: bar, keys, focus, messages, compass, devices."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from browser import opened, said, still, until
from helpers import ROOT, fence_of
from palewright.export.models.product import Product
from palewright.export.page.html import write_page

pytestmark = pytest.mark.xdist_group("browser")

GATES = {
    "run": [{"points": [[0, 0], [9000, 0]], "gate": [{"at": 2000}, {"at": 6000, "name": "side"}]}]
}


@pytest.fixture(scope="module")
def file(cottage: Product, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("bar") / "fence.html"
    path.write_bytes(write_page([("cottage", cottage)]))
    return path


@pytest.fixture(scope="module")
def shared(chromium: Any, file: Path) -> Iterator[Any]:
    page, faults = opened(chromium, file)
    yield page
    # axe-core tries to evaluate a string, which the page's policy forbids
    assert [fault for fault in faults if "Evaluating a string" not in fault] == []
    page.context.close()


@pytest.fixture
def page(shared: Any) -> Any:
    """The page as it is at the start: one page for all tests, as loading takes seconds."""
    for _ in range(4):
        shared.keyboard.press("Escape")
    shared.emulate_media(color_scheme="light", reduced_motion="no-preference")
    shared.evaluate("""() => {
      const { gates, tools, views } = palewright;
      if (tools.pressed.dimensions) palewright.dimensions.toggle();
      gates.move(gates.names(), false);
      views.first();
      document.activeElement.blur();
    }""")
    still(shared)
    return shared


def violations(page: Any, *rules: str) -> list[str]:
    """What axe-core finds wrong by some of its rules, or all: WCAG 2.2 A and AA, best practices."""
    only = {"runOnly": {"type": "rule", "values": rules}} if rules else {}
    found = Axe().run(page, options={"resultTypes": ["violations"], **only}).response
    assert len(found["passes"]) > (0 if rules else 20)
    faults = [(one["id"], node["html"]) for one in found["violations"] for node in one["nodes"]]
    return [f"{name}: {html[:90]}" for name, html in faults]


STATES = {
    "start": (),
    "parts": ("p",),
    "a part": ("p", "js:palewright.parts.highlight(0)"),
    "section": ("5",),
    "measuring": ("m",),
    "sizes": ("d",),
    "more": ("?",),
}
"""Keys, or script, that bring the page into a state."""


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_wrong_in_any_state(page: Any, scheme: str) -> None:
    page.emulate_media(color_scheme=scheme)
    for state, acts in STATES.items():
        for act in acts:
            if act.startswith("js:"):
                page.evaluate(act[3:])
            else:
                page.keyboard.press(act)
        # colours are all that differs in the dark
        assert violations(page, *(["color-contrast"] if scheme == "dark" else [])) == [], state
        for _ in range(3):
            page.keyboard.press("Escape")


def test_axe_finds_nothing_wrong_on_a_phone_or_without_3d(chromium: Any, file: Path) -> None:
    page, _ = opened(chromium, file, viewport={"width": 844, "height": 390}, has_touch=True,
                          is_mobile=True)  # fmt: skip
    assert violations(page) == []
    page.locator("#more").tap()
    assert violations(page) == []
    page.add_init_script("HTMLCanvasElement.prototype.getContext = () => null;")
    page.goto(file.as_uri())
    page.wait_for_selector("#pictures svg")
    assert violations(page) == []
    page.context.close()


def test_each_tool_has_an_icon_and_a_word(page: Any) -> None:
    tools = page.locator(".tool")
    words = tools.all_inner_texts()
    assert page.locator(".tool svg.icon path").count() >= tools.count() > 10
    assert all(re.fullmatch(r"[A-Z][a-z ]+", word.strip()) for word in words if word)
    assert 4 <= page.locator("#tools > .tool").count() <= 7  # a few; the others under 'more'
    page.click("#more")
    assert page.locator("#more").get_attribute("aria-expanded") == "true"
    assert page.locator("#rest #tool-print").is_visible()
    page.locator("#tool-back").click()
    assert not page.locator("#rest").is_visible()  # a view is taken at once
    assert page.evaluate("palewright.views.camera.position.y") > 0


def test_keys_work_wherever_the_focus_is(page: Any) -> None:
    page.focus("#tool-parts")
    page.keyboard.press("3")
    eye = page.evaluate("palewright.views.camera.position.toArray()")
    assert eye[2] > 5000
    assert page.evaluate("document.activeElement.id") == "tool-parts"
    for key in ("ArrowLeft", "ArrowDown", "+", "Shift+ArrowRight", "w"):
        page.keyboard.press(key)
        now = page.evaluate("palewright.views.camera.position.toArray()")
        assert math.dist(now, eye) > 10, key
        eye = now
    # but not in a field
    page.evaluate("""() => {
      document.body.append(Object.assign(document.createElement("input"), { id: "own" }));
    }""")
    page.focus("#own")
    page.keyboard.press("1")
    assert page.input_value("#own") == "1"
    assert page.evaluate("palewright.views.camera.position.toArray()") == eye
    page.evaluate("document.getElementById('own').remove()")


def test_single_keys_can_be_switched_off(page: Any) -> None:
    """WCAG 2.2, success criterion 2.1.4: then only the view itself takes them."""
    page.click("#more")
    page.uncheck("#by-keys")
    page.focus("#tool-front")
    page.keyboard.press("d")
    assert page.locator("#tool-dimensions").get_attribute("aria-pressed") == "false"
    page.focus("#view")
    page.keyboard.press("d")
    assert page.locator("#tool-dimensions").get_attribute("aria-pressed") == "true"
    page.evaluate("palewright.tools.unfold(true)")
    page.check("#by-keys")


def test_the_focus_goes_through_the_page_and_is_kept(page: Any) -> None:
    reached = []
    page.evaluate("document.getElementById('view').focus()")
    for _ in range(12):
        page.keyboard.press("Tab")
        reached.append(page.evaluate("document.activeElement.id"))
    wanted = ["north", "tool-front", "tool-eye", "tool-gate", "tool-dimensions", "tool-parts"]
    assert [name for name in reached if name in wanted][: len(wanted)] == wanted
    outline = "getComputedStyle(document.activeElement).outlineStyle"
    page.focus("#more")
    page.keyboard.press("Enter")
    assert page.evaluate(outline) == "solid"
    page.focus("#tool-section")
    page.keyboard.press("Escape")
    assert page.evaluate("document.activeElement.id") == "more"
    page.click("#tool-parts")
    page.focus("#panel-close")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "tool-parts"
    # another fence in the place of this one
    page.keyboard.press("p")
    page.focus("#mark-2")
    page.evaluate("palewright.show(0)")
    assert page.evaluate("document.activeElement.id") == "mark-2"


def test_a_message_goes_unless_someone_is_at_it(page: Any) -> None:
    past = "document.getElementById('message').matches('.past')"
    page.evaluate("""() => {
      window.own = window.setTimeout;
      window.setTimeout = (act, ms) => window.own(act, ms > 5000 ? 400 : ms);
    }""")
    point = "document.getElementById('message').dispatchEvent(new PointerEvent('pointer%s'))"
    page.evaluate(f"palewright.views.eye(), {point % 'enter'}")
    assert "walk" in said(page)
    assert page.locator("#said").get_attribute("role") == "status"
    page.wait_for_timeout(900)
    assert not page.evaluate(past)
    page.evaluate(point % "leave")
    until(page, past)
    assert "walk" in said(page)  # readers of the screen still find it
    # one that lasts comes back after one of a moment
    told = page.evaluate("""() => {
      palewright.tools.keys.m();
      palewright.tools.keys.g();
      return document.getElementById("said").textContent;
    }""")
    assert told.endswith("opens")
    until(page, "document.getElementById('said').textContent.startsWith('Click two points')")
    assert not page.evaluate(past)
    page.evaluate("void (window.setTimeout = window.own)")  # a function would be called


def test_the_north_point_turns_with_the_view(page: Any) -> None:
    def needle() -> float:
        still(page)
        turned = page.locator("#north g").get_attribute("transform")
        return float(re.match(r"rotate\((-?[\d.]+) ", turned)[1])  # type: ignore[index]

    look = """(way) => {
      const at = palewright.views.controls.target.clone();
      const by = at.clone().set(way[0], way[1], -300);
      palewright.views.look(at.clone().sub(by), at);
    }"""
    for way, wanted in (((0, 5000), 0), ((5000, 0), -90), ((0, -5000), 180), ((-5000, 0), 90)):
        page.evaluate(look, list(way))
        assert math.cos(math.radians(needle() - wanted)) > 0.999, way
    page.click("#north")
    assert math.cos(math.radians(needle())) > 0.999
    page.keyboard.press("3")  # straight down
    front = page.evaluate("palewright.world.front.toArray()")
    wanted = math.degrees(-math.atan2(-front[0], -front[1]))
    assert math.cos(math.radians(needle() - wanted)) > 0.999


def test_who_wants_no_motion_gets_none(page: Any) -> None:
    page.emulate_media(reduced_motion="reduce")
    frames = page.evaluate("palewright.frame.count")
    page.keyboard.press("g")
    until(page, "palewright.world.leaves[0].open === 1")
    still(page)
    assert page.evaluate("palewright.frame.count") - frames <= 3


def test_dark_colours_are_the_devices_choice(page: Any) -> None:
    paper = "getComputedStyle(document.querySelector('footer')).backgroundColor"
    light = page.evaluate(paper)
    page.emulate_media(color_scheme="dark")
    dark = page.evaluate(paper)
    assert sum(map(int, re.findall(r"\d+", light)[:3])) > 700
    assert sum(map(int, re.findall(r"\d+", dark)[:3])) < 120


def test_several_gates_open_together_or_each(chromium: Any, tmp_path: Path) -> None:
    path = tmp_path / "gates.html"
    path.write_bytes(write_page([("gates", Product(fence_of(GATES)))]))
    page, faults = opened(chromium, path)
    opens = "palewright.world.leaves.map((leaf) => leaf.wanted)"
    page.keyboard.press("g")
    assert page.evaluate(opens) == [1, 1]
    page.click("#more")
    page.get_by_role("button", name=re.compile("^Open .*side$")).click()
    assert page.evaluate(opens) == [1, 0]
    assert page.locator("#tool-gate").get_attribute("aria-pressed") == "false"
    assert faults == []
    page.context.close()


@pytest.mark.parametrize(("width", "height"), [(390, 844), (844, 390)])
def test_words_and_bar_on_a_phone(chromium: Any, file: Path, width: int, height: int) -> None:
    page, faults = opened(chromium, file, viewport={"width": width, "height": height},
                          has_touch=True, is_mobile=True, device_scale_factor=2)  # fmt: skip
    view = page.locator("#view").bounding_box()
    assert view["width"] * view["height"] > 0.72 * width * height
    bar = page.locator("#tools").bounding_box()
    for tool in page.locator("#tools > .tool").all():
        box = tool.bounding_box()
        assert bar["x"] - 1 <= box["x"] and box["x"] + box["width"] <= bar["x"] + bar["width"] + 1
        assert bar["y"] - 1 <= box["y"] and box["y"] + box["height"] <= bar["y"] + bar["height"] + 1
        # the word is not cut off
        assert tool.evaluate("(one) => one.scrollWidth <= one.clientWidth")
    page.locator("#more").tap()
    box = page.locator("#rest").bounding_box()
    assert box["x"] >= 0 and box["y"] >= 0 and box["x"] + box["width"] <= width
    text = page.locator("#rest").inner_text()
    assert "Tap a gate" in text and "One finger" in text
    assert "Click" not in text and "key" not in text.lower()
    page.locator("#tool-measure").tap()
    assert said(page) == "Tap two points."
    assert faults == []
    page.context.close()


def test_a_phone_that_is_turned_keeps_the_fence_in_view(chromium: Any, file: Path) -> None:
    page, _ = opened(chromium, file, viewport={"width": 390, "height": 844})
    away = "palewright.views.camera.position.toArray()"
    upright = page.evaluate(away)
    page.set_viewport_size({"width": 844, "height": 390})
    until(page, "palewright.views.camera.aspect > 1.5")
    assert page.evaluate(away) != upright
    page.keyboard.press("ArrowLeft")  # one's own view stays
    turned = page.evaluate(away)
    page.set_viewport_size({"width": 390, "height": 844})
    until(page, "palewright.views.camera.aspect < 1")
    assert page.evaluate(away) == turned
    page.context.close()


def contrast(one: str, other: str) -> float:
    """Contrast of two colours (WCAG 2.2, definition of contrast ratio)."""

    def luminance(text: str) -> float:
        parts = [int(text[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        r, g, b = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
        return 0.2126 * r + 0.7152 * g + 0.0722 * b

    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_of_both_sets_of_colours() -> None:
    css = (ROOT / "export/page/page.css").read_text()
    blocks = css.split(":root {")[1:3]
    sets = [dict(re.findall(r"--([a-z-]+): (#\w{6})", block)) for block in blocks]
    for colours in sets:
        for paper in ("paper", "sheet"):
            assert contrast(colours["ink"], colours[paper]) > 7.0
            assert contrast(colours["wrong"], colours[paper]) > 4.5
            # edges of what is pressed, and the ring of the focus: criteria 1.4.11 and 2.4.13
            assert contrast(colours["line"], colours[paper]) > 3.0
            assert contrast(colours["focus"], colours[paper]) > 3.0
        assert contrast(colours["on-chosen"], colours["chosen"]) > 4.5
