"""The cheapest posts, depths, bays and bolts that stand in the wind: tried on the fence itself."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from palewright.model.basis import wind_kinds
from palewright.model.basis.errors import Problem, SpecError
from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.shapes import RoundHole
from palewright.model.layout.fixed_posts import gate_problems
from palewright.model.layout.heights import least_post_side
from palewright.model.lists.takeoff import concrete
from palewright.model.order.joints import make_fence
from palewright.model.order.order_lines import order
from palewright.model.order.prices import quote
from palewright.model.parts.members import POST, RAIL
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.resolve import resolve
from palewright.model.rules.rule_sets import RuleSet
from palewright.model.spec.post_keys import PostKind, Posts
from palewright.model.spec.price_list import PriceList
from palewright.model.spec.spec_tables import SpecTables
from palewright.model.survey.points_and_lines import Survey

from .assess import FOOTING_CODES, Governing, assess
from .steps import used_words

SECTIONS = (75.0, 90.0, 100.0, 125.0, 150.0, 175.0, 200.0)
"""Square posts sold, mm (common practice, no source)."""

BOLTS = ("M8", "M10", "M12")

LONGEST_BAY, SHORTEST_BAY, BAY_STEP = 3000.0, 600.0, 100.0
"""Bays that are tried, mm."""

SHALLOWEST, DEEPEST, DEPTH_STEP = 450.0, 2000.0, 50.0
"""Depths of posts that are tried, mm."""

AROUND, HOLE_STEP = 75.0, 25.0
"""Concrete around a post, and steps of holes, mm (common practice, no source)."""

ROLES = ("line", "end", "corner", "gate")
POST_CODES = (wind_kinds.WIND_POST.code, wind_kinds.WIND_SHEAR.code, wind_kinds.WIND_SWAY.code)

LARGEST_TOP = 60.0
"""What a sloped or pointed top may take off a post's length, mm, for a bound from below."""

MOST_TRIES = 12
"""How often the sizes for one bay are mended before it is given up."""

WITHIN = 1.0 + 1e-9


@dataclass(frozen=True)
class Sizes:
    """A set of sizes, mm. sections, depths : of the posts of each role; hole : across, None for
    what the spec has; bolt : of the rails.
    """

    bay: float
    sections: dict[str, float]
    depths: dict[str, float]
    bolt: str
    hole: float | None = None


@dataclass(frozen=True)
class SoundSet:
    """A set that stands. roles : of the posts that there are; used : the largest utilisation;
    timber : of posts and rails, m3; concrete : m3; price : of the whole order, None without
    prices for all of it.
    """

    sizes: Sizes
    roles: tuple[str, ...]
    used: float
    timber: float
    concrete: float
    price: Decimal | None


@dataclass(frozen=True)
class Sizing:
    """What would do. now : what is used over its resistance as it is; best : the cheapest set,
    None where there is none; blocked : what stands in the way of each bay that does not do.
    """

    now: tuple[str, ...]
    best: SoundSet | None
    blocked: tuple[str, ...]


@dataclass(frozen=True)
class SpecFiles:
    """What a spec's files hold."""

    survey: Survey | None = None
    rules: tuple[RuleSet, ...] = ()
    prices: PriceList | None = None


def sized(spec: SpecTables, site: SpecFiles) -> Sizing:
    """Return the cheapest sound set: posts of every role, depths, hole, bay and bolts together.

    By the price file where it prices all of a set, or else the least timber in posts and rails,
    and of these the least concrete.
    """
    fence = _built(spec, site)
    if fence and any(plan.cast for run in fence.job.runs for plan in run.posts.kinds):
        text = "sizes are found for timber posts; what concrete ones stand is their maker's to say"
        raise SpecError("spec", (Problem(("posts", "material"), text),))
    now = tuple(_over(one) for one in assess(fence).governing if _fails(one)) if fence else ()
    ways = {f.way for lay in fence.layouts for f in lay.feet if f.dug is None} if fence else set()
    if ways:
        why = f"posts {' and '.join(sorted(ways))} are not sized: only posts in holes are"
        return Sizing(now, None, (why,))
    sound: list[SoundSet] = []
    blocked: dict[str, tuple[str, list[float]]] = {}
    seen: set[tuple[float, ...]] = set()
    steps = int((LONGEST_BAY - SHORTEST_BAY) / BAY_STEP)
    for bay in (LONGEST_BAY - n * BAY_STEP for n in range(steps + 1)):
        most = min((one.timber for one in sound), default=math.inf)
        found = _for_bay(spec, site, bay, seen, math.inf if site.prices else most)
        if isinstance(found, SoundSet):
            sound.append(found)
        elif found:  # of bays alike the last is told: the shortest, which is nearest to standing
            key = found.partition(" used to ")[0]
            blocked[key] = found, [*blocked.get(key, ("", []))[1], bay]
    priced = [one for one in sound if one.price is not None]
    best = min(priced or sound, key=_cost, default=None)
    return Sizing(now, best, tuple(_bays(*told) for told in blocked.values()))


