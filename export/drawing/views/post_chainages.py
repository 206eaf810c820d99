"""What a plan says of each post, its name and chainage: beside it, across the line, or in rows."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.lettering import text_width
from palewright.export.drawing.draft.view import Item, Line, Text
from palewright.model.basis.text import plain
from palewright.model.geometry.frames import Point, cos_sin
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.resolved.words import PostRole

from .plan_symbols import upright
from .table_views import PAD, ROW

MOST_ROWS = 24
"""A plan on which more posts than this would have no chainage is cut into parts."""

HEAD = "post  chainage"
"""What each column of chainages is headed with."""


def post_name(post: PlacedPost) -> str:
    """Return the label of a post with what the spec calls it, and what it is if no new post."""
    said = [plain(post.named)] if post.named else []
    said += ["kept"] if post.kept else []
    if post.kind == PostRole.WALL:
        said.append("plate" if post.held_by == "wall" else f"plate on {post.held_by}")
    return " ".join((post.label, *said))


def full_name(post: PlacedPost, turn: float, draft: Draft) -> str:
    """Return a post's name with its chainage, and the angle between the legs of a corner.

    turn : of the line at the post, degrees.
    """
    words = f"{post_name(post)}  {draft.figure(post.chainage)}"
    return f"{words}  {180.0 - abs(turn):.1f}°" if turn else words


def across(text: str, at: Point, way: Point, away: float, draft: Draft) -> Text:
    """Return a text that runs away from `at` in a direction, from `away` (mm on paper) on, and is
    read upright.
    """
    degrees = math.degrees(math.atan2(way[1], way[0]))
    turned = upright(degrees)
    cos, sin = cos_sin(turned)
    low = draft.text / 2.0 * draft.n
    x, y = (a + b * away * draft.n for a, b in zip(at, way, strict=True))
    align = "left" if abs((turned - degrees + 180.0) % 360.0 - 180.0) < 1.0 else "right"
    return Text(text, (x + low * sin, y - low * cos), draft.text, align, turned)


def unsaid(
    posts: Sequence[PlacedPost], turns: dict[str, float], items: Sequence[Item], draft: Draft
) -> list[PlacedPost]:
    """Return the posts whose chainage none of the items says."""
    texts = {item.text for item in items if isinstance(item, Text)}
    return [p for p in posts if full_name(p, turns.get(p.label, 0.0), draft) not in texts]


def chainage_rows(
    posts: Sequence[PlacedPost], at: Point, width: float, draft: Draft
) -> Iterator[Item]:
    """Yield names and chainages in columns.

    at : upper left corner, mm at full size; width : of the paper that is to be had, mm; as many
    columns as it takes, each filled before the next.
    """
    if not posts:
        return
    pairs = [(post_name(post), draft.figure(post.chainage)) for post in posts]
    first = max(text_width(name, draft.text) for name, _ in pairs)
    second = max(text_width(figure, draft.text) for _, figure in pairs)
    wide = max(first + second + 4.0 * PAD, text_width(HEAD, draft.text) + 2.0 * PAD)
    columns = max(1, min(int(width / wide), -(-len(pairs) // 4)))
    rows = -(-len(pairs) // columns)
    n = draft.n

    def spot(x: float, y: float) -> Point:
        return at[0] + x * n, at[1] + y * n

    for column, start in enumerate(range(0, len(pairs), rows)):
        body = pairs[start : start + rows]
        left, right, low = column * wide, (column + 1) * wide, -ROW * (len(body) + 1)
        yield Line.through(
            (spot(left, 0.0), spot(right, 0.0), spot(right, low), spot(left, low)),
            layers.RULE,
            closed=True,
        )
        for number, (name, figure) in enumerate([(HEAD, ""), *body]):
            y = -ROW * number - (ROW + draft.text) / 2.0
            if number:
                line = -ROW * number
                yield Line.through((spot(left, line), spot(right, line)), layers.RULE)
            yield Text(name, spot(left + PAD, y), draft.text)
            if figure:
                yield Text(figure, spot(right - PAD, y), draft.text, "right")
