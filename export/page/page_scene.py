"""A fence as the page draws it: meshes by mark, where each member stands, ground and labels.

Lengths are mm about the model's origin, x east, y north, z up. Arrays are base64 of little-endian
float32 or uint32.
"""

from __future__ import annotations

import base64
import math
from typing import Any

import numpy as np

from palewright.export.models.finishes import Finish, finish_of
from palewright.export.models.grain_axes import grain_axis
from palewright.export.models.product import Product
from palewright.export.models.things import thing_meshes
from palewright.export.models.transforms import quaternion
from palewright.export.pictures.daylight import (
    BOUNCE,
    HORIZON,
    SKY,
    SUN,
    SUN_TINT,
    ZENITH,
    sky_tint,
    sun_direction,
)
from palewright.export.pictures.ground_block import ground_block
from palewright.export.pictures.scene_pieces import BEYOND, GRASS, SOIL
from palewright.export.pictures.terrain import terrain, triangulated
from palewright.model.basis.text import plain
from palewright.model.basis.units import feet_and_inches
from palewright.model.fence.fence_model import FenceModel
from palewright.model.fence.leaf_hinges import leaf_hinges
from palewright.model.layout.run_layout import RunLayout
from palewright.model.lists.takeoff import (
    fence_height,
    fence_length,
    gate_count,
    pale_count,
    part_lines,
    post_count,
)
from palewright.model.order.fence_figures import finish_part, own_finish
from palewright.model.parts.members import TIMBER, Kind, Member
from palewright.model.spec.paper_keys import Finishes

OPEN = 95.0
"""How far a leaf opens where the spec does not say, degrees."""


TINTS = tuple(
    tuple(part / lawn for part, lawn in zip(colour, GRASS, strict=True))
    for colour in (GRASS, SOIL, BEYOND)
)
"""What grass is multiplied by for ground, for cut earth, and where nothing was measured."""


def scene_of(built: Product, name: str) -> dict[str, Any]:
    """Return what the page draws of a fence, ready for JSON. name : what the fence is called."""
    fence = built.fence
    finishes: dict[Finish, int] = {}
    marks: list[dict[str, Any]] = []
    lines = {line.mark: line for line in part_lines(fence)}
    hung: dict[tuple[int, int], list[dict[str, Any]]] = {}
    for mark in lines:
        group = fence.by_mark[mark]
        finish = finish_of(group[0].kind, fence.job.finishes)
        number = len(marks)
        own: dict[tuple[int, int], list[Member]] = {}
        for member in group:
            if member.leaf is not None:
                own.setdefault((member.run, member.leaf), []).append(member)
        for leaf, members in own.items():
            hung.setdefault(leaf, []).append({"mark": number, "places": _places(members)})
        mesh = built.meshes[mark]
        line = lines[mark]
        marks.append(
            {
                "mark": mark,
                "part": line.kind.name,
                "count": line.count,
                "size": [round(size, 1) for size in (line.first, line.second, line.length)],
                "note": line.note,
                "finish": finishes.setdefault(finish, len(finishes)),
                "of": _chosen_with(group[0].kind, fence.job.finishes),
                "grain": grain_axis(group[0].kind) if group[0].kind.material == TIMBER else 2,
                "points": float_text(mesh.vertices),
                "triangles": number_text(mesh.triangles),
                "places": _places([m for m in group if m.leaf is None]),
            }
        )
    marks += _things(fence, finishes)
    timber = {finish_of(m.kind, fence.job.finishes) for m in fence.members
              if m.kind.material == TIMBER}  # fmt: skip
    return {
        "name": name,
        "title": fence.job.project.name,
        "feet": fence.job.feet,
        "facts": _facts(built),
        "finishes": [finish_data(finish, grained=finish in timber) for finish in finishes],
        "marks": marks,
        "leaves": [
            leaf
            for number, layout in enumerate(fence.layouts)
            for leaf in _leaves(layout, number, hung)
        ],
        "ground": _ground(built),
        "light": _light(fence),
        "gates": [gate for layout in fence.layouts for gate in _gates(layout)],
        "legs": [leg for n, layout in enumerate(fence.layouts) for leg in _legs(layout, n)],
        "posts": [post for layout in fence.layouts for post in _posts(layout)],
    }


def finish_data(finish: Finish, *, grained: bool) -> dict[str, Any]:
    """Return a surface, ready for JSON. grained : whether it is on timber."""
    return {
        "name": finish.name,
        "colour": [round(part, 4) for part in finish.rgb],
        "roughness": finish.roughness,
        "metallic": finish.metallic,
        "wood": (0.12 if "paint" in finish.name else 1.0) if grained else 0.0,
    }


def _chosen_with(kind: Kind, finishes: Finishes) -> str:
    """Return the part that a customer chooses the finish of a kind with; none of what has a finish
    of its own.
    """
    if kind.material != TIMBER or own_finish(kind, finishes) is not None:
        return ""
    return finish_part(kind)


def _things(fence: FenceModel, finishes: dict[Finish, int]) -> list[dict[str, Any]]:
    """Return what stands and is marked on the site, as marks of which the fence has none."""
    return [
        {
            "mark": plain(thing.feature.called),
            "part": thing.feature.kind,
            "count": 0,
            "size": [round(float(size), 1) for size in np.ptp(thing.points, axis=0)],
            "note": "on the site",
            "finish": finishes.setdefault(thing.finish, len(finishes)),
            "of": "",
            "grain": 2,
            "points": float_text(thing.points),
            "triangles": number_text(thing.triangles),
            "places": float_text([(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 1.0)]),
        }
        for thing in thing_meshes(fence)
    ]


