"""A fence against the wind: the governing post of each kind, rails, bolts and nails of a run.

Every check keeps its steps, so that an engineer can follow it by hand.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.shapes import RoundHole
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.layout.run_layout import RunLayout, Stretch
from palewright.model.order.fixings import NAILS, driven_size
from palewright.model.parts.hardware import BOLTS
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.words import PostRole, RailForm
from palewright.model.spec.buying import Fixings
from palewright.model.spec.demands import Soil, Strength, Wind

from .pole_depth import SOILS, pole, short_in_clay
from .solidity import solidity
from .timber_design import (
    BIAXIAL,
    CLASSES,
    CRACKS,
    KMOD,
    Arris,
    Rectangle,
    design,
    nail_head,
    nail_withdrawal,
    size_factor,
    washer_bearing,
)
from .wind_pressure import OPEN_FENCE, net_coefficient, peak_pressure

GRAVITY = 9.81
STEEL_STRENGTH, STRESS_AREAS, STEEL_FACTOR = 400.0, {"M8": 36.6, "M10": 58.0, "M12": 84.3}, 1.25
"""Bolts of class 4.6: f_ub, N/mm2; stress areas, mm2 (ISO 898-1); gamma_M2 (EN 1993-1-8)."""

EC1, EC5, IBC = "EN 1991-1-4", "EN 1995-1-1", "IBC 1807.3.2.1"


@dataclass(frozen=True)
class Step:
    """One line of a calculation. symbol, formula : as written; value, unit : result;
    source : clause.
    """

    symbol: str
    formula: str
    value: float
    unit: str
    source: str = ""


@dataclass(frozen=True)
class StrengthCheck:
    """One check. code : short and lasting; name : in words; demand, resistance : in `unit`;
    steps : how they come about; mend : what helps; source : of the method.
    """

    code: str
    name: str
    demand: float
    resistance: float
    unit: str
    steps: tuple[Step, ...]
    mend: str
    source: str

    @property
    def utilisation(self) -> float:
        """Demand over resistance: over 1 it is not enough."""
        return math.inf if self.resistance <= 0.0 else self.demand / self.resistance


@dataclass(frozen=True)
class Assessment:
    """One place with its loads and checks. where : post, bay or run; title : of its sheet."""

    where: str
    title: str
    loads: tuple[Step, ...]
    checks: tuple[StrengthCheck, ...]


@dataclass(frozen=True)
class _Site:
    """What all checks of a run share. top, foot : of the pales over the ground, mm; pressure :
    on the whole area, without factors, N/mm2; kmod : of wind; density : of timber by its weight,
    kg/m3.
    """

    run: RunJob
    wind: Wind
    strength: Strength
    soil: Soil
    top: float
    foot: float
    pressure: float
    kmod: float
    density: float
    steps: tuple[Step, ...]

    @property
    def height(self) -> float:
        return self.top - self.foot

    @property
    def arm(self) -> float:
        """Height of the wind's resultant over the ground, mm."""
        return (self.top + self.foot) / 2.0


def assess(fence: FenceModel) -> tuple[Assessment, ...]:
    """Return the checks of a fence against wind; none when the spec gives no wind."""
    wind = fence.job.wind
    if wind is None:
        return ()
    found: list[Assessment] = []
    for number, layout in enumerate(fence.layouts):
        if not any(stretch.pales for stretch in layout.stretches):
            continue
        shown = _shown(fence, number)
        for kind, (post, width, away) in _governing(layout).items():
            site = _site(fence, layout, wind, shown, away)
            found.append(_post(layout, site, kind, post, width))
        site = _site(fence, layout, wind, shown, 0.0)
        found.append(_rails(layout, site, fence.job.fixings))
    return tuple(found)


def _shown(fence: FenceModel, number: int) -> tuple[float, float, float]:
    """Return what a run shows to the wind: top and foot of its pales, mm, and its solidity."""
    layout = fence.layouts[number]
    placed = [(stretch.leg, pale) for stretch in layout.stretches for pale in stretch.pales]
    # the tallest pales of the run, as if they stood everywhere
    top = max(pale.top - leg.ground(pale.x) for leg, pale in placed)
    foot = max(top - max(pale.length for _, pale in placed), 0.0)
    first = next(stretch for stretch in layout.stretches if stretch.pales)
    return top, foot, solidity(fence, number, first, 0)


