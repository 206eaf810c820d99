"""Tables to set a fence out by: ties, lengths between runs, curves; each as rows of text."""

from __future__ import annotations

from palewright.export.drawing.draft.figures import Figures
from palewright.export.drawing.draft.view import View
from palewright.export.drawing.views.table_views import notes_view, table_views
from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel
from palewright.model.fence.made_panels import MadePanel
from palewright.model.layout.run_layout import Opening
from palewright.model.lists.curve_lines import curve_lines
from palewright.model.lists.given_legs import given_legs
from palewright.model.lists.takeoff import station_lines
from palewright.model.lists.ties import LEAST_ANGLE, run_gaps, ties
from palewright.model.spec.leg_keys import LegSpec

from .brief import Brief
from .schedules import AT_STEPS, Rows

CLEAR = "Between posts in the clear, and the panel that hangs there"
"""Title of the table that panels are hung by."""

NAMED = 12
"""So many posts without ties are named, of more the first and the last."""

MOST_MARKS = 3
"""So many benchmarks are named beside levels."""

NOTE_WIDTH = 120.0
"""Width of notes under tables, mm."""


def setting_out_tables(brief: Brief) -> list[View]:
    """Return the tables of ties, of lengths between runs and of curves, where there are any."""
    fence, figures, style = brief.fence, brief.figures, brief.style
    views: list[View] = []
    for title, rows in (
        ("Legs as given, and along the posts", leg_rows(fence, figures)),
        (f"Levels, {datum(fence, figures)}", level_rows(fence, figures)),
        ("Rails over the base of a bay", rail_rows(fence, figures)),
        ("Ties to the middle of posts, level", tie_rows(fence, figures)),
        ("Openings", opening_rows(fence, figures)),
        (CLEAR, clear_rows(fence, figures)),
        ("Between runs", gap_rows(fence, figures)),
        ("Curves", curve_rows(fence, figures)),
        ("Offsets from chords of curves", offset_rows(fence, figures)),
    ):
        views += table_views(title, rows, style, brief.rows)
    untied = [tie.post for tie in ties(fence) if not tie.points]
    if untied:
        views.append(notes_view("Posts without ties", [_without(untied)], NOTE_WIDTH, style))
    return views


def clear_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return how far posts are apart in the clear where panels hang, and which hangs there;
    neighbouring bays alike share a row.
    """
    text = figures.text
    rows = [["run", "from", "to", "bays", "clear between", "panel", "over all"]]
    cells = [
        (fence.layouts[one.run].run.called, text(one.clear), one.mark, text(one.width), one)
        for one in fence.panels
    ]
    alike: list[list[tuple[str, str, str, str, MadePanel]]] = []
    for cell in cells:
        if alike and alike[-1][-1][:4] == cell[:4] and alike[-1][-1][4].last == cell[4].first:
            alike[-1].append(cell)
        else:
            alike.append([cell])
    for group in alike:
        run, clear, mark, width, first = group[0]
        count = str(len(group))
        rows.append([run, first.first, group[-1][4].last, count, clear, mark, width])
    return rows


def leg_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return the legs as they were given or measured, and where the string is beside them."""
    text = figures.text
    rows = [["run", "leg", "as given", "measured", "along the posts", "string"]]
    for leg in given_legs(fence):
        length = "not measured" if leg.length is None else text(leg.length)
        said = _measured(leg.walked, figures) if leg.walked is not None else ""
        string = ""
        if leg.string is not None:
            side = "behind it" if leg.string > 0.0 else "in front of it"
            string = f"{text(abs(leg.string))} {side}" if leg.string else "on it"
        rows.append([leg.run, str(leg.number), length, said, text(leg.stands), string])
    return rows


def _measured(leg: LegSpec, figures: Figures) -> str:
    """Return how a leg's direction was measured: an angle, or a length across the corner."""
    said = []
    if leg.bearing is not None:
        said.append(f"bearing {leg.bearing:.6g}°")
    if leg.turn is not None:
        side = {1: "right", -1: "left"}.get(leg.turn.side, "straight")
        degrees = "" if leg.turn.degrees is None else f" {leg.turn.degrees:.6g}°"
        said.append(side + degrees)
    if leg.across is not None:
        arms = "" if leg.arms is None else " of " + " and ".join(figures.text(a) for a in leg.arms)
        said.append(f"across {figures.text(leg.across)}{arms}")
    return ", ".join(said)


def datum(fence: FenceModel, figures: Figures) -> str:
    """Say what levels are counted from: by benchmarks, else by the ground at the first post."""
    origin = fence.job.origin
    unit = " m" if figures.in_metres(origin) else ""
    marks = [f for f in fence.job.features if f.kind == "benchmark" and f.level is not None]
    told = [
        f"{plain(mark.called)} is {figures.site(mark.level + origin[2], origin)}{unit}"
        for mark in marks[:MOST_MARKS]
        if mark.level is not None
    ]
    first = station_lines(fence)[0]
    ground = f"ground at {first.label} is {figures.site(first.ground, origin)}{unit}"
    return "of which " + ", ".join(told or [ground])


