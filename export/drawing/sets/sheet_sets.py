"""Sets of sheets: for building, for a planning enquiry, for the customer."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from enum import Enum

from palewright.export.drawing.draft.figures import Figures, Units
from palewright.export.drawing.draft.paper import bounds, on_paper
from palewright.export.drawing.draft.scales import Scale, scale_for, scale_named, scales
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.draft.view import Picture, View
from palewright.export.drawing.sheets.sheet import BAR_STEP, Sheet, finished, free_boxes, pack
from palewright.export.drawing.sheets.sheet_frame import SIZES, Fields, Size
from palewright.export.drawing.views.bays import gate_view, typical_bay
from palewright.export.drawing.views.details import head_detail, post_top_detail, rail_detail
from palewright.export.drawing.views.elevation import elevation, existing_elevation, parts_of_front
from palewright.export.drawing.views.front import fronts_of
from palewright.export.drawing.views.plan import block_plan, setting_out_plan
from palewright.export.drawing.views.sections import corner_plan, fence_section
from palewright.export.drawing.views.table_views import ROW, notes_view, table_view, table_views
from palewright.export.tables.list_tables import rail_tops_text, slope_text, span_text
from palewright.model.basis.text import plain
from palewright.model.checks.building_checks import CAUTIONS
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.shapes import Bolt
from palewright.model.layout.heights import highest_point
from palewright.model.layout.run_layout import RunLayout
from palewright.model.lists.takeoff import (
    concrete,
    fence_length,
    pale_count,
    part_lines,
    station_lines,
    stretch_lines,
)
from palewright.model.order.order_lines import order
from palewright.model.resolved.job import PostPlan
from palewright.model.resolved.words import PostRole

from .site_papers import site_lists, workshop_lists


class Purpose(Enum):
    """Whom a set of sheets is for."""

    BUILD = "build"
    PLANNING = "planning"
    CUSTOMER = "customer"
    WORKSHOP = "workshop"
    SITE = "site"


DETAIL, BAY, HEAD = 10.0, 20.0, 5.0
"""Scales 1:n of sections and gates, of bays, and of small details, when not chosen."""

LARGEST_PLAN, LARGEST_BLOCK_PLAN, LARGEST_ELEVATION = 50.0, 100.0, 50.0
"""Plans and elevations are not drawn larger than 1:n when not chosen."""

ELEVATION_SIDES = 62.0
"""Paper beside an elevation for its heights and the ground line, mm."""

SLIGHT = 2.5
"""Corners that turn by less (degrees) have no plan section of their own."""

MOST_PARTS = 8
"""From this many parts on, elevations are drawn at the next smaller scale."""


def sheet_set(
    fence: FenceModel, purpose: Purpose, style: Style, picture: bytes | None = None
) -> tuple[tuple[Sheet, ...], Figures]:
    """Return the sheets of a set and how its figures are written.

    picture : PNG for the customer's first page, or None to leave it out.
    """
    options = fence.job.sheets
    units = Units.FEET if options.units == "ft-in" else Units.MILLIMETRES
    if purpose in (Purpose.PLANNING, Purpose.CUSTOMER) and units is Units.MILLIMETRES:
        units = Units.METRES
    figures = Figures(units)
    size = SIZES[options.size]
    make = {
        Purpose.BUILD: _build_views,
        Purpose.PLANNING: _planning_views,
        Purpose.CUSTOMER: _customer_views,
        Purpose.WORKSHOP: _workshop_views,
        Purpose.SITE: _site_views,
    }[purpose]
    groups = make(fence, size, style, figures, picture)
    bars = {view.scale for _, views in groups for view in views if view.scale_text}
    foot = BAR_STEP * len(bars) if purpose is Purpose.PLANNING else 0.0
    titles = {id(view): title for title, views in groups for view in views}
    # customers get a page for the picture and a page for the drawing; else sheets are filled
    streams = (
        [views for _, views in groups]
        if purpose is Purpose.CUSTOMER
        else [[view for _, views in groups for view in views]]
    )
    packed = []
    for stream in streams:
        for placed in pack(stream, size, style, figures, foot=foot):
            shown = dict.fromkeys(titles[id(p.view)] for p in placed)
            words = ", ".join(shown)
            packed.append((words[:1].upper() + words[1:], placed))
    sheets = finished(
        packed,
        size,
        _fields(fence, purpose, figures),
        style,
        figures,
        bars=purpose is Purpose.PLANNING,
    )
    return sheets, figures


Groups = list[tuple[str, list[View]]]


def _fields(
    fence: FenceModel, purpose: Purpose, figures: Figures
) -> Callable[[str, int, int, str], Fields]:
    project = fence.job.project
    revision = fence.job.revisions[-1].index if fence.job.revisions else "-"
    kinds = {
        Purpose.BUILD: "Construction drawing",
        Purpose.PLANNING: "Planning drawing",
        Purpose.CUSTOMER: "Proposal",
        Purpose.WORKSHOP: "Workshop paper",
        Purpose.SITE: "Site paper",
    }
    code = purpose.value[0].upper()

    def fields(title: str, number: int, count: int, scale: str) -> Fields:
        stem = plain(project.reference) or "FENCE"
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
            document_type=kinds[purpose],
            scale=scale,
            units=figures.note,
        )

    return fields


def _fit(size: Size) -> tuple[float, float]:
    """Return width and height of the largest free part of an empty sheet."""
    box = max(free_boxes(size), key=lambda b: b.width * b.height)
    return box.width, box.height


SURE = 0.8
"""Share of the lines' extent that a plan takes whatever it shows of them."""


