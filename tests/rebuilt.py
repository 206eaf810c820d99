"""A fence built again from what its sheets have printed on them, as a stranger would build it.

Nothing of the project is used: figures and words come from `printed`, solids are made here. Each
is told by its mark and by the triangles of its surface, mm, site coordinates.
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from printed import PrintedSet
from scipy.spatial import ConvexHull

Array = NDArray[np.float64]
Row = dict[str, str]
Loop = list[tuple[float, float]]

FLAT = 0.1
"""Arcs become chords no farther from them than this, mm."""

UP = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True)
class Rebuilt:
    """A member built again. triangles : (n, 3, 3), mm."""

    mark: str
    triangles: Array


@dataclass(frozen=True)
class Ground:
    """A line of the fence. start : (x, y), mm; along, behind : unit vectors in plan; faces : how
    far what is named is in front of it.
    """

    start: Array
    along: Array
    behind: Array
    faces: dict[str, float]

    def at(self, x: float, before: float, level: float) -> Array:
        """Return the point at x along the line, so far in front of it, at a level."""
        return self.start + x * self.along - before * self.behind + level * UP


@dataclass(frozen=True)
class Builder:
    """Builds a fence from what is printed."""

    sheets: PrintedSet

    def members(self) -> Iterator[Rebuilt]:
        """Yield every member."""
        yield from self.posts()
        yield from self.rails()
        yield from self.uprights()
        yield from self.cappings()
        yield from self.kick_boards()
        yield from self.pales()
        yield from self.leaves()
        yield from self.fittings()
        yield from self.bolts()
        yield from self.boards()
        yield from self.anchors()
        yield from self.brackets()
        yield from self.steel()

    @cached_property
    def marks(self) -> dict[str, Row]:
        """The schedule of members by mark."""
        return {row["mark"]: row for row in self.sheets.table("Members by mark")}

    def size(self, mark: str) -> tuple[float, float, float]:
        """Return width, thickness and length of a mark, mm."""
        row = self.marks[mark]
        return float(row["width"]), float(row["thickness"]), float(row["length"])

    def notes(self, mark: str) -> str:
        """Return what the schedule says of cuts of a mark."""
        return self.marks[mark]["end cuts off square, sides"]

    @cached_property
    def lines(self) -> dict[str, Ground]:
        """The lines by name."""
        before = {row["lines"]: row for row in self.sheets.table("In front of the lines")}
        found = {}
        for row in self.sheets.table("Lines through the middles of line posts"):
            ends = [np.array([site(row, f"{end} east"), site(row, f"{end} north"), 0.0])
                    for end in ("from", "to")]  # fmt: skip
            along = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
            faces = before[re.match("[A-Z]+", row["line"]).group()]  # type: ignore[union-attr]
            names = [name for name in faces if name not in ("lines", "run") and faces[name]]
            found[row["line"]] = Ground(
                ends[0], along, np.array([-along[1], along[0], 0.0]),
                {name: float(faces[name]) for name in names},
            )  # fmt: skip
        return found

    @cached_property
    def levels(self) -> dict[str, Row]:
        """The levels at each post."""
        posts = [row["post"] for row in self.sheets.table("Setting out")]
        found = {}
        for row in self.sheets.table("Levels, of which"):
            ends = row["posts"].replace(" plate", "").split(" to ")
            for post in posts[posts.index(ends[0]) : posts.index(ends[-1]) + 1]:
                found[post] = row
        return found

    def posts(self) -> Iterator[Rebuilt]:
        """Yield posts and plates on walls, with their footings and caps."""
        for row in self.sheets.table("Setting out"):
            levels = self.levels[row["post"]]
            bearing = math.radians(float(row["faces"].rstrip("°")))
            front = np.array([math.sin(bearing), math.cos(bearing), 0.0])
            side = np.array([-front[1], front[0], 0.0])
            spot = np.array([site(row, "east"), site(row, "north"), 0.0])
            stand = (spot, side, -front)
            top = site(levels, "post top")
            post = row["marks"].split(", ")[0]
            width, depth, length = self.size(post)
            rise, shape = self.top_of(row["kind"])
            rise = 0.0 if "CA" in row["marks"] or "MC" in row["marks"] else rise
            made = self.post(post, (top - length, top), rise, shape)
            yield Rebuilt(post, in_place(made.reshape(-1, 3), stand).reshape(-1, 3, 3))
            for mark in row["marks"].split(", ")[1:]:
                if mark.startswith(("FO", "PK")):
                    made = self.concrete(mark, row, levels, (width, depth, top - length))
                    yield Rebuilt(mark, in_place(made.reshape(-1, 3), stand).reshape(-1, 3, 3))
                elif mark.startswith("FI"):
                    caps = [m for m in row["marks"].split(", ") if m.startswith("CA")]
                    foot = top + sum(self.size(cap)[2] for cap in caps)
                    made = self.finial(row["kind"], foot)
                    yield Rebuilt(mark, in_place(made.reshape(-1, 3), stand).reshape(-1, 3, 3))
                elif mark.startswith("MC"):
                    made = self.metal_cap(mark, row["kind"], top)
                    yield Rebuilt(mark, in_place(made.reshape(-1, 3), stand).reshape(-1, 3, 3))
                else:
                    yield Rebuilt(mark, hull(in_place(self.cap(mark, row["kind"], top), stand)))

    def post(self, mark: str, ends: tuple[float, float], rise: float, shape: str) -> Array:
        """Return the surface of a post about its middle, length by length where it is bevelled.

        ends : levels of its foot and of its highest point; rise, shape : of its top.
        """
        width, depth, _ = self.size(mark)
        foot, top = ends
        told = re.search(
            r"bevelled ([\d.]+) from (.*) over the foot, (?:stops ([\d.]+)|cut)", self.notes(mark)
        )
        parts, start = [], 0.0
        if told:
            size, stop = float(told.group(1)), float(told.group(3) or 0.0)
            for span in told.group(2).split(", "):
                low, high = (float(end) for end in span.split(" to "))
                levels = [(start, 0.0), (low, 0.0), (low + stop, size), (high - stop, size),
                          (high, 0.0)]  # fmt: skip
                for (z0, c0), (z1, c1) in itertools.pairwise(levels):
                    if z1 > z0:
                        rings = [
                            octagon(width, depth, foot + z, c) for z, c in ((z0, c0), (z1, c1))
                        ]
                        parts.append(hull(np.concatenate(rings)))
                start = high
        parts.append(hull(post_points(width, depth, foot + start, top, rise, shape)))
        return np.concatenate(parts)

    def metal_cap(self, mark: str, kind: str, top: float) -> Array:
        """Return the surface of a metal cap over a post's middle: its outside and its inside."""
        width, depth, height = self.size(mark)
        view = self.sheets.view(rf"Top of .*\b{kind}\b.* post")
        words = next(w for w in view.words if w.startswith("metal cap"))
        metal = float(re.findall(r"[\d.]+", words)[-1])
        skirt = max(float(part) for part in view.upright)
        rise = height - skirt - metal
        made = []
        for less, over in ((0.0, metal), (metal, 0.0)):
            points = post_points(width - 2.0 * less, depth - 2.0 * less, top - skirt,
                                 top + over + rise, rise, "four-way")  # fmt: skip
            made.append(hull(points))
        return np.concatenate(made)

    def top_of(self, kind: str) -> tuple[float, str]:
        """Return how high the cut of a post's top is, and how it is made, in words."""
        if kind.startswith("plate on "):
            return 0.0, "cut square"
        view = self.sheets.view(rf"Top of .*\b{kind}\b.* post")
        words = next(w for w in view.words if w.startswith(TOPS))
        return (float(view.upright[0]) if view.upright and words[:3] != "cut" else 0.0), words

    def cap(self, mark: str, kind: str, under: float) -> Array:
        """Return the corners of a cap over a post's middle."""
        width, depth, height = self.size(mark)
        view = self.sheets.view(rf"Top of .*\b{kind}\b.* post")
        thick = float(view.upright[0])
        sizes = sorted(float(part) for part in view.upright)
        assert any(math.isclose(a + b, height) for a in sizes for b in [*sizes, 0.0])
        flat = [w for w in view.words if "a flat left" in w]
        if not flat:
            return post_points(width, depth, under, under + height, height - thick, "four-way")
        seat = float(self.finial_words(kind)[0].split(" x ")[0].lstrip("Ø"))  # as wide as its disc
        rings = [(width, depth, 0.0), (width, depth, thick)]
        share = seat / min(width, depth)
        rings.append((width * share, depth * share, height))
        return np.array([
            (w / 2.0 * x, d / 2.0 * y, under + z) for w, d, z in rings for x, y in SQUARE
        ])  # fmt: skip

    def finial_words(self, kind: str) -> list[str]:
        """Return what is said of each part of the finial on posts of a kind."""
        words = self.sheets.view(rf"Top of .*\b{kind}\b.* post").words
        return words[words.index("finial turned, from its foot up:") + 1].split(", ")

    def finial(self, kind: str, foot: float) -> Array:
        """Return the surface of a finial over a post's middle, turned from what is said."""
        parts = self.finial_words(kind)
        outline: list[tuple[float, float]] = [(0.0, foot)]
        z = foot
        for number, part in enumerate(parts):
            sizes = [float(size) for size in re.findall(r"[\d.]+", part)]
            if part.startswith("Ø"):
                outline += [(sizes[0] / 2.0, z), (sizes[0] / 2.0, z + sizes[1])]
                z += sizes[1]
            elif part.startswith("cone"):
                outline.append((0.0, z + sizes[1]))
            elif part.startswith("ball"):
                radius, start = sizes[0] / 2.0, outline[-1][0]
                after = parts[number + 1] if number + 1 < len(parts) else ""
                end = float(re.findall(r"[\d.]+", after)[0]) / 2.0 if after else 0.0
                low, high = -math.acos(start / radius), math.acos(end / radius)
                middle = z - radius * math.sin(low)
                turns = np.linspace(low, high, 25)
                outline += [(radius * math.cos(t), middle + radius * math.sin(t)) for t in turns]
                z = middle + radius * math.sin(high)
        return lathe(outline)

    def concrete(self, mark: str, row: Row, levels: Row, post: tuple[float, float, float]) -> Array:
        """Return the surface of the concrete round a post's foot, about the post's middle."""
        width, depth, foot = post
        low, edge = (
            site(levels, "hole bottom"),
            site(levels, "gravel" if "gravel" in levels or "gravel (m)" in levels else "concrete"),
        )
        told = re.search(r"top rises ([\d.]+)", self.notes(mark))
        rises = float(told.group(1)) if told else 0.0
        sign, size = row["hole"][0], row["hole"].lstrip("Ø□")
        inner = [(width / 2.0 * x, depth / 2.0 * y) for x, y in SQUARE]
        if sign == "Ø":
            radius = float(size) / 2.0
            angles = sorted({*np.linspace(-math.pi, math.pi, 97)[:-1],
                             *(math.atan2(y, x) for x, y in inner)})  # fmt: skip
            outer = [(radius * math.cos(a), radius * math.sin(a)) for a in angles]
            reach = [min(width / 2.0 / max(abs(math.cos(a)), 1e-9),
                         depth / 2.0 / max(abs(math.sin(a)), 1e-9)) for a in angles]  # fmt: skip
            inner = [(r * math.cos(a), r * math.sin(a)) for r, a in zip(reach, angles, strict=True)]
            corner = math.hypot(width, depth) / 2.0
            # a cone from the hole's rim over the post's corners
            heights = [edge + rises * (radius - r) / (radius - corner) for r in reach]
        else:
            sides = [float(part) for part in size.split(" x ")]
            outer = [(sides[0] / 2.0 * x, sides[-1] / 2.0 * y) for x, y in SQUARE]
            heights = [edge + rises] * 4
        rings = [
            [(x, y, low) for x, y in outer],
            [(x, y, edge) for x, y in outer],
            [(x, y, z) for (x, y), z in zip(inner, heights, strict=True)],
            [(x, y, foot) for x, y in inner],
        ]
        walls = [quads(np.array(a), np.array(b)) for a, b in zip(rings, rings[1:], strict=False)]
        return np.concatenate([*walls, fan(np.array(rings[0])), fan(np.array(rings[-1]))])

    @cached_property
    def arris(self) -> bool:
        """Whether rails are arris rails."""
        return "arris rail" in self.sheets.words

    def rails(self) -> Iterator[Rebuilt]:
        """Yield the rails: upright cuts at both ends, those of a row equally long."""
        for row in self.sheets.table("Rails along the lines"):
            line, count = self.lines[row["line"]], int(row["no."])
            ends = float(row["from"]), float(row["to"])
            levels = site(row, "underside left"), site(row, "underside right")
            slope = (levels[1] - levels[0]) / (ends[1] - ends[0])
            high = self.size(row["mark"])[0] * math.hypot(1.0, slope)
            for front in itertools.pairwise(np.linspace(*ends, count + 1)):
                behind = front
                if row["back from"]:
                    behind = float(row["back from"]), float(row["back to"])
                points = []
                for xs, face in ((front, "rails' fronts"), (behind, "rails' backs")):
                    ups = (0.0, high)
                    if self.arris and face == "rails' backs":
                        ups = (high / 2.0, high / 2.0)
                    for x in xs:
                        low = levels[0] + slope * (x - ends[0])
                        points += [line.at(x, line.faces[face], low + up) for up in ups]
                yield Rebuilt(row["mark"], hull(np.array(points)))

    def uprights(self) -> Iterator[Rebuilt]:
        """Yield the uprights of panels: upright and square, as deep as the rails."""
        for row in self.sheets.table("Panel uprights along the lines"):
            line = self.lines[row["line"]]
            points = [
                line.at(float(row[x]), line.faces[face], site(row, z))
                for x in ("left edge", "right edge")
                for face in ("rails' fronts", "rails' backs")
                for z in ("foot", "top")
            ]
            yield Rebuilt(row["mark"], hull(np.array(points)))

    def cappings(self) -> Iterator[Rebuilt]:
        """Yield the capping rails, their drip grooves left out: upright cuts at both ends."""
        for row in self.sheets.table("Capping rails along the lines"):
            line, count = self.lines[row["line"]], int(row["no."])
            said = " ".join(self.sheets.view("Capping rail, section").words)
            falls = re.search(r"its top falls ([\d.]+) to (both edges|the front|the back)", said)
            fall, way = (float(falls.group(1)), falls.group(2)) if falls else (0.0, "")
            _, thick, _ = self.size(row["mark"])
            front, back = line.faces["capping's front"], line.faces["capping's back"]
            edges = [thick - fall * (way in ("both edges", f"the {end}"))
                     for end in ("front", "back")]  # fmt: skip
            section = [(front, 0.0), (back, 0.0), (back, edges[1]), ((front + back) / 2.0, thick),
                       (front, edges[0])]  # fmt: skip
            if way != "both edges":
                del section[3]
            ends = float(row["from"]), float(row["to"])
            levels = site(row, "underside left"), site(row, "underside right")
            slope = (levels[1] - levels[0]) / (ends[1] - ends[0])
            for xs in itertools.pairwise(np.linspace(*ends, count + 1)):
                rear = (float(row["back from"]), float(row["back to"])) if row["back from"] else xs
                points = []
                for x, behind in zip(xs, rear, strict=True):
                    for before, up in section:
                        at = x + (behind - x) * (front - before) / (front - back)
                        low = levels[0] + slope * (at - ends[0])
                        high = up * math.hypot(1.0, slope)
                        points.append(line.at(at, before, low + high))
                yield Rebuilt(row["mark"], hull(np.array(points)))

    def kick_boards(self) -> Iterator[Rebuilt]:
        """Yield the kick boards: upright cuts at both ends."""
        for row in self.sheets.table("Kick boards along the lines"):
            line, count = self.lines[row["line"]], int(row["no."])
            front, (high, thick, _) = line.faces["kick boards' fronts"], self.size(row["mark"])
            ends = float(row["from"]), float(row["to"])
            levels = site(row, "underside left"), site(row, "underside right")
            slope = (levels[1] - levels[0]) / (ends[1] - ends[0])
            high *= math.hypot(1.0, slope)
            for xs in itertools.pairwise(np.linspace(*ends, count + 1)):
                rear = (float(row["back from"]), float(row["back to"])) if row["back from"] else xs
                points = [
                    line.at(x, before, levels[0] + slope * (x - ends[0]) + up)
                    for places, before in ((xs, front), (rear, front - thick))
                    for x in places
                    for up in (0.0, high)
                ]
                yield Rebuilt(row["mark"], hull(np.array(points)))

    def capping_rises(self, line: str, x: float) -> float:
        """Return how much the capping rail over a place of a line rises, mm; 0 without one."""
        for row in self.sheets.table("Capping rails along the lines"):
            ends = sorted(
                float(row[end]) for end in ("from", "to", "back from", "back to") if row[end]
            )
            if row["line"] == line and ends[0] <= x <= ends[-1]:
                return site(row, "underside right") - site(row, "underside left")
        return 0.0

    def pales(self) -> Iterator[Rebuilt]:
        """Yield the pales of the fence, row by row."""
        for row in self.sheets.table("Pales along the lines"):
            feet = (site(row, "first foot"), site(row, "last foot"))
            yield from self.pale_row(row, listed(row["marks, left to right"]), feet)

    def pale_row(self, row: Row, marks: list[str], feet: tuple[float, float]) -> Iterator[Rebuilt]:
        """Yield pales with equal gaps, their feet in a straight line."""
        line = self.lines[row["line"]]
        assert len(marks) == int(row["pales"])
        widths = [self.size(mark)[0] for mark in marks]
        layer = f"{row['on']} " if row.get("on", "front") != "front" else ""
        first, end = float(row["left edge"]), float(row["right edge"])
        gap = (end - first - math.fsum(widths)) / max(len(marks) - 1, 1)
        apart = max(end - widths[-1] / 2.0 - first - widths[0] / 2.0, 1.0)
        for place, mark in enumerate(marks):
            x = first + math.fsum(widths[:place]) + place * gap
            share = (x + widths[place] / 2.0 - first - widths[0] / 2.0) / apart
            foot = feet[0] + share * (feet[1] - feet[0])
            width, thick, length = self.size(mark)
            face = line.faces[f"{layer}pales' fronts"], thick
            if row.get("pales' backs"):  # of a leaf that slides behind the fence
                face = float(row["pales' backs"]) + thick, thick
            shape = self.pale(width, length, self.notes(mark))
            if (
                self.capping_rises(row["line"], x + width / 2.0) * (shape[2][1] - shape[-1][1])
                < 0.0
            ):
                # its other face to the front
                shape = [(width - u, v) for u, v in (shape[1], shape[0], *shape[:1:-1])]
            loop = [(x + u, foot + v) for u, v in shape]
            yield Rebuilt(mark, self.plate(mark, line, loop, face))

    def plate(self, mark: str, line: Ground, loop: Loop, face: tuple[float, float]) -> Array:
        """Return a plate by its outline along a line; its sides bevelled as the schedule says.

        A bevel is a plane from the edge of the wide face to the other face.
        face : how far its front is before the line, and its thickness, mm.
        """
        low, high = min(x for x, _ in loop), max(x for x, _ in loop)
        bevels = []
        for side, degrees, wide in re.findall(
            r"(left|right) side bevelled ([\d.]+)°, wide at the (\w+)", self.notes(mark)
        ):
            taken = face[1] * math.tan(math.radians(float(degrees)))
            edge, way = (low, 1.0) if side == "left" else (high, -1.0)
            bevels.append((wide, edge, edge + way * taken))

        def lifted(points: Array, wide: str) -> Array:
            """Return points of the outline on the face that bevels on a side take from."""
            x, z = points[..., 0], points[..., 1]
            taken = np.zeros_like(x) + sum(
                np.clip((end - x) / (end - edge), 0.0, 1.0) for of, edge, end in bevels
                if of == wide
            )  # fmt: skip
            share = taken if wide == "back" else 1.0 - taken
            before = (face[0] - face[1] * share)[..., None] * -line.behind
            return line.start + x[..., None] * line.along + before + z[..., None] * UP

        ends = sorted(end for *_, end in bevels)
        parts = [strip(loop, *of) for of in zip([low, *ends], [*ends, high], strict=True)]
        faces = np.concatenate([triangulated(part) for part in parts])
        ring = np.array(crossed_at(loop, ends))
        sides = [lifted(ring, wide) for wide in ("back", "front")]
        return np.concatenate(
            [quads(sides[0], sides[1]), *(lifted(faces, wide) for wide in ("back", "front"))]
        )

    def pale(self, width: float, length: float, notes: str) -> Loop:
        """Return the outline of a pale from its left lower corner, as its head is figured."""
        aslant = re.match(r"left side ([\d.]+) high, right side ([\d.]+)", notes)
        capped = self.sheets.table("Capping rails along the lines")
        if aslant or capped:
            left, right = map(float, aslant.groups()) if aslant else (length, length)
            bent = re.search(r"top bends ([\d.]+) from its left side, ([\d.]+) high there", notes)
            knee = [tuple(map(float, bent.groups()))] if bent else []
            return [(0.0, 0.0), (width, 0.0), (width, right), *knee, (0.0, left)]  # type: ignore[list-item]
        told = re.search(r"pale head (\d+)", notes)
        view = self.sheets.view(f"Pale head {told.group(1)}," if told else "Pale head")
        words = " ".join(view.words)
        rise = math.fsum(map(float, view.upright))
        spring, half = length - rise, width / 2.0
        told = re.search(r"arcs of radius ([\d.]+)", words)
        radius = float(told.group(1)) if told else 0.0
        if "clipped" in view.words:
            across = float(min(view.level, key=float))
            top = [(width, spring), (width - across, length), (across, length), (0.0, spring)]
        elif "pointed" in view.words:
            top = [(width, spring), (half, length), (0.0, spring)]
        elif "round" in view.words:
            assert radius == half
            top = arc((half, spring), radius, 0.0, math.pi)
        elif "pointed arch" in view.words:
            # centres on the springing line, the arcs leaving the sides without a kink
            over = math.atan2(rise, radius - half)
            right = arc((width - radius, spring), radius, 0.0, over)
            left = arc((radius, spring), radius, math.pi - over, math.pi)
            top = [*right, *left]
        else:
            raise AssertionError(f"an unknown head: {view.words}")
        return [(0.0, 0.0), (width, 0.0), *top]

    def leaves(self) -> Iterator[Rebuilt]:
        """Yield the pales, ledges and braces of gate leaves."""
        for row in self.sheets.table("Gate leaves along the lines"):
            line, feet = self.lines[row["line"]], site(row, "feet")
            yield from self.pale_row(row, listed(row["marks"]), (feet, feet))
            ledges = listed(row["ledges"])
            lows = [
                scaled("undersides", row, low) for low in row[key_of(row, "undersides")].split(", ")
            ]
            face = float(row.get("pales' backs") or line.faces["pales' backs"])
            x0, x1 = float(row["from"]), float(row["to"])
            for mark, low in zip(ledges, lows, strict=True):
                high, thick, _ = self.size(mark)
                loop = [(x0, face), (x1, face), (x1, face - thick), (x0, face - thick)]
                if told := re.search(r"tenons ([\d.]+) long and ([\d.]+) thick", self.notes(mark)):
                    loop = tenoned((x0, x1), (face, thick), *map(float, told.groups()))
                yield Rebuilt(mark, upright(line, loop, (low, low + high)))
            high = self.size(ledges[0])[0]
            ends = {
                (end, way): [float(x) for x in row[f"{end} {way}"].split(" and ") if x]
                for end in ("foot", "head")
                for way in ("from", "to")
            }
            columns = range(len(ends["foot", "from"]))
            places = itertools.product(zip(lows, lows[1:], strict=False), columns)
            for mark, ((low, top), column) in zip(listed(row["braces"]), places, strict=True):
                thick = self.size(mark)[1]
                points = [
                    line.at(ends[end, way][column], before, z)
                    for end, z in (("foot", low + high), ("head", top))
                    for way in ("from", "to")
                    for before in (face, face - thick)
                ]
                yield Rebuilt(mark, hull(np.array(points)))

    def fittings(self) -> Iterator[Rebuilt]:
        """Yield straps, pins, latches, keeps and drop bolts of gates."""
        for row in self.sheets.table("Gate fittings along the lines"):
            line = self.lines[row["line"]]
            xs = (float(row["from"]), float(row["to"]))
            ys = (float(row["before the line"]), float(row["and"]))
            zs = (site(row, "low"), site(row, "high"))
            if row["part"] in ("footing", "gravel packing"):
                yield Rebuilt(row["mark"], self.guide_hole(row, (xs, ys), zs))
                continue
            if profile := re.match(r"profile, (\w+) / (\w+): (.*)", self.notes(row["mark"])):
                yield Rebuilt(row["mark"], profiled(line, profile.groups(), xs, ys, zs))
                continue
            if row["part"] == "gate wheel":
                spot = line.at(sum(xs) / 2.0, ys[0], sum(zs) / 2.0)
                end = line.at(sum(xs) / 2.0, ys[1], sum(zs) / 2.0)
                yield Rebuilt(row["mark"], rod(spot, end, self.size(row["mark"])[0] / 2.0))
                continue
            told = re.match(r"angle of ([\d.]+), .* to the (\w+)", self.notes(row["mark"]))
            if told is not None:
                made = upright(line, bent(xs, ys, float(told.group(1)), told.group(2)), zs)
            elif row["part"] in ("hinge pin", "drop bolt", "ground socket", "guide roller"):
                middle = line.at(sum(xs) / 2.0, sum(ys) / 2.0, 0.0)
                radius = self.size(row["mark"])[0] / 2.0
                made = rod(middle + zs[0] * UP, middle + zs[1] * UP, radius)
            else:
                made = box(line, xs, ys, zs)
            yield Rebuilt(row["mark"], made)

    def guide_hole(self, row: Row, across: Loop, zs: tuple[float, float]) -> Array:
        """Return what fills the hole of the guide post in the row before it of the same gate."""
        rows = self.sheets.table("Gate fittings along the lines")
        post = next(r for r in rows if r["gate"] == row["gate"] and r["part"] == "guide post")
        line, (width, depth, _) = self.lines[row["line"]], self.size(post["mark"])
        hole = self.sheets.table("Setting out")[0]["hole"]
        told = {"hole bottom": f"{zs[0]:.2f}", "concrete": f"{zs[1]:.2f}"}
        made = self.concrete(row["mark"], {"hole": hole}, told, (width, depth, site(post, "low")))
        stand = (line.at(sum(across[0]) / 2.0, sum(across[1]) / 2.0, 0.0), line.along, line.behind)
        return in_place(made.reshape(-1, 3), stand).reshape(-1, 3, 3)

    def bolts(self) -> Iterator[Rebuilt]:
        """Yield bolts as rods of their nominal sizes, their heads flush with the rails' fronts."""
        rails = self.sheets.table("Rails along the lines")
        for row in self.sheets.table("Bolts along the lines"):
            line = self.lines[row["line"]]
            diameter, _, length = self.size(row["mark"])
            courses = row["rails"].split(", ")
            places = map(float, row["at"].split(", "))
            for x, course in itertools.product(places, courses):
                own = (r for r in rails if (r["line"], r["rail"]) == (row["line"], course))
                rail = min(own, key=lambda r: max(float(r["from"]) - x, x - float(r["to"])))
                ends = float(rail["from"]), float(rail["to"])
                lows = site(rail, "underside left"), site(rail, "underside right")
                low = lows[0] + (lows[1] - lows[0]) * (x - ends[0]) / (ends[1] - ends[0])
                spot = line.at(x, line.faces["rails' fronts"],
                               low + float(row["over its underside"]))  # fmt: skip
                yield Rebuilt(row["mark"], rod(spot, spot + length * line.behind, diameter / 2.0))

    def boards(self) -> Iterator[Rebuilt]:
        """Yield gravel boards."""
        for row in self.sheets.table("Gravel boards"):
            line = self.lines[row["line"]]
            head = next(name for name in row if name.startswith("corners"))
            pairs = (corner.split(" / ") for corner in row[head].split(", "))
            loop = [(float(x), scaled(head, row, z)) for x, z in pairs]
            thick = self.size(row["mark"])[1]
            face = line.faces["posts' fronts"] + (0.0 if self.arris else thick)
            yield Rebuilt(row["mark"], self.plate(row["mark"], line, loop, (face, thick)))

    def anchors(self) -> Iterator[Rebuilt]:
        """Yield the anchors of plates, level through the plate's middle into the wall."""
        plates = {row["post"]: row for row in self.sheets.table("Setting out")}
        tables = (("Wall anchors", "wall"), ("Coach screws of plates", "post"))
        held = ((row, row[on]) for title, on in tables for row in self.sheets.table(title))
        for row, hand in held:
            plate = plates[row["plate"]]
            bearing = math.radians(float(plate["faces"].rstrip("°")))
            right = np.array([-math.cos(bearing), math.sin(bearing), 0.0])
            into = right if hand == "right" else -right
            spot = np.array([site(plate, "east"), site(plate, "north"), 0.0])
            diameter, _, length = self.size(row["mark"])
            deep = self.size(plate["marks"])[0] / 2.0 + float(row["into it"])
            for level in row[key_of(row, "levels")].split(", "):
                end = spot + deep * into + scaled("levels", row, level) * UP
                yield Rebuilt(row["mark"], rod(end - length * into, end, diameter / 2.0))

    def steel(self) -> Iterator[Rebuilt]:
        """Yield the steel at the feet of posts: plates, bolts and anchors about their middles."""
        posts = {row["post"]: row for row in self.sheets.table("Setting out")}
        names = list(posts)
        for row in self.sheets.table("At the feet of posts, about their middles"):
            sides = [[float(end) for end in row[key].split(" to ")]
                     for key in ("along", "to the back", "over the ground")]  # fmt: skip
            for part in row["posts"].split(", "):
                ends = part.split(" to ")
                for label in names[names.index(ends[0]) : names.index(ends[-1]) + 1]:
                    yield Rebuilt(row["mark"], self.piece(row["mark"], sides, posts[label]))

    def piece(self, mark: str, sides: list[list[float]], post: Row) -> Array:
        """Return a piece about a post's middle on the ground; a rod where it is given by a line."""
        bearing = math.radians(float(post["faces"].rstrip("°")))
        right = np.array([-math.cos(bearing), math.sin(bearing), 0.0])
        back = np.array([-math.sin(bearing), -math.cos(bearing), 0.0])
        ground = site(self.levels[post["post"]], "ground")
        spot = np.array([site(post, "east"), site(post, "north"), ground])
        corners = np.array([spot + x * right + y * back + z * UP
                            for x in sides[0] for y in sides[1] for z in sides[2]])  # fmt: skip
        if len(corners) == 2:
            return rod(corners[0], corners[1], self.size(mark)[0] / 2.0)
        return hull(corners)

    def brackets(self) -> Iterator[Rebuilt]:
        """Yield the brackets of rails: sleeves of arris rails, and angles at corners."""
        for row in self.sheets.table("Rail brackets along the lines"):
            line, metal = self.lines[row["line"]], float(row["metal"])
            ends = float(row["from"]), float(row["to"])
            middle, high = site(row, "level of its middle"), self.size(row["mark"])[1]
            if row["angle"]:
                inner = math.radians(float(row["angle"].rstrip("°")))
                made = angle(line, ends, (middle - high / 2.0, middle + high / 2.0), inner, metal)
                yield Rebuilt(row["mark"], made)
            else:
                yield Rebuilt(row["mark"], self.sleeve(line, ends, middle, metal))

    def sleeve(self, line: Ground, ends: tuple[float, float], middle: float, metal: float) -> Array:
        """Return a sleeve: sheet metal on both back faces of a level rail, square to them."""
        assert "its edges square to the back faces" in self.sheets.words
        half = self.size(self.sheets.table("Rails along the lines")[0]["mark"])[0] / 2.0
        face = line.faces["rails' fronts"]
        deep = face - line.faces["rails' backs"]
        slant = math.hypot(half, deep)
        out = (half / slant * metal, deep / slant * metal)
        loop = [(0.0, -half), (out[0], -half - out[1]), (deep + metal * slant / half, 0.0),
                (out[0], half + out[1]), (0.0, half), (deep, 0.0)]  # fmt: skip
        flat = triangulated(loop)
        sides = [np.array([line.at(x, face - y, middle + z) for y, z in loop]) for x in ends]
        caps = [
            line.at(x, face, middle) + flat[..., :1] * line.behind + flat[..., 1:] * UP
            for x in ends
        ]
        return np.concatenate([quads(*sides), *caps])


