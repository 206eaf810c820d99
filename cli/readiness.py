"""What this machine has of what the program needs, and of its optional parts."""

from __future__ import annotations

import platform
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, version
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from palewright.export.models.product import Product

OLDEST = (3, 11)
"""Oldest Python that the program runs on."""


@dataclass(frozen=True)
class ReadyPart:
    """Something that is there or not. told : which, or why not; needed : or optional."""

    what: str
    there: bool
    told: str
    needed: bool = True


def parts() -> Iterator[ReadyPart]:
    """Look for each part in turn; the CAD kernel and a picture take some seconds."""
    known = platform.python_version()
    yield ReadyPart("Python", sys.version_info >= OLDEST, f"{known}, 3.11 or newer is needed")
    yield ReadyPart("palewright", True, version("palewright"))
    yield _tried("fonts of drawings", _font)
    yield _tried("CAD kernel, for solids, STEP and meshes", _kernel)
    yield _tried("pictures", _picture, needed=False)
    yield _package("grids of coordinates in surveys", "pyproj", "survey")
    yield _package("surveys in shapefiles and GeoPackages", "pyogrio", "gis")
    yield _package("models for phones, USDZ", "usd-core", "usdz")
    yield _tried("browser, for watch and for pages", _browser, needed=False)


def _tried(what: str, look: Callable[[], str], *, needed: bool = True) -> ReadyPart:
    try:
        return ReadyPart(what, True, look(), needed)
    except Exception as error:  # whatever a library or a machine says
        return ReadyPart(what, False, " ".join(str(error).split())[:200], needed)


def _package(what: str, name: str, extra: str) -> ReadyPart:
    try:
        return ReadyPart(what, True, f"{name} {version(name)}", needed=False)
    except PackageNotFoundError:
        told = f"{name} is not installed; the extra '{extra}' brings it"
        return ReadyPart(what, False, told, needed=False)


def _font() -> str:
    from palewright.export.drawing.draft.lettering import text_width

    return f"Liberation Sans, M is {text_width('M', 2.5):.2f} mm wide at 2.5 mm"


def _kernel() -> str:
    from palewright.model.lists.takeoff import part_lines

    built = _small_fence()
    volumes = {line.mark: line.volume for line in part_lines(built.fence)}
    for mark, solid in built.solids.items():
        if not solid.isValid() or abs(solid.Volume() - volumes[mark]) > 1.0:
            has = f"{mark} of {volumes[mark]:.0f} mm3 has {solid.Volume():.0f}"
            raise ValueError(f"{has} as a solid")
    return f"cadquery {version('cadquery')}"


def _picture() -> str:
    from palewright.export.pictures.camera import Viewpoint
    from palewright.export.pictures.picture import write_picture

    size = len(write_picture(_small_fence(), Viewpoint(width=128, height=64)))
    return f"one of {size} bytes was made"


def _small_fence() -> Product:
    from palewright.export.models.product import Product
    from palewright.model.order.joints import make_fence
    from palewright.reading import parse_job

    return Product(make_fence(parse_job("[[run]]\npoints = [[0, 0], [3000, 0]]\n")))


def _browser() -> str:
    import webbrowser

    try:
        return str(getattr(webbrowser.get(), "name", "found"))
    except webbrowser.Error:
        raise LookupError("none found; open pages and addresses by hand") from None
