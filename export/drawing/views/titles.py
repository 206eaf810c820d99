"""The title of a view, and notes under it, clear of all that the view shows."""

from __future__ import annotations

from collections.abc import Sequence

from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.paper import bounds, on_paper
from palewright.export.drawing.draft.view import Item, Text, View

TITLE_BELOW, NOTE_BELOW, NOTE_STEP = 1.9, 2.0, 1.7
"""From what is drawn to the title's baseline, in heights of the title; from there to the first
note and from note to note, in heights of the notes."""


def titled(
    title: str,
    items: Sequence[Item],
    draft: Draft,
    *,
    left: float | None = None,
    notes: Sequence[str] = (),
) -> View:
    """Return a view with its title and notes under all that it shows.

    left : mm at full size, where the title starts; the left end of what is drawn when None.
    """
    n, style = draft.n, draft.style
    edge, low, _, _ = bounds(on_paper(View("", n, tuple(items)), style))
    x = edge * n if left is None else left
    y = draft.full(low - TITLE_BELOW * style.subtitle)
    lines = [
        Text(line, (x, y - (NOTE_BELOW + NOTE_STEP * place) * style.text * n), style.text)
        for place, line in enumerate(notes)
    ]
    return View(title, n, (*items, *lines), titled_at=(x, y), scale_text=draft.scale.text)