def _fitted_plan(
    make: Callable[[FenceModel, Scale, Style, Figures], View],
    fence: FenceModel,
    size: Size,
    largest: float,
    style: Style,
    figures: Figures,
) -> View:
    """Return a plan at the chosen scale, or at the largest at which it fits an empty sheet."""
    chosen = fence.job.sheets.plan_scale
    if chosen is not None:
        return make(fence, scale_named(chosen, figures.units), style, figures)
    boxes = free_boxes(size, 2 * BAR_STEP)

    def fits(width: float, height: float) -> bool:
        return any(box.width >= width and box.height >= height for box in boxes)

    xs, ys = zip(*(v[:2] for lay in fence.layouts for v in lay.run.line.vertices), strict=True)
    wide, high = SURE * (max(xs) - min(xs)), SURE * (max(ys) - min(ys))
    choices = [scale for scale in scales(figures.units) if scale.n >= largest * 0.96]
    for scale in choices[:-1]:
        if fits(wide / scale.n, high / scale.n):  # else it need not be drawn to know
            view = make(fence, scale, style, figures)
            left, low, right, top = bounds(on_paper(view, style, figures))
            if fits(right - left, top - low):
                return view
    return make(fence, choices[-1], style, figures)


def _elevations(
    fence: FenceModel, size: Size, style: Style, figures: Figures, *, overall: bool
) -> list[View]:
    options = fence.job.sheets
    width = _fit(size)[0] - ELEVATION_SIDES
    total = fence_length(fence)
    longest = max(front.length for layout in fence.layouts for front in fronts_of(layout))
    if options.elevation_scale is not None:
        scale = scale_named(options.elevation_scale, figures.units)
    else:
        # as large as the longest leg allows, but a long fence not over too many parts
        scale = scale_for(longest, width, figures.units, largest=LARGEST_ELEVATION * 0.96)
        for candidate in scales(figures.units):
            if candidate.n >= LARGEST_ELEVATION * 0.96 and total / candidate.n / width < MOST_PARTS:
                scale = candidate if candidate.n < scale.n else scale
                break
    views = []
    for run, layout in enumerate(fence.layouts):
        for front in fronts_of(layout):
            for part in parts_of_front(run, front, width * scale.n):
                views.append(elevation(fence, part, scale, style, figures, overall=overall))
    return views


def _setting_out(fence: FenceModel, size: Size, style: Style, figures: Figures) -> View:
    return _fitted_plan(setting_out_plan, fence, size, LARGEST_PLAN, style, figures)


def _build_views(
    fence: FenceModel, size: Size, style: Style, figures: Figures, picture: bytes | None
) -> Groups:
    options = fence.job.sheets
    out: set[str] = set(options.leave_out)
    rows = max(5, int((_fit(size)[1] - 12.0) / ROW) - 1)
    plans: list[View] = []
    if "plan" not in out:
        plans.append(_setting_out(fence, size, style, figures))
        plans += table_views("Setting out", _posts(fence, figures), style, rows)
        plans += table_views("Bays and pales", _bays(fence, figures), style, rows)
    groups: Groups = [("Setting out", plans)]
    if "elevations" not in out:
        views = _elevations(fence, size, style, figures, overall=False)
        groups.append(("elevations", views))
    groups.append(("details", list(_details(fence, style, figures, out))))
    lists: list[View] = []
    if "schedule" not in out:
        lists += table_views("Members by mark", _members(fence, figures), style, rows)
    if "notes" not in out:
        lists += _notes(fence, style, figures)
    groups.append(("schedule, notes", lists))
    return groups


