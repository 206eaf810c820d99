"""What a picture shows: members, things on the site, and the ground."""

from __future__ import annotations

from collections.abc import Collection, Iterator

import numpy as np
from numpy.typing import NDArray

from palewright.export.models.finishes import CONCRETE_GREY, Finish, finish_of
from palewright.export.models.grain_axes import grain_axis
from palewright.export.models.product import Product
from palewright.export.models.things import GRAVEL, GREEN, thing_meshes
from palewright.export.models.transforms import matrix_of
from palewright.model.fence.fence_model import FenceModel
from palewright.model.fence.leaf_hinges import LeafHinge, leaf_hinges
from palewright.model.geometry.shapes import Footing
from palewright.model.parts.members import BURIED, FOOTING, TIMBER, Member
from palewright.model.site.features import SERVICES, Feature

from .ground_block import Triangles, ground_block
from .pieces import BARE, EARTH, LAWN, LEAVES, METAL, PAINT, ROUGH, STONES, WOOD, ShownMesh
from .terrain import terrain, triangulated

GRASS, SOIL, BEYOND = (0.125, 0.185, 0.058), (0.21, 0.14, 0.08), (0.30, 0.31, 0.26)
"""Colours of lawn, of cut earth, and of the plain where nothing was measured, linear."""

SUNK = 22.0
"""How much lower than their marks roads and paths lie, mm."""

GRASS_HIGH = 18.0
"""How high grass stands, mm: what is lower of the concrete round posts is in it."""

HORIZON, ROUND = 200.0, 48
"""How far level ground reaches, in half sizes of the fence; its corners."""

CLOSE, RINGS_APART = 2000.0, 12.0
"""The ring of ground about which there is no smaller one, mm; each is so many times the next."""

WORLD = np.eye(4)[:3]

AXES = ((1, 2, 0), (2, 0, 1), (0, 1, 2))
"""Axes of a shape across its grain and along it, by that along it."""


def standing(
    built: Product, opened: float = 0.0, left_out: Collection[Feature] = ()
) -> list[ShownMesh]:
    """Return the members above the ground and the things on the site.

    opened : how far gate leaves stand open, degrees; left_out : things that are not shown.
    """
    return [*members_shown(built, opened), *things_shown(built.fence, left_out)]


def members_shown(built: Product, opened: float = 0.0) -> list[ShownMesh]:
    """Return the members above the ground. opened : how far gate leaves stand open, degrees."""
    shown = []
    for member, matrix in members_placed(built.fence, opened):
        finish = finish_of(member.kind, built.fence.job.finishes)
        mesh = built.meshes[member.mark]
        turn, origin = matrix[:3, :3], matrix[:3, 3]
        back = np.column_stack([turn.T, -turn.T @ origin])[list(AXES[grain_axis(member.kind)])]
        kind = _surface(finish, timber=member.kind.material == TIMBER)
        placed = mesh.vertices @ turn.T + origin
        shown.append(ShownMesh(placed, mesh.triangles, mesh.faces, kind, finish.linear, back))
    return shown


def members_placed(
    fence: FenceModel, opened: float = 0.0
) -> Iterator[tuple[Member, NDArray[np.float64]]]:
    """Yield the members above the ground, each with the (4, 4) matrix that places its shape.

    opened : how far gate leaves stand open, degrees.
    """
    hinges = [leaf_hinges(layout) for layout in fence.layouts] if opened else []
    for member in fence.members:
        if member.kind in BURIED:
            continue  # below ground
        matrix = matrix_of(member.frame)
        if hinges and member.leaf is not None:
            matrix = _opened(hinges[member.run][member.leaf], opened) @ matrix
        yield member, matrix


