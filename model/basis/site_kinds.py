"""Kinds of findings on the line and the ground of a site; the register has them with the rest."""

from __future__ import annotations

from .findings import FindingKind, Severity

WARN, NOTE = Severity.WARN, Severity.NOTE
GEOMETRY = "geometry"

GROUND_UNKNOWN = FindingKind(
    "GROUND-UNKNOWN", WARN,
    means="fewer than two levels of the survey lie on or near the line: it is taken as level",
    matters="On ground that falls, posts, steps and clearances would come out wrong on site.",
    helps="Name the codes of levels in survey.ground, raise survey.within, or give run.levels.",
    source=GEOMETRY,
)  # fmt: skip
GROUND_BEYOND = FindingKind(
    "GROUND-BEYOND", NOTE,
    means="the line goes on beyond its outermost level: the ground is taken as level there",
    matters="What was not measured may fall or rise.",
    helps="A level at each end of the line.",
    source=GEOMETRY,
)  # fmt: skip
GROUND_FAR = FindingKind(
    "GROUND-FAR", NOTE,
    means="levels are far apart: the ground is taken as straight between them",
    matters="A hump or a hollow between two levels is not in the drawings.",
    helps="Levels at every change of slope and at least every few bays.",
    source="common practice",
)  # fmt: skip
GROUND_OUTSIDE = FindingKind(
    "GROUND-OUTSIDE", WARN,
    means="the line is off the surveyed surface: the ground is taken as straight to the next "
    "level, and as level beyond the last",
    matters="Nothing was measured there that the surface could tell, or survey.reach is too short.",
    helps="Levels round that part, levels of your own in run.levels, or a longer survey.reach.",
    source=GEOMETRY,
)  # fmt: skip
GROUND_SURFACE = FindingKind(
    "GROUND-SURFACE", NOTE,
    means="which ground the line stands on",
    matters="Triangles between levels tell the ground wherever the line crosses them; levels near "
    "the line are only moved across to it.",
    helps="To choose one of them, set survey.ground_as.",
    source=GEOMETRY,
)  # fmt: skip
GROUND_DROP = FindingKind(
    "GROUND-DROP", NOTE,
    means="the ground is lower on one side of the fence than on the other",
    matters="Posts at the edge of a drop have less earth to hold them, a person can fall from it, "
    "and heights for rules count from both sides.",
    helps="Say what it guards in run.guards; a deeper footing or a retaining wall is for an "
    "engineer.",
    source="common practice",
)  # fmt: skip
SURVEY_NOTE = FindingKind(
    "SURVEY-NOTE", NOTE,
    means="the survey was read with a remark",
    matters="What a file does not say is taken in one way or left out.",
    helps="See `palewright survey`; name the grid in survey.crs, the unit in survey.units.",
    source=GEOMETRY,
)  # fmt: skip
SURVEY_DOUBT = FindingKind(
    "SURVEY-DOUBT", WARN,
    means="a measurement is probably wrong: measure it again before anything is cut",
    matters="One wrong length moves corners, and the fence with them.",
    helps="See `palewright survey` for what is left of each measurement; one check measurement "
    "more tells which is wrong.",
    source=GEOMETRY,
)  # fmt: skip
LEGS_MISCLOSURE = FindingKind(
    "LEGS-MISCLOSURE", NOTE,
    means="the legs as walked do not quite close: what was left over is shared out",
    matters="Every tape and every right angle by eye is a little out; the drawings have the legs "
    "as they were adjusted, a few millimetres off what was measured.",
    helps="A sketch from `palewright survey` shows what was measured; measure a diagonal as well.",
    source="compass rule",
)  # fmt: skip
LEGS_CLOSE_BADLY = FindingKind(
    "LEGS-CLOSE-BADLY", WARN,
    means="the legs as walked come back to their start badly: something was measured wrong",
    matters="Sharing out a blunder spoils every corner instead of the one that is wrong.",
    helps="Measure the legs again, and one diagonal. The lengths and turns across from where it "
    "does not close are the first to look at.",
    source="common practice",
)  # fmt: skip
PLANNING_NAMES = FindingKind(
    "PLANNING-NAMES", NOTE,
    means="of the site's address and the applicant one is given and the other is not",
    matters="A planning authority asks for both, and sends back what it cannot tell the site of.",
    helps="Give project.address and project.applicant; neither where no application is made.",
    source="validation checklists of planning authorities in England",
)  # fmt: skip
