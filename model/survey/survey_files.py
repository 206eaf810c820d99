"""Reading a survey file: which format it is, and the limits that keep hostile files out."""

from __future__ import annotations

import re
from pathlib import Path

from palewright.model.basis.source_files import SourceFileError, read_source

from .csv_points import read_csv
from .dxf_lines import UNITS, read_dxf
from .geojson import read_geojson
from .gis_layers import GEOPACKAGE, SHAPEFILE, read_layer, with_companions
from .gsi_words import STARTS, read_gsi
from .landxml import read_landxml
from .points_and_lines import Asked, Survey, SurveyError
from .tape import read_tape

LARGEST_FILE = 32_000_000
"""Bytes; a site of a few kilometres has a few hundred thousand."""

SAVE_AS = "save it as CSV, DXF, GeoJSON or LandXML"

FOREIGN = {
    b"PK": f"is a packed file, as spreadsheets are: {SAVE_AS}",
    b"\xd0\xcf\x11\xe0": f"is an old office file: {SAVE_AS}",
    b"%PDF": f"is a PDF, which holds a picture of a plan and no coordinates: {SAVE_AS}",
    b"AC10": "is a DWG drawing: save it as DXF",
    b"\x89PNG": f"is a picture: {SAVE_AS}",
    b"\xff\xd8\xff": f"is a picture: {SAVE_AS}",
}
"""How files begin that are no survey, and what to do."""

DRAWING = re.compile(rb"\s*(?:999|0)\s*\r?\n")


def kind_of(data: bytes, suffix: str) -> str | None:
    """Return the format of a file by what is in it, or None for what is no survey.

    suffix : of its name, for what its content does not tell.
    """
    if suffix == ".toml":
        return "tape"
    if data.startswith(b"\x00\x00\x27\x0a"):
        return SHAPEFILE
    if data.startswith(b"SQLite format 3\0"):
        return GEOPACKAGE
    head = data[:4096].lstrip(b"\xef\xbb\xbf \t\r\n")
    if data.startswith(b"AutoCAD Binary DXF") or DRAWING.match(data) or suffix == ".dxf":
        return "DXF"
    if head.startswith(b"<"):
        return "LandXML"
    if head.startswith((b"{", b"[")) or suffix in (".geojson", ".json"):
        return "GeoJSON"
    if STARTS.match(head[:200].decode("ascii", "replace")) or suffix == ".gsi":
        return "GSI"
    return "CSV" if b"\0" not in data[:4096] else None


def read_survey(path: Path, asked: Asked | None = None) -> Survey:
    """Return the survey in a file.

    Parameters
    ----------
    path : Path
        A file of points or shapes, a DXF drawing, GeoJSON, LandXML, GSI, a shapefile or a
        GeoPackage; its content decides.
    asked : Asked or None
        What the user says of it.

    Raises
    ------
    SurveyError
        With one message that says what is wrong and where.
    """
    try:
        data = read_source(path, LARGEST_FILE)
    except SourceFileError as error:
        raise SurveyError(f"{path}: {error}") from None
    for start, told in FOREIGN.items():
        if data.startswith(start):
            raise SurveyError(f"{path}: {told}")
    kind = kind_of(data, path.suffix.lower())
    main = path.with_suffix(".shp")
    if path.suffix.lower() in (".shx", ".dbf", ".prj", ".cpg") and main.exists():
        raise SurveyError(f"{path}: is a part of a shapefile: name {main.name}")
    if kind == SHAPEFILE:
        data = with_companions(data, path, LARGEST_FILE)
    if kind is None:
        raise SurveyError(f"{path}: is not a text file, and no survey that is known: {SAVE_AS}")
    return parse_survey(data, str(path), kind, asked)


def parse_survey(data: bytes, file: str, kind: str, asked: Asked | None = None) -> Survey:
    """Return the survey in the bytes of a file. kind : as `kind_of` has it.

    The rest, and what is raised, as in `read_survey`.
    """
    asked = asked or Asked()
    unit = UNITS[asked.units] if asked.units else None
    if kind in (SHAPEFILE, GEOPACKAGE):
        return read_layer(data, file, kind, unit, asked)
    if asked.layer:
        raise SurveyError(
            f"{file}: survey.layer chooses one of a GeoPackage's layers, and this is {kind}; a "
            "line goes by its name in run.line"
        )
    if kind == "DXF":
        return read_dxf(data, file, asked)
    if b"\0" in data[:4096]:
        raise SurveyError(f"{file}: is not a text file")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("cp1252", errors="replace")
    if kind == "CSV":
        return read_csv(text, file, unit, asked)
    if kind == "tape":
        return read_tape(text, file)
    if kind == "GSI":
        return read_gsi(text, file, asked)
    if kind == "LandXML":
        return read_landxml(text, file, asked, unit)
    return read_geojson(text, file, unit, asked)
