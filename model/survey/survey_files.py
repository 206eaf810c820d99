"""Reading a survey file: which format it is, and the limits that keep hostile files out."""

from __future__ import annotations

from pathlib import Path

from palewright.model.basis.source_files import SourceFileError, read_source

from .csv_points import read_csv
from .dxf_lines import UNITS, read_dxf
from .geojson import read_geojson
from .points_and_lines import Asked, Survey, SurveyError

LARGEST_FILE = 32_000_000
"""Bytes; a site of a few kilometres has a few hundred thousand."""

SUFFIXES = {
    ".csv": "CSV", ".txt": "CSV", ".dxf": "DXF", ".geojson": "GeoJSON", ".json": "GeoJSON",
}  # fmt: skip


def read_survey(path: Path, asked: Asked | None = None) -> Survey:
    """Return the survey in a file.

    Parameters
    ----------
    path : Path
        A .csv, .txt, .dxf, .geojson or .json file.
    asked : Asked or None
        What the user says of it.

    Raises
    ------
    SurveyError
        With one message that says what is wrong and where.
    """
    kind = SUFFIXES.get(path.suffix.lower())
    if kind is None:
        raise SurveyError(f"{path}: not a survey; allowed: {', '.join(SUFFIXES)}")
    try:
        data = read_source(path, LARGEST_FILE)
    except SourceFileError as error:
        raise SurveyError(f"{path}: {error}") from None
    return parse_survey(data, str(path), kind, asked)


def parse_survey(data: bytes, file: str, kind: str, asked: Asked | None = None) -> Survey:
    """Return the survey in the bytes of a file. kind : "CSV", "DXF" or "GeoJSON".

    The rest, and what is raised, as in `read_survey`.
    """
    asked = asked or Asked()
    if kind == "DXF":
        return read_dxf(data, file, asked)
    if b"\0" in data[:4096]:
        raise SurveyError(f"{file}: is not a text file")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("cp1252", errors="replace")
    unit = UNITS[asked.units] if asked.units else None
    if kind == "CSV":
        return read_csv(text, file, unit, asked)
    return read_geojson(text, file, unit, asked.crs)