def float_text(values: Any) -> str:
    """Return figures as base64 of float32."""
    return base64.b64encode(np.ascontiguousarray(values, dtype="<f4").tobytes()).decode()


def number_text(values: Any) -> str:
    """Return whole numbers as base64 of uint32."""
    return base64.b64encode(np.ascontiguousarray(values, dtype="<u4").tobytes()).decode()


def _places(members: list[Member]) -> str:
    """Return seven figures for each member: its origin, mm, and its turning as a quaternion."""
    return float_text([(*m.frame.origin, *quaternion(m.frame)) for m in members])


def _facts(built: Product) -> list[list[str]]:
    fence = built.fence
    posts = post_count(fence)
    gates = gate_count(fence)
    high = fence_height(fence)
    feet = fence.job.feet
    found = [part.gap for layout in fence.layouts
             for s in layout.stretches for _, part in s.row.parts]  # fmt: skip
    lapped = bool(found) and max(found) < 0.0
    named = "Lap of pales" if lapped else "Gap between pales"
    gaps = sorted({round(-gap if lapped else max(gap, 0.0), 1 if feet else None) for gap in found})
    ends = sorted({*gaps[:1], *gaps[-1:]})
    words = " to ".join(feet_and_inches(gap) if feet else str(gap) for gap in ends)
    return [
        ["Length", _metres(fence_length(fence), feet=feet)],
        ["Highest point over the ground", _metres(high, feet=feet)],
        ["Posts", str(posts)],
        ["Pales", str(pale_count(fence))],
        *([[named, words if feet else f"{words} mm"]] if gaps else []),
        ["Gates", str(gates)],
    ]


def _metres(value: float, *, feet: bool) -> str:
    return feet_and_inches(value) if feet else f"{value / 1000.0:.2f} m"


def _leaves(
    layout: RunLayout, run: int, hung: dict[tuple[int, int], list[dict[str, Any]]]
) -> list[dict[str, Any]]:
    """Return the gate leaves: the axis each turns about, how far, where it slides, and
    its parts.
    """
    return [
        {
            "name": hinge.name,
            "axis": [round(v, 4) for v in hinge.axis],
            "degrees": hinge.way * (hinge.opens or OPEN),
            "slides": [round(v, 4) for v in hinge.risen(hinge.opens or OPEN)],
            "parts": hung.get((run, number), []),
        }
        for number, hinge in enumerate(leaf_hinges(layout))
    ]


def _light(fence: FenceModel) -> dict[str, list[float]]:
    """Return the daylight of the pictures, linear."""
    light = {
        "sun": sun_direction(fence),
        "sunlight": tuple(SUN * part for part in SUN_TINT),
        "sky": tuple(SKY * part for part in sky_tint()),
        "bounce": (BOUNCE,) * 3,
        "horizon": HORIZON,
        "zenith": ZENITH,
        "lawn": GRASS,
    }
    return {name: [round(part, 4) for part in parts] for name, parts in light.items()}


def _gates(layout: RunLayout) -> list[dict[str, Any]]:
    gates = []
    for opening in layout.openings:
        x = (opening.start + opening.end) / 2.0
        place = opening.leg.frame.point((x, 0.0, opening.base))
        gates.append(
            {
                "at": [round(v, 1) for v in place],
                "front": [round(-v, 6) for v in opening.leg.frame.y[:2]],
                "width": round(opening.end - opening.start, 1),
            }
        )
    return gates


def _ground(built: Product) -> dict[str, str]:
    """Return the ground as triangles: as surveyed, else the terrain through the known levels, or a
    plane where it is level.
    """
    ends = [end for layout in built.fence.layouts for leg in layout.legs
             for end in (leg.start, leg.end)]  # fmt: skip
    low = [min(end[axis] for end in ends) for axis in range(3)]
    high = [max(end[axis] for end in ends) for axis in range(3)]
    radius = max(math.dist(low, high) / 2.0, 500.0)
    block = ground_block(built.fence, radius)
    if block is not None:
        # each triangle with corners of its own, so that a breakline is seen as an edge
        parts = [points[triangles].reshape(-1, 3) for points, triangles in block.parts]
        tints = [np.tile(tint, (len(part), 1)) for part, tint in zip(parts, TINTS, strict=True)]
        loose = np.concatenate(parts)
        return {
            "points": float_text(loose), "triangles": number_text(np.arange(len(loose))),
            "tints": float_text(np.concatenate(tints)),
        }  # fmt: skip
    rough = terrain(built.fence, radius)
    if rough is None:
        reach = 60.0 * radius
        x, y, z = ((a + b) / 2.0 for a, b in zip(low, high, strict=True))
        rough = np.array([[x + a * reach, y + b * reach, z] for a in (-1, 1) for b in (-1, 1)])
    kept, triangles = triangulated(rough)
    return {
        "points": float_text(kept), "triangles": number_text(triangles),
        "tints": float_text(np.ones_like(kept)),
    }  # fmt: skip


def _legs(layout: RunLayout, run: int) -> list[dict[str, Any]]:
    return [
        {
            "start": [round(v, 3) for v in leg.start],
            "end": [round(v, 3) for v in leg.end],
            "front": [round(-v, 6) for v in leg.frame.y[:2]],
            "length": round(leg.length, 1),
            "run": run,
        }
        for leg in layout.legs
    ]


def _posts(layout: RunLayout) -> list[dict[str, Any]]:
    return [
        {
            "label": post.label,
            "kind": post.kind,
            "at": [round(v, 3) for v in post.frame.origin],
            "along": [round(v, 6) for v in post.frame.x[:2]],
            "top": round(post.top, 1),
            "deep": round(post.plan.foot.deep, 1),
        }
        for post in layout.posts
    ]
