"""Key elevations: which mark goes where, bay by bay, in rows under each front."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import Item, Line, MarkData, Text, View
from palewright.model.geometry.frames import dot
from palewright.model.geometry.shapes import bar_of
from palewright.model.lists.bay_marks import BayLine, marks_words
from palewright.model.parts.members import (
    ANCHOR,
    BOARD,
    BOLT,
    BRACKET,
    CAP,
    CAPPING,
    COACH_SCREW,
    FINIAL,
    IN_HOLE,
    KEPT_POST,
    KICK_BOARD,
    METAL_CAP,
    PALE,
    PLATES,
    POSTS,
    RAIL,
    STEEL_FEET,
    Member,
)

from .elevation import Elevation, elevation_name, end_walls, members_seen
from .members_shown import ground_line
from .post_labels import post_labels
from .table_views import wrapped
from .titles import titled

ROW, FIRST = 5.0, 7.0
"""From row to row of marks, and from the lowest ground to the first, mm on paper."""

HEAD = 2.0
"""From the words that head a row to the fence, mm on paper."""

NOTED = (
    *IN_HOLE, CAP, METAL_CAP, FINIAL, BOLT, BRACKET, ANCHOR, COACH_SCREW, *STEEL_FEET
)  # fmt: skip
"""Kinds whose marks are told in notes."""

INFILL = (PALE, BOARD)

UPRIGHT = (*POSTS, *PLATES, KEPT_POST)

LegLines = dict[tuple[int, int], list[BayLine]]


@dataclass(frozen=True)
class MarkSpot:
    """Marks with the room for them in a row. x0, x1 : along the front, mm; lines : the bays that
    they are of; spanned : whether a line shows how far their member reaches; members : that the
    marks are of, for CAD; place : where these are.
    """

    text: str
    x0: float
    x1: float
    lines: tuple[BayLine, ...]
    spanned: bool = False
    members: tuple[Member, ...] = ()
    place: str = ""

    def data(self, draft: Draft) -> tuple[MarkData, ...]:
        """Return what its marks stand for."""
        counts = Counter(member.mark for member in self.members)
        firsts = {member.mark: member for member in reversed(self.members)}
        return tuple(
            _mark_data(firsts[mark], count, self.place, draft) for mark, count in counts.items()
        )


@dataclass(frozen=True)
class Key:
    """A key elevation. shown : its front; legs : bays and gates of all legs."""

    shown: Elevation
    legs: LegLines

    @cached_property
    def lines(self) -> tuple[tuple[float, BayLine], ...]:
        """The bays and gates that are shown, each with where its leg starts along the front."""
        front, window = self.shown.front, self.shown.window
        return tuple(
            (front.starts[leg], line)
            for leg in front.legs
            for line in self.legs.get((self.shown.part.run, leg), ())
            if window.holds(front.starts[leg] + (line.x0 + line.x1) / 2.0)
        )

    @cached_property
    def rows(self) -> tuple[tuple[str, tuple[MarkSpot, ...]], ...]:
        """Rows of marks by what heads them."""
        courses: dict[int, list[MarkSpot]] = {}
        for start, line in self.lines:
            for member in line.members:
                if member.kind == RAIL:
                    spot = self._rail(start, line, member)
                    courses.setdefault(course(member), []).append(spot)
        last = max(courses, default=1)
        ends = {1: "rails"} if last == 1 else {1: "bottom rails", last: "top rails"}
        rails = [
            (ends.get(n, f"rails {n}"), tuple(courses[n])) for n in sorted(courses, reverse=True)
        ]
        rows = [
            ("posts", tuple(self._posts())),
            ("bays", tuple(self._bay(s, x) for s, x in self.lines)),
            ("capping", tuple(self._lying(CAPPING))),
            *rails,
            ("pales", self._infill(PALE)),
            ("kick boards", tuple(self._lying(KICK_BOARD))),
            ("boards", self._infill(BOARD)),
        ]
        return tuple((head, spots) for head, spots in rows if spots)

    def fits(self, spot: MarkSpot) -> bool:
        """Tell whether marks have room in their row."""
        draft = self.shown.draft
        return draft.width(spot.text) + 1.0 * draft.n <= spot.x1 - spot.x0

    @property
    def left_out(self) -> list[BayLine]:
        """The bays of which not all marks have room."""
        names = {
            (line.run, line.name)
            for _, spots in self.rows
            for spot in spots
            if not self.fits(spot)
            for line in spot.lines
        }
        return [line for _, line in self.lines if (line.run, line.name) in names]

    def _bay(self, start: float, line: BayLine) -> MarkSpot:
        """Return a bay's number, with those of its members that no other row is for."""
        own = tuple(
            m
            for m in line.members
            if not m.station
            and m.kind not in (RAIL, CAPPING, KICK_BOARD)
            and (m.leaf is not None or m.kind not in INFILL)
        )
        reach = self._reach(start, line)
        return MarkSpot(line.number, *reach, (line,), members=own, place=line.name)

    def _reach(self, start: float, line: BayLine) -> tuple[float, float]:
        return start + line.x0, start + line.x1

    def _lying(self, kind: object) -> Iterator[MarkSpot]:
        """Yield the mark of each piece of a kind that lies along the front."""
        for start, line in self.lines:
            for member in line.members:
                if member.kind == kind:
                    yield self._rail(start, line, member)

    def _infill(self, kind: object) -> tuple[MarkSpot, ...]:
        """Return the marks of pales or boards in each bay; those of a gate are on its leaves."""
        found = []
        for start, line in self.lines:
            members = [m for m in line.members if m.kind == kind and m.leaf is None]
            if members:
                counts = Counter(m.mark for m in members)
                text = marks_words(iter(counts.items()))
                reach = self._reach(start, line)
                found.append(
                    MarkSpot(text, *reach, (line,), members=tuple(members), place=line.name)
                )
        return tuple(found)

    def _rail(self, start: float, line: BayLine, member: Member) -> MarkSpot:
        """Return a rail's mark with how far the rail reaches."""
        bar = bar_of(member.shape)
        assert bar is not None
        leg = self.shown.front.layout.legs[line.leg].frame
        x = start + leg.local(member.frame.origin)[0]
        low, high = bar.overall
        along = dot(member.frame.x, leg.x)
        window = self.shown.window
        ends = max(x + low * along, window.left), min(x + high * along, window.right)
        return MarkSpot(
            member.mark, *ends, (line,), spanned=True, members=(member,), place=line.name
        )

    def _posts(self) -> Iterator[MarkSpot]:
        """Yield the mark of each post, its room half-way to its neighbours."""
        shown = self.shown
        at: dict[str, list[BayLine]] = {}
        counted = {m.name for _, line in self.lines for m in line.members}  # once in the fence
        for _, line in self.lines:
            for label in (line.first, line.last):
                at.setdefault(label, []).append(line)
        xs = [x for x, _ in shown.stations]
        for n, (x, post) in enumerate(shown.stations):
            near = [abs(x - other) for other in (*xs[max(0, n - 1) : n], *xs[n + 1 : n + 2])]
            half = min(near, default=1000.0) / 2.0
            made = shown.fence.of_post.get((shown.part.run, post.label), ())
            mark = next((m.mark for m in made if m.kind in UPRIGHT), "")
            if mark:
                lines = tuple(at.get(post.label, ()))
                own = tuple(m for m in made if m.name in counted)
                yield MarkSpot(mark, x - half, x + half, lines, members=own, place=post.label)