TOPS = ("falls", "four", "cut", "cap", "flat", "all four", "rounded", "metal cap")
"""How what is said of the top of a post begins."""

SQUARE = ((-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0))


def key_of(row: Row, name: str) -> str:
    """Return the head of a column, with or without the unit that follows its name."""
    return name if name in row else f"{name} (m)"


def scaled(name: str, row: Row, text: str) -> float:
    """Return a figure of a column in mm: of one headed (m) it is in metres."""
    return float(text) * (1000.0 if key_of(row, name).endswith("(m)") else 1.0)


def site(row: Row, name: str) -> float:
    """Return a coordinate or a level of a row, mm."""
    key = key_of(row, name)
    return float(row[key]) * (1000.0 if key.endswith("(m)") else 1.0)


def listed(words: str) -> list[str]:
    """Return marks one by one: of "PA1 x 2, PA3" three, of "(PA1, PA2) x 3" six."""
    marks = []
    words = re.sub(
        r"\(([^)]*)\) x (\d+)", lambda m: ", ".join([m.group(1)] * int(m.group(2))), words
    )
    for part in filter(None, words.split(", ")):
        mark, _, count = part.partition(" x ")
        marks += [mark] * int(count or 1)
    return marks


def post_points(
    width: float, depth: float, foot: float, top: float, rise: float, shape: str
) -> Array:
    """Return the corners of a post about its middle, its front at negative y."""
    shoulder = top - rise
    points = [(x * width / 2.0, y * depth / 2.0, foot) for x, y in SQUARE]
    for x, y in SQUARE:
        high = top if shape.startswith("falls") and y < 0.0 else shoulder
        points.append((x * width / 2.0, y * depth / 2.0, high))
    if shape.startswith("four-way"):
        points.append((0.0, 0.0, top))
    if shape.startswith("all four edges"):
        points += [(x * (width / 2.0 - rise), y * (depth / 2.0 - rise), top) for x, y in SQUARE]
    if shape.startswith("rounded"):
        radius = (width**2 / 4.0 + rise**2) / (2.0 * rise)
        turn = math.asin(width / 2.0 / radius)
        for t in np.linspace(-turn, turn, 25):
            up = top - radius + radius * math.cos(t)
            points += [(radius * math.sin(t), y * depth / 2.0, up) for y in (-1.0, 1.0)]
    return np.array(points)


