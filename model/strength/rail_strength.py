"""Rails and what fixes them and the pales against the wind, in the longest bay of a run."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from palewright.model.basis.finding_register import WIND_BOLT, WIND_NAIL, WIND_RAIL
from palewright.model.layout.run_layout import RunLayout, Stretch
from palewright.model.order.fixings import NAILS, driven_size
from palewright.model.parts.hardware import BOLTS
from palewright.model.resolved.words import RailForm
from palewright.model.spec.buying import Fixings

from .formulas import Formula
from .post_strength import BENDING_STRENGTH, STRESS, with_size_factor
from .steps import Assessment, StrengthCheck, Working
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
from .wind_on_run import WindOn

STEEL_STRENGTH, STRESS_AREAS, STEEL_FACTOR = 400.0, {"M8": 36.6, "M10": 58.0, "M12": 84.3}, 1.25
"""Bolts of class 4.6: f_ub, N/mm2; stress areas, mm2 (ISO 898-1); gamma_M2 (EN 1993-1-8)."""

LINE_LOAD = Formula("w H s")
MOMENT = Formula("gamma_Q q L^2 / 8")
SIZE = Formula("min((150 / t)^0.2, 1.3)")
BOLT_FORCE = Formula("gamma_Q q L")
BOLT_IN_TIMBER = Formula("kmod min(Fhead, Fwasher) / gamma_M")
BOLT_STEEL = Formula("0.9 fub As / gamma_M2")
NAIL_FORCE = Formula("gamma_Q w H s (pale + gap)")
NAILS_HOLD = Formula("n kmod min(Fpoint, Fhead) / gamma_M")


def rail_share(tops: tuple[float, ...], height: float, foot: float, top: float) -> float:
    """Return the largest share of the wind on the pales that one rail carries.

    Pales rest on two rails as a beam does; on more, each rail takes the pales half way to its
    neighbours. tops, height : of the rails, mm.
    """
    middles = [each - height / 2.0 for each in tops]
    whole = top - foot
    if len(middles) == 1:
        return 1.0
    if len(middles) == 2:
        share = ((top + foot) / 2.0 - middles[0]) / (middles[1] - middles[0])
        return max(abs(share), abs(1.0 - share))
    edges = [foot, *((a + b) / 2.0 for a, b in pairwise(middles)), top]
    return max((b - a) / whole for a, b in pairwise(edges))


def rail_assessment(layout: RunLayout, on: WindOn, fixings: Fixings) -> Assessment:
    """Return the checks of the rails of a run and of what they and the pales are fixed with."""
    run = layout.run
    stretch, bay = _longest_bay(layout)
    share = rail_share(run.rails.tops, run.rails.section[0], on.shown.foot, on.top)
    loads = (
        on.working.given("L", "longest bay", stretch.bays[bay] / 1000.0, "m")
        .given("H", "height of the pales", on.height / 1000.0, "m")
        .given("s", "share of the rail that carries most", share, "")
        .worked("q", LINE_LOAD, "kN/m")
    )
    first, last = (post.label for post in stretch.posts[bay : bay + 2])
    where = f"{first} to {last}"
    return Assessment(
        where,
        f"Rails and fixings, bay {where}",
        loads.steps,
        tuple(_checks(on, loads.fresh(), fixings)),
    )


def _longest_bay(layout: RunLayout) -> tuple[Stretch, int]:
    bays = [(stretch, bay) for stretch in layout.stretches for bay in range(len(stretch.bays))]
    return max(bays, key=lambda one: one[0].bays[one[1]])


def _checks(on: WindOn, loads: Working, fixings: Fixings) -> Iterator[StrengthCheck]:
    yield _bending(on, loads)
    if on.run.rails.form == RailForm.FACE:
        yield _bolt(on, loads)
    if fixings.pales == "nails":  # of small screws only their maker knows
        yield _nails(on, loads, fixings.crossing)


def _bending(on: WindOn, loads: Working) -> StrengthCheck:
    height, thickness = on.run.rails.section
    grade = CLASSES[on.strength.rails]
    section: Rectangle | Arris = Rectangle(height, thickness)
    if on.run.rails.form == RailForm.ARRIS:
        section = Arris(height, thickness)
    working = (
        loads.knowing({"t": section.depth, "fm,k": grade.bending})
        .worked("Md", MOMENT, "kNm", "EN 1990, 6.10")
        .given("W", "section modulus against the wind", section.modulus, "mm3")
        .worked("sigma", STRESS, "N/mm2", f"{EC5}, 6.1.6")
    )
    working = with_size_factor(working, section.depth, grade, SIZE)
    working = working.worked("fm,d", BENDING_STRENGTH, "N/mm2", f"{EC5}, (2.14)")
    return StrengthCheck(
        WIND_RAIL, "bending of the rail", working["sigma"], working["fm,d"], "N/mm2",
        working.steps, "thicker rails (rails.section), one more (rails.count) or shorter bays",
        f"{EC5}, 6.1.6",
    )  # fmt: skip


def _bolt(on: WindOn, loads: Working) -> StrengthCheck:
    """Return the check of the bolt that holds a rail against suction."""
    size = on.run.rails.bolt
    bolt = BOLTS[size]
    rails, posts = CLASSES[on.strength.rails], CLASSES[on.strength.posts]
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


def _nails(on: WindOn, loads: Working, count: int) -> StrengthCheck:
    """Return the check of the nails that hold a pale to the rail that carries most of it."""
    run = on.run
    length, diameter = driven_size(run.pales.thickness, run.rails.section[1], NAILS)
    point = length - run.pales.thickness
    rails, pales = CLASSES[on.strength.rails], CLASSES[on.strength.pales]
    _, factor = nail_withdrawal(diameter, point, rails.density)
    working = (
        loads.knowing({"pale": run.pales.width, "gap": run.pales.gap_max, "n": float(count)})
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
