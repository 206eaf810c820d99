"""Daylight: where the sun stands, how much light falls on a face, and how it is shown.

One light for pictures and the page. A plate upright like the fence's front in the sun gets light
1, so that it is shown in the very colour of its finish.
"""

from __future__ import annotations

import io
import math
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from palewright.model.fence.fence_model import FenceModel

SUN_ASIDE, SUN_HEIGHT = 35.0, 40.0
"""Where the sun stands, degrees: to one side of straight in front, and over the horizon."""

IN_SHADE = 0.38
"""Light on an upright face without sun; with it 1."""

BOUNCE = 0.16
"""Light that comes up from the ground."""

SKY = 2.0 * IN_SHADE - BOUNCE
"""Light from the whole sky on level ground."""

SUN = (1.0 - IN_SHADE) / (math.cos(math.radians(SUN_ASIDE)) * math.cos(math.radians(SUN_HEIGHT)))
"""Light of the sun on a face that looks straight at it."""

SUN_TINT = (1.03, 1.0, 0.95)
"""The sun's light is warmer than the sky's; together they are white on the front."""


HORIZON, ZENITH = (0.70, 0.80, 0.90), (0.20, 0.38, 0.70)
"""The sky's colour, linear: low and high."""

STEPS = 16384
"""Steps of light in the table of the transfer function: finer than what is shown has."""


def sky_tint() -> tuple[float, float, float]:
    """Return the colour of the sky's light that makes sun and sky together white on the front."""
    r, g, b = ((1.0 - (1.0 - IN_SHADE) * part) / IN_SHADE for part in SUN_TINT)
    return r, g, b


def sun_direction(fence: FenceModel, *, behind: bool = False) -> tuple[float, float, float]:
    """Return the unit vector to the sun: off the front of the gated leg, or of the longest, to
    the side from which more of the other legs are lit. behind : off the back instead.
    """
    legs = [leg for layout in fence.layouts for leg in layout.legs]
    gated = [opening.leg for layout in fence.layouts for opening in layout.openings]
    main = max(gated or legs, key=lambda leg: leg.length)
    sign = 1.0 if behind else -1.0

    def lit(turn: float) -> float:
        x, y = _turned(sign * main.frame.y[0], sign * main.frame.y[1], turn)
        return math.fsum(
            leg.length * max(0.0, sign * (leg.frame.y[0] * x + leg.frame.y[1] * y)) for leg in legs
        )

    # the small wish for the left decides where the legs do not
    turn = max((SUN_ASIDE, -SUN_ASIDE), key=lambda turn: (round(lit(turn)), -turn))
    x, y = _turned(sign * main.frame.y[0], sign * main.frame.y[1], turn)
    size = math.cos(math.radians(SUN_HEIGHT)) / math.hypot(x, y)
    return x * size, y * size, math.sin(math.radians(SUN_HEIGHT))


def _turned(x: float, y: float, degrees: float) -> tuple[float, float]:
    turn = math.radians(degrees)
    return x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn)


def linear(colours: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return sRGB colours, 0 to 1, as linear light (IEC 61966-2-1)."""
    low = colours / np.float32(12.92)
    high = ((colours + np.float32(0.055)) / np.float32(1.055)) ** np.float32(2.4)
    return np.where(colours <= 0.04045, low, high)


def shown(light: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return linear light (n, 3) as it is shown, sRGB 0 to 1.

    Bright light is pressed together and bleached as little as may be, colours below are kept.
    Source: Khronos PBR Neutral tone mapper, without its offset for reflections, which this light
    does not have; IEC 61966-2-1 for the transfer function.
    """
    start, bleach = 0.8, 0.15
    peak = light.max(axis=-1)
    over = peak > start
    if over.any():
        high = peak[over]
        room = 1.0 - start
        pressed = 1.0 - room * room / (high + room - start)
        kept = light[over] * (pressed / high)[:, None]
        share = 1.0 - 1.0 / (bleach * (high - pressed) + 1.0)
        light = light.copy()
        light[over] = kept + (pressed[:, None] - kept) * share[:, None]
    steps = np.arange(STEPS + 1) / STEPS
    table = np.where(steps <= 0.0031308, 12.92 * steps, 1.055 * steps ** (1.0 / 2.4) - 0.055)
    return table.astype(np.float32)[(np.clip(light, 0.0, 1.0) * STEPS + 0.5).astype(np.int32)]


def png_of(colours: NDArray[np.float32]) -> bytes:
    """Return colours (h, w, 3), 0 to 1, from the top down, as PNG."""
    from PIL import Image

    image = Image.fromarray(np.round(np.clip(colours, 0.0, 1.0) * 255.0).astype(np.uint8))
    out = io.BytesIO()
    image.save(out, "PNG", compress_level=3)
    return out.getvalue()
