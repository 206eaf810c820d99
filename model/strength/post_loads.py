"""What a post has to bear: the wind on what is beside it, and the leaf that hangs on it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from palewright.model.geometry.frames import dot
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.layout.run_layout import Opening, Stretch
from palewright.model.site.site_line import Leg

from .formulas import Formula
from .leaf_loads import WEIGHT, HungLeaf, hung_leaves, leaf_cases, with_weight
from .load_case import LoadCase
from .rail_loads import carried, rail_heights, shares_of
from .run_wind import RunWind
from .shown import Shown
from .steps import Working
from .wind_on_fence import Basis, wind_working

FORCE = Formula("w H B")

SMALL = 1e-9
"""Parts of a force under this share of it are none."""


@dataclass(frozen=True)
class Push:
    """Wind on one part of a fence at a post. leg : square to it; working : steps up to its force
    Fk and the height e of that.
    """

    leg: Leg
    where: str
    working: Working


@dataclass(frozen=True)
class Part:
    """A push on a post. across, along : how much of it is square to the post's front and along
    it, for wind from one side.
    """

    push: Push
    across: float
    along: float


def post_loads(wind: RunWind, number: int) -> Iterator[LoadCase]:
    """Yield every way in which a post is loaded. number : of the post in the layout."""
    hung = hung_leaves(wind, number)
    states = [tuple(_pushes(wind, number, opened=False))]
    if wind.layout.openings:
        opened = tuple(_pushes(wind, number, opened=True))
        if hung or _values(opened) != _values(states[0]):
            states.append(opened)
    for opened_too, pushes in enumerate(states):
        state = ("gates shut", "gates open")[opened_too] if len(states) > 1 else ""
        for leg in dict.fromkeys(push.leg for push in pushes):
            yield _blown(wind, number, leg, pushes, state, hung)
    yield from leaf_cases(wind, hung)


def _values(pushes: tuple[Push, ...]) -> list[tuple[float, float]]:
    return [(push.working["Fk"], push.working["e"]) for push in pushes]


def _pushes(wind: RunWind, number: int, *, opened: bool) -> Iterator[Push]:
    """Yield the wind on what is beside a post."""
    for order, stretch in enumerate(wind.layout.stretches):
        shown = wind.shown[order]
        if shown is not None and number in stretch.numbers:
            yield _on_stretch(wind, order, stretch, shown, number, opened=opened)
    for opening in () if opened else wind.layout.openings:
        if number in opening.numbers:
            yield _on_gate(wind, opening, number)


def _on_stretch(
    wind: RunWind, order: int, stretch: Stretch, shown: Shown, number: int, *, opened: bool
) -> Push:
    place = stretch.numbers.index(number)
    at = stretch.leg.before + stretch.xs[place]
    heights = rail_heights(wind.basis.run, shown)
    rows = carried(wind.beams[order], len(stretch.xs), len(heights))[place]
    ways = [
        (*_resultant(shares.values, rows, heights), shares.words)
        for shares in shares_of(heights, shown.foot, shown.top)
    ]
    width, arm, words = max(ways, key=lambda one: one[0] * one[1])
    parts = wind.opened if opened else wind.shut
    return Push(
        stretch.leg,
        f"{stretch.posts[0].label} to {stretch.posts[-1].label}",
        wind_working(wind.basis, shown, parts, (at, at))
        .given("B", f"rails' reaction, {words}", width / 1000.0, "m", "beam theory")
        .worked("Fk", FORCE, "kN")
        .given("e", "of it over the ground", arm / 1000.0, "m"),
    )


def _on_gate(wind: RunWind, opening: Opening, number: int) -> Push:
    at_end = number == opening.numbers[1]
    shown = wind.leaves[opening.number, len(opening.leaves) - 1 if at_end else 0]
    at = opening.leg.before + (opening.end if at_end else opening.start)
    half = (opening.end - opening.start) / 2.0
    return Push(
        opening.leg,
        opening.called,
        wind_working(wind.basis, shown, wind.shut, (at, at))
        .given("B", "half the opening", half / 1000.0, "m")
        .worked("Fk", FORCE, "kN")
        .given("e", "of it over the ground", shown.middle / 1000.0, "m"),
    )


def _resultant(
    shares: tuple[float, ...], rows: tuple[float, ...], heights: tuple[float, ...]
) -> tuple[float, float]:
    """Return the length of fence that a post carries, and the height of the force, mm; a rail
    that would pull against the others is taken to push with them.
    """
    lengths = [abs(share * length) for share, length in zip(shares, rows, strict=True)]
    whole = sum(lengths)
    if whole < SMALL:
        return 0.0, 0.0
    return whole, sum(a * z for a, z in zip(lengths, heights, strict=True)) / whole


def _blown(
    wind: RunWind,
    number: int,
    leg: Leg,
    pushes: tuple[Push, ...],
    state: str,
    hung: tuple[HungLeaf, ...],
) -> LoadCase:
    """Return the loads of wind square to a leg; on another leg it acts with the square of its
    part that is square to that.
    """
    parts = tuple(_parts(wind.layout.posts[number], leg, pushes))
    working, axes = _added(parts, wind.basis)
    name = state
    if len({push.leg for push in pushes}) > 1:
        side = f"wind square to {next(push.where for push in pushes if push.leg == leg)}"
        name = f"{state}, {side}" if state else side
    across = [("gamma_Q", "My" if axes else "Fk e")] if axes != "x" else []
    along = [("gamma_Q", "Mx")] if "x" in axes else []
    if hung:
        opened = state == "gates open"
        working = with_weight(wind, working, hung, summed=opened)
        (across if opened else along).append(WEIGHT)
    return LoadCase(
        name,
        wind.basis.wind.duration,
        working,
        tuple(across),
        tuple(along),
        wind=True,
        turned="x" in axes,
    )


def _parts(post: PlacedPost, leg: Leg, pushes: tuple[Push, ...]) -> Iterator[Part]:
    for push in pushes:
        normal = push.leg.frame.y
        turned = dot(leg.frame.y, normal)
        seen = turned * abs(turned)
        if abs(seen) > SMALL:
            across, along = (dot(axis, normal) * seen for axis in (post.frame.y, post.frame.x))
            yield Part(push, _unless_small(across), _unless_small(along))


def _unless_small(value: float) -> float:
    return 0.0 if abs(value) < SMALL else value


def _added(parts: tuple[Part, ...], basis: Basis) -> tuple[Working, str]:
    """Return the steps of the pushes on a post, added up, and the letters of the axes that they
    act on: "y" square to its front, "x" along it; none where there is one push, square to it.
    """
    if len(parts) == 1 and not parts[0].along:
        return parts[0].push.working, ""
    working = Working(basis.factors).knowing({"h": max(p.push.working["h"] for p in parts)})
    axes = {
        letter: words
        for letter, which, words in (
            ("y", "across", "square to the post's front"),
            ("x", "along", "along the post's front"),
        )
        if any(getattr(part, which) for part in parts)
    }
    signs = {"y": _sign(parts, "across"), "x": _sign(parts, "along")}
    for number, part in enumerate(parts, 1):
        force, arm = part.push.working["Fk"], part.push.working["e"]
        working = (
            working.followed_by(part.push.working)
            .given(f"F{number}", f"Fk of {part.push.where}", force / 1e3, "kN")
            .given(f"e{number}", "of it over the ground", arm / 1e3, "m")
        )
        shares = {"y": part.across, "x": part.along}
        for letter, words in axes.items():
            share = shares[letter] * signs[letter]
            working = working.given(f"{letter}{number}", f"part of it {words}", share, "")
    for axis in axes:
        numbers = range(1, len(parts) + 1)
        forces = " + ".join(f"F{n} {axis}{n}" for n in numbers)
        moments = " + ".join(f"F{n} e{n} {axis}{n}" for n in numbers)
        working = working.worked(f"F{axis}", Formula(forces), "kN", "statics")
        working = working.worked(f"M{axis}", Formula(moments), "kNm", "statics")
    force_text, moment_text = (_resultant_of(letter, axes) for letter in "FM")
    working = working.worked("Fk", Formula(force_text), "kN", "statics")
    return working.worked("e", Formula(f"{moment_text} / Fk"), "m"), "".join(axes)


def _resultant_of(letter: str, axes: Iterable[str]) -> str:
    each = [f"{letter}{axis}" for axis in axes]
    return each[0] if len(each) == 1 else f"sqrt({' + '.join(f'{one}^2' for one in each)})"


def _sign(parts: tuple[Part, ...], which: str) -> float:
    """Return the sign that makes the moments of parts positive: wind comes from either side."""
    moments = (p.push.working["Fk"] * p.push.working["e"] * getattr(p, which) for p in parts)
    return math.copysign(1.0, sum(moments))
