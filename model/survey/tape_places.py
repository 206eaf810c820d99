"""About where taped points are: each from two measurements, before least squares takes all."""

from __future__ import annotations

import cmath
import itertools
import math
import re
from collections.abc import Mapping, Sequence

from palewright.model.basis.text import plain

from .measurements import Along, Angle, Bearing, Distance, Measurement, Offset, names_of
from .points_and_lines import SurveyError
from .tape_reader import MOST_PLACES, TapeFile

MOST_TRIED = 12
"""Measurements of a point that are tried two by two, and points that a side is sought from."""

CLOSE = 100.0
"""Two places that a point may have are told apart by a further measurement from this on, mm."""

Places = Mapping[str, complex]


def placed(source: TapeFile, plan: Sequence[Measurement], known: Places) -> dict[str, complex]:
    """Return about where every point is, known points first.

    Raises
    ------
    SurveyError
        When nothing fixes a point, or it may be in two places.
    """
    places = dict(known)
    names = dict.fromkeys(name for one in plan for name in names_of(one))
    if len(names) > MOST_PLACES:
        raise source.wrong("lengths", f"has more than {MOST_PLACES} points")
    about = {name: [one for one in plan if name in names_of(one)] for name in names}
    left = [name for name in names if name not in places]
    while left:
        for name in left:
            at = _place(source, about[name], name, places)
            if at is not None:
                places[name] = at
                left.remove(name)
                break
        else:
            raise SurveyError(
                f"{source.file}: nothing fixes {plain(left[0])[:20]}: it needs two lengths, or a "
                "length and an offset, an angle or a bearing, from points that are known or fixed"
            )
    return places


def _place(
    source: TapeFile, about: Sequence[Measurement], name: str, places: Places
) -> complex | None:
    """Return about where a point is, None while too little is known. about : measurements of it."""
    own = [one for one in about
           if all(other in places for other in names_of(one) if other != name)]  # fmt: skip
    at: list[complex] = []
    for pair in itertools.combinations(own[:MOST_TRIED], 2):
        at = [place for place in _meetings(name, pair, places) if cmath.isfinite(place)]
        if at:
            break
    if not at:
        return None
    if len(at) == 1 or abs(at[0] - at[1]) < CLOSE:
        return at[0]
    side = source.table("sides").get(name)
    if side is not None:
        return _on_side(source, (name, str(side)), at, places)
    fits = [sum(_misfit(one, {**places, name: place}) ** 2 for one in own) for place in at]
    best = 0 if fits[0] <= fits[1] else 1
    lengths = (one.sigma for one in own if not isinstance(one, Angle | Bearing))
    finest = min(lengths, default=CLOSE)
    if abs(math.sqrt(fits[1 - best]) - math.sqrt(fits[best])) < CLOSE / finest / 3.0:
        raise SurveyError(f"{source.file}: {_asked(name, at, places)}")
    return at[best]


def _asked(name: str, at: Sequence[complex], places: Places) -> str:
    """Return what to say of a point that may be in two places."""
    point = plain(name)[:20]
    near = list(places)[:MOST_TRIED]
    for a, b in itertools.combinations(near, 2):
        first, second = (_left_of(place, a, b, places) for place in at)
        if first * second < 0.0:
            base = f"{plain(a)} {plain(b)}"
            return (
                f"{point} may be on either side of {base}: say "
                f'sides = {{ {point} = "left of {base}" }}'
            )
    apart = abs(at[0] - at[1]) / 1000.0
    return f"{point} may be in two places, {apart:.2f} m apart: measure one more length to it"


def _left_of(place: complex, a: str, b: str, places: Places) -> float:
    """Return how far a place is to the left of a line, mm, 0 where the line has no length."""
    line = places[b] - places[a]
    return (line.conjugate() * (place - places[a])).imag / (abs(line) or math.inf)


