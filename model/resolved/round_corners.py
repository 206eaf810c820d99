"""Corners of a line that are rounded: an arc in place of each, in short bays."""

from __future__ import annotations

import math
from dataclasses import replace

from palewright.model.basis.errors import KeyPath, Problem
from palewright.model.basis.units import format_length
from palewright.model.geometry.curves import Arc
from palewright.model.geometry.frames import Point
from palewright.model.site.path import Node
from palewright.model.site.site_line import turn_between, turns_by
from palewright.model.spec.post_keys import Corners, Posts

from .sites import Site

LEAST_TURN = 5.0
"""The line is rounded where it turns by more than this, degrees; below it bends at a post."""

BEND = 25.0
"""Most that the line bends from bay to bay on a rounded corner, degrees, where `curve_offset` does
not say (common practice, no source)."""


def rounded(
    site: Site, corners: Corners, posts: Posts, path: KeyPath, *, own: bool
) -> tuple[Site, Posts, list[Problem]]:
    """Return a line with its corners rounded, the posts with how far bays keep to the arcs, and
    what is wrong. path : of the run; own : whether what is said of corners is said of it alone.
    """
    radius = corners.radius
    if radius is None:
        return site, posts, []
    if corners.posts == "pair":
        text = "there is no corner for a pair of posts where it is rounded"
        return site, posts, [Problem((*path, "corners", "posts"), text)]
    nodes, ring = site.nodes, site.closed
    count = len(nodes)
    made: list[Node] = []
    taken = [0.0] * count  # of the leg after each node
    for number, node in enumerate(nodes):
        inner = ring or 0 < number < count - 1
        after = nodes[(number + 1) % count]
        if not inner or node.curve is not None or after.curve is not None:
            made.append(node)
            continue
        before = nodes[number - 1]
        one, two = _way(before.at, node.at), _way(node.at, after.at)
        turn = turn_between(one, two)
        if not turns_by(turn, LEAST_TURN):
            made.append(node)
            continue
        back = radius * math.tan(math.radians(abs(turn)) / 2.0)
        taken[number - 1] += back
        taken[number] += back
        made += _arc(node, (one, two), turn, (radius, back))
    for number, used in enumerate(taken):
        after = nodes[(number + 1) % count]
        if used and used > math.dist(nodes[number].at, after.at) - 1.0:
            text = (
                f"arcs of {format_length(radius, 0)} mm take {format_length(used, 0)} mm of leg "
                f"{number + 1}, which is only "
                f"{format_length(math.dist(nodes[number].at, after.at), 0)} mm long; a smaller one"
            )
            return site, posts, [Problem((*path, "corners", "radius"), text)]
    if len(made) == count and not own:
        return site, posts, []  # of several runs that share the table some may be straight
    if len(made) == count:
        text = "the line has no corner between straight parts to round"
        return site, posts, [Problem((*path, "corners", "radius"), text)]
    if posts.curve_offset is None:
        near = radius * (1.0 - math.cos(math.radians(BEND) / 2.0))
        posts = posts.model_copy(update={"curve_offset": max(near, 1.0)})
    return replace(site, nodes=tuple(made)), posts, []


def _way(a: Point, b: Point) -> Point:
    length = math.dist(a, b)
    return (b[0] - a[0]) / length, (b[1] - a[1]) / length


def _arc(node: Node, ways: tuple[Point, Point], turn: float, sizes: Point) -> tuple[Node, Node]:
    """Return the ends of the arc in place of a corner, both at its level. turn : degrees to the
    left; sizes : radius, and how far from the corner it starts, mm.
    """
    (one, two), (radius, back), (x, y) = ways, sizes, node.at
    start = x - back * one[0], y - back * one[1]
    end = x + back * two[0], y + back * two[1]
    side = math.copysign(1.0, turn)
    centre = start[0] - side * radius * one[1], start[1] + side * radius * one[0]
    first = math.atan2(start[1] - centre[1], start[0] - centre[0])
    arc = Arc(centre, radius, first, math.radians(turn))
    return Node(start, node.level), Node(end, node.level, arc)
