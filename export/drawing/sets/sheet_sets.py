"""Sets of sheets, one for each purpose."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from functools import partial

from palewright.export.drawing.draft.scales import scales as usual_scales
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.draft.view import View
from palewright.export.drawing.sheets.free_paper import free_boxes
from palewright.export.drawing.sheets.packing import Packed, pack
from palewright.export.drawing.sheets.recorded import Placed, Recorded
from palewright.export.drawing.sheets.sheet import BAR_STEP, Sheet, finished
from palewright.export.drawing.sheets.sheet_frame import Fields
from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel

from .brief import Brief, Groups, brief_of
from .build_set import build_views
from .customer_set import customer_views
from .enlarging import enlarged
from .gate_leaves import LEAF_TITLE
from .panel_sheets import PANEL_TITLE
from .planning_set import planning_views
from .site_set import site_views
from .workshop_set import workshop_views


class Purpose(Enum):
    """Whom a set of sheets is for."""

    BUILD = "build"
    PLANNING = "planning"
    CUSTOMER = "customer"
    WORKSHOP = "workshop"
    SITE = "site"


@dataclass(frozen=True)
class SetKind:
    """What a set for a purpose is. document : its type in the title block; views : what it shows;
    metres : whether its figures are metres; bars : whether sheets have scale bars; apart :
    whether each group of views begins a sheet of its own, else sheets are filled; place : whether
    the title block names the site and the applicant; alone : how the titles of groups begin that
    have sheets of their own in any case.
    """

    document: str
    views: Callable[[Brief], Groups]
    metres: bool = False
    bars: bool = False
    apart: bool = False
    place: bool = False
    smaller: float = 0.0
    alone: tuple[str, ...] = ()


SETS = {
    Purpose.BUILD: SetKind("Construction drawing", build_views),
    Purpose.PLANNING: SetKind(
        "Planning drawing", planning_views, metres=True, bars=True, place=True, smaller=100.0
    ),
    Purpose.CUSTOMER: SetKind("Proposal", customer_views, metres=True, apart=True),
    Purpose.WORKSHOP: SetKind("Workshop paper", workshop_views, alone=(LEAF_TITLE, PANEL_TITLE)),
    Purpose.SITE: SetKind("Site paper", site_views),
}
"""Every set of sheets."""


def sheet_set(
    fence: FenceModel, purpose: Purpose, style: Style, picture: bytes | None = None
) -> tuple[tuple[Sheet, ...], Style]:
    """Return the sheets of a set and the style with how its figures are written.

    picture : PNG for the customer's first page, or None to leave it out.
    """
    kind = SETS[purpose]
    brief = brief_of(fence, style, picture, metres=kind.metres)
    packed = _packed(kind, brief)
    if kind.smaller and _weak(packed) and fence.job.sheets.elevation_scale is None:
        smaller = _packed(kind, replace(brief, largest_elevation=kind.smaller))
        if _weak(smaller) < _weak(packed):
            packed = smaller
    titled = [(_title(placed), placed) for stream in packed for placed in stream.sheets]
    fields = _fields(brief, purpose)
    return finished(titled, brief.size, fields, brief.style, bars=kind.bars), brief.style


def _title(placed: Sequence[Placed]) -> str:
    """Return what a sheet is called by the groups of its views."""
    words = ", ".join(dict.fromkeys(one.view.group for one in placed))
    return words[:1].upper() + words[1:]


def _weak(packed: Sequence[Packed]) -> float:
    """Return how many sheets of a set are nearly empty though others follow."""
    return sum(stream.weak for stream in packed)


def _packed(kind: SetKind, brief: Brief) -> list[Packed]:
    """Return the views of a set on sheets, in streams that do not share any."""
    made = kind.views(brief)
    groups = [[replace(view, group=title) for view in views] for title, views in made]
    scales = {view.scale for views in groups for view in views if view.scale_text}
    foot = BAR_STEP * len(scales) if kind.bars else 0.0
    streams: list[list[View]] = [[]]
    for (title, _), views in zip(made, groups, strict=True):
        if kind.apart or title.startswith(kind.alone):
            streams.append(views)
        else:
            streams[0] += views
    streams = [stream for stream in streams if stream]
    recorded, usual = Recorded(brief.style), usual_scales(brief.figures.units)

    wide, narrow = brief.room[0] - 0.5, min(box.width for box in free_boxes(brief.size)) - 0.5
    rows = (brief.rows, brief.rows * 2 // 3, brief.rows // 2, brief.rows // 3)
    cuts = [(most, width) for most in rows for width in (wide, narrow)][1:]

    def packed(stream: list[View], *, last: bool) -> Packed:
        packer = partial(pack, size=brief.size, recorded=recorded, foot=foot, last=last)
        return enlarged(stream, packer, usual, recorded, cuts)

    found = [(one, packed(one, last=one is streams[-1])) for one in streams]
    if kind.alone:
        found[1:] = _in_pairs(found[1:], packed)
    return [one for _, one in found]


Stream = tuple[list[View], Packed]


def _in_pairs(streams: Sequence[Stream], packed: Callable[..., Packed]) -> list[Stream]:
    """Return streams, those made one with the next that by themselves leave a sheet nearly empty
    and together leave fewer so.
    """
    made: list[Stream] = []
    for number, stream in enumerate(streams):
        before = made[-1] if made else None
        if before is not None and before[1].weak + stream[1].weak:
            views = before[0] + stream[0]
            both = packed(views, last=number == len(streams) - 1)
            if both.weak < before[1].weak + stream[1].weak:
                made[-1] = views, both
                continue
        made.append(stream)
    return made


def _fields(brief: Brief, purpose: Purpose) -> Callable[[str, int, int, str], Fields]:
    """Return what fills in the title block of a sheet."""
    job = brief.fence.job
    project = job.project
    revision = job.revisions[-1].index if job.revisions else "-"
    stem = plain(project.reference) or "FENCE"
    code = purpose.value[0].upper()
    kind = SETS[purpose]

    def fields(title: str, number: int, count: int, scale: str) -> Fields:
        return Fields(
            owner=plain(project.owner),
            title=plain(project.name),
            sheet_title=title,
            number=f"{stem}-{code}{number:02d}",
            revision=plain(revision),
            date=plain(project.date),
            sheet=number,
            sheets=count,
            creator=plain(project.author),
            approver=plain(project.approver),
            document_type=kind.document + (", as built" if job.planned else ""),
            scale=scale,
            units=brief.figures.note,
            address=plain(project.address or project.site) if kind.place else "",
            applicant=plain(project.applicant) if kind.place else "",
        )

    return fields