def _site(
    fence: FenceModel,
    layout: RunLayout,
    wind: Wind,
    shown: tuple[float, float, float],
    away: float,
) -> _Site:
    """Return what checks at a place share. away : from the run's nearer end, mm."""
    top, foot, share = shown
    peak = peak_pressure(
        wind.velocity, wind.terrain, top / 1000.0, density=wind.density, orography=wind.orography
    )
    steps = [
        Step("qb", "rho vb^2 / 2", peak.basic, "N/m2", f"{EC1}, 4.5"),
        Step("kr", "0.19 (z0 / 0.05)^0.07", peak.factor, "", f"{EC1}, 4.3.2"),
        Step("z", "height, at least zmin", peak.used, "m", f"{EC1}, Table 4.1"),
        Step("cr", "kr ln(z / z0)", peak.roughness, "", f"{EC1}, 4.3.2"),
        Step("vm", "cr co vb", peak.mean, "m/s", f"{EC1}, 4.3.1"),
        Step("Iv", "1 / (co ln(z / z0))", peak.intensity, "", f"{EC1}, 4.4"),
        Step("qp", "(1 + 7 Iv) rho vm^2 / 2", peak.peak, "N/m2", f"{EC1}, 4.5"),
        Step("phi", "area of members / whole area", share, "", f"{EC1}, 7.4.1"),
    ]
    if wind.force is not None and share <= 0.8:
        coefficient = wind.force * share
        steps.append(Step("c", "cf phi", coefficient, "", f"{EC1}, 7.11, cf by the user"))
    else:
        whole = layout.run.line.length
        coefficient = net_coefficient(share, away, whole, top)
        words = (
            "cp,net of a fifth open, bounds phi < 0.8" if coefficient == OPEN_FENCE else "cp,net"
        )
        steps.append(Step("c", words, coefficient, "", f"{EC1}, Table 7.9"))
    pressure = peak.peak * coefficient * wind.shelter
    steps.append(Step("w", "qp c psi_s", pressure, "N/m2", f"{EC1}, 5.2"))
    return _Site(
        layout.run, wind, fence.job.strength, fence.job.soil, top, foot, pressure / 1e6,
        KMOD[wind.duration], fence.job.timber.density, tuple(steps),
    )  # fmt: skip


def _governing(layout: RunLayout) -> dict[str, tuple[PlacedPost, float, float]]:
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
    found: dict[str, tuple[PlacedPost, float, float]] = {}
    for number, halves in sorted(sides.items()):
        post = layout.posts[number]
        if post.kind == PostRole.WALL:
            continue
        by_leg: dict[int, float] = {}
        for leg, half in halves:
            by_leg[leg] = by_leg.get(leg, 0.0) + half
        width = max(by_leg.values())  # wind is square to one leg at a time
        away = min(post.chainage, layout.run.line.length - post.chainage)
        if post.kind not in found or width > found[post.kind][1]:
            found[post.kind] = (post, width, max(away, 0.0))
    return found


