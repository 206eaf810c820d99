"""Sets of sheets, one for each purpose."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import Enum

from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.draft.view import View
from palewright.export.drawing.sheets.sheet import BAR_STEP, Sheet, finished, pack
from palewright.export.drawing.sheets.sheet_frame import Fields
from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel

from .brief import Brief, Groups, brief_of
from .build_set import build_views
from .customer_set import customer_views
from .gate_leaves import LEAF_TITLE
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
    alone: tuple[str, ...] = ()


SETS = {
    Purpose.BUILD: SetKind("Construction drawing", build_views),
    Purpose.PLANNING: SetKind(
        "Planning drawing", planning_views, metres=True, bars=True, place=True
    ),
    Purpose.CUSTOMER: SetKind("Proposal", customer_views, metres=True, apart=True),
    Purpose.WORKSHOP: SetKind("Workshop paper", workshop_views, alone=(LEAF_TITLE,)),
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
    packed = []
    for stream in streams:
        for placed in pack(stream, brief.size, brief.style, foot=foot):
            words = ", ".join(dict.fromkeys(one.view.group for one in placed))
            packed.append((words[:1].upper() + words[1:], placed))
    fields = _fields(brief, purpose)
    return finished(packed, brief.size, fields, brief.style, bars=kind.bars), brief.style


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
