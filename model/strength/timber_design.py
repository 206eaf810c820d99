"""Timber after EN 338 and EN 1995-1-1: strengths, factors, sections."""

from __future__ import annotations

from dataclasses import dataclass

from .formulas import Formula

EC5 = "EN 1995-1-1"


@dataclass(frozen=True)
class StrengthClass:
    """Characteristic values. bending, shear, across : fm,k, fv,k and fc,90,k, N/mm2; stiffness :
    E0,mean, N/mm2; density : rho_k, kg/m3.
    """

    bending: float
    shear: float
    across: float
    stiffness: float
    density: float


CLASSES = {
    "C16": StrengthClass(16.0, 3.2, 2.2, 8000.0, 310.0),
    "C18": StrengthClass(18.0, 3.4, 2.2, 9000.0, 320.0),
    "C24": StrengthClass(24.0, 4.0, 2.5, 11000.0, 350.0),
}
"""EN 338:2016, Table 1."""

KMOD = {"permanent": 0.50, "long-term": 0.55, "medium-term": 0.65, "short-term": 0.70,
        "instantaneous": 0.90}  # fmt: skip
"""Modification factor of solid timber in service class 3, outside: EN 1995-1-1, Table 3.1."""

MODULUS, INERTIA = Formula("b d^2 / 6"), Formula("b d^3 / 12")
"""Of a rectangle b wide and d deep."""

SIZE = Formula("min((150 / d)^0.2, 1.3)")
"""k_h of a depth under 150 mm: EN 1995-1-1, formula (3.1)."""

DESIGN = Formula("kmod f / gamma_M")
"""A design strength: EN 1995-1-1, formula (2.14)."""

SHEAR = Formula("1.5 Vd / (0.67 b d)")
"""Shear stress of a rectangle: EN 1995-1-1, 6.1.7, with k_cr = 0.67 for cracks (from memory)."""

NAIL_POINT = Formula("2/3 kp 20e-6 rho^2 d t")
"""Withdrawal of a smooth nail driven into damp timber, N: EN 1995-1-1, 8.3.2; rho in kg/m3."""

NAIL_HEAD = Formula("20e-6 rho^2 d t1 + 70e-6 rho^2 dh^2")
"""Pull-through of a smooth nail's head side, N: EN 1995-1-1, formulas (8.24) and (8.26)."""

BOLT_HEAD = Formula("3 fc,90,k pi / 4 (dh^2 - (d + 1)^2)")
BOLT_WASHER = Formula("3 fc,90,k pi / 4 (dw^2 - (d + 1)^2)")
"""Pull-through of a bolt at its head and at its washer, N: EN 1995-1-1, 8.5.2."""

BIAXIAL = 0.7
"""k_m of rectangular sections bent both ways (EN 1995-1-1, 6.1.6; from memory)."""

DENSE = 700.0
"""Above this density (kg/m3) small sections have no more strength."""


def size_factor(depth: float, density: float = 350.0) -> float:
    """Return k_h for the depth of a section in bending, mm.

    Source: EN 1995-1-1, formula (3.1): min((150 / h)^0.2, 1.3) for h under 150 mm and a
    characteristic density of at most 700 kg/m3.

    >>> round(size_factor(100.0), 4), size_factor(38.0), size_factor(150.0)
    (1.0845, 1.3, 1.0)
    """
    if depth >= 150.0 or density > DENSE:
        return 1.0
    return SIZE.value({"d": depth})


def design(value: float, kmod: float, partial: float) -> float:
    """Return a design strength: kmod f / gamma_M (EN 1995-1-1, formula 2.14)."""
    return DESIGN.value({"kmod": kmod, "f": value, "gamma_M": partial})


@dataclass(frozen=True)
class Rectangle:
    """A rectangular section. width : across the load; depth : along it, mm."""

    width: float
    depth: float

    @property
    def area(self) -> float:
        """mm2."""
        return self.width * self.depth

    @property
    def modulus(self) -> float:
        """Section modulus W, mm3."""
        return MODULUS.value({"b": self.width, "d": self.depth})

    @property
    def inertia(self) -> float:
        """Second moment of area I, mm4."""
        return INERTIA.value({"b": self.width, "d": self.depth})


@dataclass(frozen=True)
class Arris:
    """A triangular section with its flat side to the load. width : of that side; depth : mm."""

    width: float
    depth: float

    @property
    def area(self) -> float:
        """mm2."""
        return self.width * self.depth / 2.0

    @property
    def modulus(self) -> float:
        """Section modulus W at the edge, mm3: I over two thirds of the depth."""
        return self.width * self.depth**2 / 24.0

    @property
    def inertia(self) -> float:
        """Second moment of area I, mm4."""
        return self.width * self.depth**3 / 36.0


def nail_withdrawal(
    diameter: float, point: float, density: float, *, wet: bool = True
) -> tuple[float, float]:
    """Return the characteristic withdrawal capacity of a smooth nail's point, N, and the factor
    for its penetration.

    diameter, point : of the nail and its length in the timber behind, mm; density : rho_k,
    kg/m3; wet : driven into damp timber that dries.

    Source: EN 1995-1-1, 8.3.2: f = 20e-6 rho^2, full from a penetration of 12 d and nothing below
    8 d, with (t / 4 d - 2) between; two thirds when driven into damp timber (from memory).
    """
    factor = min(max(point / (4.0 * diameter) - 2.0, 0.0), 1.0)
    values = {"kp": factor, "rho": density, "d": diameter, "t": point}
    return NAIL_POINT.value(values) * (1.0 if wet else 1.5), factor


def nail_head(diameter: float, thickness: float, density: float) -> float:
    """Return the characteristic pull-through capacity of a smooth nail's head side, N.

    Source: EN 1995-1-1, formulas (8.24) and (8.26): f_ax d t + 70e-6 rho^2 dh^2 (from memory);
    the head of a round nail is taken 2 d wide (common practice).
    """
    values = {"rho": density, "d": diameter, "t1": thickness, "dh": 2.0 * diameter}
    return NAIL_HEAD.value(values)


def washer_bearing(washer: float, bolt: float, across: float) -> float:
    """Return the characteristic pull-through capacity of a bolt, N.

    washer, bolt : diameters, mm; across : fc,90,k, N/mm2.

    Source: EN 1995-1-1, 8.5.2: three times fc,90,k under the washer, without the hole of d + 1.
    """
    return BOLT_WASHER.value({"fc,90,k": across, "dw": washer, "d": bolt})
