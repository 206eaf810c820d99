"""Rails and what fixes them and the pales against the wind: every piece, by its own place."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from palewright.model.basis.wind_kinds import WIND_BOLT, WIND_NAIL, WIND_RAIL
from palewright.model.layout.run_layout import Stretch
from palewright.model.order.fixings import NAILS, driven_size
from palewright.model.parts.hardware import BOLTS, HOLES
from palewright.model.spec.buying import Fixings

from .formulas import Formula
from .post_strength import BENDING_STRENGTH, with_size_factor
from .rail_loads import RailBeam, Shares, rail_heights, shares_of
from .run_wind import RunWind
from .shown import Shown
from .steps import StrengthCheck, Working
from .tenon_strength import tenon_check
from .timber_design import (
    BOLT_HEAD,
    BOLT_WASHER,
    CLASSES,
    EC5,
    NAIL_HEAD,
    NAIL_POINT,
    Arris,
    Rectangle,
    nail_withdrawal,
)
from .wind_on_fence import Basis, wind_working

STEEL_STRENGTH, STRESS_AREAS, STEEL_FACTOR = 400.0, {"M8": 36.6, "M10": 58.0, "M12": 84.3}, 1.25
"""Bolts of class 4.6: f_ub, N/mm2; stress areas, mm2 (ISO 898-1); gamma_M2 (EN 1993-1-8)."""

LINE_LOAD = Formula("w H s")
BETWEEN, OVER = Formula("gamma_Q q mF"), Formula("gamma_Q q mS")
STRESS = Formula("Md / W")
SIZE = Formula("min((150 / t)^0.2, 1.3)")
BOLT_FORCE = Formula("gamma_Q q R")
BOLT_IN_TIMBER = Formula("kmod min(Fhead, Fwasher) / gamma_M")
BOLT_STEEL = Formula("0.9 fub As / gamma_M2")
NAIL_FORCE = Formula("gamma_Q w H s (pale + gap)")
NAILS_HOLD = Formula("n kmod min(Fpoint, Fhead) / gamma_M")

BEAM = "beam theory"

LEAST = 1.0
"""A moment over a post under this for a load of 1, mm2, is none: rails end there."""

MEND = "thicker rails (rails.section), one more (rails.count) or shorter bays"


def checked_rail(
    wind: RunWind, order: int, rail: RailBeam, fixings: Fixings
) -> tuple[Working, tuple[StrengthCheck, ...]]:
    """Return the loads on a rail, with its checks and those of what holds it and its pales.

    order : of its stretch in the layout, which has pales.
    """
    stretch, shown = wind.layout.stretches[order], wind.shown[order]
    assert shown is not None
    loads = _loads(wind, stretch, shown, rail)
    working = loads.fresh().given(
        "kmod",
        f"{wind.basis.wind.duration}, service class 3",
        wind.basis.kmod,
        "",
        f"{EC5}, Table 3.1",
    )
    return loads, tuple(_checks(wind.basis, working, rail, fixings))


def _loads(wind: RunWind, stretch: Stretch, shown: Shown, rail: RailBeam) -> Working:
    before = stretch.leg.before
    xs = [stretch.xs[place] for place in rail.places]
    span = before + xs[0], before + xs[-1]
    blown = [wind_working(wind.basis, shown, parts, span) for parts in (wind.shut, wind.opened)]
    share, words = _share(wind.basis, shown, rail.row)
    beam = rail.beam
    longest = max(b - a for a, b in pairwise(xs))
    working = (
        max(blown, key=lambda one: one["w"])
        .given("s", f"share of rail {rail.row + 1}, {words}", share, "", BEAM)
        .worked("q", LINE_LOAD, "kN/m")
        .given("L", "longest span", longest / 1e3, "m")
        .given("mF", "moment between posts for q = 1", max(beam.spans) / 1e6, "m2", BEAM)
    )
    over = max(map(abs, beam.supports))
    if over > LEAST:
        working = working.given("mS", "moment over a post for q = 1", over / 1e6, "m2", BEAM)
    most = max(map(abs, beam.reactions)) / 1e3
    return working.given("R", "reaction of a post for q = 1", most, "m", BEAM)


def _share(basis: Basis, shown: Shown, row: int) -> tuple[float, str]:
    """Return the largest share of the wind that a row of rails takes, and what is assumed."""
    heights = rail_heights(basis.run, shown)

    def of(shares: Shares) -> float:
        return abs(shares.values[row])

    worst = max(shares_of(heights, shown.foot, shown.top), key=of)
    return of(worst), worst.words


def _checks(
    basis: Basis, working: Working, rail: RailBeam, fixings: Fixings
) -> Iterator[StrengthCheck]:
    rails = basis.run.rails
    height, thickness = rails.section
    bolted = rails.bolted
    whole: Rectangle | Arris = Rectangle(height, thickness)
    if rails.triangular:
        whole = Arris(height, thickness)
    yield _bending(basis, working, BETWEEN, whole, "bending of the rail between posts")
    if "mS" in working.values:
        hole = HOLES[rails.bolt] if bolted else 0.0
        cut: Rectangle | Arris = Rectangle(height - hole, thickness) if bolted else whole
        name = "bending of the rail over a post" + (", its bolt hole taken out" if bolted else "")
        yield _bending(basis, working, OVER, cut, name)
    if bolted:
        yield _bolt(basis, working)
    if rails.tenon is not None:
        yield tenon_check(basis, working, rails.tenon)
    if fixings.pales == "nails":  # of small screws only their maker knows
        yield _nails(basis, working, fixings.crossing)


def _bending(
    basis: Basis, loads: Working, moment: Formula, section: Rectangle | Arris, name: str
) -> StrengthCheck:
    grade = CLASSES[basis.strength.rails]
    working = (
        loads.knowing({"t": section.depth, "fm,k": grade.bending})
        .worked("Md", moment, "kNm", "EN 1990, 6.10")
        .given("W", "section modulus against the wind", section.modulus, "mm3")
        .worked("sigma", STRESS, "N/mm2", f"{EC5}, 6.1.6")
    )
    working = with_size_factor(working, "kh", section.depth, grade, SIZE)
    working = working.worked("fm,d", BENDING_STRENGTH, "N/mm2", f"{EC5}, (2.14)")
    return StrengthCheck(
        WIND_RAIL, name, working["sigma"], working["fm,d"], "N/mm2", working.steps, MEND,
        f"{EC5}, 6.1.6",
    )  # fmt: skip


def _bolt(basis: Basis, loads: Working) -> StrengthCheck:
    """Return the check of the bolt that holds a rail against suction."""
    size = basis.run.rails.bolt
    bolt = BOLTS[size]
    rails, posts = CLASSES[basis.strength.rails], CLASSES[basis.strength.posts]
    working = (
        loads.knowing({"d": bolt.diameter, "dh": bolt.head_diameter, "dw": bolt.washer_diameter})
        .worked("Fd", BOLT_FORCE, "N", "EN 1990, 6.10")
        .knowing({"fc,90,k": rails.across})
        .worked("Fhead", BOLT_HEAD, "N", f"{EC5}, 8.5.2")
        .knowing({"fc,90,k": posts.across})
        .worked("Fwasher", BOLT_WASHER, "N", f"{EC5}, 8.5.2")
        .worked("FRd", BOLT_IN_TIMBER, "N", f"{EC5}, (2.17)")
        .knowing({"fub": STEEL_STRENGTH, "As": STRESS_AREAS[size], "gamma_M2": STEEL_FACTOR})
        .worked("Ft,Rd", BOLT_STEEL, "N", "EN 1993-1-8, Table 3.4", note=", class 4.6")
    )
    return StrengthCheck(
        WIND_BOLT, "pull on the bolt of a rail", working["Fd"],
        min(working["FRd"], working["Ft,Rd"]), "N", working.steps,
        "larger bolts (rails.bolt) or shorter bays", f"{EC5}, 8.5.2",
    )  # fmt: skip


def _nails(basis: Basis, loads: Working, count: int) -> StrengthCheck:
    """Return the check of the nails that hold pales to a rail."""
    run = basis.run
    through = max(layer.through for layer in run.layers)
    length, diameter = driven_size(through, run.rails.section[1], NAILS)
    point = length - through
    gap = max(run.pales.gap_max, 0.0)
    rails, pales = CLASSES[basis.strength.rails], CLASSES[basis.strength.pales]
    _, factor = nail_withdrawal(diameter, point, rails.density)
    working = (
        loads.knowing({"pale": run.pales.widest, "gap": gap, "n": float(count)})
        .worked("Fd", NAIL_FORCE, "N", "EN 1990, 6.10")
        .given("kp", "t / 4 d - 2, at most 1", factor, "", f"{EC5}, 8.3.2")
        .knowing({"d": diameter, "t": point, "rho": rails.density})
        .worked("Fpoint", NAIL_POINT, "N", f"{EC5}, 8.3.2")
        .knowing({"t1": run.pales.thickness, "dh": 2.0 * diameter, "rho": pales.density})
        .worked("Fhead", NAIL_HEAD, "N", f"{EC5}, 8.3.2")
        .worked("FRd", NAILS_HOLD, "N", f"{EC5}, (2.17)")
    )
    return StrengthCheck(
        WIND_NAIL, "pull on the nails of a pale", working["Fd"], working["FRd"], "N",
        working.steps,
        "screws or annular nails, more nails a crossing (fixings.crossing) or one rail more",
        f"{EC5}, 8.3.2",
    )  # fmt: skip
