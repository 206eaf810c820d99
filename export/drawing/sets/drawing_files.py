"""Drawings as files: sets of sheets in DXF, PDF and SVG, and head templates."""

from __future__ import annotations

from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.sheets.sheet import Sheet
from palewright.export.drawing.sheets.sheet_frame import SIZES
from palewright.export.drawing.writers.dxf import write_dxf, write_outline_dxf
from palewright.export.drawing.writers.dxf_flat import write_flat_dxf
from palewright.export.drawing.writers.pdf import write_pdf
from palewright.export.drawing.writers.plot_styles import write_ctb
from palewright.export.drawing.writers.svg import write_svg
from palewright.model.basis.errors import OutputError
from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.pale_heads import PaleHead, fence_heads, gate_heads

from .sheet_sets import Purpose, sheet_set
from .template import head_template, offset_outline, template_sheets

Files = dict[str, bytes]

FORMATS = ("pdf", "dxf", "svg", "dxf-flat")
"""Formats that sheets are written in; a flat DXF is one file for each sheet, in mm on paper."""

USUAL = ("pdf", "dxf", "svg")
"""Those that are written when none is named."""


def set_files(
    fence: FenceModel,
    purpose: Purpose,
    stem: str,
    formats: tuple[str, ...] = USUAL,
    picture: bytes | None = None,
) -> Files:
    """Return a set of sheets as files, by name.

    picture : PNG for the customer's first page, or None.
    """
    sheets, style = sheet_set(fence, purpose, Style(), picture)
    return sheet_files(fence, sheets, style, stem, formats)


def build_drawings(fence: FenceModel, stem: str) -> Files:
    """Return the construction drawings as DXF and PDF."""
    return set_files(fence, Purpose.BUILD, stem, ("dxf", "pdf"))


def sheet_files(
    fence: FenceModel,
    sheets: tuple[Sheet, ...],
    style: Style,
    stem: str,
    formats: tuple[str, ...] = FORMATS,
) -> Files:
    """Return sheets that are drawn as files, by name."""
    project = fence.job.project
    title, author = plain(project.name), plain(project.author)
    files: Files = {}
    version = fence.job.sheets.dxf
    if "dxf" in formats:
        files[f"{stem}.dxf"] = write_dxf(sheets, title, style, version)
        files[f"{stem}.ctb"] = write_ctb(f"{title}: all black, widths of layers")
    if "pdf" in formats:
        files[f"{stem}.pdf"] = write_pdf(sheets, title, author)
    flat = "dxf-flat" in formats or ("dxf" in formats and version == "R12")  # it has no sheets
    for number, sheet in enumerate(sheets, 1):
        name, named = f"{stem}-{number:02d}", f"{title}: {sheet.title}"
        if "svg" in formats:
            files[f"{name}.svg"] = write_svg(sheet, named)
        if flat:
            files[f"{name}.dxf"] = write_flat_dxf(sheet, named, style, version)
    return files


def template_files(fence: FenceModel, stem: str, paper: str, offset: float) -> Files:
    """Return the head template of every different pale: a PDF to print, a DXF to cut.

    paper : "A4" or "A3"; offset : mm the cut is moved outwards, for the kerf or the tool.

    Raises
    ------
    OutputError
        When nothing is left of the outline with that offset, or no run has heads of its own.
    """
    style = Style()
    size = SIZES[paper]
    files: Files = {}
    done: set[object] = set()
    heads: list[tuple[str, PaleHead]] = []
    for layout in fence.layouts:
        letter = layout.run.letter
        if not layout.run.tops_cut:
            own = fence_heads(layout)
            names = [letter] if len(own) == 1 else [f"{letter}-{n}" for n in range(1, len(own) + 1)]
            heads += zip(names, own, strict=True)
        own = gate_heads(layout)
        heads += [(f"{letter}-gate-{number}", head) for number, head in enumerate(own, 1)]
    if not heads:
        raise OutputError(
            "the pales' tops are cut along the top line, so there is no head to draw; the cutting "
            "list gives both sides of every pale"
        )
    for which, head in heads:
        template = head_template(head)
        if template.outline in done:
            continue
        done.add(template.outline)
        name = f"{stem}-head-{which}"
        sheets = template_sheets(template, size, style)
        files[f"{name}.pdf"] = write_pdf(sheets, template.name, "")
        outline = offset_outline(template.outline, offset)
        files[f"{name}.dxf"] = write_outline_dxf(outline.vertices, fence.job.sheets.dxf)
    return files