def _mark_data(member: Member, count: int, place: str, draft: Draft) -> MarkData:
    """Return what a mark stands for, in the figures of the drawing."""
    *section, length = member.size
    size = " x ".join(draft.figures.fine(one) for one in section)
    return MarkData(member.mark, member.kind.name, size, draft.usual(length), count, place)


def course(rail: Member) -> int:
    """Return the number of a rail in its bay, the lowest first."""
    return int(rail.role.split()[1])


def key_elevation(key: Key) -> View:
    """Return a front with the marks of its members in rows under it."""
    shown, draft = key.shown, key.shown.draft
    n = draft.n
    left, right = shown.span
    items: list[Item] = [
        *members_seen(shown),
        *ground_line(shown.front.ground, shown.ground_span, draft, shown.front.known),
        *end_walls(shown),
        *post_labels(shown.front, shown.stations, draft, heights=False),
    ]
    y = shown.deepest - draft.full(FIRST)
    edge = min([left, *(spot.x0 for _, spots in key.rows for spot in spots)])
    for head, spots in key.rows:
        items.append(Text(head, (edge - HEAD * n, y), draft.text, "right"))
        for spot in spots:
            text = spot.text if key.fits(spot) else ""
            middle = ((spot.x0 + spot.x1) / 2.0, y)
            items.append(Text(text, middle, draft.text, "centre", data=spot.data(draft)))
            if spot.spanned:
                items += _span(spot, y, n)
        y -= draft.full(ROW)
    width = max((right - left) / n, 90.0)
    notes = [line for text in _notes(key) for line in wrapped(text, width, draft.text)]
    stations = shown.stations
    posts = f"{stations[0][1].label} to {stations[-1][1].label}"
    title = f"Marks on elevation {elevation_name(shown.front)}, posts {posts}"
    return titled(title, items, draft, notes=notes)


def _span(spot: MarkSpot, y: float, n: float) -> Iterator[Line]:
    """Yield a line under a mark as long as its member, with a stroke at each end."""
    low, tick = y - 0.9 * n, 0.6 * n
    yield Line.through(((spot.x0, low), (spot.x1, low)), layers.RAILS)
    for x in (spot.x0, spot.x1):
        yield Line.through(((x, low - tick), (x, low + tick)), layers.RAILS)


def _notes(key: Key) -> Iterator[str]:
    """Yield the marks of what is too small or too deep to be marked where it is."""
    members = [m for _, line in key.lines for m in line.members]
    for kind in NOTED:
        counts = Counter(m.mark for m in members if m.kind == kind)
        if counts:
            yield f"{kind.name}: {marks_words(iter(counts.items()))}"
