"""Solidity against the solids, a post by hand, loads by statics, and what is said of them."""

from __future__ import annotations

import dataclasses
import io
import math
import re
from copy import deepcopy
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pdfplumber
import pytest
import shapely
from click.testing import CliRunner

from helpers import EXAMPLES, ROOT, example_fence, fence_of
from palewright.cli.main import main
from palewright.export.models.product import Product
from palewright.export.papers.calculation import calculation_pdf, calculation_text
from palewright.model.basis.units import format_length as mm
from palewright.model.checks.building_checks import check
from palewright.model.checks.rule_findings import report
from palewright.model.fence.fence_model import FenceModel
from palewright.model.order.joints import make_fence
from palewright.model.order.order_lines import order
from palewright.model.parts.hardware import BOLT_LENGTHS
from palewright.model.resolved.resolve import resolve
from palewright.model.spec.price_list import PriceItem, PriceList
from palewright.model.spec.spec_tables import SpecTables
from palewright.model.strength.assess import assess
from palewright.model.strength.formulas import Formula
from palewright.model.strength.leaf_loads import hung_leaves
from palewright.model.strength.leaf_weight import leaf_weight
from palewright.model.strength.post_loads import post_loads
from palewright.model.strength.post_strength import checked_post
from palewright.model.strength.rail_loads import shares_of
from palewright.model.strength.run_wind import run_winds
from palewright.model.strength.shown import COVERING, covered, outlines
from palewright.model.strength.size import SECTIONS, SpecFiles, sized, with_sizes
from palewright.model.strength.steps import UNITS, Assessment

WINDY: dict[str, Any] = {
    "run": [{"points": [[0, 0], [9000, 0]]}],
    "pales": {"width": 90, "gap": 60, "length": 900, "head": "square"},
    "wind": {"velocity": 20.0, "terrain": "III"},
    "soil": {"kind": "gravel"},
}


def windy(**changes: Any) -> dict[str, Any]:
    data = deepcopy(WINDY)
    for key, value in changes.items():
        table, name = key.split("__")
        if table == "run":
            data["run"][0][name] = value
        else:
            data.setdefault(table, {})[name] = value
    return data


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_covered_area_is_the_projection_of_the_solids(path: Path) -> None:
    """Triangles of the kernel's meshes, projected on the leg's plane and united."""
    fence = example_fence(path)
    built = Product(fence)
    layout = fence.layouts[0]
    stretch = next(stretch for stretch in layout.stretches if stretch.pales)
    pales = stretch.pales
    x0, x1 = stretch.xs[:2]
    own = [p for p in pales if p.bay == 0 or x0 <= p.x <= x1 + 1e-6] or list(pales)
    window = shapely.box(x0, min(p.foot for p in own), x1, max(p.top for p in own))
    frame = stretch.leg.frame
    shown = []
    for member in fence.members:
        if member.run or member.leg != stretch.leg_number or member.kind not in COVERING:
            continue
        mesh = built.meshes[member.mark]
        points = [frame.local(member.frame.point(tuple(v))) for v in mesh.vertices]
        flat = [(x, z) for x, _, z in points]
        if max(x for x, _ in flat) < x0 or min(x for x, _ in flat) > x1:
            continue
        faces = [shapely.Polygon([flat[n] for n in triangle]) for triangle in mesh.triangles]
        shown.append(shapely.union_all([face.buffer(0) for face in faces if face.area > 1e-6]))
    area = (shapely.union_all(shown) & window).area
    first = dataclasses.replace(stretch, xs=stretch.xs[:2])
    found, whole = covered(outlines(fence)[0, stretch.leg_number, False], first)
    assert found == pytest.approx(area, rel=1e-3)  # heads are meshed to a hundredth of a mm or so
    assert 0.3 < found / whole < 1.0


def test_solidity_in_closed_form() -> None:
    """Square pales before two rails: pales, and rails and posts where no pale is before them."""
    fence = fence_of(windy())
    stretch = fence.layouts[0].stretches[0]
    pales = fence.layouts[0].stretches[0].pales
    x0, x1 = stretch.xs[1:3]
    parts = [max(0.0, min(p.x + 45.0, x1) - max(p.x - 45.0, x0)) for p in pales]
    open_width = (x1 - x0) - sum(parts)
    # both rails are 75 high and wholly behind the pales' zone
    expected = (sum(parts) * 900.0 + open_width * 150.0) / ((x1 - x0) * 900.0)
    bay = dataclasses.replace(
        stretch,
        xs=stretch.xs[1:3],
        pales=tuple(dataclasses.replace(pale, bay=0) for pale in stretch.pales if pale.bay == 1),
    )
    area, whole = covered(outlines(fence)[0, 0, False], bay)
    found = area / whole
    # half a post at either end shows in gaps, from the foot of the pales to its own top
    assert expected < found < expected + 2 * 50.0 * 750.0 / ((x1 - x0) * 900.0)


