"""A post under its loads: bending both ways at the ground and at its lowest bolt, shear, sway."""

from __future__ import annotations

import math
from collections.abc import Iterator

from palewright.model.basis.wind_kinds import WIND_POST, WIND_SHEAR, WIND_SWAY
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.parts.hardware import HOLES
from palewright.model.resolved.post_plan import BevelPlan

from .footing_strength import footing_checks
from .formulas import Formula
from .load_case import LoadCase
from .post_loads import post_loads
from .rail_loads import rail_heights
from .run_wind import RunWind
from .steps import StrengthCheck, Working
from .timber_design import (
    BIAXIAL,
    CLASSES,
    DENSE,
    EC5,
    INERTIA,
    KMOD,
    MODULUS,
    SHEAR,
    SIZE,
    StrengthClass,
)
from .wind_on_fence import Basis

STRESS, STRESS_ALONG = Formula("Md / W"), Formula("Ms,d / Ws")
MODULUS_ALONG = Formula("d b^2 / 6")
SIZE_ALONG = Formula("min((150 / b)^0.2, 1.3)")
BENDING_STRENGTH = Formula("kmod kh fm,k / gamma_M")
STRENGTH_ALONG = Formula("kmod kh,s fm,k / gamma_M")
USED, USED_ALONG = Formula("sigma / fm,d"), Formula("sigma,s / fm,s,d")
USED_BOTH = Formula("max(r + km rs, km r + rs)")
BEVELLED_INERTIA = Formula("b d^3 / 12 - c^4 / 9 - 2 c^2 (d / 2 - c / 3)^2")
BEVELLED_MODULUS = Formula("2 I / d")
NET_MODULUS = Formula("(b - d0) d^2 / 6")
NOTCHED_MODULUS = Formula("(b - d0) (d - n)^2 / 6")
MORTISED_MODULUS = Formula("b (d^3 - m^3 - 12 m e^2) / (6 d)")
NET_STRESS = Formula("Mb,d / Wb")
SHEAR_FORCE = Formula("gamma_Q Fk")
SHEAR_STRENGTH = Formula("kmod fv,k / gamma_M")
INERTIA_LESS = Formula("b d min(b^2, d^2) / 12")
SWAY = Formula("Fk e^2 (3 h - e) / (6 E I)")

MEND = "a larger post (posts.section), shorter bays (posts.bay) or stronger timber"

LIMIT_STATE = "EN 1990, 6.10"


def checked_post(
    wind: RunWind, number: int
) -> Iterator[tuple[LoadCase, tuple[StrengthCheck, ...]]]:
    """Yield each way in which a post is loaded, with its checks and those of its footing.

    number : of the post in the layout; one in the ground.
    """
    post = wind.layout.posts[number]
    bolt = _lowest_bolt(wind, number)
    for loads in post_loads(wind, number):
        if not loads.wind or loads.working["Fk"] > 0.0:
            checks = (
                *_post_checks(wind.basis, post, loads, bolt),
                *footing_checks(wind.basis, post, loads),
            )
            yield loads, checks


def _lowest_bolt(wind: RunWind, number: int) -> float | None:
    """Return how high over the ground the lowest bolt or tenon of rails is in a post, mm."""
    run = wind.basis.run
    if not (run.rails.bolted or run.rails.let_in):
        return None
    heights = [
        rail_heights(run, shown)[0]
        for stretch, shown in zip(wind.layout.stretches, wind.shown, strict=True)
        if shown is not None and number in stretch.numbers
    ]
    return min(heights, default=None)


def at_ground(loads: LoadCase) -> float:
    """Return the moment of loads at the ground, with partial factors, Nmm."""
    ways = (
        Formula(" + ".join(f"{factor} {term}" for factor, term in terms)).value(
            loads.working.values
        )
        for terms in (loads.across, loads.along)
        if terms
    )
    return math.hypot(*ways)


def _post_checks(
    basis: Basis, post: PlacedPost, loads: LoadCase, bolt: float | None
) -> Iterator[StrengthCheck]:
    grade = CLASSES[basis.strength.posts]
    working = loads.working.fresh().knowing(
        {
            "b": post.plan.width,
            "d": post.plan.depth,
            "fm,k": grade.bending,
            "fv,k": grade.shear,
            "E": grade.stiffness,
            "km": BIAXIAL,
        }
    )
    kmod = KMOD[loads.duration]
    timed = working.given(
        "kmod", f"{loads.duration}, service class 3", kmod, "", f"{EC5}, Table 3.1"
    )
    bent = _bending(timed, loads, post, grade)
    yield _bending_check("bending of the post at the ground", bent)
    force = _across(loads)
    if bolt is not None and bolt > 0.0 and force:
        at_bolt = _at_bolt(basis, bent, bolt, force)
        place = "mortise" if basis.run.rails.tenon else "bolt"
        yield _bending_check(f"bending of the post at its lowest {place}", at_bolt)
    if post.plan.bevel is not None and force:
        bevelled = _at_bevel(bent, post.plan.bevel, force)
        yield _bending_check("bending of the post where its bevels begin", bevelled)
    if not loads.wind:
        return
    shear = (
        timed.worked("Vd", SHEAR_FORCE, "kN", LIMIT_STATE)
        .worked("tau", SHEAR, "N/mm2", f"{EC5}, 6.1.7")
        .worked("fv,d", SHEAR_STRENGTH, "N/mm2", f"{EC5}, (2.14)")
    )
    yield StrengthCheck(
        WIND_SHEAR, "shear of the post", shear["tau"], shear["fv,d"], "N/mm2", shear.steps,
        MEND, f"{EC5}, 6.1.7",
    )  # fmt: skip
    inertia = INERTIA_LESS if loads.turned else INERTIA
    sway = working.worked("I", inertia, "mm4").worked("u", SWAY, "mm", "beam theory")
    yield StrengthCheck(
        WIND_SWAY, "sway of the post's top", sway["u"], basis.strength.sway * sway["h"], "mm",
        sway.steps, MEND, "common practice, no source",
    )  # fmt: skip