def _cost(one: SoundSet) -> tuple[Decimal, float, float]:
    return one.price or Decimal(0), round(one.timber, 6), one.concrete


def _bays(why: str, bays: list[float]) -> str:
    """Return what blocks, with the bays that it blocks."""
    if len(bays) == 1:
        return f"bays of {mm(bays[0])}: {why}"
    return f"bays of {mm(min(bays))} to {mm(max(bays))}: {why}, with {mm(min(bays))}"


def _fails(one: Governing) -> bool:
    return one.check.utilisation > WITHIN


def _over(one: Governing) -> str:
    return f"{one.members}: {one.check.name} {used_words(one.check.utilisation)}, {one.where}"


def _for_bay(
    spec: SpecTables, site: SpecFiles, bay: float, seen: set[tuple[float, ...]], most: float
) -> SoundSet | str:
    """Return the smallest sizes for a bay, or what blocks it; empty for a fence tried before, or
    for one that takes more timber than `most`, m3, whatever its posts.
    """
    sizes = Sizes(bay, {}, {}, spec.rails.bolt)
    for attempt in range(MOST_TRIES):
        fence = _built(with_sizes(spec, sizes), site)
        if fence is None:
            return "the fence cannot be built so"
        if not attempt:
            places = tuple(p.chainage for layout in fence.layouts for p in layout.posts)
            if places in seen:
                return ""
            seen.add(places)
            sizes = replace(sizes, sections=_thinnest(fence), depths={})
            if _least_timber(fence, sizes) > most:
                return ""
            continue
        governing = assess(fence).governing
        better = _mended(sizes, fence, governing)
        if isinstance(better, str):
            return better
        if better == sizes:
            return _sound(sizes, fence, site, governing)
        sizes = better
    return "no sizes were found that stand"


def _thinnest(fence: FenceModel) -> dict[str, float]:
    """Return the thinnest posts for their heights, of each role that there is."""
    sections: dict[str, float] = {}
    for layout in fence.layouts:
        for post in layout.posts:
            if post.made:
                least = least_post_side(post.top)
                side = next(side for side in SECTIONS if side >= least - 0.05)
                role = _role(post.kind)
                sections[role] = max(side, sections.get(role, 0.0))
    return sections


def _least_timber(fence: FenceModel, sizes: Sizes) -> float:
    """Return what posts and rails take with the thinnest and shortest posts, m3."""
    rails = math.fsum(m.shape.volume for m in fence.members if m.kind == RAIL)
    posts = math.fsum(
        sizes.sections[_role(post.kind)] ** 2 * (post.top + SHALLOWEST - LARGEST_TOP)
        for layout in fence.layouts
        for post in layout.posts
        if post.made
    )
    return (rails + posts) / 1e9


def _role(word: str) -> str:
    """Return whose sizes a kind of post has: a post at a bend those of line posts."""
    return word if word in ROLES else "line"


def _mended(sizes: Sizes, fence: FenceModel, governing: tuple[Governing, ...]) -> Sizes | str:
    """Return sizes that come nearer to standing, the same where they do, or what blocks them."""
    sections, bolt = dict(sizes.sections), sizes.bolt
    for one in governing:
        role = _role(one.members.removesuffix(" posts"))
        if not _fails(one) or one.check.code in FOOTING_CODES:
            continue
        if one.check.code in POST_CODES and role in sections:
            # resistance grows with the cube of the side
            wanted = sizes.sections[role] * min(one.check.utilisation, 100.0) ** (1.0 / 3.0)
            larger = [side for side in SECTIONS if side > sizes.sections[role]]
            fitting = [side for side in larger if side >= wanted - 5.0] or larger[-1:]
            if not fitting:
                return f"{_over(one)}, with posts of {mm(SECTIONS[-1])}"
            sections[role] = max(sections[role], fitting[0])
        elif one.check.code == wind_kinds.WIND_BOLT.code and bolt != BOLTS[-1]:
            bolt = BOLTS[BOLTS.index(sizes.bolt) + 1]
        else:
            return _over(one)
    depths = _depths(sizes, fence, governing)
    if isinstance(depths, str):
        return depths
    return replace(
        sizes, sections=sections, depths=depths, bolt=bolt, hole=_hole(sizes, fence, sections)
    )


