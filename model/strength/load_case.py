"""One way in which a post is loaded."""

from __future__ import annotations

from dataclasses import dataclass

from .steps import Working


@dataclass(frozen=True)
class LoadCase:
    """One way in which a post is loaded.

    name : in words, empty where there is but one; duration : of the shortest load, as EN 1995-1-1
    names it; working : lines and values, of wind the force Fk and its height e among them;
    across, along : moments at the ground square to the post's front and along it, as pairs of
    partial factor and of the symbols that make the moment; wind : whether there is any; turned :
    whether it pushes the post along the front too.
    """

    name: str
    duration: str
    working: Working
    across: tuple[tuple[str, str], ...]
    along: tuple[tuple[str, str], ...]
    wind: bool
    turned: bool
