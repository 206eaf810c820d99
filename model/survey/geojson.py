"""Lines and points of a GeoJSON file (RFC 7946): degrees put on a plane, or grid coordinates."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from .grids import grid_of, named_grid
from .placed_shapes import MOST_POSITIONS, Position, Shape, Shapes, shaped_survey
from .points_and_lines import Asked, Survey, SurveyError

MOST_LISTS, MOST_VALUES = 200_000, 1_000_000
"""Most lists and objects, and values, of a text; counted before it is read, as they take far more
room then."""


def read_geojson(text: str, file: str, unit: float | None, asked: Asked) -> Survey:
    """Return the lines and points of a GeoJSON text.

    Parameters
    ----------
    text : str
        A FeatureCollection, a Feature or a geometry.
    file : str
        Name for messages.
    unit : float or None
        Millimetres in the unit of grid coordinates; by the grid, else metres, when None.
    asked : Asked
        Grid to put degrees on ("EPSG:27700"), none for planes that touch the ellipsoid where the
        shapes are, with true lengths there; the property that names features.

    Raises
    ------
    SurveyError
        When it is not GeoJSON, or its coordinates are none.
    """
    data = _parsed(text, file)
    _check_property(data, asked.named_by, file)
    shapes = tuple(_shapes(data, file, asked.named_by))
    named = grid_of(named_grid(_named_crs(data)), file)
    return shaped_survey(Shapes(file, "GeoJSON", shapes, named, unit, in_degrees=True), asked)


def _check_property(data: Any, name: str, file: str) -> None:
    """Refuse a property that no feature has, and say which there are."""
    features = data.get("features") if isinstance(data, dict) else None
    if not name or not isinstance(features, list):
        return
    told: dict[str, None] = {}
    for feature in features[:MOST_POSITIONS]:
        properties = feature.get("properties") if isinstance(feature, dict) else None
        told |= dict.fromkeys(properties if isinstance(properties, dict) else ())
    if name not in told:
        there = ", ".join(key[:30] for key in list(told)[:20])
        raise SurveyError(f"{file}: no feature has the property '{name}'; there are: {there}")


def _parsed(text: str, file: str) -> Any:
    def refuse(word: str) -> float:
        raise ValueError(f"{word} is not a number")

    if text.count("[") + text.count("{") > MOST_LISTS or text.count(",") > MOST_VALUES:
        raise SurveyError(f"{file}: holds more than is read; save a smaller part of it")
    try:
        return json.loads(text, parse_constant=refuse)
    except json.JSONDecodeError as error:
        raise SurveyError(f"{file}:{error.lineno}: is not JSON: {error.msg}") from None
    except RecursionError:
        raise SurveyError(f"{file}: is nested too deeply") from None
    except ValueError as error:
        raise SurveyError(f"{file}: {str(error)[:80]}") from None


def _shapes(data: Any, file: str, named_by: str) -> Iterator[Shape]:
    """Yield name, group, kind and parts of each geometry. named_by : property with its name."""
    waiting: list[tuple[Any, str, str]] = [(data, "", "")]
    count = total = 0
    while waiting:
        item, name, group = waiting.pop()
        if not isinstance(item, dict):
            raise SurveyError(f"{file}: is not GeoJSON: an object with a 'type' is missing")
        kind = item.get("type")
        inner: list[Any] = []
        match kind:
            case "FeatureCollection":
                inner = _listed(item.get("features"), file, "features")
            case "GeometryCollection":
                inner = _listed(item.get("geometries"), file, "geometries")
            case "Feature":
                properties = item.get("properties")
                told = properties if isinstance(properties, dict) else {}
                named = item.get("id", told.get("name", told.get("id", "")))
                if named_by:
                    named = told.get(named_by, "")
                name = str(named)[:60] if named is not None else ""
                kinds = told.get("code", told.get("layer", told.get("type", "")))
                group = str(kinds)[:60] if kinds is not None else ""
                inner = [item["geometry"]] if item.get("geometry") is not None else []
            case "LineString" | "MultiLineString" | "Polygon" | "MultiPolygon" | "Point":
                count += 1
                parts = _parts(kind, item.get("coordinates"), file)
                total += sum(len(part) for part in parts)
                if total > MOST_POSITIONS:
                    raise SurveyError(f"{file}: has more than {MOST_POSITIONS} positions")
                yield name or str(count), group, kind, parts
            case "MultiPoint":
                for part in _listed(item.get("coordinates"), file, "coordinates"):
                    count += 1
                    yield name or str(count), group, "Point", [[_position(part, file)]]
            case _:
                shown = str(kind)[:40]
                raise SurveyError(f"{file}: is not GeoJSON: no such type '{shown}'")
        if len(inner) + len(waiting) > MOST_POSITIONS:
            raise SurveyError(f"{file}: has more than {MOST_POSITIONS} features")
        waiting.extend((part, name, group) for part in reversed(inner))


def _listed(value: Any, file: str, key: str) -> list[Any]:
    if not isinstance(value, list):
        raise SurveyError(f"{file}: is not GeoJSON: '{key}' is not a list")
    return value


def _parts(kind: str, coordinates: Any, file: str) -> list[list[Position]]:
    depth = {"Point": 0, "LineString": 1, "MultiLineString": 2, "Polygon": 2, "MultiPolygon": 3}
    level = [coordinates]
    for _ in range(max(0, depth[kind] - 1)):
        level = [part for whole in level for part in _listed(whole, file, "coordinates")]
    if kind == "Point":
        return [[_position(coordinates, file)]]
    return [[_position(p, file) for p in _listed(part, file, "coordinates")] for part in level]


def _position(value: Any, file: str) -> Position:
    numbers = (
        isinstance(value, list)
        and len(value) >= 2
        and all(
            isinstance(v, (int, float)) and not isinstance(v, bool) and abs(v) < 1e15
            for v in value[:3]
        )
    )
    if not numbers:
        raise SurveyError(f"{file}: a position is not two or three numbers: {str(value)[:60]}")
    return float(value[0]), float(value[1]), float(value[2]) if len(value) > 2 else None


def _named_crs(data: Any) -> str:
    """Return the grid that an older GeoJSON file names: EPSG:27700, or empty."""
    crs = data.get("crs") if isinstance(data, dict) else None
    told = crs.get("properties") if isinstance(crs, dict) else None
    name = told.get("name") if isinstance(told, dict) else None
    if not isinstance(name, str):
        return ""
    parts = [part for part in name.split(":") if part]
    if not parts:
        return ""
    # EPSG:27700, or urn:ogc:def:crs:EPSG:version:27700 (OGC 07-092r1)
    authority = parts[4] if parts[0].lower() == "urn" and len(parts) > 5 else parts[0]
    return f"{authority}:{parts[-1]}".upper()
