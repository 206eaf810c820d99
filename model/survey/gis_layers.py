"""Lines and points of shapefiles and GeoPackages, read by pyogrio (GDAL)."""

from __future__ import annotations

import io
import sqlite3
import warnings
import zipfile
from pathlib import Path
from typing import Any

from palewright.model.basis.source_files import SourceFileError, read_source

from .grids import Grid, grid_of, named_grid
from .placed_shapes import MOST_POSITIONS, Shape, Shapes, shaped_survey
from .points_and_lines import Asked, Survey, SurveyError
from .wkt_columns import shape_parts

BESIDE = ("shx", "dbf", "prj", "cpg")
"""Files beside a shapefile, by suffix."""

SHAPEFILE, GEOPACKAGE = "shapefile", "GeoPackage"

MOST_LAYERS = 500

NAMES, CODES_OF = ("name", "id"), ("code", "layer", "type")
"""Properties that a name and a code are taken from, the first that there is."""


def with_companions(data: bytes, path: Path, largest: int) -> bytes:
    """Return a shapefile and what stands beside it as one packed file.

    Raises
    ------
    SurveyError
        When a file that is needed is not there or cannot be read.
    """
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_STORED) as parts:
        parts.writestr("s.shp", data)
        for suffix in BESIDE:
            there = [path.with_suffix(f".{word}") for word in (suffix, suffix.upper())]
            found = next((other for other in there if other.exists()), None)
            if found is None:
                if suffix == "shx":
                    raise SurveyError(
                        f"{path}: needs {there[0].name} beside it (and .dbf and .prj for names "
                        "and its grid): a shapefile is several files, copy them all"
                    )
                continue
            try:
                parts.writestr(f"s.{suffix}", read_source(found, largest))
            except SourceFileError as error:
                raise SurveyError(f"{found}: {error}") from None
    return packed.getvalue()


def read_layer(data: bytes, file: str, kind: str, unit: float | None, asked: Asked) -> Survey:
    """Return the lines and points of a layer.

    Parameters
    ----------
    data : bytes
        A GeoPackage, or a shapefile as `with_companions` packs it.
    file : str
        Name for messages.
    kind : str
        SHAPEFILE or GEOPACKAGE.
    unit : float or None
        Millimetres in the unit of grid coordinates that the user gives; by the grid when None.
    asked : Asked
        Layer, property that names features, and a grid to put degrees on.

    Raises
    ------
    SurveyError
        When pyogrio is missing, the layer is not told, or it cannot be read.
    """
    pyogrio = _pyogrio(file, kind)
    if kind == GEOPACKAGE:
        _check_database(data, file)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # names of files in memory
            listed = pyogrio.list_layers(data)
            names = [str(row[0]) for row in listed if row[1] is not None]
            if kind == SHAPEFILE:  # its one layer goes by the file's own name
                _layer([Path(file).stem], file, asked.layer)
            layer = _layer(names, file, "" if kind == SHAPEFILE else asked.layer)
            meta, ids, blobs, columns = pyogrio.raw.read(
                data, layer=layer, max_features=MOST_POSITIONS + 1, return_fids=True
            )
    except SurveyError:
        raise
    except Exception as error:  # the library's own, and what broken files make of it
        raise SurveyError(f"{file}: is no {kind} that can be read: {_words(error)}") from None
    if len(blobs) > MOST_POSITIONS:
        raise SurveyError(f"{file}: has more than {MOST_POSITIONS} features")
    fields = {str(name): column for name, column in zip(meta["fields"], columns, strict=True)}
    if asked.named_by and asked.named_by not in fields:
        there = ", ".join(name[:30] for name in list(fields)[:20])
        raise SurveyError(
            f"{file}: no feature has the property '{asked.named_by}'; there are: {there}"
        )
    shapes, empty = _shapes(ids, blobs, fields, asked.named_by, file)
    notes = [f"layer {layer}"] if len(listed) > 1 else []
    if empty:
        notes.append(f"{empty} features without a shape are left out")
    named = _grid(meta.get("crs"), file)
    if named is None and not asked.crs:
        notes.append("the file does not say its grid")
    return shaped_survey(
        Shapes(file, kind, shapes, named, unit, by_code=True, notes=tuple(notes)), asked
    )


