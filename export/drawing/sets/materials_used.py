"""What a fence is made of, in sentences for those who judge it: sizes of all that is seen."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from palewright.export.drawing.draft.figures import Figures, Units
from palewright.model.basis.text import titled_text
from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.run_layout import RunLayout, footed_posts
from palewright.model.parts.members import BOARD
from palewright.model.resolved.pale_plan import in_words


def materials_used(
    fence: FenceModel, number: int, layout: RunLayout, figures: Figures
) -> Iterator[str]:
    """Yield what a run is made of, and the gaps of its gates. number : of the run, from 0."""
    run = layout.run
    gaps = [stretch.row.gap for stretch in layout.stretches] or [0.0]
    apart = f"gaps up to {_size((max(gaps),), figures)}"
    if run.pales.lapped:
        apart = f"lapping {_size((-max(gaps),), figures)} or more"
    pale = in_words([_size((w, run.pales.thickness), figures) for w in run.pales.widths])
    boards = any(member.kind == BOARD and member.run == number for member in fence.members)
    capped = ""
    if run.capping is not None:
        size = _size((run.capping.width, run.capping.thickness), figures)
        capped = f", a timber capping rail {size} on their tops"
    kicked = ""
    if run.kick_board is not None:
        size = _size((run.kick_board.height, run.kick_board.thickness), figures)
        kicked = f", timber kick boards {size} under them"
    yield (
        f"{titled_text(run.called)}: timber pales {pale}{run.pales.words.laid}, {apart}{capped}, "
        f"on {len(run.rails.tops)} timber rails {_size(run.rails.section, figures)}"
        f"{', gravel boards under them' if boards else ''}{kicked}, on {_posts(layout, figures)}."
    )
    for opening in layout.openings:
        gap = max(leaf.spacing.gap for leaf in opening.leaves)
        such = "such pales, set close on the front" if run.pales.lapped else "such pales"
        yield f"{titled_text(opening.called)}: {such}, gaps up to {_size((gap,), figures)}."


def _posts(layout: RunLayout, figures: Figures) -> str:
    """Return the posts by section: "posts 100 x 100 mm (end, line), 125 x 125 mm (gate)"."""
    sections: dict[tuple[str, str], list[str]] = {}
    for kind, posts in footed_posts(layout):
        plan = posts[0].plan
        made = "concrete" if plan.cast else "timber"
        kinds = sections.setdefault((made, _size((plan.width, plan.depth), figures)), [])
        kinds += [] if kind.value in kinds else [kind.value]
    by_material: dict[str, list[str]] = {}
    for (made, size), kinds in sections.items():
        which = f" ({', '.join(kinds)})" if len(sections) > 1 else ""
        by_material.setdefault(made, []).append(f"{size}{which}")
    parts = [f"{made} posts {', '.join(sizes)}" for made, sizes in by_material.items()]
    return " and ".join(parts) or "timber posts"


def _size(sides: Sequence[float], figures: Figures) -> str:
    """Return small sizes in words: in millimetres also where the drawing is in metres."""
    if figures.units is Units.FEET:
        return " x ".join(figures.text(side) for side in sides)
    return f"{' x '.join(Figures().text(side) for side in sides)} mm"