def _post(layout: RunLayout, site: _Site, kind: str, post: PlacedPost, width: float) -> Assessment:
    plan = post.plan
    section = Rectangle(plan.width, plan.depth)
    grade = CLASSES[site.strength.posts]
    factor = site.strength.factor
    force = site.pressure * site.height * width  # N
    arm = site.arm
    loads = (
        *site.steps,
        Step("B", "fence that the post carries", width / 1000.0, "m"),
        Step("H", "height of the pales", site.height / 1000.0, "m"),
        Step("Fk", "w H B", force / 1000.0, "kN"),
        Step("e", "middle of the pales over the ground", arm / 1000.0, "m"),
    )
    shear = site.wind.wind_factor * force
    moment = shear * arm
    depth_factor = size_factor(plan.depth, grade.density)
    strength = design(grade.bending * depth_factor, site.kmod, factor)
    stress = moment / section.modulus
    bending = [
        Step("Md", "gamma_Q Fk e", moment / 1e6, "kNm", "EN 1990, 6.10"),
        Step("W", "b d^2 / 6", section.modulus, "mm3"),
        Step("sigma", "Md / W", stress, "N/mm2", f"{EC5}, 6.1.6"),
        Step("kh", "min((150 / d)^0.2, 1.3)", depth_factor, "", f"{EC5}, (3.1)"),
        Step("kmod", f"{site.wind.duration}, service class 3", site.kmod, "", f"{EC5}, Table 3.1"),
        Step("fm,d", "kmod kh fm,k / gamma_M", strength, "N/mm2", f"{EC5}, (2.14)"),
    ]
    used = stress / strength
    turned = _leaf_moment(layout, site, post)
    if turned:
        across = Rectangle(plan.depth, plan.width)
        own = design(grade.bending * size_factor(plan.width, grade.density), site.kmod, factor)
        side = turned / across.modulus
        used = max(used + BIAXIAL * side / own, BIAXIAL * used + side / own)
        bending += [
            Step("MG,d", "gamma_G g m (leaf / 2 + post / 2)", turned / 1e6, "kNm", "EN 1990, 6.10"),
            Step("sigma,G", "MG,d / W along the fence", side, "N/mm2", f"{EC5}, 6.1.6"),
            Step("u", "sigma / f + 0.7 sigma,G / f, or the other way", used, "", f"{EC5}, (6.11)"),
        ]
    stiffness = grade.stiffness * section.inertia
    sway = force * arm**2 * (3.0 * site.top - arm) / (6.0 * stiffness)
    shear_stress = 1.5 * shear / (CRACKS * section.area)
    shear_strength = design(grade.shear, site.kmod, factor)
    mend = "a larger post (posts.section), shorter bays (posts.bay) or stronger timber"
    checks = [
        StrengthCheck("WIND-POST", "bending of the post at the ground", used, 1.0, "",
                      tuple(bending), mend, f"{EC5}, 6.1.6"),
        StrengthCheck("WIND-SHEAR", "shear of the post", shear_stress, shear_strength, "N/mm2", (
            Step("Vd", "gamma_Q Fk", shear / 1000.0, "kN", "EN 1990, 6.10"),
            Step("tau", "1.5 Vd / (0.67 b d)", shear_stress, "N/mm2", f"{EC5}, 6.1.7"),
            Step("fv,d", "kmod fv,k / gamma_M", shear_strength, "N/mm2", f"{EC5}, (2.14)"),
        ), mend, f"{EC5}, 6.1.7"),
        StrengthCheck("WIND-SWAY", "sway of the post's top", sway,
                      site.strength.sway * site.top, "mm", (
            Step("I", "b d^3 / 12", section.inertia, "mm4"),
            Step("u", "Fk e^2 (3 h - e) / (6 E I)", sway, "mm", "beam theory"),
        ), mend, "common practice, no source"),
        *_ground(layout, site, post, force, arm),
    ]  # fmt: skip
    title = f"{kind[0].upper()}{kind[1:]} post {post.label}"
    where = f"post {post.label}, chainage {mm(post.chainage, 0)}"
    return Assessment(where, title, loads, tuple(checks))


def _leaf_moment(layout: RunLayout, site: _Site, post: PlacedPost) -> float:
    """Return the factored moment of the leaf that hangs on a post, Nmm; 0 when none does."""
    run = layout.run
    largest = 0.0
    for opening in layout.openings:
        left, right = opening.posts
        for leaf in opening.leaves:
            hangs = left if leaf.hinge_left else right
            if hangs.label != post.label:
                continue
            sizes = leaf.width, leaf.height, len(leaf.ledges), leaf.spacing.count
            weight = leaf_weight(run, site.density, *sizes)
            away = leaf.width / 2.0 + run.gates.hinge_clearance + post.plan.width / 2.0
            largest = max(largest, site.wind.weight_factor * weight * GRAVITY * away)
    return largest


def leaf_weight(
    run: RunJob, density: float, width: float, height: float, ledges: int, pales: int
) -> float:
    """Return about what a leaf weighs, kg: pales, ledges and a brace; density : kg/m3."""
    ledge_height, thickness = run.gates.ledge
    volume = pales * run.pales.width * run.pales.thickness * height
    volume += ledges * width * ledge_height * thickness
    volume += math.hypot(width, height) * run.gates.brace * thickness
    return volume * density / 1e9