def collars_shown(built: Product) -> list[ShownMesh]:
    """Return what grass does not hide of the concrete round posts, as one mesh; none where it ends
    in the ground.
    """
    points, triangles, sides = [], [], []
    count, last = 0, 0
    for member in built.fence.members:
        if member.kind != FOOTING or not isinstance(member.shape, Footing):
            continue
        if member.shape.weathering <= GRASS_HIGH:
            continue
        mesh, matrix = built.meshes[member.mark], matrix_of(member.frame)
        over = mesh.vertices[mesh.triangles][:, :, 2].min(axis=1) > -0.5
        spots = mesh.vertices - (0.0, 0.0, GRASS_HIGH)
        points.append(spots @ matrix[:3, :3].T + matrix[:3, 3])
        triangles.append(mesh.triangles[over] + count)
        sides.append(mesh.faces[over] + last)
        count, last = count + len(spots), last + int(mesh.faces.max()) + 1
    if not points:
        return []
    return [
        ShownMesh(
            np.concatenate(points),
            np.concatenate(triangles),
            np.concatenate(sides),
            ROUGH,
            CONCRETE_GREY.linear,
            WORLD,
        )
    ]


def things_shown(fence: FenceModel, left_out: Collection[Feature]) -> list[ShownMesh]:
    """Return the things on the site over the ground, but for those left out."""
    shown = []
    for thing in thing_meshes(fence):
        if thing.feature.kind in SERVICES or thing.feature in left_out:
            continue
        kind = {GREEN: LEAVES, GRAVEL: STONES}.get(thing.finish, ROUGH)
        # marks on the ground stand higher, to be seen, than roads and paths lie
        low = (0.0, 0.0, SUNK if thing.feature.height == 0.0 else 0.0)
        shown.append(
            ShownMesh(
                thing.points - low, thing.triangles, thing.faces, kind, thing.finish.linear, WORLD
            )
        )
    return shown


def _opened(hinge: LeafHinge, degrees: float) -> NDArray[np.float64]:
    """Return the (4, 4) matrix of a leaf's opening by degrees; one that slides does so by their
    share of a right angle.
    """
    turn = np.radians(hinge.way * degrees)
    matrix = np.eye(4)
    matrix[:2, :2] = [[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]]
    axis = np.array(hinge.axis)
    matrix[:3, 3] = axis - matrix[:3, :3] @ axis + np.array(hinge.risen(degrees))
    return matrix


def ground_shown(
    fence: FenceModel, centre: tuple[float, float, float], radius: float
) -> list[ShownMesh]:
    """Return the ground round a place: as surveyed, else through the known levels, else level.

    radius : half the size of the fence, mm.
    """
    block = ground_block(fence, radius)
    if block is not None:
        kinds = ((LAWN, GRASS), (EARTH, SOIL), (BARE, BEYOND))
        return [
            _one_side(part, kind, colour)
            for part, (kind, colour) in zip(block.parts, kinds, strict=True)
        ]
    rough = terrain(fence, radius)
    if rough is None:
        turns = np.arange(ROUND) * (2.0 * np.pi / ROUND)
        ring = np.column_stack([np.cos(turns), np.sin(turns), 0.0 * turns])
        aways = [HORIZON * radius]
        while aways[-1] > CLOSE * RINGS_APART:
            aways.append(aways[-1] / RINGS_APART)
        # one triangle from here to the horizon would be drawn some mm too high or too low
        rough = np.concatenate([np.array(centre) + away * ring for away in aways])
    return [_one_side(triangulated(rough), LAWN, GRASS)]


def _one_side(part: Triangles, kind: int, colour: tuple[float, float, float]) -> ShownMesh:
    points, triangles = part
    sides = np.zeros(len(triangles), dtype=np.int64)
    return ShownMesh(points, triangles, sides, kind, colour, WORLD)


def _surface(finish: Finish, *, timber: bool) -> int:
    if finish.metallic > 0.0:
        return METAL
    if not timber:
        return WOOD if finish.name == "as it stands" else ROUGH
    return PAINT if "paint" in finish.name else WOOD
