"""How members look in solids and pictures, by kind."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.model.members import (
    BRACE,
    CAP,
    CONCRETE,
    LEDGE,
    METAL,
    PALE,
    POST,
    RAIL,
    WALL_PLATE,
    Kind,
)


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


SAWN = Finish("sawn softwood", 0.80, 0.67, 0.47)
PLANED = Finish("planed softwood", 0.87, 0.76, 0.57)
POST_WOOD = Finish("treated post", 0.69, 0.57, 0.38)
CONCRETE_GREY = Finish("concrete", 0.62, 0.62, 0.60, 0.0, 0.95)
GALVANISED = Finish("galvanised steel", 0.56, 0.58, 0.60, 0.9, 0.45)

_BY_KIND = {
    PALE: PLANED,
    RAIL: SAWN,
    LEDGE: SAWN,
    BRACE: SAWN,
    POST: POST_WOOD,
    CAP: POST_WOOD,
    WALL_PLATE: POST_WOOD,
}


def finish_of(kind: Kind) -> Finish:
    """Return the finish that members of a kind are shown in."""
    if kind in _BY_KIND:
        return _BY_KIND[kind]
    return {CONCRETE: CONCRETE_GREY, METAL: GALVANISED}.get(kind.material, SAWN)