def octagon(width: float, depth: float, z: float, c: float) -> Array:
    """Return the corners of a post at a level, about its middle. c : of its bevelled edges."""
    w, d = width / 2.0, depth / 2.0
    return np.array([(x * (w - a), y * (d - b), z) for x, y in SQUARE for a, b in ((0, c), (c, 0))])


def in_place(points: Array, stand: tuple[Array, Array, Array]) -> Array:
    """Return points about a post's middle where it stands: its middle, its side and its back."""
    spot, side, back = stand
    return spot + points[:, :1] * side + points[:, 1:2] * back + points[:, 2:] * UP


def hull(points: Array) -> Array:
    """Return the surface of a convex solid."""
    middle = points.mean(axis=0)
    return np.asarray(points[ConvexHull(points - middle).simplices])


def box(line: Ground, xs: Sequence[float], ys: Sequence[float], zs: Sequence[float]) -> Array:
    """Return a block along a line. xs : along it, ys : before it, zs : levels, mm."""
    return hull(np.array([line.at(x, y, z) for x in xs for y in ys for z in zs]))


def tenoned(
    ends: tuple[float, float], face: tuple[float, float], long: float, tenon: float
) -> Loop:
    """Return a tenoned ledge from above. face : how far its front is before the line, and its
    thickness; long, tenon : of its tenons, in the middle of its thickness.
    """
    (x0, x1), (front, thick) = ends, face
    near, far = front - (thick - tenon) / 2.0, front - (thick + tenon) / 2.0
    back = front - thick
    return [(x0, near), (x0 + long, near), (x0 + long, front), (x1 - long, front),
            (x1 - long, near), (x1, near), (x1, far), (x1 - long, far), (x1 - long, back),
            (x0 + long, back), (x0 + long, far), (x0, far)]  # fmt: skip