def level_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return levels of the ground, the hole's bottom, the edge of the concrete's top, the post's
    foot where any stands in no hole, its top and the rails' tops at each post; posts in a row that
    are alike share theirs.
    """
    origin = fence.job.origin
    unit = " (m)" if figures.in_metres(origin) else ""
    poured = any(dug.poured for layout in fence.layouts for dug in layout.fillings)
    fill = "concrete" if poured else "gravel"
    foot = any(line.foot is not None and not line.dug for line in station_lines(fence))
    feet = ["post foot"] if foot else []
    rows = [["posts", "ground", "hole bottom", fill, *feet, "post top", "rail tops"]]
    drops = {post.label: post.drop for layout in fence.layouts for post in layout.posts}
    rows[0][1:] = [f"{words}{unit}" for words in rows[0][1:]]
    if any(len(line.rail_tops) > 1 for line in station_lines(fence)):
        rows[0][-1] += f", {AT_STEPS}"
    groups: list[tuple[str, str, list[str]]] = []
    for line in station_lines(fence):

        def level(value: float) -> str:
            return figures.site(value, origin)

        rails = (" ".join(level(line.ground + top) for top in side) for side in line.rail_tops)
        bottom = level(line.hole_bottom) if line.dug else ""
        edge = level(line.ground - drops[line.label]) if line.dug else ""
        low = ["" if line.foot is None else level(line.foot)] if foot else []
        said = [level(line.ground), bottom, edge, *low, level(line.top_level), " / ".join(rails)]
        if groups and groups[-1][2] == said and groups[-1][0][0] == line.label[0]:
            groups[-1] = (groups[-1][0], line.label, said)
        else:
            plate = " plate" if line.plate else ""
            groups.append((line.label + plate, line.label + plate, said))
    for first, last, said in groups:
        rows.append([first if first == last else f"{first} to {last}", *said])
    return rows


def rail_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return the undersides and tops of each run's rails, and the middle of their bolts."""
    text = figures.text
    rows = [["run", "rail", "underside", "bolt", "top"]]
    for layout in fence.layouts:
        rails = layout.run.rails
        for number, top in enumerate(rails.tops, 1):
            height = rails.section[0]
            bolt = text(top - height / 2.0) if rails.bolted else ""
            rows.append([layout.run.called, str(number), text(top - height), bolt, text(top)])
    return rows


def tie_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return two lengths to each end, corner and gate post, and the angle between them."""
    rows = [["post", "from", "", "and from", "", "angle"]]
    for tie in ties(fence):
        if tie.points:
            (one, two), (a, b) = tie.points, (figures.text(length) for length in tie.lengths)
            rows.append([tie.post, one.name, a, two.name, b, f"{tie.angle:.0f}°"])
    return rows


def _without(untied: list[str]) -> str:
    named = ", ".join(untied) if len(untied) <= NAMED else f"{untied[0]} to {untied[-1]}"
    count = f" ({len(untied)} posts)" if len(untied) > NAMED else ""
    return (
        f"{named}{count}: no two corners on the site or posts set before are in reach of a tape "
        f"at an angle over {LEAST_ANGLE:.0f}°; set out by chainage and coordinates."
    )


def gap_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return the lengths between the ends of runs."""
    rows = [["from", "to", "middle to middle", "clear"]]
    for gap in run_gaps(fence):
        rows.append([gap.first, gap.last, figures.text(gap.between), figures.text(gap.clear)])
    return rows


def opening_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return the openings of gates: their posts, clear width and middle, and how leaves go."""
    rows = [["gate", "from", "to", "clear", "middle at", "leaves", "hinges", "opens"]]
    for layout in fence.layouts:
        for opening in sorted(layout.openings, key=lambda one: one.spec.at):
            first, last = sorted(opening.posts, key=lambda post: post.chainage)
            row = [opening.called, first.label, last.label, figures.text(opening.spec.opening)]
            row += [figures.text(opening.spec.at), str(len(opening.leaves))]
            far = opening.leaves[0].plan.opens
            way = SWINGS[opening.spec.swing] + (f", by {far:g}°" if far else "")
            slide = opening.leaves[0].plan.slide
            if slide is not None:
                way = f"slides {'left' if slide.to_left else 'right'}, behind the fence"
            row += [_hinges(opening) if slide is None else "none", way]
            rows.append(row)
    return rows


SWINGS = {"in": "in, to the back", "out": "out, to the front"}
"""Which way leaves open, in words of a table."""


def _hinges(opening: Opening) -> str:
    """Return where leaves hang, seen from the front, by their posts from left to right."""
    sides = ["left" if leaf.hinge_left else "right" for leaf in opening.leaves]
    if len(sides) > 1:
        return "both sides"
    post = opening.posts[0 if sides[0] == "left" else 1]
    return f"{sides[0]}, on {post.label}"


def curve_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return the curves with their tangent points, radius, centre and chord."""
    origin = fence.job.origin
    unit = " (m)" if figures.in_metres(origin) else ""
    rows = [
        ["run", "first post", f"begins east{unit}", f"north{unit}", "last post",
         f"ends east{unit}", f"north{unit}", "radius", f"centre east{unit}", f"north{unit}",
         "chord"]
    ]  # fmt: skip
    for line in curve_lines(fence):
        begins, ends = (
            [figures.site(a + b, origin) for a, b in zip(at, origin, strict=False)]
            for at in (line.first, line.last)
        )
        circle = ["not one", "", ""]
        if line.radius is not None and line.centre is not None:
            centre = (
                figures.site(a + b, origin) for a, b in zip(line.centre, origin, strict=False)
            )
            circle = [figures.text(line.radius), *centre]
        first, last = (line.posts[end][0].label for end in (0, -1))
        rows.append([line.run, first, *begins, last, *ends, *circle, figures.text(line.chord)])
    return rows


def offset_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return each post of a curve by its place along the chord and behind it."""
    rows = [["curve", "post", "along the chord", "behind it"]]
    for line in curve_lines(fence):
        name = f"{line.posts[0][0].label} to {line.posts[-1][0].label}"
        for post, along, behind in line.posts:
            rows.append([name, post.label, figures.text(along), figures.text(behind)])
    return rows
