"""The rails of a stretch with what fixes them, by how they are held."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from palewright.model.layout.run_layout import RunLayout, Stretch
from palewright.model.resolved.job import RunJob

from .bay_rails import arris_rails, hung_rails
from .members import Piece
from .panels import panel_members
from .rails import rails_over_posts
from .tenoned_rails import tenoned_rails

BETWEEN: dict[str, Callable[[RunJob, Stretch, list[str]], Iterator[Piece]]] = {
    "arris": arris_rails,
    "between": hung_rails,
    "mortised": tenoned_rails,
}
"""What makes rails that end at posts' sides, by the word of their way."""


def rail_members(layout: RunLayout, stretch: Stretch, groups: list[str]) -> Iterator[Piece]:
    """Yield the rails of a stretch and what fixes them. groups : name of each bay."""
    if layout.run.panels is not None:
        yield from panel_members(layout, stretch, groups)
    elif layout.run.rails.over_posts:
        yield from rails_over_posts(layout, stretch, groups)
    else:
        yield from BETWEEN[layout.run.rails.form](layout.run, stretch, groups)
