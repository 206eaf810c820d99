"""The one table of outputs, and the one place that writes files."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from palewright.export.models.product import Product
from palewright.model.basis.errors import OutputError

from .files import Files


@dataclass(frozen=True)
class Output:
    """One output. name : what the user calls it; help : one line; make : built fence and file
    stem to files; solids : whether it needs the CAD kernel; needs : parts of the job that it is
    made from; asked : whether it is made only when asked for by name; suffixes : that a file may
    have which asks for it, with what follows the stem in the name of the file that is meant;
    beside : what follows it in the names of files that this one cannot do without.
    """

    name: str
    help: str
    make: Callable[[Product, str], Files]
    solids: bool
    needs: tuple[str, ...]
    asked: bool = False
    suffixes: Mapping[str, str] = field(default_factory=dict)
    beside: tuple[str, ...] = ()


def _step(built: Product, stem: str) -> Files:
    from palewright.export.models.step import write_step

    return {f"{stem}.step": write_step(built)}


def _glb(built: Product, stem: str) -> Files:
    from palewright.export.models.glb import write_glb

    return {f"{stem}.glb": write_glb(built)}


def _instanced(built: Product, stem: str) -> Files:
    from palewright.export.models.glb import write_glb

    return {f"{stem}-instanced.glb": write_glb(built, instanced=True)}


def _merged(built: Product, stem: str) -> Files:
    from palewright.export.models.glb import write_merged_glb

    return {f"{stem}-merged.glb": write_merged_glb(built)}


def _stl(built: Product, stem: str) -> Files:
    from palewright.export.models.stl import write_stl

    return {f"{stem}.stl": write_stl(built)}


def _obj(built: Product, stem: str) -> Files:
    from palewright.export.models.obj import write_obj

    return write_obj(built, stem)


def _obj_metres(built: Product, stem: str) -> Files:
    from palewright.export.models.obj import write_obj

    return write_obj(built, f"{stem}-metres", metres=True)


def _3mf(built: Product, stem: str) -> Files:
    from palewright.export.models.threemf import write_3mf

    return {f"{stem}.3mf": write_3mf(built)}


def _sheets(built: Product, stem: str) -> Files:
    from palewright.export.drawing.sets.drawing_files import build_drawings

    return build_drawings(built.fence, stem)


def _csv(built: Product, stem: str) -> Files:
    from palewright.export.tables.order_tables import write_tables

    return write_tables(built.fence, built.order, stem)


def _xlsx(built: Product, stem: str) -> Files:
    from palewright.export.papers.workbook import write_workbook

    return {f"{stem}.xlsx": write_workbook(built.fence, built.order)}


def _takeoff(built: Product, stem: str) -> Files:
    from palewright.model.order.takeoff_document import takeoff_json

    return {f"{stem}-takeoff.json": takeoff_json(built.fence, built.order)}


def _site(built: Product, stem: str) -> Files:
    from palewright.export.drawing.writers.site_dxf import write_site_dxf

    return {f"{stem}-setting-out.dxf": write_site_dxf(built.fence)}


def _landxml(built: Product, stem: str) -> Files:
    from palewright.export.models.landxml_file import write_landxml

    return {f"{stem}.xml": write_landxml(built.fence)}


def _ground(built: Product, stem: str) -> Files:
    from palewright.export.drawing.writers.ground_dxf import write_ground_dxf

    return {f"{stem}-ground.dxf": write_ground_dxf(built.fence)}


def _usdz(built: Product, stem: str) -> Files:
    from palewright.export.models.usdz import write_usdz

    return {f"{stem}.usdz": write_usdz(built)}


def _page(built: Product, stem: str) -> Files:
    from palewright.export.page.html import write_page

    return {f"{stem}.html": write_page([(stem, built)])}


def _picture(built: Product, stem: str) -> Files:
    from palewright.export.pictures.picture import write_picture

    return {f"{stem}.png": write_picture(built)}


def _calculation(built: Product, stem: str) -> Files:
    from palewright.export.papers.calculation import calculation_pdf

    if built.fence.job.wind is None:
        raise OutputError(f"{stem}: has no [wind] table, so there is no wind to calculate")
    return {f"{stem}-wind.pdf": calculation_pdf(built.fence)}


def _labels(built: Product, stem: str) -> Files:
    from palewright.export.papers.bundle_labels import labels_pdf

    return {f"{stem}-labels.pdf": labels_pdf(built.fence)}


def _order_sheet(built: Product, stem: str) -> Files:
    from palewright.export.papers.order_sheet import write_order_sheet

    return {f"{stem}-order.pdf": write_order_sheet(built.fence, built.order)}


def _proposal(built: Product, stem: str) -> Files:
    from palewright.export.papers.alternatives import Alternative
    from palewright.export.papers.proposal_pdf import write_proposal
    from palewright.export.pictures.camera import Viewpoint
    from palewright.export.pictures.picture import write_picture
    from palewright.model.order.prices import quote

    prices = built.fence.job.prices
    if prices is None:
        raise OutputError(f"{stem}: names no price file, so there is no price to propose")
    offer = Alternative(stem, built.fence, built.order, quote(built.order, prices))
    picture = write_picture(built, Viewpoint(width=2000, height=1000))
    return {f"{stem}-proposal.pdf": write_proposal([offer], picture)}


def _set(purpose: str) -> Callable[[Product, str], Files]:
    """Return what makes the sheets for a purpose."""

    def make(built: Product, stem: str) -> Files:
        from palewright.export.drawing.sets.drawing_files import set_files
        from palewright.export.drawing.sets.sheet_sets import Purpose

        return set_files(built.fence, Purpose(purpose), f"{stem}-{purpose}")

    return make


PLACED = ("project", "runs", "origin", "crs")
LISTED = (
    *PLACED, "timber", "concrete", "fixings", "finishes", "painting", "work", "extras", "prices",
    "cut", "planned", "features", "sheets",
)  # fmt: skip
SHOWN = (*PLACED, "finishes", "features")
GROUND = ("ground", "contours")
SITE = (*GROUND, "features", "notes", "surveyed", "measured", "planned")

OFFERED = (*LISTED, *GROUND, "firm", "offer")

DRAWN = (*PLACED, *SITE, "sheets", "revisions", "concrete", "fixings")
LISTED_AND_DRAWN = (*LISTED, *SITE, "revisions")

OUTPUTS = (
    Output(
        "csv",
        "lists of members, posts and bays, cutting, boards to saw, order",
        _csv,
        False,
        LISTED,
    ),
    Output(
        "xlsx",
        "the same lists as a spreadsheet to print or price",
        _xlsx,
        False,
        LISTED,
        suffixes={".xlsx": ".xlsx"},
    ),
    Output(
        "takeoff",
        "the same as JSON, for other programs",
        _takeoff,
        False,
        LISTED,
        suffixes={".json": "-takeoff.json"},
    ),
    Output(
        "sheets",
        "construction drawings: DXF with sheets, and PDF",
        _sheets,
        False,
        DRAWN,
        suffixes={".pdf": ".pdf", ".dxf": ".dxf"},
    ),
    Output(
        "site",
        "line, posts and levels in site coordinates: DXF in metres",
        _site,
        False,
        PLACED,
        suffixes={".dxf": "-setting-out.dxf"},
    ),
    Output(
        "step",
        "solids for CAD, with assembly tree and colours",
        _step,
        True,
        SHOWN,
        suffixes={".step": ".step", ".stp": ".step"},
    ),
    Output("glb", "3D model for viewers and phones", _glb, True, SHOWN, suffixes={".glb": ".glb"}),
    Output(
        "stl",
        "all triangles in one, each piece a closed body",
        _stl,
        True,
        PLACED,
        suffixes={".stl": ".stl"},
    ),
    Output(
        "3mf",
        "meshes by mark with colours, for printing a model",
        _3mf,
        True,
        SHOWN,
        suffixes={".3mf": ".3mf"},
    ),
    Output(
        "obj",
        "meshes by member with materials, in mm with z up",
        _obj,
        True,
        SHOWN,
        suffixes={".obj": ".obj"},
        beside=(".mtl",),
    ),
    Output(
        "instanced",
        "GLB with GPU instances, for viewers that know them",
        _instanced,
        True,
        SHOWN,
        asked=True,
        suffixes={".glb": "-instanced.glb"},
    ),
    Output(
        "merged",
        "GLB with one mesh for each finish, for renderers",
        _merged,
        True,
        SHOWN,
        asked=True,
        suffixes={".glb": "-merged.glb"},
    ),
    Output(
        "obj-metres",
        "OBJ in metres with y up, for renderers",
        _obj_metres,
        True,
        SHOWN,
        asked=True,
        suffixes={".obj": "-metres.obj"},
        beside=("-metres.mtl",),
    ),
    Output(
        "usdz",
        "3D model for phones' rooms; needs usd-core",
        _usdz,
        True,
        SHOWN,
        asked=True,
        suffixes={".usdz": ".usdz"},
    ),
    Output(
        "page",
        "a page with the 3D model, for any browser",
        _page,
        True,
        (*OFFERED, *SITE, "revisions"),
        asked=True,
        suffixes={".html": ".html"},
    ),
    Output(
        "picture",
        "a picture",
        _picture,
        True,
        (*SHOWN, *GROUND),
        asked=True,
        suffixes={".png": ".png"},
    ),
    Output(
        "landxml",
        "line, profile, posts and ground in site coordinates: LandXML in metres",
        _landxml,
        False,
        (*PLACED, *GROUND),
        asked=True,
        suffixes={".xml": ".xml"},
    ),
    Output(
        "ground",
        "the ground of a survey as triangles, with contours: DXF in metres",
        _ground,
        False,
        (*PLACED, *GROUND),
        asked=True,
    ),
    Output(
        "calculation",
        "the wind calculation as PDF",
        _calculation,
        False,
        (*PLACED, "timber", "concrete", "fixings", "wind", "strength", "soil"),
        asked=True,
    ),
    Output(
        "labels",
        "labels for the bundles of each bay: PDF on A4, 14 to a sheet",
        _labels,
        False,
        (*PLACED, "sheets"),
        asked=True,
    ),
    Output(
        "order-sheet",
        "what the merchant delivers, without work and prices: PDF",
        _order_sheet,
        False,
        (*LISTED, "firm", "delivery"),
        asked=True,
    ),
    Output(
        "proposal",
        "a proposal for the customer to sign: PDF; needs prices",
        _proposal,
        True,
        (*OFFERED, *SITE),
        asked=True,
    ),
    *(
        Output(
            f"sheets-{purpose}",
            f"drawings {words}",
            _set(purpose),
            False,
            LISTED_AND_DRAWN,
            asked=True,
        )
        for purpose, words in (
            ("planning", "for a planning enquiry"),
            ("customer", "for the customer"),
            ("workshop", "for the workshop"),
            ("site", "for the site"),
        )
    ),
)
"""Every output, in the order in which they are made."""
