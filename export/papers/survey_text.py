"""What a survey holds, as text and as a small plan."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from itertools import pairwise

from palewright.model.basis.imperial import imperial
from palewright.model.basis.units import feet_and_inches
from palewright.model.geometry.curves import Arc
from palewright.model.resolved.ground import SiteGround, carried_by, site_ground
from palewright.model.resolved.sites import Site
from palewright.model.spec.line_keys import SurveySpec
from palewright.model.survey.curve_search import ArcLimits
from palewright.model.survey.extents import area, extent, length, outline
from palewright.model.survey.fitted_lines import fitted
from palewright.model.survey.points_and_lines import Survey, SurveyLine, SurveyPoint

from .level_book_text import book_text

MOST_SHOWN = 40
"""Lines and codes that are listed."""


def survey_text(
    survey: Survey,
    taken: SurveyLine | None,
    why: str,
    asked: Mapping[str, str | None],
    straight: float = 20.0,
) -> str:
    """Return what a survey holds and what a fence would take, lengths in metres.

    taken : the line that would be followed, or None and `why` there is none; asked :
    keys of a spec's survey and what was asked for, for the lines that a spec needs; straight :
    how closely shots are followed, mm.
    """
    words = [f"{survey.file}: {survey.format}, {_count(len(survey.points), 'point')}, "
             f"{_count(len(survey.lines), 'line')}"]  # fmt: skip
    say = _figure(survey)
    ends = extent(survey)
    if ends is not None:
        names = ("east", "north", "level")
        spans = [
            f"{name} {say(low)} to {say(high)}"
            for name, low, high in zip(names, *ends, strict=False)
        ]
        unit = "" if say is feet_and_inches else " m"
        words.append("  " + ", ".join(spans) + unit + ("" if len(spans) == 3 else ", no levels"))
    if survey.crs:
        words.append(f"  grid {survey.crs}")
    words += [f"  note: {note}" for note in survey.notes]
    if survey.codes:
        words.append("points by code:")
        words += _listed([f"{code or '(none)'}  {count}" for code, count in survey.codes.items()])
    if survey.lines:
        words.append("lines:")
        words += _listed([_line(line, say) for line in survey.lines])
    if survey.sketch is not None:
        words += book_text(survey.sketch.book)
    if survey.format == "legs":
        words += ["corners:", *_listed([_corner(point, say) for point in survey.points])]
        return "\n".join(words)
    if taken is None:
        words.append(f"nothing would be taken: {why}")
        return "\n".join(words)
    words.append(f"taken: {taken.name}")
    first, last = taken.nodes[0], taken.nodes[-1]
    for name, node in (("from", first), *(() if taken.closed else (("to", last),))):
        level = "" if node.level is None else f", level {node.level / 1000.0:.3f}"
        words.append(f"  {name} {node.at[0] / 1000.0:.3f} {node.at[1] / 1000.0:.3f}{level}")
    words += _followed(taken, straight)
    spots = len(survey.spots((), taken.group)) + len(taken.spots)
    words.append(f"  spot levels in the file besides it: {spots}")
    words.append(f"  ground: {_ground(survey, taken)}")
    words += ["in a spec:", "", *_spec(survey, taken, asked)]
    return "\n".join(words)


Say = Callable[[float], str]


def _figure(survey: Survey) -> Say:
    """Return how lengths are written: in metres, or in feet where a job in feet was taped."""
    if survey.sketch is not None and survey.sketch.feet:
        return feet_and_inches
    return _metres


def _metres(value: float) -> str:
    return f"{value / 1000.0:.3f}"


def _corner(point: SurveyPoint, say: Say) -> str:
    level = "" if point.level is None else f", level {say(point.level)}"
    return f"{point.number}  east {say(point.x)}, north {say(point.y)}{level}"


def _followed(line: SurveyLine, straight: float) -> list[str]:
    """Return the straights and arcs that a fence follows, where there are arcs."""
    nodes, _ = fitted(line.nodes, straight, ArcLimits(), closed=line.closed)
    ends = (*nodes, nodes[0]) if line.closed else nodes
    arcs = sum(isinstance(node.curve, Arc) for node in ends[1:])
    if not arcs:
        return []
    told = f"  followed within {straight:g} mm in {_count(len(ends) - 1, 'piece')}"
    rows = []
    for a, b in pairwise(ends):
        to = f"to {b.at[0] / 1000.0:.3f} {b.at[1] / 1000.0:.3f}"
        match b.curve:
            case Arc() as arc:
                side = "left" if arc.sweep > 0.0 else "right"
                rows.append(f"  arc {arc.length / 1000.0:.3f} m to the {side}, "
                            f"radius {arc.radius / 1000.0:.3f} m, {to}")  # fmt: skip
            case None:
                rows.append(f"  straight {math.dist(a.at, b.at) / 1000.0:.3f} m {to}")
            case curve:
                rows.append(f"  curve {curve.length / 1000.0:.3f} m {to}")
    return [f"{told}, {_count(arcs, 'arc')}:", *_listed(rows)]


def ground_in(survey: Survey, taken: SurveyLine | None) -> tuple[SiteGround, str]:
    """Return the surface that a survey makes when a spec says nothing else, or why it makes none.

    taken : the line whose own levels count too.
    """
    told = SurveySpec(file=survey.file[-100:] or "survey")
    sites = [] if taken is None else [Site(taken.nodes, taken.closed, key="line", own=taken.spots)]
    ground, problems = site_ground(told, survey, sites)
    return ground, problems[0].message if problems else ""


def _ground(survey: Survey, taken: SurveyLine) -> str:
    """Return where the ground along a line would come from."""
    ground, wrong = ground_in(survey, taken)
    if wrong:
        return wrong
    near = "the line's own levels, and others near it"
    levels = [n.level for n in taken.nodes if n.level is not None]
    if not levels and not any(point.level is not None for point in survey.points):
        near = "no levels in the file; give them in a spec (run.points, run.levels)"
    if ground.surface is None:
        return near
    points = outline(taken)
    profile = carried_by(ground, points, SurveySpec(file="survey").within)
    if profile is None:
        return f"{near}; {ground.said} is only along it, or not round all of it"
    on = profile.carried(length(taken)) * length(taken) / 1000.0
    return f"{ground.said}, which carries {on:.3f} m of the line"


def _count(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"


def _listed(rows: list[str]) -> list[str]:
    shown = [f"  {row}" for row in rows[:MOST_SHOWN]]
    if len(rows) > MOST_SHOWN:
        shown.append(f"  and {len(rows) - MOST_SHOWN} more")
    return shown


def _line(line: SurveyLine, say: Say) -> str:
    place = f" on {line.group}" if line.group and line.group != line.name else ""
    curves = sum(node.curve is not None for node in line.nodes)
    levels = [node.level for node in line.nodes if node.level is not None]
    feet = say is feet_and_inches
    parts = [line.kind, say(length(line)) + ("" if feet else " m")]
    if line.closed:
        covers = f"{area(line) / 1e6:.2f} m2"
        parts.append(f"closed, {imperial(covers) if feet else covers}")
    if curves:
        parts.append(_count(curves, "curve"))
    if levels:
        parts.append(f"levels {say(min(levels))} to {say(max(levels))}")
    return f"{line.name}{place}: {', '.join(parts)}"


def _spec(survey: Survey, taken: SurveyLine, asked: Mapping[str, str | None]) -> list[str]:
    rows = ["[survey]", f"file = {_quoted(survey.file.replace(chr(92), '/').rsplit('/', 1)[-1])}"]
    rows += [f"{key} = {_quoted(told)}" for key, told in asked.items() if told]
    return [*rows, "", "[[run]]", f"line = {_quoted(taken.name)}"]


def _quoted(text: str) -> str:
    """Return a TOML basic string."""
    import json

    return json.dumps(text, ensure_ascii=False)


def survey_picture(
    survey: Survey,
    taken: SurveyLine | None,
    suffix: str,
    *,
    title: str = "",
    straight: float = 20.0,
) -> bytes:
    """Return a small plan of a survey, the line that is taken as a fence follows it, or a sketch of
    what was measured by tape.

    suffix : ".png", ".svg" or ".pdf"; title : of the job that it belongs to, for the title block;
    straight : how closely shots are followed, mm.
    """
    if survey.sketch is not None:
        from palewright.export.drawing.sets.sketch_plan import sketch_sheet

        sheet = sketch_sheet(survey, survey.sketch, taken, title)
    else:
        from palewright.export.drawing.sets.survey_plan import survey_plan

        if taken is not None:
            nodes, _ = fitted(taken.nodes, straight, ArcLimits(), closed=taken.closed)
            followed = replace(taken, nodes=nodes)
            lines = tuple(followed if line is taken else line for line in survey.lines)
            survey, taken = replace(survey, lines=lines), followed
        sheet = survey_plan(survey, taken, ground_in(survey, taken)[0].surface)
    if suffix == ".png":
        from palewright.export.drawing.writers.png import write_png

        return write_png(sheet)
    if suffix == ".svg":
        from palewright.export.drawing.writers.svg import write_svg

        return write_svg(sheet, sheet.title)
    from palewright.export.drawing.writers.pdf import write_pdf

    return write_pdf((sheet,), sheet.title, "")
