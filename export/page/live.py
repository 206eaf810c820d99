"""What the live loop builds: the page of some specs, only as far as they changed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from palewright.export.models.product import Mesh, Product
from palewright.export.papers.changes import Figured, change_text, fence_figures
from palewright.model.basis.errors import OutputError
from palewright.model.basis.findings import Severity
from palewright.model.basis.source_files import (
    LARGEST_SPEC,
    SourceFileError,
    read_source,
    text_of,
    toml_tables,
)
from palewright.model.checks.building_checks import check
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.worked_shapes import Finished

from .html import PageOptions, models_of, write_page
from .server import Build, Built

LIVE = PageOptions(live=True)


def builder_of(specs: Sequence[Path], read: Callable[[Path], FenceModel]) -> Build:
    """Return a function that builds the page and the models of specs anew.

    read : reads the fence of a spec file.

    It raises SpecError for a broken spec and OutputError for one that the checks stop.
    """
    known: dict[Finished, Mesh] = {}  # only what a save changed is meshed anew
    told: dict[Path, Figured] = {}

    def build() -> Built:
        fences = []
        for spec in specs:
            fence = read(spec)
            stops = [f.line() for f in check(fence) if f.severity is Severity.STOP]
            if stops:
                raise OutputError("\n".join([f"{spec}:", *stops]))
            fences.append((spec.stem, Product(fence, known)))

        def changed() -> str:
            texts = []
            for spec, (name, built) in zip(specs, fences, strict=True):
                new = fence_figures(built)
                named = f"{name}: " if len(specs) > 1 else ""
                texts.append(named + change_text(told.get(spec), new))
                told[spec] = new
            return "; ".join(texts)

        return Built(lambda: write_page(fences, options=LIVE), models_of(fences, LIVE), changed)

    return build


def watched(specs: Sequence[Path]) -> list[Path]:
    """Return the files that a rebuild reads: the specs, and the surveys, prices, firms and
    rules that they name.
    """
    paths = []
    for spec in specs:
        paths.append(spec)
        try:
            told = toml_tables(text_of(read_source(spec, LARGEST_SPEC)))
        except SourceFileError:
            continue
        tables = [told.get(name) for name in ("survey", "prices", "firm", "rules")]
        named = [t.get("file") for t in tables if isinstance(t, dict)]
        named += [n for t in tables if isinstance(t, dict) for n in _listed(t.get("files"))]
        paths += [spec.parent / name for name in named if isinstance(name, str)]
    return paths


def _listed(value: object) -> list[object]:
    return value if isinstance(value, list) else []
