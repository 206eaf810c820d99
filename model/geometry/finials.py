"""Finials: turned pieces that stand on posts or on their caps.

A new finial is a table that a spec may write, with the piece that it means, and an entry in
`FinialSpec`; nothing else has to know it. How neck and foot go with the ball: common practice, no
source.
"""

from __future__ import annotations

import math
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from palewright.model.basis.lengths import Positive, Table, shape_named

from .turned_shapes import Turned, TurnedZone

FOOT, FOOT_HEIGHT = 0.75, 0.12
"""Diameter and height of the disc that a finial stands on, by the diameter of its ball."""

NECK, NECK_HEIGHT = 0.45, 0.1
"""Diameter and height of the neck under it, by the diameter of its ball."""

LEAN = math.radians(45.0)
"""Where an acorn's ball runs on into its point, from the level of its middle."""


class NoFinial(Table):
    """No finial: on posts of one kind, where the others have some."""

    shape: Literal["none"]

    def turned(self) -> Turned | None:
        """Return None."""
        return None


class BallFinial(Table):
    """A ball on a neck and a disc."""

    shape: Literal["ball"]
    diameter: Positive = Field(80.0, description="of the ball; the disc under it is 3/4 as wide")

    def turned(self) -> Turned | None:
        """Return the piece, mm."""
        disc, neck = _stand(self.diameter)
        radius = self.diameter / 2.0
        high = radius + math.sqrt(radius**2 - neck.high**2)
        return Turned((disc, neck, TurnedZone(neck.high, 0.0, high, ball=True)))


class AcornFinial(Table):
    """A ball that runs out into a point, on a neck and a disc."""

    shape: Literal["acorn"]
    diameter: Positive = Field(80.0, description="of the ball; the disc under it is 3/4 as wide")

    def turned(self) -> Turned | None:
        """Return the piece, mm: its point is the cone that touches the ball at `LEAN`."""
        disc, neck = _stand(self.diameter)
        radius = self.diameter / 2.0
        under = math.sqrt(radius**2 - neck.high**2)
        aside, over = radius * math.cos(LEAN), radius * math.sin(LEAN)
        point = TurnedZone(aside, 0.0, radius / math.sin(LEAN) - over)
        return Turned((disc, neck, TurnedZone(neck.high, aside, under + over, ball=True), point))


FinialSpec = Annotated[
    Annotated[NoFinial | BallFinial | AcornFinial, Field(discriminator="shape")],
    BeforeValidator(shape_named),
]


def _stand(diameter: float) -> tuple[TurnedZone, TurnedZone]:
    """Return the disc and the neck under a ball, mm."""
    foot, neck = FOOT * diameter / 2.0, NECK * diameter / 2.0
    return (
        TurnedZone(foot, foot, FOOT_HEIGHT * diameter),
        TurnedZone(neck, neck, NECK_HEIGHT * diameter),
    )
