"""Solidity against the solids, a post by hand, loads by statics, and what is said of them."""

from __future__ import annotations

import io
import math
import re
from copy import deepcopy
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
from palewright.model.checks.building_checks import check
from palewright.model.checks.rule_findings import report
from palewright.model.spec.spec_tables import SpecTables
from palewright.model.strength.assess import assess
from palewright.model.strength.formulas import Formula
from palewright.model.strength.post_strength import leaf_weight
from palewright.model.strength.rail_strength import rail_share
from palewright.model.strength.size import suggestions
from palewright.model.strength.solidity import COVERING, covered, solidity
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
    own = [pale for pale in pales if pale.bay == 0] or list(pales)
    x0, x1 = stretch.xs[:2]
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
    found, whole = covered(fence, 0, stretch, 0)
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
    found = solidity(fence, 0, stretch, 1)
    # half a post at either end shows in gaps, from the foot of the pales to its own top
    assert expected < found < expected + 2 * 50.0 * 750.0 / ((x1 - x0) * 900.0)


def by_title(fence: Any, start: str) -> Assessment:
    return next(place for place in assess(fence) if place.title.startswith(start))


def test_a_post_by_hand() -> None:
    """Every figure of docs/wind-by-hand.md is the program's to three figures."""
    text = (ROOT / "docs" / "wind-by-hand.md").read_text("utf-8")
    place = by_title(example_fence(ROOT / "examples" / "headland.toml"), "Line post")
    steps = {step.symbol: step for step in place.loads}
    for one in place.checks:
        steps |= {step.symbol: step for step in one.steps if step.symbol not in steps}
    body = text[text.index("## Wind") :]
    rows = re.findall(r"^\| (\S+) \| [^|]+ \| ([\d.]+) \| ?(\S*) ?\|$", body, re.MULTILINE)
    assert len(rows) == 20
    for symbol, value, unit in rows:
        assert f"{steps[symbol].value:.3g}" == f"{float(value):.3g}", symbol
        assert steps[symbol].unit == unit, symbol
    used = {one.code: one.utilisation for one in place.checks}
    for code, words in (("WIND-POST", "0.212"), ("WIND-SHEAR", "0.117"), ("WIND-DEPTH", "0.882")):
        assert words in text
        assert f"{used[code]:.3f}" == words


WORDED = {
    "z", "phi", "c", "B", "H", "e", "kmod", "kh", "u", "b", "s", "P", "L", "W", "kp",
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
    ],
)
def test_what_is_printed_is_what_is_computed(data: dict[str, Any]) -> None:
    """Every line of every sheet is worked out again by Python from the printed formula."""
    worked = set()
    for place in assess(fence_of(data)):
        for step in (*place.loads, *(s for one in place.checks for s in one.steps)):
            if not step.inputs:
                assert step.symbol in WORDED, step
                continue
            text = step.formula
            for note in (", class 4.6", ", solved with S1", " along the fence"):
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
    """Two rails by moments about one of them; three by halves."""
    # pales from 50 to 950, rails at middles 200 and 800: resultant at 500 is half way
    assert rail_share((237.5, 837.5), 75.0, 50.0, 950.0) == pytest.approx(0.5)
    assert rail_share((237.5, 637.5), 75.0, 50.0, 950.0) == pytest.approx(300 / 400)
    assert rail_share((100.0, 500.0, 900.0), 0.0, 0.0, 1000.0) == pytest.approx(0.4)
    assert rail_share((500.0,), 75.0, 50.0, 950.0) == 1.0


def test_a_line_post_carries_two_half_bays_and_an_end_post_one() -> None:
    fence = fence_of(windy())
    places = (by_title(fence, "Line post"), by_title(fence, "End post"))
    two, one = (next(s.value for s in place.loads if s.symbol == "B") for place in places)
    assert two == pytest.approx(2.0 * one)
    assert two == pytest.approx(1.8)


def test_the_leafs_weight_bends_its_post() -> None:
    gate = {"at": 4500, "opening": 1000}
    fence = fence_of(windy(run__gate=[gate]))
    place = by_title(fence, "Gate post")
    job = fence.layouts[0].run
    post = next(one for one in place.checks if one.code == "WIND-POST")
    steps = {step.symbol: step for step in post.steps}
    members = [m for m in fence.members if m.leaf is not None and m.kind.material == "timber"]
    weight = sum(m.shape.volume for m in members) * 600.0 / 1e9
    ledges = sum(1 for m in members if m.kind.name == "gate ledge")
    pales = sum(1 for m in members if m.kind.name == "pale")
    width = 1000.0 - job.gates.hinge_clearance - job.gates.latch_clearance
    about = leaf_weight(job, 600.0, width, 890.0, ledges, pales)
    assert about == pytest.approx(weight, rel=0.1)
    arm = width / 2.0 + job.gates.hinge_clearance + 62.5
    assert steps["MG,d"].value == pytest.approx(1.35 * about * 9.81 * arm / 1e6, rel=0.02)
    assert post.utilisation == pytest.approx(steps["u"].value)