def _ground(
    layout: RunLayout, site: _Site, post: PlacedPost, force: float, arm: float
) -> list[StrengthCheck]:
    soil = site.soil
    hole = layout.run.footings.hole
    width = hole.diameter if isinstance(hole, RoundHole) else math.hypot(hole.width, hole.depth)
    deep = (post.plan.embedment + layout.run.footings.bed) / 1000.0
    lateral = soil.lateral if soil.lateral is not None else SOILS[soil.kind]
    lateral *= 2.0 if soil.doubled else 1.0
    found = pole(force / 1000.0, arm / 1000.0, width / 1000.0, lateral)
    mend = "a deeper hole (posts.embedment), a wider one (footings.size) or shorter bays"
    checks = [
        StrengthCheck("WIND-DEPTH", "depth of the footing", found.depth, deep, "m", (
            Step("b", "diameter or diagonal of the hole", width / 1000.0, "m", IBC),
            Step("s", "lateral bearing of the soil" + (", doubled" if soil.doubled else ""),
                 lateral, "kPa/m", "IBC Table 1806.2" if soil.lateral is None else "by the user"),
            Step("S1", "s d / 3", found.pressure, "kPa", IBC),
            Step("A", "2.34 Fk / (S1 b)", found.a, "m", IBC),
            Step("d", "0.5 A (1 + sqrt(1 + 4.36 e / A)), solved with S1", found.depth, "m", IBC),
        ), mend, IBC),
    ]  # fmt: skip
    if soil.cohesion is not None:
        side = 2.0 * layout.run.footings.half_hole
        load = soil.safety * force / 1000.0
        short = short_in_clay(load, arm / 1000.0, side / 1000.0, soil.cohesion)
        checks.append(
            StrengthCheck("WIND-CLAY", "depth of the footing in clay", short.depth, deep, "m", (
                Step("P", "safety factor times Fk", load, "kN", "common practice"),
                Step("f", "P / (9 c b)", short.zero, "m", "Broms 1964"),
                Step("M", "P (e + 1.5 b + 0.5 f)", short.moment, "kNm", "Broms 1964"),
                Step("g", "sqrt(M / (2.25 c b))", short.rest, "m", "Broms 1964"),
                Step("L", "1.5 b + f + g", short.depth, "m", "Broms 1964"),
            ), mend, "Broms, ASCE SM2, 1964")
        )  # fmt: skip
    return checks


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


def _rails(layout: RunLayout, site: _Site, fixings: Fixings) -> Assessment:
    run = layout.run
    stretch, bay = _longest_bay(layout)
    span = stretch.bays[bay]
    share = rail_share(run.rails.tops, run.rails.section[0], site.foot, site.top)
    line = site.pressure * site.height * share  # N/mm
    grade = CLASSES[site.strength.rails]
    factor = site.strength.factor
    height, thickness = run.rails.section
    if run.rails.form == RailForm.ARRIS:
        section: Rectangle | Arris = Arris(height * math.sqrt(2.0), thickness / math.sqrt(2.0))
    else:
        section = Rectangle(height, thickness)
    moment = site.wind.wind_factor * line * span**2 / 8.0
    bent = size_factor(section.depth, grade.density)
    strength = design(grade.bending * bent, site.kmod, factor)
    stress = moment / section.modulus
    loads = (
        *site.steps,
        Step("L", "longest bay", span / 1000.0, "m"),
        Step("H", "height of the pales", site.height / 1000.0, "m"),
        Step("s", "share of the rail that carries most", share, ""),
        Step("q", "w H s", line, "kN/m"),
    )
    checks = [
        StrengthCheck("WIND-RAIL", "bending of the rail", stress, strength, "N/mm2", (
            Step("Md", "gamma_Q q L^2 / 8", moment / 1e6, "kNm", "EN 1990, 6.10"),
            Step("W", "section modulus against the wind", section.modulus, "mm3"),
            Step("sigma", "Md / W", stress, "N/mm2", f"{EC5}, 6.1.6"),
            Step("kh", "min((150 / t)^0.2, 1.3)", bent, "", f"{EC5}, (3.1)"),
            Step("fm,d", "kmod kh fm,k / gamma_M", strength, "N/mm2", f"{EC5}, (2.14)"),
        ), "thicker rails (rails.section), one more (rails.count) or shorter bays",
            f"{EC5}, 6.1.6"),
    ]  # fmt: skip
    if run.rails.form == RailForm.FACE:
        checks.append(_bolt(site, line * span))
    if fixings.pales == "nails":  # of small screws only their maker knows
        checks.append(_nail(site, share, fixings.crossing))
    first, last = (post.label for post in stretch.posts[bay : bay + 2])
    where = f"{first} to {last}"
    return Assessment(where, f"Rails and fixings, bay {where}", loads, tuple(checks))


