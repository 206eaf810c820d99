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


@dataclass(frozen=True)
class Takeoff:
    """The lists of a fence. format : of this document, raised when it changes; name : of the job;
    members, posts, bays : see palewright.model.takeoff, mm; order : what is bought and done.
    """

    format: int
    name: str
    members: tuple[PartLine, ...]
    posts: tuple[StationLine, ...]
    bays: tuple[StretchLine, ...]
    order: Order


FORMAT = 1


def takeoff(fence: FenceModel, order: Order) -> Takeoff:
    """Return the lists of a fence with its order."""
    lists = (part_lines(fence), station_lines(fence), stretch_lines(fence))
    return Takeoff(FORMAT, fence.job.project.name, *lists, order)


def takeoff_json(fence: FenceModel, order: Order) -> bytes:
    """Return the lists as JSON, UTF-8. Quantities that are bought are decimal numbers as text."""
    return TypeAdapter(Takeoff).dump_json(takeoff(fence, order), indent=1)


def takeoff_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of that document."""
    return TypeAdapter(Takeoff).json_schema(mode="serialization")