def by_title(fence: FenceModel, start: str) -> Assessment:
    return next(place for place in assess(fence).places if place.title.startswith(start))


def steps_of(place: Assessment) -> dict[str, float]:
    """Every value of a place's sheet by its symbol, the first of each."""
    steps = [*place.loads, *(step for one in place.checks for step in one.steps)]
    return {step.symbol: step.value for step in reversed(steps)}


def test_a_post_by_hand() -> None:
    """Every figure of docs/wind-by-hand.md is the program's to three figures, in its order."""
    text = (ROOT / "docs" / "wind-by-hand.md").read_text("utf-8")
    place = by_title(example_fence(ROOT / "examples" / "headland.toml"), "Line post A03")
    steps = iter([*place.loads, *(step for one in place.checks for step in one.steps)])
    body = text[text.index("## Wind") :]
    rows = re.findall(r"^\| (\S+) \| [^|]+ \| ([\d.]+) \| ?(\S*) ?\|$", body, re.MULTILINE)
    assert len(rows) == 27
    for symbol, value, unit in rows:
        step = next(step for step in steps if step.symbol == symbol)
        assert f"{step.value:.3g}" == f"{float(value):.3g}", symbol
        assert step.unit == unit, symbol
    used = {one.name: f"{one.utilisation:.3f}" for one in place.checks}
    for name, words in (
        ("bending of the post at the ground", "0.265"),
        ("bending of the post at its lowest bolt", "0.179"),
        ("shear of the post", "0.147"),
        ("depth of the footing", "0.724"),
    ):
        assert f"= {words}" in text
        assert used[name] == words


WORDED = {
    "z", "phi", "c", "B", "H", "e", "kmod", "kh", "kh,s", "b", "s", "P", "L", "W", "kp", "D", "R",
    "mF", "mS", "zb", "G",
}  # fmt: skip
"""What is measured, looked up or chosen and so has words in the place of a formula."""


def by_python(text: str, values: dict[str, float]) -> float:
    """Evaluate a formula as it is printed by Python itself, with `*` for each space that
    multiplies."""
    text = re.sub(r"(2/3)", r"(\1)", text).replace("^", "**")
    names = sorted(values, key=len, reverse=True)
    spaced = re.sub(r"\s*([-+/])\s+", r" \1 ", text)
    parts = re.split(r"(?<=[\w)]) (?=[\w(])", spaced)
    code = "*".join(parts)
    for number, name in enumerate(names):
        code = re.sub(rf"(?<![\w,]){re.escape(name)}(?![\w,]*\w)", f"v[{number}]", code)
    scope = {"v": [values[name] for name in names], "ln": math.log, "sqrt": math.sqrt,
             "min": min, "max": max, "pi": math.pi}  # fmt: skip
    return float(eval(code, scope))


@pytest.mark.parametrize(
    "data",
    [
        windy(),
        windy(soil__cohesion=40.0, soil__doubled=True, wind__force=1.6, rails__bolt="M8"),
        windy(rails__form="arris", posts__section=[150, 150], fixings__pales="nails"),
        windy(run__gate=[{"at": 4500, "hinge": "right"}], rails__tops=[250, 500, 750]),
        windy(
            run__points=[[0, 0], [7000, 0], [9000, 3000], [9000, 8000]],
            run__gate=[{"at": 3500, "opening": 2400, "leaves": 2}],
            soil__friction=32.0, soil__cohesion=30.0, pales__gap=8,
        ),
    ],
)  # fmt: skip
def test_what_is_printed_is_what_is_computed(data: dict[str, Any]) -> None:
    """Every line of every sheet is worked out again by Python from the printed formula."""
    worked = set()
    for place in assess(fence_of(data)).places:
        for step in (*place.loads, *(s for one in place.checks for s in one.steps)):
            if not step.inputs:
                assert step.symbol in WORDED or re.fullmatch(r"[Fexy]\d", step.symbol), step
                continue
            text = step.formula
            for note in (", class 4.6", ", solved with S1"):
                text = text.removesuffix(note)
            value = by_python(text, dict(step.inputs)) / UNITS[step.unit]
            assert value == pytest.approx(step.value, rel=1e-9), step
            worked.add(step.symbol)
    assert len(worked) >= 20