def _bending_check(name: str, bent: Working) -> StrengthCheck:
    return StrengthCheck(WIND_POST, name, bent["used"], 1.0, "", bent.steps, MEND, f"{EC5}, 6.1.6")


def _moment(working: Working, symbol: str, terms: tuple[tuple[str, str], ...]) -> Working:
    text = " + ".join(f"{factor} {term}" for factor, term in terms)
    return working.worked(symbol, Formula(text), "kNm", LIMIT_STATE)


def _bending(working: Working, loads: LoadCase, post: PlacedPost, grade: StrengthClass) -> Working:
    """Return a working with the bending at the ground, `used` of what the post has."""
    if loads.across:
        working = (
            _moment(working, "Md", loads.across)
            .worked("W", MODULUS, "mm3")
            .worked("sigma", STRESS, "N/mm2", f"{EC5}, 6.1.6")
        )
        working = with_size_factor(working, "kh", post.plan.depth, grade, SIZE)
        working = working.worked("fm,d", BENDING_STRENGTH, "N/mm2", f"{EC5}, (2.14)")
    if loads.along:
        working = (
            _moment(working, "Ms,d", loads.along)
            .worked("Ws", MODULUS_ALONG, "mm3", "along the post's front")
            .worked("sigma,s", STRESS_ALONG, "N/mm2", f"{EC5}, 6.1.6")
        )
        working = with_size_factor(working, "kh,s", post.plan.width, grade, SIZE_ALONG)
        working = working.worked("fm,s,d", STRENGTH_ALONG, "N/mm2", f"{EC5}, (2.14)")
    return _used(working)


def _used(working: Working) -> Working:
    """Return a working with `used`, of bending one way or both."""
    ways = [(USED, "r")] if "fm,d" in working.values else []
    if "fm,s,d" in working.values:
        ways.append((USED_ALONG, "rs"))
    if len(ways) == 1:
        return working.knowing({"used": ways[0][0].value(working.values)})
    for formula, symbol in ways:
        working = working.worked(symbol, formula, "", f"{EC5}, 6.1.6")
    working = working.worked("u", USED_BOTH, "", f"{EC5}, 6.1.6")
    return working.knowing({"used": working["u"]})


def _across(loads: LoadCase) -> str:
    """Return the symbol of the wind's force square to a post's front, empty where there is none."""
    return {("gamma_Q", "Fk e"): "Fk", ("gamma_Q", "My"): "Fy"}.get(
        next(iter(loads.across), ("", "")), ""
    )


def _at_bolt(basis: Basis, bent: Working, height: float, force: str) -> Working:
    """Return a working with the bending at the lowest bolt or mortise, what is cut there taken out;
    the moment along the front is that at the ground. force : symbol of what pushes square to it.
    """
    rails = basis.run.rails
    less = Formula(f"max(Md - gamma_Q {force} zb, 0)")
    working = (
        bent.fresh()
        .given(
            "zb",
            f"lowest {'mortise' if rails.tenon else 'bolt'} over the ground",
            height / 1000.0,
            "m",
        )
        .knowing({"d0": HOLES[rails.bolt]})
        .worked("Mb,d", less, "kNm", LIMIT_STATE)
    )
    if rails.tenon is not None:
        middle = rails.setback + rails.tenon.front + rails.tenon.thickness / 2.0
        off = abs(middle - working["d"] / 2.0)
        working = working.knowing({"m": rails.tenon.thickness, "e": off})
        working = working.worked("Wb", MORTISED_MODULUS, "mm3", "mortise m, e off the middle")
    elif notch := rails.notch:
        words = "notch n and hole d0 taken out"
        working = working.knowing({"n": notch}).worked("Wb", NOTCHED_MODULUS, "mm3", words)
    else:
        working = working.worked("Wb", NET_MODULUS, "mm3", "hole d0 taken out")
    return _used(working.worked("sigma", NET_STRESS, "N/mm2", f"{EC5}, 6.1.6"))


def _at_bevel(bent: Working, bevel: BevelPlan, force: str) -> Working:
    """Return a working with the bending where a post's bevels may begin, at the full bevel: all
    four corners taken off the section. force : symbol of what pushes square to its front.
    """
    less = Formula(f"max(Md - gamma_Q {force} zc, 0)")
    start = (bevel.from_ground + bevel.stop) / 1000.0
    working = (
        bent.fresh()
        .given("zc", "full bevels over the ground", start, "m")
        .given("c", "bevel of each edge", bevel.size, "mm")
        .worked("Mb,d", less, "kNm", LIMIT_STATE)
        .worked("I", BEVELLED_INERTIA, "mm4", "a rectangle less its four corners")
        .worked("Wb", BEVELLED_MODULUS, "mm3")
        .worked("sigma", NET_STRESS, "N/mm2", f"{EC5}, 6.1.6")
    )
    return _used(working)


def with_size_factor(
    working: Working, symbol: str, depth: float, grade: StrengthClass, formula: Formula
) -> Working:
    """Return a working with the line of kh; depth : mm, formula : with its symbol."""
    source = f"{EC5}, (3.1)"
    if depth >= 150.0 or grade.density > DENSE:
        return working.given(symbol, "1 from a depth of 150 mm on", 1.0, "", source)
    return working.worked(symbol, formula, "", source)