def _depths(
    sizes: Sizes, fence: FenceModel, governing: tuple[Governing, ...]
) -> dict[str, float] | str:
    """Return the depth that each role's footings ask for, or what is deeper than any."""
    least: dict[str, float] = {}
    for layout in fence.layouts:
        for post in layout.posts:
            if post.plan.foot.buried:  # a quarter of the post is in the ground at least
                role = _role(post.kind)
                least[role] = max(least.get(role, SHALLOWEST), post.top / 3.0)
    depths = {}
    for role in sizes.sections:
        footings = [
            one
            for one in governing
            if one.check.code in FOOTING_CODES and _role(one.members.removesuffix(" posts")) == role
        ]
        now = max(
            post.plan.embedment
            for layout in fence.layouts
            for post in layout.posts
            if post.made and _role(post.kind) == role
        )
        short = max(
            (1000.0 * (one.check.demand - one.check.resistance) for one in footings), default=-now
        )
        deep = math.ceil((max(now + short, least[role]) - 1e-6) / DEPTH_STEP) * DEPTH_STEP
        if deep > DEEPEST:
            worst = max(footings, key=lambda one: one.check.utilisation)
            return f"{worst.members}: {worst.check.name} asks for {mm(deep)} mm, {worst.where}"
        depths[role] = deep
    return depths


def _hole(sizes: Sizes, fence: FenceModel, sections: dict[str, float]) -> float | None:
    """Return a hole with concrete around the thickest post; as it is where that does."""
    wanted = math.ceil((max(sections.values()) + 2.0 * AROUND) / HOLE_STEP) * HOLE_STEP
    now = min(_across(layout.run) for layout in fence.layouts)
    return sizes.hole if now >= wanted - 0.05 else wanted


def _across(run: RunJob) -> float:
    hole = run.footings.hole
    return hole.diameter if isinstance(hole, RoundHole) else min(hole.width, hole.depth)


def _sound(
    sizes: Sizes, fence: FenceModel, site: SpecFiles, governing: tuple[Governing, ...]
) -> SoundSet:
    volumes = [m.shape.volume for m in fence.members if m.kind in (POST, RAIL)]
    price = None
    if site.prices is not None:
        quoted = quote(order(fence), site.prices)
        price = None if quoted.unpriced else quoted.net
    return SoundSet(
        sizes,
        tuple(role for role in ROLES if role in sizes.sections),
        max((one.check.utilisation for one in governing), default=0.0),
        math.fsum(volumes) / 1e9,
        concrete(fence).volume / 1e9,
        price,
    )


def with_sizes(spec: SpecTables, sizes: Sizes) -> SpecTables:
    """Return the spec with other sizes, those of runs with tables of their own too."""
    runs = [
        run.model_copy(
            update={
                "posts": None if run.posts is None else _posts(run.posts, sizes),
                "rails": run.rails and run.rails.model_copy(update={"bolt": sizes.bolt}),
                "footings": run.footings and run.footings.model_copy(update=_size(sizes)),
            }
        )
        for run in spec.run
    ]
    return spec.model_copy(
        update={
            "posts": _posts(spec.posts, sizes),
            "rails": spec.rails.model_copy(update={"bolt": sizes.bolt}),
            "footings": spec.footings.model_copy(update=_size(sizes)),
            "run": tuple(runs),
        }
    )


def _size(sizes: Sizes) -> dict[str, Any]:
    return {} if sizes.hole is None else {"size": sizes.hole}


def _posts(posts: Posts, sizes: Sizes) -> Posts:
    update: dict[str, Any] = {"bay": sizes.bay}
    for role in ROLES:
        side, depth = sizes.sections.get(role), sizes.depths.get(role)
        of: dict[str, Any] = {} if side is None else {"section": (side, side)}
        if depth is not None:
            of["embedment"] = depth
        if role == "line":
            update |= of
        elif of:
            kind: PostKind = getattr(posts, role)
            update[role] = kind.model_copy(update=of)
    return posts.model_copy(update=update)


def _built(spec: SpecTables, site: SpecFiles) -> FenceModel | None:
    """Return the fence of a changed spec, None where it cannot be built."""
    job = resolve(spec, site.survey, site.rules, site.prices)
    if job.problems or any(True for run in job.runs for _ in gate_problems(run)):
        return None
    return make_fence(job)


def sizing_rows(spec: SpecTables, best: SoundSet) -> Iterator[tuple[str, str, str]]:
    """Yield what each size is now and what it is in a sound set."""
    job, sizes = resolve(spec), best.sizes
    run = next(iter(job.runs), None)
    yield "bay, mm", mm(spec.posts.bay), mm(sizes.bay)
    for role in best.roles:
        plan = None if run is None else getattr(run.posts, role)
        now = ("", "") if plan is None else (f"{mm(plan.width)} x {mm(plan.depth)}",
                                             mm(plan.embedment))  # fmt: skip
        side = mm(sizes.sections[role])
        yield f"{role} posts, mm", now[0], f"{side} x {side}"
        yield f"{role} posts below ground, mm", now[1], mm(sizes.depths[role])
    if sizes.hole is not None and run is not None:
        yield "hole, mm", mm(_across(run)), mm(sizes.hole)
    yield "bolts of rails", spec.rails.bolt, sizes.bolt