def _longest_bay(layout: RunLayout) -> tuple[Stretch, int]:
    bays = [(stretch, bay) for stretch in layout.stretches for bay in range(len(stretch.bays))]
    return max(bays, key=lambda one: one[0].bays[one[1]])


def _bolt(site: _Site, reaction: float) -> StrengthCheck:
    """Return the check of the bolt that holds a rail against suction; reaction : N."""
    size = site.run.rails.bolt
    part, rails = BOLTS[size], CLASSES[site.strength.rails]
    head = washer_bearing(part.head_diameter, part.diameter, rails.across)
    washer = washer_bearing(
        part.washer_diameter, part.diameter, CLASSES[site.strength.posts].across
    )
    wood = design(min(head, washer), site.kmod, site.strength.factor)
    steel = 0.9 * STEEL_STRENGTH * STRESS_AREAS[size] / STEEL_FACTOR
    demand = site.wind.wind_factor * reaction
    steps = (
        Step("Fd", "gamma_Q q L", demand, "N", "EN 1990, 6.10"),
        Step("Fhead", "3 fc,90,k pi / 4 (dh^2 - (d + 1)^2)", head, "N", f"{EC5}, 8.5.2"),
        Step("Fwasher", "3 fc,90,k pi / 4 (dw^2 - (d + 1)^2)", washer, "N", f"{EC5}, 8.5.2"),
        Step("FRd", "kmod min(Fhead, Fwasher) / gamma_M", wood, "N", f"{EC5}, (2.17)"),
        Step("Ft,Rd", "0.9 fub As / gamma_M2, class 4.6", steel, "N", "EN 1993-1-8, Table 3.4"),
    )
    return StrengthCheck(
        "WIND-BOLT", "pull on the bolt of a rail", demand, min(wood, steel), "N", steps,
        "larger bolts (rails.bolt) or shorter bays", f"{EC5}, 8.5.2",
    )  # fmt: skip


def _nail(site: _Site, share: float, count: int) -> StrengthCheck:
    """Return the check of the nails that hold a pale to the rail that carries most of it."""
    run = site.run
    behind = run.rails.section[1]
    length, diameter = driven_size(run.pales.thickness, behind, NAILS)
    pitch = run.pales.width + run.pales.gap_max
    demand = site.wind.wind_factor * site.pressure * site.height * share * pitch
    point = length - run.pales.thickness
    pull, factor = nail_withdrawal(diameter, point, CLASSES[site.strength.rails].density)
    head = nail_head(diameter, run.pales.thickness, CLASSES[site.strength.pales].density)
    resistance = count * design(min(pull, head), site.kmod, site.strength.factor)
    steps = (
        Step("Fd", "gamma_Q w H s (pale and gap)", demand, "N", "EN 1990, 6.10"),
        Step("kp", "t / 4 d - 2, at most 1", factor, "", f"{EC5}, 8.3.2"),
        Step("Fpoint", "2/3 kp 20e-6 rho^2 d t", pull, "N", f"{EC5}, 8.3.2"),
        Step("Fhead", "20e-6 rho^2 d t1 + 70e-6 rho^2 dh^2", head, "N", f"{EC5}, 8.3.2"),
        Step("FRd", "n kmod min(Fpoint, Fhead) / gamma_M", resistance, "N", f"{EC5}, (2.17)"),
    )
    return StrengthCheck(
        "WIND-NAIL", "pull on the nails of a pale", demand, resistance, "N", steps,
        "screws or annular nails, more nails a crossing (fixings.crossing) or one rail more",
        f"{EC5}, 8.3.2",
    )  # fmt: skip
