"""Grids by name: in which unit they count, and whether lengths on them are those on the ground."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Any

from palewright.model.geometry.frames import Point

from .degrees import Place
from .points_and_lines import SurveyError

US_SURVEY_FOOT = 1200.0 / 3937.0 * 1000.0
"""mm, as NIST defines it (Federal Register 85-62698, 2020)."""

LARGEST_STRETCH = 0.005
"""A grid whose lengths differ by more from those on the ground is no grid to set out by."""

METRES = frozenset(
    (27700, 2154, 3035, 2157, 2193, 2180, 28992, 31287, 21781, 2056, 3006, 3067, 3301, 5514,
     *range(25828, 25839), *range(32601, 32661), *range(32701, 32761), *range(23028, 23039),
     *range(31466, 31470), *range(26901, 26924), *range(28348, 28357), *range(7846, 7860))
)  # fmt: skip
"""EPSG numbers of grids that count in metres to the east and the north (from memory), known
without pyproj.
"""

IN_DEGREES = frozenset((4326, 4258, 4269, 4283, 7844, 4277, 4314, 4167, 4979))
"""EPSG numbers of longitudes and latitudes (from memory), known without pyproj."""

FALSE_LENGTHS = frozenset((3857, 900913, 3395, 54004))
"""EPSG numbers of world maps for screens (from memory): 1 m is up to several on them."""


@dataclass(frozen=True)
class Grid:
    """A grid. name : "EPSG:27700"; unit : mm in the unit of its coordinates; degrees : whether they
    are longitudes and latitudes; definition : of one that has no number.
    """

    name: str
    unit: float
    degrees: bool = False
    definition: str = ""

    @property
    def defined(self) -> str:
        """What pyproj knows it by."""
        return self.definition or self.name


def named_grid(name: str) -> str:
    """Return the name that a file gives, empty for plain longitudes and latitudes."""
    return "" if name.upper() in ("OGC:CRS84", "EPSG:4326") else name


def given_name(*grids: Grid | None) -> str:
    """Return the name of the first grid that there is, else that of the usual degrees."""
    return next((grid.name for grid in grids if grid is not None), "WGS 84")


def name_of(grid: Grid | None) -> str:
    """Return the name of a grid, empty where there is none."""
    return grid.name if grid is not None and not grid.degrees else ""


def grid_of(name: str, file: str) -> Grid | None:
    """Return the grid of a name, or None for an empty one.

    Raises
    ------
    SurveyError
        When there is no such grid, it is none to set out by, or it is not known without pyproj.
    """
    if not name:
        return None
    code = re.fullmatch(r"EPSG:(\d{1,6})", name.strip(), re.IGNORECASE)
    number = int(code[1]) if code else -1
    shown = f"EPSG:{number}" if code else name.strip()[:60]
    full = "" if code else name
    if number in FALSE_LENGTHS:
        raise SurveyError(_stretched(file, shown))
    pyproj = _pyproj()
    if pyproj is None:
        if number in METRES:
            return Grid(shown, 1000.0)
        if number in IN_DEGREES:
            return Grid(shown, 0.0, degrees=True)
        raise SurveyError(
            f"{file}: {shown} is not known without pyproj (the extra 'survey'): its unit and kind "
            "would be guesses"
        )
    try:
        flat = _flat(pyproj, name)
    except pyproj.exceptions.CRSError:
        raise SurveyError(f"{file}: survey.crs: no such grid '{shown}'") from None
    if flat.is_geographic:
        return Grid(shown, 0.0, degrees=True, definition=full)
    if not flat.is_projected:
        raise SurveyError(f"{file}: survey.crs: '{shown}' is not a plane grid")
    if {axis.direction for axis in flat.axis_info[:2]} != {"east", "north"}:
        ways = " and ".join(axis.direction for axis in flat.axis_info[:2])
        raise SurveyError(
            f"{file}: survey.crs: '{shown}' counts to the {ways}; save the survey on a grid that "
            "counts to the east and the north"
        )
    return Grid(shown, float(flat.axis_info[0].unit_conversion_factor) * 1000.0, definition=full)


def on_grid(grid: Grid, file: str) -> Place:
    """Return the function from degrees (WGS 84) to a grid's coordinates in mm."""
    pyproj = _pyproj()
    if pyproj is None:
        raise SurveyError(
            f"{file}: to put degrees on {grid.name} the extra 'survey' is needed, which brings "
            "pyproj; or leave survey.crs out for a local plane"
        )
    change = pyproj.Transformer.from_crs("EPSG:4326", grid.defined, always_xy=True)

    def place(lon: float, lat: float) -> Point:
        x, y = change.transform(lon, lat)
        return x * grid.unit, y * grid.unit

    return place


def degrees_of(name: str, at: Point) -> Point | None:
    """Return degrees north and east (WGS 84) of a place on a grid, mm; None where the grid is not
    known, or not without pyproj, which is missing.
    """
    pyproj = _pyproj()
    try:
        grid = grid_of(name, "")
    except SurveyError:
        return None
    if pyproj is None or grid is None or grid.degrees:
        return None
    change = pyproj.Transformer.from_crs(_flat(pyproj, grid.defined), "EPSG:4326", always_xy=True)
    lon, lat = change.transform(at[0] / grid.unit, at[1] / grid.unit)
    return (lat, lon) if math.isfinite(lon) and math.isfinite(lat) else None


def check_lengths(grid: Grid | None, at: Point, file: str) -> None:
    """Refuse a grid on which a length at a place, mm, is far from that on the ground.

    Where pyproj is not there only the grids that are known as false are refused.
    """
    pyproj = _pyproj()
    if grid is None or grid.degrees or pyproj is None:
        return
    flat = _flat(pyproj, grid.defined)
    back = pyproj.Transformer.from_crs(flat, flat.geodetic_crs, always_xy=True)
    lon, lat = back.transform(at[0] / grid.unit, at[1] / grid.unit)
    if not (math.isfinite(lon) and math.isfinite(lat)):
        raise SurveyError(f"{file}: its coordinates are on no place of {grid.name}")
    factors = pyproj.Proj(flat).get_factors(lon, lat)
    scales = (factors.meridional_scale, factors.parallel_scale)
    if any(abs(scale - 1.0) > LARGEST_STRETCH for scale in scales):
        raise SurveyError(f"{_stretched(file, grid.name)} ({scales[0]:.3f} times)")


def _flat(pyproj: Any, name: str) -> Any:
    """Return what a grid's definition says of places in plan."""
    known = pyproj.CRS.from_user_input(name)
    return known.sub_crs_list[0] if known.is_compound else known


def _stretched(file: str, name: str) -> str:
    return (
        f"{file}: survey.crs: lengths on '{name}' are not those on the ground there; use the "
        "national grid, or degrees"
    )


def _pyproj() -> Any:
    """Return pyproj, or None where it is not installed."""
    try:
        import pyproj
    except ImportError:
        return None
    return pyproj
