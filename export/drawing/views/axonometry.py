"""Isometric axonometry: three axes at equal angles, lengths along each of them to scale.

ISO 5456-3:1996, 5.1 (from memory): the three axes make equal angles with the projection plane,
upright ones stay upright and level ones rise by 30 degrees; drawn so that lengths along all three
are at the scale of the drawing, which is 1.225 (the root of 3/2) times the true projection.
"""

from __future__ import annotations

import math

from palewright.model.geometry.frames import Frame, Vector

from .hidden_lines import Eye

COS_30 = math.sqrt(3.0) / 2.0


def isometric_eye(frame: Frame, *, from_right: bool = False, back: bool = False) -> Eye:
    """Return an eye that looks down on a frame's x and y axes, x along a fence and y to its back.

    from_right : from the fence's right end, seen from the front, instead of its left; back : from
    behind the fence instead of from before it.

    >>> eye = isometric_eye(Frame())
    >>> [round(part, 3) for part in (*eye.spot((1.0, 0.0, 0.0)), *eye.spot((0.0, 1.0, 0.0)))]
    [0.866, 0.5, -0.866, 0.5]
    """
    along, across = -1.0 if from_right else 1.0, -1.0 if back else 1.0

    def level(a: float, b: float, up: float) -> Vector:
        x, y = frame.x, frame.y
        return a * x[0] + b * y[0], a * x[1] + b * y[1], up

    return Eye(
        level(across * COS_30, -along * COS_30, 0.0),
        level(along / 2.0, across / 2.0, 1.0),
        level(along, across, -1.0),
    )