def _workshop_views(
    fence: FenceModel, size: Size, style: Style, figures: Figures, picture: bytes | None
) -> Groups:
    out = {"section", "bay", "gate", "corner", "rail"} | set(fence.job.sheets.leave_out)
    lists = workshop_lists(fence, order(fence), _fit(size), style, figures)
    gates = [
        gate_view(fence, run, opening, scale_named(BAY, figures.units), style, figures, back=True)
        for run, layout in enumerate(fence.layouts)
        for opening in layout.openings
    ]
    return [
        ("boards, cutting list, spacers", lists),
        ("heads and tops", list(_details(fence, style, figures, out))),
        ("gates", gates),
    ]


def _site_views(
    fence: FenceModel, size: Size, style: Style, figures: Figures, picture: bytes | None
) -> Groups:
    plan = _setting_out(fence, size, style, figures)
    out = {"bay", "head", "post-top", "rail", "gate", "corner"}
    details = list(_details(fence, style, figures, out))
    lists = site_lists(fence, order(fence), _fit(size), style, figures)
    return [("setting out", [plan]), ("posts, corners, order of work", lists), ("section", details)]


def _details(fence: FenceModel, style: Style, figures: Figures, out: set[str]) -> Iterable[View]:
    units = figures.units
    chosen = fence.job.sheets.detail_scale

    def at(n: float) -> Scale:
        best = min(scales(units), key=lambda scale: (abs(scale.n - n), -scale.n))
        return scale_named(chosen, units) if chosen is not None else best

    drawn: set[object] = set()
    for run, layout in enumerate(fence.layouts):
        job = layout.run
        alike = (job.posts, job.rails, job.pales, job.footings)
        if alike not in drawn:
            drawn.add(alike)
            footed = any(post.kind != PostRole.WALL for post in layout.posts)
            if "section" not in out and footed:
                yield fence_section(fence, run, at(DETAIL), style, figures)
            if "bay" not in out and layout.stretches:
                for back in (False, True):
                    yield typical_bay(fence, run, at(BAY), style, figures, back=back)
            if "head" not in out and job.top_line.heads == "pale":
                yield head_detail(layout, at(HEAD), style, figures)
            if "post-top" not in out:
                for name, plan in _post_kinds(layout):
                    yield post_top_detail(plan, name, at(HEAD), style, figures)
            if "rail" not in out:
                yield rail_detail(layout, _usual_bolt(fence, run), at(HEAD), style, figures)
        if "gate" not in out:
            for opening in layout.openings:
                for back in (False, True):
                    yield gate_view(fence, run, opening, at(BAY), style, figures, back=back)
        if "corner" not in out:
            seen: set[int] = set()
            for number, leg in enumerate(layout.legs):
                turn = round(leg.turn_start * 10)
                # corners of the same turn are alike, and a line post is a line post
                slight = abs(leg.turn_start) < SLIGHT or leg.bent_start
                if not slight and turn not in seen:
                    seen.add(turn)
                    yield corner_plan(fence, run, number, at(DETAIL), style, figures)


def _post_kinds(layout: RunLayout) -> list[tuple[str, PostPlan]]:
    """Return the posts of a run that differ in section or top, named by their kinds."""
    kinds: dict[object, tuple[list[str], PostPlan]] = {}
    for post in layout.posts:
        if post.kind == PostRole.WALL:
            continue
        plan = post.plan
        names, _ = kinds.setdefault((plan.width, plan.depth, plan.top, plan.cap), ([], plan))
        if post.kind not in names:
            names.append(post.kind)
    order = ["line", "end", "corner", "gate"]
    return [
        (", ".join(sorted(names, key=order.index)) + " post", plan)
        for names, plan in kinds.values()
    ]


def _usual_bolt(fence: FenceModel, run: int) -> Bolt | None:
    """Return the bolt that a run has most of, or None when it has none."""
    shapes = (member.shape for member in fence.members if member.run == run)
    counts = Counter(shape for shape in shapes if isinstance(shape, Bolt))
    return counts.most_common(1)[0][0] if counts else None


