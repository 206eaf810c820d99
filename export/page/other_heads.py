"""Pales with other heads than they are offered with, for the page to try: as meshes, in few bytes.

A pale's mesh has corners at its foot and along its head alone. So one mesh serves for pales of all
lengths: the page moves what is not at the foot.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from palewright.export.models.product import Mesh, Product
from palewright.model.geometry.heads import Head, HeadError, named_heads, pale_outline
from palewright.model.geometry.shapes import Plate
from palewright.model.geometry.skin_meshes import mesh_of_skin
from palewright.model.geometry.skin_shapes import skin_of
from palewright.model.layout.run_layout import RunLayout
from palewright.model.parts.members import PALE, Member
from palewright.model.parts.pales import kind_of_pale

NEAR = 1e-3
"""An outline whose corners are nearer than this, mm, to a pale's with its run's head is one."""

SHAFT = 100.0
"""How long the pales of other heads are under their springing line, mm."""


@dataclass(frozen=True)
class PaleSection:
    """What pales have in common that differ in length alone. width, thickness : mm; bevels : of
    the sides; see Plate.
    """

    width: float
    thickness: float
    bevels: tuple[float, float]


@dataclass(frozen=True)
class HeadedPale:
    """A pale with another head. mesh : of it, foot at z = 0; length : overall, mm."""

    mesh: Mesh
    length: float


@dataclass(frozen=True)
class OtherHeads:
    """What can be tried of a fence's heads.

    offered : the heads that it has, in words; sections : of the pales that can have others; by_mark
    : which of them the pales of a mark have, and their length, mm; pales : by the name of the
    head's shape in words, one for each section.
    """

    offered: tuple[str, ...]
    sections: tuple[PaleSection, ...]
    by_mark: dict[str, tuple[int, float]]
    pales: dict[str, tuple[HeadedPale, ...]]


def other_heads(built: Product) -> OtherHeads:
    """Return the heads that can be tried on a fence's pales: those that a spec may name, as they
    come, where each can be cut from all its pales and leaves the top rail covered.

    Pales that are cut along a top line have no head to change.
    """
    fence = built.fence
    sections: dict[PaleSection, int] = {}
    by_mark: dict[str, tuple[int, float]] = {}
    shortest = math.inf
    for mark, group in fence.by_mark.items():
        found = _section(group[0], fence.layouts)
        if found is not None:
            section, length = found
            by_mark[mark] = (sections.setdefault(section, len(sections)), length)
            shortest = min(shortest, length)
    runs = [layout for layout in fence.layouts if not layout.run.tops_cut]
    room = min([shortest, *map(_room, runs)])
    words = tuple(dict.fromkeys(kind.head_shape or "square" for layout in runs
                                for kind in layout.run.pales.headed))  # fmt: skip
    pales = {}
    for name, table in named_heads().items():
        if words == (name,):
            continue
        made = [_headed(table.head(section.width), section, room) for section in sections]
        if all(one is not None for one in made):
            pales[name] = tuple(one for one in made if one is not None)
    if not by_mark:
        return OtherHeads((), (), {}, {})
    return OtherHeads(words, tuple(sections), by_mark, pales)


def _section(pale: Member, layouts: tuple[RunLayout, ...]) -> tuple[PaleSection, float] | None:
    """Return what a pale is cut from and its length, if it is one with the head of its run."""
    shape = pale.shape
    if pale.kind != PALE or not isinstance(shape, Plate):
        return None
    layout = layouts[pale.run]
    length = shape.outline.bounds[3]
    kind = kind_of_pale(layout, pale)
    known = {(one.head, one.width) for one in layout.run.pales.headed}
    if layout.run.tops_cut or (kind.head, kind.width) not in known:
        return None
    if length <= kind.rise:
        return None
    plain = pale_outline(kind.head, kind.width, length).vertices
    if len(plain) != len(shape.outline.vertices) or any(
        abs(a - b) > NEAR
        for one, other in zip(plain, shape.outline.vertices, strict=True)
        for a, b in zip(one, other, strict=True)
    ):
        return None
    bevels = (shape.bevel_left, shape.bevel_right)
    return PaleSection(kind.width, shape.thickness, bevels), length


def _room(layout: RunLayout) -> float:
    """Return how far the pales of a run stand over its top rail at least, mm."""
    over = [
        pale.top - stretch.settings[pale.bay].base(pale.x) - layout.run.rails.tops[-1]
        for stretch in layout.stretches
        for pale in stretch.pales
    ]
    return min(over, default=math.inf)


def _headed(head: Head, section: PaleSection, room: float) -> HeadedPale | None:
    """Return a pale with a head; None where it cannot be cut or rises over the room there is."""
    rise = head.rise(section.width)
    if rise >= room:
        return None
    try:
        outline = pale_outline(head, section.width, rise + SHAFT)
    except HeadError:
        return None
    skin = skin_of(Plate(outline, section.thickness, *section.bevels))
    parts = mesh_of_skin(skin) if skin is not None else None
    return None if parts is None else HeadedPale(Mesh(*parts), rise + SHAFT)