def profiled(
    line: Ground, told: Sequence[str], xs: Sequence[float], ys: Sequence[float], zs: Sequence[float]
) -> Array:
    """Return a piece by the corners of its profile from its least: along and to the back, as it
    stands; or to the back and up, as long as it reaches along the line.
    """
    corners = [tuple(map(float, pair.split(" / "))) for pair in told[2].split(", ")]
    front = max(ys)
    if told[0] == "along":
        return upright(line, [(xs[0] + a, front - b) for a, b in corners], (zs[0], zs[1]))
    loop = [(front - a, zs[0] + b) for a, b in corners]
    flat = triangulated(loop)
    sides = [np.array([line.at(x, y, z) for y, z in loop]) for x in xs]
    caps = [np.array([[line.at(x, y, z) for y, z in three] for three in flat]) for x in xs]
    return np.concatenate([quads(*sides), *caps])


def bent(xs: tuple[float, float], ys: tuple[float, float], metal: float, side: str) -> Loop:
    """Return an angle from above, its lip to the front. side : where its leg is."""
    back, front = min(ys), max(ys)
    post, tip = (xs[1], xs[0]) if side == "right" else xs
    inner = post + math.copysign(metal, tip - post)
    return [(tip, front), (post, front), (post, back), (inner, back), (inner, front - metal),
            (tip, front - metal)]  # fmt: skip


