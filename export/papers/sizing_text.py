"""What would stand in the wind, in words for the terminal."""

from __future__ import annotations

from palewright.export.tables.list_tables import text_table
from palewright.model.spec.spec_tables import SpecTables
from palewright.model.strength.size import Sizing, sizing_rows

LAST_WORD = "Advice by published methods; a qualified person has the last word."


def sizing_text(spec: SpecTables, found: Sizing) -> str:
    """Return what fails as it is, the cheapest set that stands, and what blocks other bays."""
    lines = ["As it is:"]
    lines += [f"  - {words}" for words in found.now] or ["  - nothing is used over its resistance"]
    lines.append("")
    best = found.best
    if best is None:
        lines.append("No set of posts, depths, bays and bolts that was tried stands.")
    else:
        rows = [("size", "now", "cheapest that stands"), *sizing_rows(spec, best)]
        by = "least timber in posts and rails, then concrete"
        if best.price is not None:
            by = f"{best.price} for the whole order, before mark-up and tax"
        lines += [
            text_table(rows),
            "",
            f"Used to {best.used:.0%}; {best.timber:.3f} m3 of posts and rails, "
            f"{best.concrete:.2f} m3 of concrete; cheapest by {by}.",
        ]
    if found.blocked:
        lines += ["", "What blocks other bays:"]
        lines += [f"  - {words}" for words in found.blocked]
    return "\n".join([*lines, "", LAST_WORD])