@pytest.mark.parametrize("text", ["2 +", "(a", "a b)", "a $ b", "min(a, b", "1 2 ^"])
def test_a_formula_that_cannot_be_read_is_an_error(text: str) -> None:
    with pytest.raises(ValueError, match=r"out of place|cannot be read|missing|not closed"):
        Formula(text).value({"a": 1.0, "b": 2.0})


def test_what_rails_carry() -> None:
    """Two rails by moments about one of them; three between stiff pales and stiff rails."""
    # pales from 50 to 950, rails at 200 and 800: the resultant at 500 is half way
    assert shares_of((200.0, 800.0), 50.0, 950.0)[0].values == pytest.approx((0.5, 0.5))
    assert shares_of((200.0, 600.0), 50.0, 950.0)[0].values == pytest.approx((0.25, 0.75))
    assert shares_of((500.0,), 50.0, 950.0)[0].values == (1.0,)
    stiff, firm = (each.values for each in shares_of((0.0, 500.0, 1000.0), 0.0, 1000.0))
    assert stiff == pytest.approx((1 / 3, 1 / 3, 1 / 3))
    # a beam on three supports: 3/8, 5/4 and 3/8 of a span, two spans in all
    assert firm == pytest.approx((3 / 16, 5 / 8, 3 / 16))


def test_what_posts_take_of_two_bays_of_rail() -> None:
    """5/4 q L in the middle of two equal spans (table of civil engineering formulas), less what
    ends of length c beyond the outer posts take off: 3/2 c^2 / L by the three-moment equation.
    """
    data = windy(run__points=[[0, 0], [3600, 0]], posts__bay=1850, rails__stock_length=4800)
    fence = fence_of(data)
    stretch = fence.layouts[0].stretches[0]
    bay, beyond = stretch.bays[0], stretch.xs[0] - stretch.first.x
    assert stretch.bays == pytest.approx((bay, bay))
    middle = steps_of(by_title(fence, "Line post A02"))["B"] * 1000.0
    assert middle == pytest.approx(1.25 * bay - 1.5 * beyond**2 / bay)
    ends = [steps_of(by_title(fence, "End post"))["B"] * 1000.0]
    assert middle + 2.0 * ends[0] == pytest.approx(2.0 * (bay + beyond))


def test_the_leafs_weight_bends_its_post() -> None:
    gate = {"at": 4500, "opening": 1000}
    fence = fence_of(windy(run__gate=[gate]))
    layout = fence.layouts[0]
    job, leaf = layout.run, layout.openings[0].leaves[0]
    members = [m for m in fence.members if m.leaf is not None and m.kind.material == "timber"]
    weight = sum(m.shape.volume for m in members) * 600.0 / 1e9
    about = leaf_weight(job, 600.0, leaf)
    assert about == pytest.approx(weight, rel=0.1)
    wind = next(run_winds(fence))
    hanging = next(n for n, _ in enumerate(layout.posts) if hung_leaves(wind, n))
    cases = {loads.name: loads for loads, _ in checked_post(wind, hanging)}
    assert set(cases) == {
        "gates shut", "gates open", "wind along the fence on the open leaf",
        "weight of the shut leaf", "weight of the open leaf",
        "a person on the shut leaf", "a person on the open leaf",
    }  # fmt: skip
    arm = leaf.width / 2.0 + job.gates.hinge_clearance + 62.5
    for name, loads in cases.items():
        assert loads.working["G"] == pytest.approx(about * 9.81 * arm, rel=1e-9), name
    reach = leaf.width + job.gates.hinge_clearance + 62.5
    assert cases["a person on the shut leaf"].working["MP"] == pytest.approx(1000.0 * reach)


