"""Everything that is counted and measured of a fence, as one value with a published schema."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from pydantic import TypeAdapter

from palewright.model.fence.fence_model import FenceModel
from palewright.model.lists.takeoff import (
    PartLine,
    StationLine,
    StretchLine,
    part_lines,
    station_lines,
    stretch_lines,
)

from .order_lines import Order
from .panel_lines import PanelLine, PanelPart, panel_lines, panel_parts


@dataclass(frozen=True)
class Takeoff:
    """The lists of a fence. format : of this document, raised when it changes; name : of the job;
    members, posts, bays : see palewright.model.takeoff, mm; order : what is bought and done;
    panels, panel_parts : bays made in the workshop, and their pieces; left out where none is.
    """

    format: int
    name: str
    members: tuple[PartLine, ...]
    posts: tuple[StationLine, ...]
    bays: tuple[StretchLine, ...]
    order: Order
    panels: tuple[PanelLine, ...] = ()
    panel_parts: tuple[PanelPart, ...] = ()


FORMAT = 1


def takeoff(fence: FenceModel, order: Order) -> Takeoff:
    """Return the lists of a fence with its order."""
    lists = (part_lines(fence), station_lines(fence), stretch_lines(fence))
    panels = panel_lines(fence), tuple(panel_parts(fence))
    return Takeoff(FORMAT, fence.job.project.name, *lists, order, *panels)


def takeoff_json(fence: FenceModel, order: Order) -> bytes:
    """Return the lists as JSON, UTF-8. Quantities that are bought are decimal numbers as text."""
    told = takeoff(fence, order)
    without = None if told.panels else {"panels", "panel_parts"}
    return TypeAdapter(Takeoff).dump_json(told, indent=1, exclude=without)


def takeoff_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of that document."""
    return TypeAdapter(Takeoff).json_schema(mode="serialization")
