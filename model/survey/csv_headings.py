"""What columns of tables of points are headed."""

from __future__ import annotations

HEADINGS = {
    "number": (
        "number",
        "no",
        "no.",
        "point",
        "point number",
        "point name",
        "point id",
        "pt",
        "pt no",
        "id",
        "name",
        "station",
    ),
    "east": (
        "easting",
        "east",
        "e",
        "x",
        "local e",
        "local easting",
        "grid e",
        "grid easting",
        "longitude",
        "lon",
    ),
    "north": (
        "northing",
        "north",
        "n",
        "y",
        "local n",
        "local northing",
        "grid n",
        "grid northing",
        "latitude",
        "lat",
    ),
    "level": (
        "level",
        "height",
        "elevation",
        "elev",
        "elev.",
        "z",
        "h",
        "rl",
        "reduced level",
        "orthometric height",
    ),
    "code": (
        "code",
        "feature",
        "feature code",
        "description",
        "desc",
        "raw desc",
        "raw description",
        "layer",
        "type",
        "remark",
    ),
}
"""What a column may be headed, in small letters, units in brackets left out."""

NUMBERS, CODES = HEADINGS["number"], HEADINGS["code"]


def plain_heading(cell: str) -> str:
    """Return a heading in small letters, without quotes and a unit in brackets."""
    return cell.split("(")[0].split("[")[0].strip().strip('"').casefold()