def _posts(fence: FenceModel, figures: Figures) -> list[list[str]]:
    text = figures.text
    lines = station_lines(fence)
    level, origin = _on_level_ground(fence), fence.job.origin
    unit = " (m)" if figures.in_metres(origin) else ""
    rows = [
        ["post", "kind", "mark", "chainage", f"east{unit}", f"north{unit}", f"ground{unit}",
         "hole depth", "top over ground", *([] if level else ["rail tops over ground"])]
    ]  # fmt: skip
    for line in lines:
        places = (line.east, line.north, line.ground)
        words = [
            text(line.chainage),
            *(figures.site(place, origin) for place in places),
            *(text(length) for length in (line.hole_depth, line.top)),
        ]
        if not level:
            words.append(rail_tops_text(line, text))
        rows.append([line.label, line.kind, line.mark, *words])
    return rows


def _on_level_ground(fence: FenceModel) -> bool:
    """Tell whether all posts of each run stand on one level and no bay is set apart from it."""
    return all(
        post.rise == 0.0 and abs(post.frame.origin[2] - layout.posts[0].frame.origin[2]) < 0.5
        for layout in fence.layouts
        for post in layout.posts
    )


def _bays(fence: FenceModel, figures: Figures) -> list[list[str]]:
    level = _on_level_ground(fence)
    lines = stretch_lines(fence)
    curved = any(line.offset for line in lines)
    rows = [["run", "from", "to", "bays", "pales", "gap"]]
    rows[0] += [] if level else ["follows", "slope", "steps at posts", "under pales"]
    rows[0] += ["off the curve"] if curved else []
    for line in lines:
        bays = " + ".join(f"{count} x {figures.text(length)}" for count, length in line.bays)
        row = [line.run, line.first, line.last, bays, str(line.pales), figures.text(line.gap)]
        if not level:
            steps = sorted({figures.text(step) for step in line.steps}, key=len)
            said = ", ".join(steps) if len(steps) < 4 else (
                f"{figures.text(min(line.steps))} to {figures.text(max(line.steps))}"
            )  # fmt: skip
            follow = {"rake": "raked", "step": "stepped", "level": "level top"}
            words = " and ".join(follow[word] for word in line.follow.split(" and "))
            row += [words, slope_text(line.slopes), said, span_text(line.clearances, figures.text)]
        if curved:
            row.append(figures.text(line.offset) if line.offset else "")
        rows.append(row)
    return rows


def _members(fence: FenceModel, figures: Figures) -> list[list[str]]:
    rows = [["mark", "part", "no.", "width", "thickness", "length", "end cuts off square"]]
    for line in part_lines(fence):
        cuts = line.note.replace(" degrees", "°").replace(" off square", "")
        sizes = (figures.text(size) for size in (line.first, line.second, line.length))
        words = cuts.replace(" end cut", "")
        rows.append([line.mark, line.kind.name, str(line.count), *sizes, words])
    return rows


def _notes(fence: FenceModel, style: Style, figures: Figures) -> list[View]:
    views = [
        notes_view("Materials", _materials(fence, figures), 175.0, style),
        notes_view("Cautions", CAUTIONS, 175.0, style),
    ]
    revisions = [["rev.", "date", "change"]]
    revisions += [[plain(r.index), plain(r.date), plain(r.text)] for r in fence.job.revisions]
    if len(revisions) == 1:
        revisions.append(["-", "", "first issue"])
    views.append(table_view("Revisions", revisions, style))
    return views


def _materials(fence: FenceModel, figures: Figures) -> list[str]:
    job = fence.job.runs[0]
    total = concrete(fence)
    return [
        f"Finished sizes in {figures.note}. Timber in the ground and all cut, notched and bored "
        "surfaces treated against decay; the uncut end of each post goes into the ground.",
        f"Concrete {total.volume / 1e9:.2f} m3 net in {total.footings} footings, "
        "its top sloped away from the post.",
        f"Rails from lengths up to {figures.text(job.rails.stock_length)}, jointed on posts only.",
        "Steel parts galvanised or stainless, as the timber's treatment asks.",
        "Gaps are equal within each stretch between fixed posts; see the table of bays and pales.",
        "Check all dimensions on site before cutting.",
    ]


