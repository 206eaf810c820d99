"""Concrete for footings: how much, mixed from what, and the spoil that comes out of the holes."""

from __future__ import annotations

import math
from dataclasses import dataclass

from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.shapes import Footing
from palewright.model.lists.takeoff import concrete
from palewright.model.parts.members import FOOTING, GATE_BASE
from palewright.model.spec.buying import Concrete


@dataclass(frozen=True)
class FootingLine:
    """Footings alike. mark : of them; count : how many; volume : net, of one, m3; extra : the
    volume to mix for one, m3; bags : of dry ready-mix for one, in tenths; depth : of the hole, mm.
    """

    mark: str
    count: int
    volume: float
    extra: float
    bags: float
    depth: float


@dataclass(frozen=True)
class Mix:
    """Concrete in all, by the one supply that is bought.

    supply : "site mix", "bags" or "delivered"; net, volume : without and with the extra, m3;
    cement, cement_bags : kg and whole bags; parts : of each aggregate its name, loose m3, kg and
    whole bulk bags; water : litres; ready, ready_bags : bags of dry ready-mix that are used, and
    whole ones that are bought, what is left of one going into the next hole; excavation, spoil :
    in the ground and loose, m3; weight : of the net concrete, kg.
    """

    supply: str
    footings: tuple[FootingLine, ...]
    net: float
    volume: float
    cement: float
    cement_bags: int
    parts: tuple[tuple[str, float, float, int], ...]
    water: float
    ready: float
    ready_bags: int
    excavation: float
    spoil: float
    weight: float


DENSITY = 2300.0
"""Weight of plain concrete, kg/m3 (common practice, no source)."""


def mix_of(volume: float, told: Concrete) -> tuple[float, tuple[tuple[str, float, float], ...]]:
    """Return the cement in kg, and of each aggregate its name, loose m3 and kg.

    volume : of concrete, m3. The loose parts take up `told.loose` times that volume, shared out
    in the proportions of the mix.

    >>> cement, ((name, loose, weight),) = mix_of(1.0, Concrete(loose=1.54))
    >>> round(cement, 1), name, round(loose, 3)
    (443.5, 'ballast', 1.232)
    """
    whole = volume * told.loose / sum(told.mix)
    names = ("ballast",) if len(told.mix) == 2 else ("sand", "stone")
    aggregates = tuple(
        (name, part * whole, part * whole * told.aggregate)
        for name, part in zip(names, told.mix[1:], strict=True)
    )
    return told.mix[0] * whole * told.cement, aggregates


def footing_lines(fence: FenceModel) -> tuple[FootingLine, ...]:
    """Return one line for each mark of footing."""
    told = fence.job.concrete
    lines = []
    for mark, group in fence.by_mark.items():
        shape = group[0].shape
        if group[0].kind == GATE_BASE:
            depth = shape.size[2]
        elif group[0].kind == FOOTING and isinstance(shape, Footing):
            depth = shape.depth
        else:
            continue
        net = shape.volume / 1e9
        more = net * (1.0 + told.extra)
        bags = math.ceil(more * 10_000.0 / told.ready_yield - 1e-9) / 10.0
        lines.append(FootingLine(mark, len(group), net, more, bags, depth))
    return tuple(lines)


def mix(fence: FenceModel) -> Mix:
    """Return the concrete of a fence and what it is mixed from."""
    told = fence.job.concrete
    lines = footing_lines(fence)
    total = concrete(fence)
    net = total.volume / 1e9
    volume = net * (1.0 + told.extra)
    cement, aggregates = mix_of(volume, told)
    ready = volume * 1000.0 / told.ready_yield
    return Mix(
        told.supply,
        lines,
        net,
        volume,
        cement,
        math.ceil(cement / told.cement_bag - 1e-9),
        tuple(
            (name, loose, kg, math.ceil(kg / told.bulk_bag - 1e-9))
            for name, loose, kg in aggregates
        ),
        cement * told.water,
        ready,
        math.ceil(ready - 1e-9),
        total.excavation / 1e9,
        total.excavation / 1e9 * told.bulking,
        net * DENSITY,
    )
