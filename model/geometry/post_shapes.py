"""Posts of a rectangular section, with the cut of their top and bevels on their long edges."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from .frames import Point, Vector
from .top_cuts import Face, FlatTop, PostTop, RoundTop

SAWN_SQUARE = FlatTop()
"""The top of a post that has no other."""


@dataclass(frozen=True)
class Bevel:
    """Stop chamfers on all four long edges of a post, at 45 degrees.

    size : along each face, mm; stop : length over which one runs out at either end, mm; spans :
    from where to where they go, their stops included, over the foot, from below, mm.
    """

    size: float
    stop: float
    spans: tuple[Point, ...]

    @property
    def taken(self) -> float:
        """What they take from all four edges, mm3: prisms, and a tetrahedron at each stop."""
        c, s = self.size, self.stop
        lengths = (high - low - 2.0 * s for low, high in self.spans)
        return sum(4.0 * (c * c / 2.0 * length + c * c * s / 3.0) for length in lengths)

    def words(self, text: Callable[[float], str]) -> str:
        """Return what a list says of them. text : of a length."""
        spans = ", ".join(f"{text(low)} to {text(high)}" for low, high in self.spans)
        stops = f", stops {text(self.stop)}" if self.stop else ", cut off square"
        return f"long edges bevelled {text(self.size)} from {spans} over the foot{stops}"

    def moved(self, dz: float) -> Bevel:
        """Return them so much higher over the foot, mm."""
        return replace(self, spans=tuple((low + dz, high + dz) for low, high in self.spans))

    def edge(self, half: float) -> Iterator[Point]:
        """Yield the points of a face's right edge from below. half : of the face's width, mm."""
        for low, high in self.spans:
            yield half, low
            yield half - self.size, low + self.stop
            yield half - self.size, high - self.stop
            yield half, high


@dataclass(frozen=True)
class Post:
    """An upright post, centred on x = y = 0, foot at z = 0. length : to the highest point."""

    width: float
    depth: float
    length: float
    top: PostTop = SAWN_SQUARE
    bevel: Bevel | None = None

    @property
    def shoulder(self) -> float:
        """Height of the lowest part of the top."""
        return self.length - self.top.rise

    @property
    def volume(self) -> float:
        """Volume, mm3: the shaft, what is over its shoulder, less its bevels."""
        taken = self.bevel.taken if self.bevel is not None else 0.0
        rest = self.top.volume(self.width, self.depth)
        return self.width * self.depth * self.shoulder + rest - taken

    @property
    def size(self) -> tuple[float, float, float]:
        """Width, depth and length."""
        return self.width, self.depth, self.length

    def from_level(self, deep: float) -> Post:
        """Return what of it is over a level, mm over its foot, under its bevels."""
        bevel = self.bevel.moved(-deep) if self.bevel is not None else None
        return replace(self, length=round(self.length - deep, 4) + 0.0, bevel=bevel)

    @property
    def plain(self) -> bool:
        """Whether it is a prism with at most a sloping or a four-way top."""
        return self.bevel is None and not isinstance(self.top, RoundTop)


def post_sides(post: Post, *, chords: bool = True) -> tuple[Face, ...]:
    """Return the upright faces of a post: front, right, back and left, each from bottom left.

    chords : with the points of a round top; without them its right and its left end alone.
    """
    w, d, high, top = post.width / 2.0, post.depth / 2.0, post.length, post.top
    front, back = (top.gable(w, high, back=far) for far in (False, True))
    if not chords:
        front, back = (front[0], front[-1]), (back[0], back[-1])
    near, far = front[0][1], back[0][1]
    right, left = ((d, far), (-d, near)), ((d, near), (-d, far))
    return (
        tuple((u, -d, z) for u, z in _around(post, w, front)),
        tuple((w, u, z) for u, z in _around(post, d, right)),
        tuple((-u, d, z) for u, z in _around(post, w, back)),
        tuple((-w, -u, z) for u, z in _around(post, d, left)),
    )


def _around(post: Post, half: float, top: tuple[Point, ...]) -> Iterator[Point]:
    """Yield the outline of a face, anticlockwise. half : of its width; top : its upper edge."""
    rising = list(post.bevel.edge(half)) if post.bevel is not None else []
    yield -half, 0.0
    yield half, 0.0
    yield from rising
    yield from top
    yield from ((-u, z) for u, z in reversed(rising))


def bevel_faces(post: Post) -> Iterator[Face]:
    """Yield the faces of a post's bevels and of their stops."""
    if post.bevel is None:
        return
    c, s, w, d = post.bevel.size, post.bevel.stop, post.width / 2.0, post.depth / 2.0
    for low, high in post.bevel.spans:
        rings = [
            _octagon(w, d, z, size)
            for z, size in ((low, 0.0), (low + s, c), (high - s, c), (high, 0.0))
        ]
        for side in (1, 3, 5, 7):  # from a face's right end on to the next one's left end
            after = (side + 1) % 8
            foot, under, over, head = ((ring[side], ring[after]) for ring in rings)
            yield foot[0], under[1], under[0]
            yield *under, over[1], over[0]
            yield over[0], over[1], head[0]


def _octagon(w: float, d: float, z: float, c: float) -> tuple[Vector, ...]:
    """Return a ring about the axis, from the left end of the front. c : what its corners lack."""
    return (
        (-w + c, -d, z), (w - c, -d, z), (w, -d + c, z), (w, d - c, z), (w - c, d, z),
        (-w + c, d, z), (-w, d - c, z), (-w, -d + c, z),
    )  # fmt: skip


def post_lengths(post: Post) -> Iterator[tuple[tuple[Vector, ...], tuple[Vector, ...]]]:
    """Yield the rings under and over each length of a bevelled post up to its last stop: between
    them it is convex.
    """
    assert post.bevel is not None
    c, s, w, d = post.bevel.size, post.bevel.stop, post.width / 2.0, post.depth / 2.0
    levels = [(0.0, 0.0)]
    for low, high in post.bevel.spans:
        levels += [(low, 0.0), (low + s, c), (high - s, c), (high, 0.0)]
    for (z0, c0), (z1, c1) in itertools.pairwise(levels):
        if z1 > z0:
            yield _octagon(w, d, z0, c0), _octagon(w, d, z1, c1)


def post_head(post: Post) -> tuple[Post, float]:
    """Return what of a post is over its bevels, and how high its foot is, mm."""
    start = post.bevel.spans[-1][1] if post.bevel is not None else 0.0
    return Post(post.width, post.depth, post.length - start, post.top), start
