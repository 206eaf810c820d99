"""A post against the wind: bending, with the weight of a leaf that hangs on it, shear, sway."""

from __future__ import annotations

import math
from collections.abc import Iterator

from palewright.model.basis.finding_register import WIND_POST, WIND_SHEAR, WIND_SWAY
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.layout.run_layout import RunLayout
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.words import PostRole

from .footing_strength import footing_checks
from .formulas import Formula
from .steps import StrengthCheck, Working
from .timber_design import (
    BIAXIAL,
    CLASSES,
    DENSE,
    EC5,
    INERTIA,
    MODULUS,
    SHEAR,
    SIZE,
    StrengthClass,
    size_factor,
)
from .wind_on_run import GRAVITY, WindOn

FORCE = Formula("w H B")
MOMENT = Formula("gamma_Q Fk e")
STRESS = Formula("Md / W")
BENDING_STRENGTH = Formula("kmod kh fm,k / gamma_M")
LEAF_MOMENT = Formula("gamma_G g m (leaf / 2 + gap + post / 2)")
LEAF_STRESS = Formula("MG,d / W")
SHEAR_FORCE = Formula("gamma_Q Fk")
SHEAR_STRENGTH = Formula("kmod fv,k / gamma_M")
SWAY = Formula("Fk e^2 (3 h - e) / (6 E I)")

MEND = "a larger post (posts.section), shorter bays (posts.bay) or stronger timber"


def loads_on_post(on: WindOn, width: float) -> Working:
    """Return the loads on a post. width : of the fence that it carries, mm."""
    return (
        on.working.given("B", "fence that the post carries", width / 1000.0, "m")
        .given("H", "height of the pales", on.height / 1000.0, "m")
        .worked("Fk", FORCE, "kN")
        .given("e", "middle of the pales over the ground", on.arm / 1000.0, "m")
    )


def post_checks(
    layout: RunLayout, on: WindOn, post: PlacedPost, loads: Working
) -> Iterator[StrengthCheck]:
    """Yield the checks of a post and of its footing under loads."""
    grade = CLASSES[on.strength.posts]
    working = loads.fresh().knowing(
        {
            "b": post.plan.width,
            "d": post.plan.depth,
            "fm,k": grade.bending,
            "fv,k": grade.shear,
            "E": grade.stiffness,
        }
    )
    yield _bending(layout, on, post, working)
    shear = (
        working.worked("Vd", SHEAR_FORCE, "kN", "EN 1990, 6.10")
        .worked("tau", SHEAR, "N/mm2", f"{EC5}, 6.1.7")
        .worked("fv,d", SHEAR_STRENGTH, "N/mm2", f"{EC5}, (2.14)")
    )
    yield StrengthCheck(
        WIND_SHEAR, "shear of the post", shear["tau"], shear["fv,d"], "N/mm2", shear.steps,
        MEND, f"{EC5}, 6.1.7",
    )  # fmt: skip
    sway = working.worked("I", INERTIA, "mm4").worked("u", SWAY, "mm", "beam theory")
    yield StrengthCheck(
        WIND_SWAY, "sway of the post's top", sway["u"], on.strength.sway * on.top, "mm",
        sway.steps, MEND, "common practice, no source",
    )  # fmt: skip
    yield from footing_checks(on, post, loads)


def _bending(layout: RunLayout, on: WindOn, post: PlacedPost, working: Working) -> StrengthCheck:
    grade = CLASSES[on.strength.posts]
    bent = (
        working.worked("Md", MOMENT, "kNm", "EN 1990, 6.10")
        .worked("W", MODULUS, "mm3")
        .worked("sigma", STRESS, "N/mm2", f"{EC5}, 6.1.6")
    )
    bent = with_size_factor(bent, post.plan.depth, grade, SIZE)
    bent = bent.given(
        "kmod", f"{on.wind.duration}, service class 3", on.kmod, "", f"{EC5}, Table 3.1"
    ).worked("fm,d", BENDING_STRENGTH, "N/mm2", f"{EC5}, (2.14)")
    used = bent["sigma"] / bent["fm,d"]
    turned = _turned_by_leaf(layout, on, post, bent)
    if turned is not None:
        # across the fence and along it, whichever way is worse: EN 1995-1-1, (6.11) and (6.12)
        factor = size_factor(post.plan.width, grade.density)
        own = BENDING_STRENGTH.value({**bent.values, "kh": factor})
        side = turned["sigma,G"] / own
        used = max(used + BIAXIAL * side, BIAXIAL * used + side)
        words = "sigma / f + 0.7 sigma,G / f, or the other way"
        bent = turned.given("u", words, used, "", f"{EC5}, (6.11)")
    return StrengthCheck(
        WIND_POST, "bending of the post at the ground", used, 1.0, "", bent.steps, MEND,
        f"{EC5}, 6.1.6",
    )  # fmt: skip