def _planning_views(
    fence: FenceModel, size: Size, style: Style, figures: Figures, picture: bytes | None
) -> Groups:
    plan = _block_plan(fence, size, style, figures)
    proposed = _elevations(fence, size, style, figures, overall=True)
    scale = scale_named(proposed[0].scale, figures.units)
    existing = [
        existing_elevation(fence, front, scale, style, figures)
        for layout in fence.layouts
        for front in fronts_of(layout)
        if front.length / scale.n < _fit(size)[0] - ELEVATION_SIDES
    ]
    notes = [_heights(fence, style, figures), _planning_notes(fence, style, figures)]
    return [
        ("Block plan", [plan, *notes]),
        ("proposed elevations", proposed),
        ("existing elevations", existing),
    ]


def _block_plan(fence: FenceModel, size: Size, style: Style, figures: Figures) -> View:
    return _fitted_plan(block_plan, fence, size, LARGEST_BLOCK_PLAN, style, figures)


def _heights(fence: FenceModel, style: Style, figures: Figures) -> View:
    """Return the highest points on each side of each run; on flat ground both are the same."""
    rows = [["run", "side", "highest point over ground", "existing"]]
    for layout in fence.layouts:
        job = layout.run
        high = figures.text(highest_point(layout))
        now = figures.text(job.existing_height)
        for side in ("front", "back"):
            rows.append([f"{job.letter} {plain(job.name)}", side, high, now])
    return table_view("Heights, proposed and existing", rows, style)


def _planning_notes(fence: FenceModel, style: Style, figures: Figures) -> View:
    site = plain(fence.job.project.site)
    notes = [f"Site: {site}."] if site else []
    for layout in fence.layouts:
        job = layout.run
        gaps = [row.gap for row in stretch_lines(fence) if row.run == job.letter]
        widest = max(gaps, default=0.0)
        notes.append(
            f"Run {job.letter}: timber pales {_small(job.pales.width, figures)} wide, gaps up to "
            f"{_small(widest, figures)}, on {len(job.rails.tops)} rails between timber posts."
        )
    finish = plain(fence.job.project.finish)
    notes.append(f"Finish: {finish}." if finish else "Finish: treated timber, natural colour.")
    swings = {opening.spec.swing for layout in fence.layouts for opening in layout.openings}
    if "out" in swings:
        notes.append("Gates marked so open towards the front; not over a road or a footway.")
    elif swings:
        notes.append("Gates open inwards, away from the front.")
    notes.append("Heights are over the ground next to the fence. Levels and boundary by others.")
    return notes_view("Notes", notes, 150.0, style)


def _small(value: float, figures: Figures) -> str:
    """Return a small size in words: millimetres also where the drawing is in metres."""
    if figures.units is Units.FEET:
        return figures.text(value)
    return f"{Figures().text(value)} mm"


def _customer_views(
    fence: FenceModel, size: Size, style: Style, figures: Figures, picture: bytes | None
) -> Groups:
    width, height = _fit(size)
    first: list[View] = []
    if picture is not None:
        wide = min(width, (height - 4.0) * 2.0)
        item = Picture(picture, (0.0, 0.0), wide, wide / 2.0)
        first.append(View("", 1.0, (item,), in_model=False, kind="picture"))
    length = fence_length(fence)
    high = max(highest_point(layout) for layout in fence.layouts)
    gates = sum(len(layout.openings) for layout in fence.layouts)
    project = fence.job.project
    facts = [
        *(
            [label, plain(text)]
            for label, text in (
                ("for", project.client),
                ("site", project.site),
                ("finish", project.finish),
            )
            if text
        ),
        [f"length of fence, {figures.note}", f"{figures.text(length)}"],
        [f"highest point over ground, {figures.note}", f"{figures.text(high)}"],
        ["posts", str(sum(len(layout.posts) for layout in fence.layouts))],
        ["pales", str(pale_count(fence))],
        ["gates", str(gates)],
    ]
    first.append(table_view("Your fence", [["what", "how much"], *facts], style))
    longest = max(
        _elevations(fence, size, style, figures, overall=True),
        key=lambda view: len(view.items),
    )
    return [
        ("proposal", first),
        ("plan and elevation", [_plan_beside(fence, longest, size, style, figures), longest]),
    ]


def _plan_beside(
    fence: FenceModel, other: View, size: Size, style: Style, figures: Figures
) -> View:
    """Return the block plan, as large as leaves room on its sheet for another view."""
    plan = _block_plan(fence, size, style, figures)
    if fence.job.sheets.plan_scale is not None:
        return plan
    for scale in scales(figures.units):
        if len(pack([plan, other], size, style, figures)) == 1:
            break
        if scale.n > plan.scale:
            plan = block_plan(fence, scale, style, figures)
    return plan