def upright(line: Ground, loop: Loop, zs: tuple[float, float]) -> Array:
    """Return a prism over an area of places along a line and before it, between two levels."""
    flat = triangulated(loop)
    sides = [np.array([line.at(x, y, z) for x, y in loop]) for z in zs]
    caps = [np.array([[line.at(x, y, z) for x, y in three] for three in flat]) for z in zs]
    return np.concatenate([quads(*sides), *caps])


def angle(
    line: Ground, ends: tuple[float, float], ups: tuple[float, float], inner: float, metal: float
) -> Array:
    """Return an angle of sheet metal behind the rails' backs.

    ends : its corner and the end of its leg along the line; ups : levels of its edges, mm; inner :
    radians between its legs, the metal lies between them.
    """
    way, leg = math.copysign(1.0, ends[1] - ends[0]), abs(ends[1] - ends[0])
    cos, sin, inside = math.cos(inner), math.sin(inner), metal / math.tan(inner / 2.0)
    loop = [(0.0, 0.0), (leg * cos, leg * sin), (leg * cos + metal * sin, leg * sin - metal * cos),
            (inside, metal), (leg, metal), (leg, 0.0)]  # fmt: skip
    loop = [(ends[0] + way * x, y) for x, y in loop]
    face, flat = line.faces["rails' backs"], triangulated(loop)
    sides = [np.array([line.at(x, face - y, z) for x, y in loop]) for z in ups]
    caps = [
        line.at(0.0, face, z) + flat[..., :1] * line.along + flat[..., 1:] * line.behind
        for z in ups
    ]
    return np.concatenate([quads(*sides), *caps])


