"""What planning authorities in England ask drawings of a fence to show, as a table.

Sources are named by what they are; figures of theirs that are from memory say so.
"""

from __future__ import annotations

from dataclasses import dataclass

TWO_LISTS = "validation checklists of two councils"
THREE_LISTS = "validation checklists of three councils"
ONE_LIST = "validation checklist of one council"
DRAWINGS = "councils' checklists for drawings"
ORDER = "Development Management Procedure Order 2015, article 7 (its number from memory)"
MEMORY = "from memory"


@dataclass(frozen=True)
class GuidanceItem:
    """Something asked for. name : that its answer goes by; what : in words; key : what would give
    it; source : who asks.
    """

    name: str
    what: str
    key: str
    source: str


GUIDANCE = (
    GuidanceItem("address", "address of the site", "project.address", DRAWINGS),
    GuidanceItem("applicant", "name of the applicant", "project.applicant", DRAWINGS),
    GuidanceItem(
        "location",
        "location plan at 1:1250 or 1:2500, with two named roads or more",
        '[[feature]] kind = "road" with a name, two of them near the fence',
        TWO_LISTS,
    ),
    GuidanceItem(
        "map",
        "location plan on an up-to-date map",
        "a map extract with a licence, sent beside these sheets",
        TWO_LISTS,
    ),
    GuidanceItem(
        "site edge",
        "site edged red",
        '[[feature]] kind = "boundary", closed = true, land = "site"',
        TWO_LISTS,
    ),
    GuidanceItem(
        "other land",
        "other land of the applicant edged blue, if there is any",
        '[[feature]] kind = "boundary", closed = true, land = "other"',
        TWO_LISTS,
    ),
    GuidanceItem(
        "block",
        "block plan at 1:500 or 1:200",
        "sheets.plan_scale, on a larger sheets.size",
        THREE_LISTS,
    ),
    GuidanceItem("north", "north on every plan", "", ORDER),
    GuidanceItem(
        "buildings",
        "distances to buildings, written",
        '[[feature]] kind = "house" with its corners',
        THREE_LISTS,
    ),
    GuidanceItem(
        "boundaries",
        "distances to boundaries, written",
        '[[feature]] kind = "boundary" with its points',
        THREE_LISTS,
    ),
    GuidanceItem("roads", "roads", '[[feature]] kind = "road"', THREE_LISTS),
    GuidanceItem(
        "paths",
        "footways, paths and rights of way",
        '[[feature]] kind = "path" with a name',
        THREE_LISTS,
    ),
    GuidanceItem(
        "trees",
        "trees and hedges, if there are any",
        '[[feature]] kind = "tree" or "hedge"',
        THREE_LISTS,
    ),
    GuidanceItem(
        "surfacing", "surfaces of the ground", "a note of your own; no key says it", THREE_LISTS
    ),
    GuidanceItem(
        "proposed",
        "elevations as proposed at 1:50 or 1:100",
        "sheets.elevation_scale, on a larger sheets.size",
        TWO_LISTS,
    ),
    GuidanceItem(
        "existing",
        "elevations as existing, seen the same way",
        'run.existing and run.existing_height, or [[feature]] kind = "fence", "wall" or "hedge"',
        TWO_LISTS,
    ),
    GuidanceItem(
        "all sides",
        "elevations from all sides",
        "not drawn; heights over the ground behind are given",
        TWO_LISTS,
    ),
    GuidanceItem("materials", "materials and their sizes", "", TWO_LISTS),
    GuidanceItem("finish", "finish and colour", "project.finish", TWO_LISTS),
    GuidanceItem(
        "levels",
        "levels of the ground, existing and proposed",
        "levels in run.points, run.levels, run.levels_front and run.levels_back, or [survey]",
        MEMORY,
    ),
    GuidanceItem(
        "datum",
        "datum of the levels",
        'project.datum, or [[feature]] kind = "benchmark" with its level',
        MEMORY,
    ),
    GuidanceItem(
        "section",
        "section through the ground and what is beside the fence",
        '[[feature]] that a line square to the fence crosses, as kind = "road"',
        MEMORY,
    ),
    GuidanceItem(
        "footing",
        "section of a footing at 1:20 or 1:10",
        "the sheets for building (--for build)",
        MEMORY,
    ),
    GuidanceItem("scale", "scale stated, and a scale bar for each", "", DRAWINGS),
    GuidanceItem(
        "bar", "scale bars of 10 m or more", "a smaller sheets.elevation_scale, as 100", ONE_LIST
    ),
    GuidanceItem(
        "size", "size of the paper shown, A4 or A3 rather than larger", "sheets.size", DRAWINGS
    ),
    GuidanceItem(
        "number",
        "title, and a number of its own for every drawing",
        "project.name and project.reference",
        DRAWINGS,
    ),
    GuidanceItem("revision", "revision, and each described", "[[revision]]", DRAWINGS),
    GuidanceItem("date", "date", "project.date", DRAWINGS),
    GuidanceItem("dimensions", "outer dimensions and heights, written", "", DRAWINGS),
    GuidanceItem("scaling", 'no note such as "do not scale"', "", ONE_LIST),
)
"""In the order of the sheets."""
