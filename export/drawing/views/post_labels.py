"""Labels of the posts along an elevation, as many as have room."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import Text
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.resolved.words import PostRole

from .front import Front, Stations


@dataclass(frozen=True)
class LabelPlace:
    """Where a post's label stands. left, right : how far it reaches; x : where it is set."""

    left: float
    right: float
    x: float
    align: str


def post_labels(front: Front, stations: Stations, draft: Draft, *, heights: bool) -> Iterator[Text]:
    """Yield the posts' labels, with their height over the ground if wanted.

    The first and the last always have their label. On level ground the labels stand in one row.
    """
    n = draft.n
    highest = max(front.top_near(x, 0.0) for x, _ in stations)
    free = -math.inf
    _, last = stations[-1]
    last_from = _place(front, stations[-1], _named(last), draft).left - n
    for x, post in stations:
        words = [_named(post)]
        if heights:
            words.insert(0, f"{_named(post)}  +{draft.figure(post.top)}")
        for text in words:
            place = _place(front, (x, post), text, draft)
            fits = place.left > free and (post is last or place.right < last_from)
            if not fits and not (post is last and text == words[-1]):
                continue
            half = (place.right - place.left) / 2.0
            top = highest if front.level else front.top_near(x, half + n)
            spot = (place.x, top + (draft.text + 1.5) * n)
            yield Text(text, spot, draft.text, place.align)
            free = place.right + n
            break


def _named(post: PlacedPost) -> str:
    """Return a post's label, of a plate on a wall with what it is."""
    return f"{post.label} plate" if post.kind == PostRole.WALL else post.label


def _place(front: Front, station: tuple[float, PlacedPost], text: str, draft: Draft) -> LabelPlace:
    """Return where a label stands: over its post; at a wall beside the wall, not across it."""
    x, post = station
    n, width = draft.n, draft.width(text)
    if post.kind != PostRole.WALL:
        return LabelPlace(x - width / 2.0, x + width / 2.0, x, "centre")
    if x < front.length / 2.0:
        return LabelPlace(n, n + width, n, "left")
    edge = front.length - n
    return LabelPlace(edge - width, edge, edge, "right")
