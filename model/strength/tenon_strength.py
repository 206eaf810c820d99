"""Tenons of rails in the wind: shear where the rail is cut down to its tenon."""

from __future__ import annotations

from palewright.model.basis.wind_kinds import WIND_TENON
from palewright.model.resolved.tenon_plan import TenonPlan

from .formulas import Formula
from .steps import StrengthCheck, Working
from .timber_design import CLASSES, EC5
from .wind_on_fence import Basis

FORCE = Formula("gamma_Q q R")
SHEAR = Formula("1.5 Vd / (kcr b hef)")
FACTOR = Formula(
    "min(1, 5 / (h^0.5 ((hef / h (1 - hef / h))^0.5 + 0.8 x / h (h / hef - (hef / h)^2)^0.5)))"
)
STRENGTH = Formula("kv kmod fv,k / gamma_M")

CRACKED = 0.67
"""kcr: the share of the width that cracks leave (EN 1995-1-1, 6.1.7)."""


def tenon_check(basis: Basis, loads: Working, tenon: TenonPlan) -> StrengthCheck:
    """Return the check of a tenon against the wind, which blows on it from either side, so that it
    counts as a beam notched on the side of its support.

    Source: EN 1995-1-1, (6.60) to (6.62), for solid timber, its notch square.
    """
    grade = CLASSES[basis.strength.rails]
    thickness, one = basis.run.rails.section[1], tenon.one
    working = (
        loads.knowing({"b": tenon.height, "hef": one, "h": thickness, "fv,k": grade.shear})
        .given("kcr", "cracks", CRACKED, "", f"{EC5}, 6.1.7")
        .worked("Vd", FORCE, "N", "EN 1990, 6.10")
        .worked("tau", SHEAR, "N/mm2", f"{EC5}, (6.60)")
    )
    if one < thickness:
        working = working.knowing({"x": tenon.length / 2.0}).worked(
            "kv", FACTOR, "", f"{EC5}, (6.62)"
        )
    else:
        working = working.given("kv", "the rail's whole end", 1.0, "", f"{EC5}, (6.61)")
    working = working.worked("fv,d", STRENGTH, "N/mm2", f"{EC5}, (6.60)")
    return StrengthCheck(
        WIND_TENON, "shear of the rail's tenon", working["tau"], working["fv,d"], "N/mm2",
        working.steps, "thicker tenons (rails.tenon) or shorter bays", f"{EC5}, 6.5.2",
    )  # fmt: skip