def _pyogrio(file: str, kind: str) -> Any:
    try:
        import pyogrio
    except ImportError:
        raise SurveyError(
            f"{file}: is a {kind}, which is read with pyogrio: install the extra 'gis' (pip "
            "install 'palewright[gis]'), or save it as GeoJSON, CSV or DXF"
        ) from None
    return pyogrio


def _check_database(data: bytes, file: str) -> None:
    """Refuse a database with views, whose reading might never end, or with far too many tables."""
    base = sqlite3.connect(":memory:")
    try:
        base.deserialize(data)
        rows = base.execute("SELECT type FROM sqlite_master LIMIT 20000").fetchall()
        kinds = [str(row[0]) for row in rows]
    except (sqlite3.Error, OverflowError, ValueError, MemoryError) as error:
        raise SurveyError(f"{file}: is no GeoPackage that can be read: {_words(error)}") from None
    finally:
        base.close()
    if "view" in kinds:
        raise SurveyError(f"{file}: has views, which are not read; save its layer alone anew")
    if kinds.count("table") > 20 * MOST_LAYERS:
        raise SurveyError(f"{file}: has too many tables; save its layer alone anew")


def _layer(names: list[str], file: str, wanted: str) -> str:
    if not names:
        raise SurveyError(f"{file}: has no layer with shapes")
    if wanted in names:
        return wanted
    if len(names) == 1 and not wanted:
        return names[0]
    there = ", ".join(name[:60] for name in names[:20])
    if wanted:
        raise SurveyError(f"{file}: has no layer '{wanted[:60]}'; there are: {there}")
    raise SurveyError(
        f"{file}: has {len(names)} layers; say which (in a spec survey.layer): {there}"
    )


def _shapes(
    ids: Any, blobs: Any, fields: dict[str, Any], named_by: str, file: str
) -> tuple[list[Shape], int]:
    """Return the shapes of features, and how many have none."""
    import shapely

    shapes: list[Shape] = []
    lower = {name.casefold(): column for name, column in fields.items()}
    name = fields.get(named_by) if named_by else _first(lower, NAMES)
    code = _first(lower, CODES_OF)
    empty = total = 0
    for row, blob in enumerate(blobs):
        try:
            shape = shapely.from_wkb(blob) if blob is not None else None
        except shapely.errors.GEOSException as error:
            raise SurveyError(f"{file}: a shape cannot be read: {_words(error)}") from None
        if shape is None:
            empty += 1
            continue
        own = _text(name, row) or str(ids[row])
        for kind, parts in shape_parts(shape):
            total += sum(map(len, parts))
            shapes.append((own, _text(code, row), kind, parts))
        if total > MOST_POSITIONS:
            raise SurveyError(f"{file}: has more than {MOST_POSITIONS} positions")
    return shapes, empty


def _first(lower: dict[str, Any], names: tuple[str, ...]) -> Any:
    return next((lower[name] for name in names if name in lower), None)


def _text(column: Any, row: int) -> str:
    value = None if column is None else column[row]
    if value is None or value != value:  # not a number: nothing there
        return ""
    text = f"{value:g}" if isinstance(value, float) else str(value)
    return " ".join(text.split())[:60]


def _grid(crs: Any, file: str) -> Grid | None:
    """Return the grid that a file names, by its number where one is surely meant."""
    if not crs:
        return None
    name = str(crs)
    if not name.upper().startswith("EPSG:"):
        try:
            import pyproj

            number = pyproj.CRS.from_user_input(name).to_epsg(min_confidence=70)
        except ImportError:
            number = None
        except pyproj.exceptions.CRSError as error:
            raise SurveyError(f"{file}: names a grid that is not known: {_words(error)}") from None
        name = f"EPSG:{number}" if number else name
    return grid_of(named_grid(name), file)


def _words(error: Exception) -> str:
    return " ".join(str(error).split())[:120] or type(error).__name__