@pytest.mark.parametrize("hinge", ["left", "right"])
def test_a_gates_hanging_post_is_checked_with_its_leaf(hinge: str) -> None:
    """Whichever side a gate hangs on, the post it hangs on governs, with the same figures."""
    gate = {"at": 4500, "opening": 1200, "hinge": hinge}
    strength = assess(fence_of(windy(run__gate=[gate])))
    worst = next(
        one for one in strength.governing
        if one.members == "gate posts" and "at the ground" in one.check.name
    )  # fmt: skip
    opening = fence_of(windy(run__gate=[gate])).layouts[0].openings[0]
    hanging = opening.posts[0 if hinge == "left" else 1]
    assert worst.where.startswith(f"post {hanging.label},")
    other = windy(run__gate=[{**gate, "hinge": "left" if hinge == "right" else "right"}])
    mirrored = assess(fence_of(other))
    again = next(one for one in mirrored.governing if one.check.name == worst.check.name
                 and one.members == "gate posts")  # fmt: skip
    assert again.check.utilisation == pytest.approx(worst.check.utilisation, rel=1e-9)


def test_no_claim_is_made_of_a_fence_between_three_quarters_and_four_fifths_solid() -> None:
    """1.2 on the whole area is at least 1.6 on the members' own up to a solidity of 0.75."""
    words = {}
    for gap in (60, 30, 27):
        sheet = by_title(fence_of(windy(pales__gap=gap, pales__gap_max=gap + 6)), "Line post")
        phi = next(step.value for step in sheet.loads if step.symbol == "phi")
        words[gap] = phi, next(step.formula for step in sheet.loads if step.symbol == "c")
    assert words[60][0] < 0.75 and "may give more" not in words[60][1]
    assert any(0.75 < phi <= 0.8 and "may give more" in text for phi, text in words.values())


def test_load_grows_with_the_square_of_the_wind() -> None:
    forces = []
    for velocity in (10.0, 20.0):
        forces.append(
            steps_of(by_title(fence_of(windy(wind__velocity=velocity)), "Line post"))["Fk"]
        )
    assert forces[1] == pytest.approx(4.0 * forces[0])


def test_a_force_coefficient_of_the_users_counts_on_the_members_own_area() -> None:
    place = by_title(fence_of(windy(wind__force=1.6)), "Line post")
    steps = {s.symbol: s.value for s in place.loads}
    assert steps["c"] == pytest.approx(1.6 * steps["phi"])


def coefficients(**changes: Any) -> dict[str, list[float]]:
    """Return the pressure coefficients at each post of a closed fence, by gates shut and open."""
    fence = fence_of(windy(pales__gap=2, pales__gap_max=6, **changes))
    wind = next(run_winds(fence))
    found: dict[str, list[float]] = {}
    for number, post in enumerate(wind.layout.posts):
        for loads in post_loads(wind, number):
            steps = {step.symbol: step.value for step in loads.working.steps}
            if "B" in steps and "open leaf" not in loads.name:
                found.setdefault(post.label, []).append(steps["c"])
    return found


