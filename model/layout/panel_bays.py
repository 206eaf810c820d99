"""Where the panels of a run hang: each bay's rails from end to end, clear of posts and neighbours.

Distances x run along a leg from its start; the front of the fence is at negative y.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

from palewright.model.geometry.frames import Point
from palewright.model.geometry.prisms import SQUARE_CUT
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.panel_plan import PanelPlan
from palewright.model.resolved.words import PostRole
from palewright.model.site.site_line import Leg

from .post_places import PostPlace
from .rail_pieces import RailPiece, furthest
from .spans import Span, StretchEnd


def panel_ends(run: RunJob, span: Span) -> tuple[Point, ...]:
    """Return from where to where the frame of each bay's panel reaches, x, mm."""
    plan = run.panels
    assert plan is not None
    if plan.between:
        return tuple(_between(run, plan, span))
    edges = [_face_end(run, span.first, at_start=True)]
    edges += [x + way * plan.clearance / 2.0 for x in span.xs[1:-1] for way in (-1.0, 1.0)]
    edges.append(_face_end(run, span.last, at_start=False))
    return tuple(zip(edges[::2], edges[1::2], strict=True))


def _between(run: RunJob, plan: PanelPlan, span: Span) -> Iterator[Point]:
    for one, other in itertools.pairwise(span.posts):
        yield (
            _edge(run, one.in_leg(span.leg), to_right=True) + plan.clearance,
            _edge(run, other.in_leg(span.leg), to_right=False) - plan.clearance,
        )


def _edge(run: RunJob, corners: tuple[Point, ...], *, to_right: bool) -> float:
    """Return how far a post reaches to one side beside rails and pales. corners : in its leg."""
    back, _ = run.rails.faces(run.face)
    front = max(layer.front for layer in run.layers)
    return furthest(corners, -front, front - back, to_right=to_right)


def post_edge(run: RunJob, leg: Leg, place: PostPlace, *, to_right: bool) -> float:
    """Return how far a post that is to stand in a place reaches to one side beside rails and pales,
    x in a leg, mm.
    """
    plan = run.post_plan(place.kind, place.gate)
    w, d = plan.width / 2.0, plan.depth / 2.0
    frame = leg.frame
    places = (
        frame.local(place.frame.point((x, y, 0.0))) for x, y in ((-w, -d), (w, -d), (w, d), (-w, d))
    )
    return _edge(run, tuple((x, y) for x, y, _ in places), to_right=to_right)


def _face_end(run: RunJob, limit: StretchEnd, *, at_start: bool) -> float:
    """Return where the frame of a panel on the posts' face ends at the end of a stretch: square,
    at the edge in which the posts' faces meet outside a corner, clear of the other leg's inside.
    """
    if limit.kind != PostRole.CORNER:
        return limit.x
    plane = run.face if limit.turn > 0.0 else run.face + run.rails.section[1]
    away = plane * math.tan(math.radians(limit.turn) / 2.0)
    return limit.x - away if at_start else limit.x + away


def panel_rails(run: RunJob, span: Span) -> tuple[RailPiece, ...]:
    """Return the rails of the panels of a stretch, each as long as its panel or from upright to
    upright.
    """
    plan = run.panels
    assert plan is not None
    return tuple(
        RailPiece(
            row, top, low + plan.upright, high - plan.upright, SQUARE_CUT, SQUARE_CUT, (bay, bay),
            span.settings[bay],
        )
        for row, top in enumerate(run.rails.tops)
        for bay, (low, high) in enumerate(panel_ends(run, span))
    )  # fmt: skip


def clear_between(span: Span, bay: int) -> float:
    """Return how far the posts of a bay are apart where they are nearest, mm along the leg."""
    one, other = span.posts[bay : bay + 2]
    return other.extent(span.leg)[0] - one.extent(span.leg)[1]
