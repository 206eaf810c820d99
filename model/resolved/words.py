"""Words of a spec that decide how something is made, as names that a misspelling cannot pass."""

from __future__ import annotations

from enum import StrEnum


class Follow(StrEnum):
    """How a bay follows sloping ground."""

    RAKE = "rake"
    STEP = "step"
    LEVEL = "level"


class WedgeFill(StrEnum):
    """What closes the wedge under a stepped bay."""

    NONE = "none"
    PALES = "pales"
    BOARD = "board"


class PostRole(StrEnum):
    """What a post is for. WALL : a plate on a wall in its place; BEND : a line post that a curve
    is bent at.
    """

    LINE = "line"
    END = "end"
    CORNER = "corner"
    GATE = "gate"
    WALL = "wall"
    BEND = "bend"
