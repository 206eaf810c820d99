"""How members look in solids and pictures, by kind."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.model.order.fence_figures import finish_name
from palewright.model.parts.members import CAST, CONCRETE, GRAVEL, METAL, STANDING, TIMBER, Kind
from palewright.model.spec.paper_keys import Finishes


@dataclass(frozen=True)
class Finish:
    """A surface. red, green, blue : 0 to 1, sRGB; metallic, roughness : 0 to 1."""

    name: str
    red: float
    green: float
    blue: float
    metallic: float = 0.0
    roughness: float = 0.85

    @property
    def rgb(self) -> tuple[float, float, float]:
        """The sRGB colour."""
        return self.red, self.green, self.blue

    @property
    def linear(self) -> tuple[float, float, float]:
        """The colour in linear light (IEC 61966-2-1, the sRGB transfer function)."""
        r, g, b = (
            value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4
            for value in self.rgb
        )
        return r, g, b

    @property
    def hex(self) -> str:
        """The sRGB colour as #RRGGBB."""
        return "#" + "".join(f"{round(value * 255):02X}" for value in self.rgb)


CONCRETE_GREY = Finish("concrete", 0.62, 0.62, 0.60, 0.0, 0.95)
GRAVEL_GREY = Finish("gravel", 0.58, 0.55, 0.50, 0.0, 1.0)
GALVANISED = Finish("galvanised steel", 0.56, 0.58, 0.60, 0.9, 0.45)

WEATHERED = Finish("as it stands", 0.52, 0.50, 0.46, 0.0, 0.95)

TIMBER_FINISHES = {
    finish.name: finish
    for finish in (
        Finish("plain", 0.85, 0.73, 0.54, 0.0, 0.85),
        Finish("treated", 0.69, 0.57, 0.38, 0.0, 0.85),
        Finish("treated brown", 0.47, 0.33, 0.21, 0.0, 0.85),
        Finish("weathered", 0.60, 0.58, 0.54, 0.0, 0.95),
        Finish("oiled", 0.67, 0.47, 0.28, 0.0, 0.6),
        Finish("brown stain", 0.42, 0.27, 0.16, 0.0, 0.65),
        Finish("dark stain", 0.24, 0.17, 0.12, 0.0, 0.65),
        Finish("white paint", 0.93, 0.93, 0.90, 0.0, 0.5),
        Finish("cream paint", 0.92, 0.87, 0.74, 0.0, 0.5),
        Finish("grey paint", 0.52, 0.54, 0.55, 0.0, 0.5),
        Finish("green paint", 0.30, 0.42, 0.33, 0.0, 0.5),
        Finish("blue paint", 0.34, 0.46, 0.56, 0.0, 0.5),
        Finish("black paint", 0.10, 0.10, 0.10, 0.0, 0.5),
    )
}
"""Timber as it looks in daylight under common finishes, judged by eye; no paint maker's shades."""


def finish_of(kind: Kind, finishes: Finishes) -> Finish:
    """Return the finish that members of a kind are shown in."""
    if kind.material == TIMBER:
        return TIMBER_FINISHES[finish_name(kind, finishes)]
    return {
        CONCRETE: CONCRETE_GREY, CAST: CONCRETE_GREY, GRAVEL: GRAVEL_GREY, METAL: GALVANISED,
        STANDING: WEATHERED,
    }[kind.material]  # fmt: skip