def _on_side(
    source: TapeFile, told: tuple[str, str], at: Sequence[complex], places: Places
) -> complex:
    name, side = told
    key = f"sides.{name}"
    found = re.fullmatch(r"(left|right) of (.+)", side.strip())
    if found is None:
        raise source.wrong(key, 'is "left of A B" or "right of A B"')
    a, b = source.base(found[2], key)
    for end in (a, b):
        if end not in places:
            raise source.wrong(key, f"names {plain(end)[:20]}, which is not fixed before it")
    fit = [place for place in at if (_left_of(place, a, b, places) > 0.0) == (found[1] == "left")]
    if len(fit) == 1:
        return fit[0]
    which = "the other side" if not fit else "that side"
    raise source.wrong(
        key, f"cannot be: both places that {plain(name)[:20]} may have are on {which}"
    )


def _misfit(one: Measurement, places: Places) -> float:
    """Return how far a measurement is from what places make it, in its own accuracy."""
    match one:
        case Distance(a, b):
            return (abs(places[b] - places[a]) - one.value) / one.sigma
        case Offset(point, a, b):
            return (_left_of(places[point], a, b, places) - one.value) / one.sigma
        case Along(point, a, b):
            line = places[b] - places[a]
            along = (line.conjugate() * (places[point] - places[a])).real / (abs(line) or math.inf)
            return (along - one.value) / one.sigma
        case Angle(at, back, fore):
            far = places[fore] - places[at]
            turn = cmath.phase((places[back] - places[at]) / far) if far else 0.0
            return math.remainder(turn - one.value, math.tau) / one.sigma
        case Bearing(a, b):
            way = places[b] - places[a]
            return math.remainder(math.atan2(way.real, way.imag) - one.value, math.tau) / one.sigma
        case _:
            return 0.0


def _meetings(name: str, pair: tuple[Measurement, Measurement], places: Places) -> list[complex]:
    """Return where two measurements of a point put it: none, one or two places."""
    curves = [_curve(name, one, places) for one in pair]
    if None in curves:
        return []
    first, second = sorted((curve for curve in curves if curve is not None), key=len)
    if len(first) == 2 and len(second) == 2:
        (p, d), (q, e) = first, second
        across = (d.conjugate() * e).imag
        if abs(across) < 1e-6:
            return []
        return [p + d * ((e.conjugate() * (p - q)).imag / across)]
    centre, radius, _ = second
    if len(first) == 2:  # a line and a circle
        p, d = first
        foot = p + d * (d.conjugate() * (centre - p)).real
        half = radius.real**2 - abs(foot - centre) ** 2
        root = math.sqrt(max(half, 0.0))
        return [foot + d * root, foot - d * root] if half > -((0.1 * radius.real) ** 2) else []
    other, reach, _ = first
    apart = centre - other
    if abs(apart) < 1e-6:
        return []
    along = (abs(apart) ** 2 + reach.real**2 - radius.real**2) / (2.0 * abs(apart))
    half = reach.real**2 - along**2
    if half < -((0.1 * reach.real) ** 2):
        return []
    unit = apart / abs(apart)
    root = math.sqrt(max(half, 0.0))
    return [other + unit * complex(along, root), other + unit * complex(along, -root)]


def _curve(name: str, one: Measurement, places: Places) -> tuple[complex, ...] | None:
    """Return on what a measurement puts a point: (centre, radius, 0) or (place, direction)."""
    match one:
        case Distance(a, b):
            return places[b if name == a else a], complex(one.value), 0j
        case Offset(point, a, b) if point == name:
            line = _unit(places[b] - places[a])
            return places[a] + line * complex(0.0, one.value), line
        case Along(point, a, b) if point == name:
            line = _unit(places[b] - places[a])
            return places[a] + line * one.value, line * 1j
        case Bearing(a, b):
            return places[b if name == a else a], cmath.rect(1.0, math.pi / 2.0 - one.value)
        case Angle(at, back, fore) if name in (back, fore) and at in places:
            known = places[back if name == fore else fore] - places[at]
            turned = cmath.exp(complex(0.0, -one.value if name == fore else one.value))
            return places[at], _unit(known) * turned
    return None


def _unit(way: complex) -> complex:
    return way / (abs(way) or 1.0)
