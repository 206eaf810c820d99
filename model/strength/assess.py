"""A fence against the wind: every post, footing, rail and fixing, and the worst of each check."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from palewright.model.basis.units import format_length as mm
from palewright.model.basis.wind_kinds import WIND_CLAY, WIND_DEPTH, WIND_SAND
from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.placed_posts import PlacedPost

from .load_case import LoadCase
from .post_strength import at_ground, checked_post
from .rail_loads import RailBeam
from .rail_strength import checked_rail
from .run_wind import RunWind, run_winds
from .steps import Assessment, Step, StrengthCheck

FOOTING_CODES = (WIND_DEPTH.code, WIND_CLAY.code, WIND_SAND.code)

NEARLY = 1e-9
"""What is more by less than this is as much: of places alike the first is told."""


@dataclass(frozen=True)
class PostUse:
    """How far a post and its footing are used, at the most. run, number : of the post in the
    layout; post, footing : utilisations, none of a footing that is not checked; weak : the post's
    check that governs; moment : largest at the ground, with partial factors, Nmm.
    """

    run: int
    number: int
    placed: PlacedPost
    post: float
    footing: float | None
    weak: str
    moment: float


@dataclass(frozen=True)
class RailUse:
    """How far a rail is used, with its bolts and nails, at the most. order : of its stretch in
    the layout; row : from the lowest; posts : that hold it.
    """

    run: int
    order: int
    row: int
    posts: tuple[PlacedPost, ...]
    used: float
    weak: str


@dataclass(frozen=True)
class Governing:
    """The worst of one check among members alike. where : the place; over : how many of the
    members are used over their resistance, of how many.
    """

    members: str
    where: str
    title: str
    loads: tuple[Step, ...]
    check: StrengthCheck
    over: int
    count: int


@dataclass(frozen=True)
class FenceStrength:
    """All of a fence. governing : the worst of each check, by run and kind of member."""

    posts: tuple[PostUse, ...]
    rails: tuple[RailUse, ...]
    governing: tuple[Governing, ...]

    @property
    def places(self) -> tuple[Assessment, ...]:
        """The places where a check is at its worst, with those checks."""
        checks: dict[tuple[str, str], list[Governing]] = {}
        for one in self.governing:
            checks.setdefault((one.where, one.title), []).append(one)
        return tuple(
            Assessment(where, title, worst[0].loads, tuple(one.check for one in worst))
            for (where, title), worst in checks.items()
        )


@dataclass
class _Worst:
    """The worst of one check so far."""

    where: str
    title: str
    loads: tuple[Step, ...]
    check: StrengthCheck
    over: set[object] = field(default_factory=set)
    seen: set[object] = field(default_factory=set)


def assess(fence: FenceModel) -> FenceStrength:
    """Return the checks of a fence against wind; nothing when the spec gives none."""
    posts: list[PostUse] = []
    rails: list[RailUse] = []
    governing: list[Governing] = []
    for wind in run_winds(fence):
        worst: dict[tuple[str, str], _Worst] = {}
        for number, post in enumerate(wind.layout.posts):
            if post.made and not post.plan.cast:
                used = list(_post(wind, number, worst))
                if used:
                    every = [check for _, some in used for check in some]
                    moment = max(at_ground(loads) for loads, _ in used)
                    posts.append(_post_use(wind, number, every, moment))
        for order, rail in _rails(wind):
            loads, checks = checked_rail(wind, order, rail, fence.job.fixings)
            stretch = wind.layout.stretches[order]
            held = tuple(stretch.posts[place] for place in rail.places)
            _note(worst, "rails", _rail_place(rail.row, held), loads.steps, checks, (order, rail))
            most = max(checks, key=_utilisation)
            rails.append(RailUse(wind.number, order, rail.row, held, most.utilisation, most.name))
        governing += [
            Governing(
                members, one.where, one.title, one.loads, one.check, len(one.over), len(one.seen)
            )
            for (members, _), one in worst.items()
        ]
    return FenceStrength(tuple(posts), tuple(rails), tuple(governing))


def _rails(wind: RunWind) -> Iterator[tuple[int, RailBeam]]:
    for order, shown in enumerate(wind.shown):
        if shown is not None:
            for rail in wind.beams[order]:
                yield order, rail


def _post(
    wind: RunWind, number: int, worst: dict[tuple[str, str], _Worst]
) -> Iterator[tuple[LoadCase, tuple[StrengthCheck, ...]]]:
    post = wind.layout.posts[number]
    for loads, checks in checked_post(wind, number):
        place = _post_place(post, loads)
        _note(worst, f"{post.kind} posts", place, loads.working.steps, checks, number)
        yield loads, checks


def _post_use(wind: RunWind, number: int, checks: list[StrengthCheck], moment: float) -> PostUse:
    footing = [one for one in checks if one.code in FOOTING_CODES]
    own = max((one for one in checks if one.code not in FOOTING_CODES), key=_utilisation)
    return PostUse(
        wind.number,
        number,
        wind.layout.posts[number],
        own.utilisation,
        max(map(_utilisation, footing), default=None),
        own.name,
        moment,
    )


def _utilisation(check: StrengthCheck) -> float:
    return check.utilisation


def _note(
    worst: dict[tuple[str, str], _Worst],
    members: str,
    place: tuple[str, str],
    loads: tuple[Step, ...],
    checks: tuple[StrengthCheck, ...],
    member: object,
) -> None:
    """Keep the checks that are worse than those so far, and count the members that fail."""
    for check in checks:
        known = worst.get((members, check.name))
        if known is None:
            known = worst[members, check.name] = _Worst(*place, loads, check)
        elif check.utilisation > known.check.utilisation + NEARLY:
            known.where, known.title = place
            known.loads, known.check = loads, check
        known.seen.add(member)
        if check.utilisation > 1.0 + NEARLY:
            known.over.add(member)


def _post_place(post: PlacedPost, loads: LoadCase) -> tuple[str, str]:
    case = f", {loads.name}" if loads.name else ""
    return (
        f"post {post.label}, chainage {mm(post.chainage, 0)}{case}",
        f"{post.kind.capitalize()} post {post.label}{case}",
    )


def _rail_place(row: int, posts: tuple[PlacedPost, ...]) -> tuple[str, str]:
    which = f"rail {row + 1} from {posts[0].label} to {posts[-1].label}"
    return which, f"{which[0].upper()}{which[1:]}, counted from below, and its fixings"