def with_size_factor(
    working: Working, depth: float, grade: StrengthClass, formula: Formula
) -> Working:
    """Return a working with the line of kh; formula : it, with the depth's symbol."""
    source = f"{EC5}, (3.1)"
    if depth >= 150.0 or grade.density > DENSE:
        return working.given("kh", "1 from a depth of 150 mm on", 1.0, "", source)
    return working.worked("kh", formula, "", source)


def _turned_by_leaf(
    layout: RunLayout, on: WindOn, post: PlacedPost, working: Working
) -> Working | None:
    """Return a working with the moment of the heaviest leaf on a post; None where none hangs."""
    run = layout.run
    hung = []
    for opening in layout.openings:
        left, right = opening.posts
        for leaf in opening.leaves:
            if (left if leaf.hinge_left else right).label != post.label:
                continue
            sizes = leaf.width, leaf.height, len(leaf.ledges), leaf.spacing.count
            values = {
                "g": GRAVITY,
                "m": leaf_weight(run, on.density, *sizes) / 1000.0,
                "leaf": leaf.width,
                "gap": run.gates.hinge_clearance,
                "post": post.plan.width,
            }
            hung.append(working.knowing(values).worked("MG,d", LEAF_MOMENT, "kNm", "EN 1990, 6.10"))
    if not hung:
        return None
    across = MODULUS.value({"b": post.plan.depth, "d": post.plan.width})
    return (
        max(hung, key=lambda one: one["MG,d"])
        .knowing({"W": across})
        .worked("sigma,G", LEAF_STRESS, "N/mm2", f"{EC5}, 6.1.6", note=" along the fence")
    )


def leaf_weight(
    run: RunJob, density: float, width: float, height: float, ledges: int, pales: int
) -> float:
    """Return about what a leaf weighs, kg: pales, ledges and a brace; density : kg/m3."""
    ledge_height, thickness = run.gates.ledge
    volume = pales * run.pales.width * run.pales.thickness * height
    volume += ledges * width * ledge_height * thickness
    volume += math.hypot(width, height) * run.gates.brace * thickness
    return volume * density / 1e9


def governing_posts(layout: RunLayout) -> dict[PostRole, tuple[PlacedPost, float, float]]:
    """Return, for each kind of post in the ground, the one that carries most: the post, the
    width of fence it carries and its distance from the run's nearer end, mm.
    """
    sides: dict[int, list[tuple[int, float]]] = {}
    for stretch in layout.stretches:
        for bay, length in enumerate(stretch.bays):
            for number in stretch.numbers[bay : bay + 2]:
                sides.setdefault(number, []).append((stretch.leg_number, length / 2.0))
    for opening in layout.openings:
        for number in opening.numbers:
            half = (opening.end - opening.start) / 2.0
            sides.setdefault(number, []).append((opening.leg_number, half))
    governing: dict[PostRole, tuple[PlacedPost, float, float]] = {}
    for number, halves in sorted(sides.items()):
        post = layout.posts[number]
        if post.footing is None:
            continue
        by_leg: dict[int, float] = {}
        for leg, half in halves:
            by_leg[leg] = by_leg.get(leg, 0.0) + half
        width = max(by_leg.values())  # wind is square to one leg at a time
        away = min(post.chainage, layout.run.line.length - post.chainage)
        if post.kind not in governing or width > governing[post.kind][1]:
            governing[post.kind] = (post, width, max(away, 0.0))
    return governing