def rod(start: Array, end: Array, radius: float) -> Array:
    """Return a round rod from point to point."""
    axis = (end - start) / np.linalg.norm(end - start)
    across = np.cross(axis, UP if abs(axis[2]) < 0.5 else np.array([1.0, 0.0, 0.0]))
    across /= np.linalg.norm(across)
    turns = np.linspace(0.0, math.tau, 25)[:-1, None]
    ring = radius * (np.cos(turns) * across + np.sin(turns) * np.cross(axis, across))
    return np.concatenate([quads(start + ring, end + ring), fan(start + ring), fan(end + ring)])


def arc(centre: tuple[float, float], radius: float, start: float, end: float) -> Loop:
    """Return points along an arc, anticlockwise, radians."""
    step = 2.0 * math.acos(1.0 - FLAT / radius)
    turns = np.linspace(start, end, 2 + int((end - start) / step))
    return [(centre[0] + radius * math.cos(t), centre[1] + radius * math.sin(t)) for t in turns]


def quads(one: Array, other: Array) -> Array:
    """Return the triangles between two rings of points."""
    after, beyond = np.roll(one, -1, axis=0), np.roll(other, -1, axis=0)
    return np.concatenate(
        [np.stack([one, after, beyond], axis=1), np.stack([one, beyond, other], axis=1)]
    )