def test_load_grows_with_the_square_of_the_wind() -> None:
    forces = []
    for velocity in (10.0, 20.0):
        place = by_title(fence_of(windy(wind__velocity=velocity)), "Line post")
        forces.append({s.symbol: s.value for s in place.loads}["Fk"])
    assert forces[1] == pytest.approx(4.0 * forces[0])


def test_a_force_coefficient_of_the_users_counts_on_the_members_own_area() -> None:
    place = by_title(fence_of(windy(wind__force=1.6)), "Line post")
    steps = {s.symbol: s.value for s in place.loads}
    assert steps["c"] == pytest.approx(1.6 * steps["phi"])


def test_a_closed_fence_takes_the_walls_coefficient() -> None:
    data = windy(pales__gap=2, pales__gap_max=6)
    loads = {p.title[:4]: {s.symbol: s.value for s in p.loads} for p in assess(fence_of(data))}
    assert loads["End "]["phi"] > 0.9
    assert loads["End "]["c"] > 2.0
    assert loads["Line"]["c"] < loads["End "]["c"]


@pytest.mark.parametrize(
    ("code", "fails", "passes"),
    [
        ("WIND-POST", {"posts__section": [40, 40]}, {"posts__section": [75, 75]}),
        ("WIND-SHEAR", {"posts__section": [10, 100]}, {"posts__section": [75, 75]}),
        ("WIND-SWAY", {"posts__section": [25, 25]}, {"posts__section": [75, 75]}),
        ("WIND-DEPTH", {"posts__embedment": 550}, {"posts__embedment": 800}),
        (
            "WIND-CLAY",
            {"posts__embedment": 450, "soil__cohesion": 15.0, "soil__kind": "bedrock"},
            {"posts__embedment": 900, "soil__cohesion": 15.0, "soil__kind": "bedrock"},
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
    assert assess(fence) == ()
    assert any("give [wind]" in line for line in report(fence)[1])
    assert any("EN 1991-1-4" in line for line in report(fence_of(windy()))[0])


def test_screws_are_left_to_their_maker() -> None:
    codes = {c.code for p in assess(fence_of(windy(fixings__pales="screws"))) for c in p.checks}
    assert "WIND-NAIL" not in codes
    assert "WIND-BOLT" in codes


def test_arris_rails_are_checked_as_the_triangles_that_are_built() -> None:
    """84 x 42: b h^2 / 24 = 6174 mm3 (any handbook of mechanics), its area that of the solid."""
    fence = fence_of(windy(rails__form="arris", rails__section=[84, 42]))
    rails = next(p for p in assess(fence) if p.title.startswith("Rails"))
    steps = {s.symbol: s.value for c in rails.checks for s in c.steps}
    assert steps["W"] == pytest.approx(6174.0)
    rail = next(member for member in fence.members if member.kind.name == "rail").shape
    assert shapely.Polygon(rail.section).area == pytest.approx(84.0 * 42.0 / 2.0)


def test_the_sheet_has_every_step_and_reads_as_pdf() -> None:
    fence = example_fence(ROOT / "examples" / "headland.toml")
    text = calculation_text(fence)
    assert max(len(line) for line in text.splitlines()) < 110
    for place in assess(fence):
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


def test_suggested_sizes_pass_and_the_next_smaller_do_not() -> None:
    data = windy(posts__embedment=500)
    found = {one.change: one for one in suggestions(SpecTables.model_validate(data))}
    depth = float(found["post below ground"].needed)
    codes = ("WIND-DEPTH", "WIND-CLAY")
    for embedment, expected in ((depth, False), (depth - 50.0, True)):
        over = {f.code for f in check(fence_of(windy(posts__embedment=embedment)))}
        assert bool(over & set(codes)) is expected
    bay = found["bay"].needed
    assert bay == "none that was tried" or float(bay) <= 1800.0


def test_the_commands(tmp_path: Path) -> None:
    run = CliRunner().invoke
    spec = str(ROOT / "examples" / "headland.toml")
    shown = run(main, ["wind", spec])
    assert shown.exit_code == 0
    assert "utilisation" in shown.output
    out = tmp_path / "wind.pdf"
    assert run(main, ["wind", spec, "-o", str(out)]).exit_code == 0
    assert out.read_bytes().startswith(b"%PDF")
    assert "post section" in run(main, ["size", spec]).output
    without = run(main, ["wind", str(ROOT / "examples" / "cottage.toml")])
    assert without.exit_code == 2
    assert "has no [wind] table" in without.output
    checked = run(main, ["check", spec])
    assert "No breach found of the rules checked." in checked.output
    assert "Rules checked:" in checked.output
    assert "Not checked:" in checked.output
