"""The one table of outputs, and the one place that writes files."""

from __future__ import annotations

import contextlib
import glob
import os
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from palewright.model.errors import OutputError

from .built import Built

Files = dict[str, bytes]

STALE = 60.0
"""Unfinished files are left alone for so long, seconds: another run may be writing them."""


@dataclass(frozen=True)
class Output:
    """One output. name : what the user calls it; help : one line; make : built fence and file
    stem to files; solids : whether it needs the CAD kernel; needs : parts of the job that it is
    made from; asked : whether it is made only when asked for by name.
    """

    name: str
    help: str
    make: Callable[[Built, str], Files]
    solids: bool
    needs: tuple[str, ...]
    asked: bool = False


def _step(built: Built, stem: str) -> Files:
    from .step import write_step

    return {f"{stem}.step": write_step(built)}


def _glb(built: Built, stem: str) -> Files:
    from .glb import write_glb

    return {f"{stem}.glb": write_glb(built)}


def _instanced(built: Built, stem: str) -> Files:
    from .glb import write_glb

    return {f"{stem}-instanced.glb": write_glb(built, instanced=True)}


def _stl(built: Built, stem: str) -> Files:
    from .polygons import write_stl

    return {f"{stem}.stl": write_stl(built)}


def _obj(built: Built, stem: str) -> Files:
    from .polygons import write_obj

    return write_obj(built, stem)


def _3mf(built: Built, stem: str) -> Files:
    from .threemf import write_3mf

    return {f"{stem}.3mf": write_3mf(built)}


def _sheets(built: Built, stem: str) -> Files:
    from .drawings import build_drawings

    return build_drawings(built.fence, stem)


def _csv(built: Built, stem: str) -> Files:
    from .order_tables import write_tables

    return write_tables(built.fence, built.order, stem)


def _xlsx(built: Built, stem: str) -> Files:
    from .workbook import write_workbook

    return {f"{stem}.xlsx": write_workbook(built.fence, built.order)}


def _takeoff(built: Built, stem: str) -> Files:
    from palewright.model.order.takeoff import takeoff_json

    return {f"{stem}-takeoff.json": takeoff_json(built.fence, built.order)}


def _site(built: Built, stem: str) -> Files:
    from .drawing.site_dxf import write_site_dxf

    return {f"{stem}-setting-out.dxf": write_site_dxf(built.fence)}


def _usdz(built: Built, stem: str) -> Files:
    from .usdz import write_usdz

    return {f"{stem}.usdz": write_usdz(built)}


PLACED = ("project", "runs", "origin", "crs")
LISTED = (*PLACED, "timber", "concrete", "fixings")
SHOWN = (*PLACED, "finishes")

OUTPUTS = (
    Output(
        "csv",
        "lists of members, posts and bays, cutting, boards to saw, order",
        _csv,
        False,
        LISTED,
    ),
    Output("xlsx", "the same lists as a spreadsheet to print or price", _xlsx, False, LISTED),
    Output("takeoff", "the same as JSON, for other programs", _takeoff, False, LISTED),
    Output(
        "sheets",
        "construction drawings: DXF with sheets, and PDF",
        _sheets,
        False,
        (*PLACED, "sheets", "revisions"),
    ),
    Output(
        "site", "line, posts and levels in site coordinates: DXF in metres", _site, False, PLACED
    ),
    Output("step", "solids for CAD, with assembly tree and colours", _step, True, SHOWN),
    Output("glb", "3D model for viewers and phones", _glb, True, SHOWN),
    Output("stl", "all triangles in one", _stl, True, PLACED),
    Output("3mf", "meshes by mark with colours, for printing a model", _3mf, True, SHOWN),
    Output("obj", "meshes by member with materials", _obj, True, SHOWN),
    Output(
        "instanced",
        "GLB with GPU instances, for viewers that know them",
        _instanced,
        True,
        SHOWN,
        asked=True,
    ),
    Output("usdz", "3D model for phones' rooms; needs usd-core", _usdz, True, SHOWN, asked=True),
)
"""Every output, in the order in which they are made."""


def write_files(folder: Path, files: Files, *, stale: float = STALE) -> None:
    """Write files into a folder, all beside their names first, then moved into place.

    stale : unfinished files older than so many seconds are litter.

    Raises
    ------
    OutputError
        When one cannot be written; then none is changed.
    """
    made: list[tuple[Path, Path]] = []
    target = folder
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, data in files.items():
            target = folder / name
            _sweep(folder, name, stale)
            handle, temporary = tempfile.mkstemp(prefix=f".{name}.", suffix=".part", dir=folder)
            made.append((Path(temporary), target))
            with os.fdopen(handle, "wb") as out:
                out.write(data)
            os.chmod(temporary, 0o666 & ~_umask())
        for place, target in made:
            place.replace(target)
    except OSError as error:
        raise OutputError(f"{target}: cannot be written: {error.strerror}") from None
    finally:
        for place, _ in made:
            place.unlink(missing_ok=True)


def _sweep(folder: Path, name: str, older: float) -> None:
    """Remove what a killed run left beside a file, if it is older than so many seconds."""
    for path in folder.glob(f".{glob.escape(name)}.*.part"):
        with contextlib.suppress(OSError):
            if time.time() - path.stat().st_mtime >= older:
                path.unlink()


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
