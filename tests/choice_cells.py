"""What each output makes of one choice, a cell for each: the rows of the page of choices."""

from __future__ import annotations

import base64
import math
import re
from collections import Counter
from functools import cache

import numpy as np
from every_choice import Choice, closed_volume, spec_for

from helpers import fence_of
from palewright.export.drawing.sets.drawing_files import set_files
from palewright.export.drawing.sets.sheet_sets import Purpose
from palewright.export.models.product import Product, mesh_of_shape
from palewright.export.models.step import write_step
from palewright.export.page.page_scene import scene_of
from palewright.export.tables.order_tables import write_tables
from palewright.model.basis.findings import Severity
from palewright.model.checks.building_checks import check
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.shapes import Shape
from palewright.model.geometry.skin_shapes import skin_of
from palewright.model.lists.takeoff import part_lines
from palewright.model.order.joints import make_fence
from palewright.model.order.sawing import bought_shaped
from palewright.model.order.takeoff_document import takeoff_json
from palewright.model.resolved.job import Job
from palewright.model.solids.bodies import solid_of

COLUMNS = ("choice", "pieces", "solids", "meshes", "STEP", "DXF", "lists", "order", "page", "check")
YES = "yes"

VOLUME, MESHED = 1e-6, 0.03
"""How far a volume may be from closed form: of the kernel's solid, of a mesh with its chords."""

PLACE = 7 * 4
"""Bytes of a place on the page: an origin and a turning."""


@cache
def solid_faults(shape: Shape) -> tuple[str, ...]:
    """Return what is wrong with the kernel's solid of a shape and with its skin."""
    solid, faults = solid_of(shape), []
    if not solid.isValid():
        faults.append("the solid is not valid")
    if abs(solid.Volume() / shape.volume - 1.0) > VOLUME:
        faults.append(f"the solid has {solid.Volume():.1f} mm3, not {shape.volume:.1f}")
    skin = skin_of(shape)
    if skin is not None and not skin.closed:
        faults.append("the skin is open")
    return tuple(faults)


@cache
def mesh_faults(shape: Shape) -> tuple[str, ...]:
    """Return what is wrong with the mesh of a shape."""
    mesh, faults = mesh_of_shape(shape), []
    ways = Counter((int(t[n]), int(t[(n + 1) % 3])) for t in mesh.triangles for n in range(3))
    if any(ways[b, a] != count for (a, b), count in ways.items()):
        faults.append("the mesh is open")
    volume = closed_volume(np.asarray(mesh.vertices)[mesh.triangles])
    if abs(volume / shape.volume - 1.0) > MESHED:
        faults.append(f"the mesh has {volume:.1f} mm3, not {shape.volume:.1f}")
    return tuple(faults)


def cells(choice: Choice, *, drawn: bool = True) -> tuple[str, ...]:
    """Return the row of a choice: yes, or what is wrong, for each output. drawn : whether sheets
    are drawn for it, which takes most of the time; else that cell says yes unasked.
    """
    return (f"`{choice.name}`", *_cells(fence_of(spec_for(choice)).job, drawn=drawn))


@cache
def _cells(job: Job, *, drawn: bool) -> tuple[str, ...]:
    """Return the cells of a job; words that say what goes without saying share them."""
    fence = make_fence(job)
    built = Product(fence)
    shapes = {mark: group[0].shape for mark, group in fence.by_mark.items()}
    solid = [f"{mark}: {text}" for mark, s in shapes.items() for text in solid_faults(s)]
    mesh = [f"{mark}: {text}" for mark, s in shapes.items() for text in mesh_faults(s)]
    return (
        str(len(fence.members)),
        _said(solid),
        _said(mesh),
        _said(_step(built)),
        _said(_drawn(fence) if drawn else []),
        _said(listed(built)),
        _said(ordered(built)),
        _said(on_page(built)),
        _checked(fence),
    )


def made(fence: FenceModel) -> str:
    """Return all that a fence and its lists are, to compare it with another."""
    places = [(m.mark, m.shape, m.frame) for m in fence.members]
    return repr(places) + repr(check(fence)) + takeoff_json(fence, Product(fence).order).decode()


def _said(faults: list[str]) -> str:
    return "; ".join(faults) or YES


def _step(built: Product) -> list[str]:
    """Return the members that a STEP file does not name once."""
    text = write_step(built).decode("ascii")
    names = Counter(re.findall(r"NEXT_ASSEMBLY_USAGE_OCCURRENCE\('\d+','([^']*)'", text))
    return [f"{m.name} is named {names[m.name]} times" for m in built.fence.members
            if names[m.name] != 1]  # fmt: skip


def _drawn(fence: FenceModel) -> list[str]:
    """Return the marks that no sheet of the construction set has a block or a word of: group
    codes 2 are names, 1 and 3 texts (DXF reference).
    """
    files = set_files(fence, Purpose.BUILD, "f", ("dxf",))
    lines = next(iter(files.values())).decode("utf-8").splitlines()
    values = {code: set[str]() for code in ("1", "2", "3")}
    for code, value in zip(lines[::2], lines[1::2], strict=True):
        values.get(code.strip(), set()).add(value)
    blocks = {name.split("-", 1)[0] for name in values["2"]}
    spoken = set(re.findall(r"[A-Z]{2}\d+", " ".join(values["1"] | values["3"])))
    return [f"{mark} is not drawn" for mark in fence.by_mark if mark not in blocks | spoken]


def listed(built: Product) -> list[str]:
    """Return the marks that the lists count otherwise than they stand."""
    counts = {mark: len(group) for mark, group in built.fence.by_mark.items()}
    told = {line.mark: line.count for line in part_lines(built.fence)}
    return [f"{mark}: {told.get(mark)} listed, {count} stand" for mark, count in counts.items()
            if told.get(mark) != count]  # fmt: skip


def ordered(built: Product) -> list[str]:
    """Return how the order differs from what stands: timber by volume, its table by its lines."""
    sawn = math.fsum(
        m.shape.volume
        for m in built.fence.members
        if m.kind.sawn and not bought_shaped(built.fence, m)
    )
    sawn /= 1e9
    ordered = sum(line.volume for line in built.order.timber) / 1e9
    faults = []
    if abs(sawn - ordered) > 1e-6 * max(sawn, 1e-9):
        faults.append(f"{ordered:.6f} m3 of timber ordered, {sawn:.6f} m3 stand")
    table = write_tables(built.fence, built.order, "f")["f-order.csv"].decode("utf-8-sig")
    if len(table.strip().splitlines()) != len(built.order.lines) + 1:
        faults.append("the table of the order has other lines")
    return faults


def on_page(built: Product) -> list[str]:
    """Return how the page's scene differs from what stands."""
    scene = scene_of(built, "f")
    placed: Counter[str] = Counter()
    hung = [part for leaf in scene["leaves"] for part in leaf["parts"]]
    for part in [*scene["marks"], *hung]:
        mark = scene["marks"][part["mark"]]["mark"] if part in hung else part["mark"]
        placed[mark] += len(base64.b64decode(part["places"])) // PLACE
    return [
        f"{mark}: {placed[mark]} on the page, {len(group)} stand"
        for mark, group in built.fence.by_mark.items()
        if placed[mark] != len(group)
    ]


def _checked(fence: FenceModel) -> str:
    """Return the warnings of a fence that otherwise passes; what stops it is a fault."""
    found = check(fence)
    stops = [f.code for f in found if f.severity is Severity.STOP]
    assert not stops, f"{stops} of a small fence"
    warnings = sorted({f.code for f in found if f.severity is Severity.WARN})
    return ", ".join(warnings) or YES
