"""Writes the page of all choices by all outputs, each cell made by what the tests call."""

from __future__ import annotations

import sys
from pathlib import Path

DOCS = Path(__file__).resolve().parent

HEAD = """# Every choice by every output

Each row is a word that a spec may say of how to build, put into one small fence with a gate, a
corner, a fall and a wall (left out where the word cannot stand beside them), with the keys that it
needs. Each cell is made and compared by the tests, sheets in each run for the first
and the last word of a key:

- *solids*: the CAD kernel finds each valid, its volume that of the closed form, and the skin that
  files are written from closed; *meshes*: closed, and within what chords take.
- *STEP*: each piece stands in the tree once. *DXF*: each mark has a block or is named on the
  construction sheets, but for the isometric view, the key and the assembly.
- *lists*: marks and counts are those that stand. *order*: timber that is ordered is what the pieces
  take. *page*: each piece stands in the scene once.
- *check*: passes, pieces that stand in each other among what it looks for; what it warns of is
  named.

"""


def choices_page() -> str:
    """Return the page, a row for each choice."""
    sys.path.insert(0, str(DOCS.parent / "tests"))
    from choice_cells import COLUMNS, cells
    from every_choice import choices

    rows = [COLUMNS, ("---",) * len(COLUMNS), *(cells(choice) for choice in choices())]
    return HEAD + "\n".join(f"| {' | '.join(row)} |" for row in rows) + "\n"


if __name__ == "__main__":
    (DOCS / "choices.md").write_text(choices_page(), "utf-8")