def test_each_post_has_the_zone_of_its_own_place() -> None:
    """EN 1991-1-4, Figure 7.19 and Table 7.9: nearest the free ends A, then B, C and D."""
    found = [value[0] for value in coefficients(run__points=[[0, 0], [18000, 0]]).values()]
    assert found == pytest.approx(found[::-1])
    half = found[: len(found) // 2 + 1]
    assert half == sorted(half, reverse=True)
    assert len({round(value, 6) for value in half}) == 4
    assert half[0] > 2.4 and half[-1] == pytest.approx(1.2)


def test_a_return_corner_takes_less_than_a_free_end_and_more_than_the_middle() -> None:
    """Zone A of a return as long as the fence is high takes 2.1 where a free end takes 3.4
    (EN 1991-1-4, Table 7.9), brought down between solidities of 0.8 and 1.
    """
    straight = coefficients(run__points=[[0, 0], [18000, 0]])
    bent = coefficients(run__points=[[0, 0], [18000, 0], [18000, 9000]])
    phi = 0.8 + 0.2 * (max(straight["A01"]) - 1.2) / (3.4 - 1.2)
    corner = max(bent["A11"])
    assert corner == pytest.approx(1.2 + (2.1 - 1.2) * (phi - 0.8) / 0.2, rel=0.02)
    assert corner > min(bent["A05"])


def test_an_open_gate_leaves_free_ends() -> None:
    found = coefficients(run__points=[[0, 0], [18000, 0]], run__gate=[{"at": 9000}])
    shut, opened = zip(*(values for values in found.values() if len(values) == 2), strict=True)
    assert max(b - a for a, b in zip(shut, opened, strict=True)) > 0.5


@pytest.mark.parametrize(
    ("code", "fails", "passes"),
    [
        ("WIND-POST", {"posts__section": [40, 40]}, {"posts__section": [75, 75]}),
        ("WIND-SHEAR", {"posts__section": [10, 100]}, {"posts__section": [75, 75]}),
        ("WIND-SWAY", {"posts__section": [25, 25]}, {"posts__section": [75, 75]}),
        ("WIND-DEPTH", {"posts__embedment": 450}, {"posts__embedment": 800}),
        (
            "WIND-CLAY",
            {"posts__embedment": 450, "soil__cohesion": 15.0, "soil__kind": "bedrock"},
            {"posts__embedment": 900, "soil__cohesion": 15.0, "soil__kind": "bedrock"},
        ),
        (
            "WIND-SAND",
            {"posts__embedment": 450, "soil__friction": 22.0, "soil__kind": "bedrock"},
            {"posts__embedment": 900, "soil__friction": 35.0, "soil__kind": "bedrock"},
        ),
        ("WIND-RAIL", {"rails__section": [75, 22]}, {"rails__section": [75, 38]}),
        ("WIND-BOLT", {"wind__velocity": 40.0}, {"wind__velocity": 20.0}),
        ("WIND-NAIL", {"wind__velocity": 30.0}, {"wind__velocity": 18.0}),
    ],
)
def test_each_check_has_a_fence_that_passes_and_one_that_fails(
    code: str, fails: dict[str, Any], passes: dict[str, Any]
) -> None:
    assert code in {finding.code for finding in check(fence_of(windy(**fails)))}
    assert code not in {finding.code for finding in check(fence_of(windy(**passes)))}


def test_nothing_is_said_of_wind_that_is_not_given() -> None:
    data = windy()
    del data["wind"]
    fence = fence_of(data)
    assert assess(fence).governing == ()
    assert any("give [wind]" in line for line in report(fence)[1])
    assert any("EN 1991-1-4" in line for line in report(fence_of(windy()))[0])


def test_screws_are_left_to_their_maker() -> None:
    codes = {c.code for p in assess(fence_of(windy(fixings__pales="screws"))).places
             for c in p.checks}  # fmt: skip
    assert "WIND-NAIL" not in codes
    assert "WIND-BOLT" in codes


def test_arris_rails_are_checked_as_the_triangles_that_are_built() -> None:
    """84 x 42: b h^2 / 24 = 6174 mm3 (any handbook of mechanics), its area that of the solid."""
    fence = fence_of(windy(rails__form="arris", rails__section=[84, 42]))
    steps = steps_of(by_title(fence, "Rail"))
    assert steps["W"] == pytest.approx(6174.0)
    rail = next(member for member in fence.members if member.kind.name == "rail").shape
    assert shapely.Polygon(rail.section).area == pytest.approx(84.0 * 42.0 / 2.0)


def test_the_sheet_has_every_step_and_reads_as_pdf() -> None:
    fence = example_fence(ROOT / "examples" / "headland.toml")
    text = calculation_text(fence)
    assert max(len(line) for line in text.splitlines()) < 110
    for place in assess(fence).places:
        for one in place.checks:
            for step in one.steps:
                assert f"{step.symbol:8s} = {step.formula}" in text
                assert step.value > 0.0
    data = calculation_pdf(fence)
    assert data == calculation_pdf(fence)
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        read = "\n".join(page.extract_text() for page in pdf.pages)
    assert "0.1698" in read
    assert "qualified person" in read
    assert "compliant" not in read.lower()


def wind_codes(spec: SpecTables) -> set[str]:
    fence = make_fence(resolve(spec))
    return {f.code for f in check(fence) if f.code.startswith("WIND") or f.code == "POST-THIN"}


GATED = {"run": [{"points": [[0, 0], [9000, 0], [9000, 5000]], "gate": [{"at": 4000}]}]}


@pytest.mark.parametrize("more", [{}, GATED], ids=["plain", "gated"])
def test_the_cheapest_set_stands_and_nothing_smaller_does(more: dict[str, Any]) -> None:
    """One section or one step of depth less, for posts of any role, and a check fails."""
    spec = SpecTables.model_validate(windy() | more)
    best = sized(spec, SpecFiles()).best
    assert best is not None
    assert best.used <= 1.0 + 1e-9
    assert not wind_codes(with_sizes(spec, best.sizes))
    for role in best.roles:
        side, depth = best.sizes.sections[role], best.sizes.depths[role]
        if side > SECTIONS[0]:
            smaller = SECTIONS[SECTIONS.index(side) - 1]
            sections = {**best.sizes.sections, role: smaller}
            assert wind_codes(with_sizes(spec, replace(best.sizes, sections=sections))), role
        if depth > 450.0:
            depths = {**best.sizes.depths, role: depth - 50.0}
            thinner = replace(best.sizes, depths=depths)
            fence = make_fence(resolve(with_sizes(spec, thinner)))
            found = {f.code for f in check(fence)}
            assert found & {"WIND-DEPTH", "WIND-CLAY", "WIND-SAND", "POST-SHALLOW"}, role


def test_no_other_bay_is_cheaper() -> None:
    """Every bay tried by itself: none that stands takes less timber in posts and rails."""
    spec = SpecTables.model_validate(windy())
    best = sized(spec, SpecFiles()).best
    assert best is not None
    for bay in range(600, 3001, 200):
        alone = spec.model_copy(update={"posts": spec.posts.model_copy(update={"bay": bay})})
        sizes = replace(best.sizes, bay=float(bay))
        if wind_codes(with_sizes(alone, sizes)):
            continue
        fence = make_fence(resolve(with_sizes(alone, sizes)))
        timber = sum(m.shape.volume for m in fence.members if m.kind.name in ("post", "rail"))
        assert timber / 1e9 >= best.timber - 1e-6


def test_what_blocks_is_named() -> None:
    """Rails of 20 mm bend in a gale over any bay that is tried: no post helps them."""
    told = windy(wind__velocity=60, rails__section=[40, 20], rails__tops=[225, 800])
    found = sized(SpecTables.model_validate(told), SpecFiles())
    assert found.best is None
    assert found.now
    assert found.blocked
    assert all("rail" in words for words in found.blocked)


def test_by_prices_the_cheapest_order_is_taken() -> None:
    """Where digging costs far more than timber the longest bays win."""
    spec = SpecTables.model_validate(windy())
    lines = order(make_fence(resolve(spec))).lines
    names = {line.item: line.unit for line in lines if line.section is None}
    timber = [f"timber {mm(side)} x {mm(side)} use class 4" for side in SECTIONS]
    items = [PriceItem(name, unit, Decimal(1)) for name, unit in names.items()]
    items += [PriceItem(name, "m", Decimal(1)) for name in timber]
    items += [PriceItem(f"{part} {size}{more}", "each", Decimal(1))
              for size in ("M8", "M10", "M12") for part, more in (("nut", ""), ("washer", ""))
              if f"{part} {size}" not in names]  # fmt: skip
    items += [PriceItem(f"bolt {size} x {long:g}", "each", Decimal(1))
              for size in ("M8", "M10", "M12") for long in BOLT_LENGTHS
              if f"bolt {size} x {long:g}" not in names]  # fmt: skip
    section = spec.rails.section
    items += [PriceItem(f"timber {mm(section[0])} x {mm(section[1])} use class 3", "m", Decimal(1)),
              PriceItem(f"timber {mm(spec.pales.width)} x {mm(spec.pales.thickness)} use class 3",
                        "m", Decimal(1))]  # fmt: skip
    dear = [replace(x, price=Decimal(500)) if x.name == "dig hole" else x for x in items]
    prices = PriceList("GBP", 2, Decimal(0), Decimal(0), Decimal(0), tuple(dear))
    best = sized(spec, SpecFiles(prices=prices)).best
    plain = sized(spec, SpecFiles()).best
    assert best is not None
    assert plain is not None
    assert best.price is not None
    assert best.sizes.bay >= plain.sizes.bay


def test_the_commands(tmp_path: Path) -> None:
    run = CliRunner().invoke
    spec = str(ROOT / "examples" / "headland.toml")
    shown = run(main, ["wind", spec])
    assert shown.exit_code == 0
    assert "utilisation" in shown.output
    out = tmp_path / "wind.pdf"
    assert run(main, ["wind", spec, "-o", str(out)]).exit_code == 0
    assert out.read_bytes().startswith(b"%PDF")
    assert "line posts below ground" in run(main, ["size", spec]).output
    without = run(main, ["wind", str(ROOT / "examples" / "cottage.toml")])
    assert without.exit_code == 2
    assert "has no [wind] table" in without.output
    checked = run(main, ["check", spec])
    assert "warn:" not in checked.output
    assert "Rules checked:" in checked.output
    assert "Not checked:" in checked.output