def lathe(outline: list[tuple[float, float]]) -> Array:
    """Return the surface of half an outline (radius, height) that is turned about z."""
    angles = np.linspace(0.0, math.tau, 97)[:-1]
    rings = [np.array([(r * math.cos(a), r * math.sin(a), h) for a in angles]) for r, h in outline]
    return np.concatenate([quads(a, b) for a, b in itertools.pairwise(rings)])


def fan(ring: Array) -> Array:
    """Return the triangles of a flat convex ring."""
    count = len(ring)
    return np.stack([np.repeat(ring[:1], count - 2, axis=0), ring[1:-1], ring[2:]], axis=1)


def strip(loop: Loop, low: float, high: float) -> Loop:
    """Return the part of an area between two upright lines."""
    area = shapely.Polygon(loop)
    part = area.intersection(shapely.box(low, area.bounds[1] - 1.0, high, area.bounds[3] + 1.0))
    return [(x, z) for x, z in part.exterior.coords[:-1]]


def crossed_at(loop: Loop, xs: Sequence[float]) -> Loop:
    """Return a loop with more corners where it crosses upright lines."""
    found = []
    for (xa, za), (xb, zb) in zip(loop, [*loop[1:], loop[0]], strict=True):
        found.append((xa, za))
        between = [x for x in xs if min(xa, xb) < x < max(xa, xb)]
        for x in sorted(between, reverse=bool(xb < xa)):
            found.append((x, za + (zb - za) * (x - xa) / (xb - xa)))
    return found


def triangulated(loop: Loop) -> Array:
    """Return the triangles of an area, (n, 3, 2)."""
    parts = shapely.get_parts(shapely.constrained_delaunay_triangles(shapely.Polygon(loop)))
    return shapely.get_coordinates(parts).reshape(-1, 4, 2)[:, :3]
