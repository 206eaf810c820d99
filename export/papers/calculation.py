"""The strength checks written out: every symbol, formula, value and clause, to follow by hand."""

from __future__ import annotations

import io
import math
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel
from palewright.model.strength.assess import FenceStrength, PostUse, assess
from palewright.model.strength.steps import Assessment, Step, StrengthCheck, used_figure

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

WARNING = (
    "Advice by the methods named, with the standards' recommended values; national annexes differ. "
    "Not a design: a qualified person checks it before anything depends on it."
)

WIDTH = 92
"""Characters in a line."""


def calculation_text(fence: FenceModel) -> str:
    """Return the calculation as plain text."""
    return "\n".join(_lines(fence)) + "\n"


def _lines(fence: FenceModel) -> Iterator[str]:
    job = fence.job
    assert job.wind is not None
    yield f"Wind on {plain(job.project.name)}"
    yield ""
    yield from _wrapped(WARNING)
    yield ""
    wind, timber, soil = job.wind, job.strength, job.soil
    lateral = f"{soil.lateral:g} kPa/m" if soil.lateral is not None else soil.kind
    for name, value in (
        ("basic wind velocity vb", f"{wind.velocity:g} m/s"),
        ("terrain category", wind.terrain),
        ("orography factor co, shelter factor psi_s", f"{wind.orography:g}, {wind.shelter:g}"),
        ("density of air rho", f"{wind.density:g} kg/m3"),
        ("partial factors gamma_Q, gamma_G, gamma_M",
         f"{wind.wind_factor:g}, {wind.weight_factor:g}, {timber.factor:g}"),
        ("timber of posts, rails, pales (EN 338)",
         f"{timber.posts}, {timber.rails}, {timber.pales}"),
        ("soil", lateral),
    ):  # fmt: skip
        yield f"  {name:44s} {value}"
    strength = assess(fence)
    yield from _most_used(strength)
    yield from _every_member(strength)
    for place in strength.places:
        yield from _place(place)


def _most_used(strength: FenceStrength) -> Iterator[str]:
    yield ""
    yield "Where each check is most used: demand over resistance, 1.00 is just enough"
    members = ""
    for one in strength.governing:
        if one.members != members:
            members = one.members
            yield f"  {members[0].upper()}{members[1:]}"
        mark = f"OVER at {one.over} of {one.count}" if one.over else ""
        yield f"    {used_figure(one.check.utilisation):>6s}  {one.check.name:64s} {mark}".rstrip()
        yield f"            {one.where}"


def _every_member(strength: FenceStrength) -> Iterator[str]:
    yield ""
    yield "Every post: what is most used of the post, and of its footing"
    yield from _columns(
        f"{one.placed.label:>7s} {used_figure(one.post):>5s} {_of_footing(one):>5s}"
        for one in strength.posts
    )
    yield ""
    yield "Every rail, with its bolts and nails: row from below, first post, last post"
    yield from _columns(
        f"{one.row + 1:3d} {one.posts[0].label:>6s} {one.posts[-1].label:>6s} "
        f"{used_figure(one.used):>5s}"
        for one in strength.rails
    )


def _of_footing(one: PostUse) -> str:
    """Return how far a footing is used, a dash for one that is not checked."""
    return "-" if one.footing is None else used_figure(one.footing)


def _columns(texts: Iterable[str]) -> Iterator[str]:
    """Yield short texts alike in width, four in a line."""
    every = list(texts)
    for start in range(0, len(every), 4):
        yield "  " + "  ".join(every[start : start + 4])


def _place(place: Assessment) -> Iterator[str]:
    yield ""
    yield place.title
    yield "-" * len(place.title)
    yield from (_step(step) for step in place.loads)
    for check in place.checks:
        yield ""
        yield from _check(check)


def _check(check: StrengthCheck) -> Iterator[str]:
    yield f"  {check.name[0].upper()}{check.name[1:]} ({check.source})"
    yield from (_step(step) for step in check.steps)
    unit = f" {check.unit}" if check.unit else ""
    word = "more than" if check.utilisation > 1.0 + 1e-9 else "at most"
    yield (
        f"  {figure(check.demand)} {word} {figure(check.resistance)}{unit}: "
        f"utilisation {used_figure(check.utilisation)}"
    )


def _step(step: Step) -> str:
    value = f"{figure(step.value)} {step.unit}".rstrip()
    return f"    {step.symbol:8s} = {step.formula:50s} = {value:13s} {step.source}".rstrip()


def figure(value: float) -> str:
    """Return a value to four figures.

    >>> figure(166666.7), figure(0.49712), figure(-1e-9), figure(math.inf)
    ('166700', '0.4971', '0', 'without limit')
    """
    if not math.isfinite(value):
        return "without limit"
    if abs(value) < 1e-6:
        return "0"
    text = f"{float(f'{value:.4g}'):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _wrapped(text: str) -> Iterator[str]:
    line = ""
    for word in text.split():
        if len(line) + len(word) + 1 > WIDTH:
            yield line
            line = word
        else:
            line = f"{line} {word}".strip()
    yield line


def calculation_pdf(fence: FenceModel) -> bytes:
    """Return the calculation as PDF on A4: the fence with how far each member is used, then the
    same text in a typewriter's columns.
    """
    from reportlab.lib.pagesizes import A4
    from reportlab.pdfgen.canvas import Canvas

    from .strength_elevation import strength_pages

    width, height = A4
    size, leading, edge = 7.6, 9.6, 48.0
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=A4, invariant=1)
    title = plain(fence.job.project.name)
    canvas.setTitle(f"Wind on {title}")
    canvas.setCreator("palewright")
    rows = int((height - 2.0 * edge) / leading)
    lines = calculation_text(fence).splitlines()
    drawn = strength_pages(fence)
    pages = _pages(lines, rows)
    count = len(drawn) + len(pages)
    for number, draw in enumerate(drawn, 1):
        draw(canvas)
        _page_ends(canvas, width, edge, f"page {number} of {count}")
    for number, page in enumerate(pages, len(drawn) + 1):
        canvas.setFont("Courier", size)
        for row, line in enumerate(page):
            # the built-in typewriter face has no signs beyond Latin-1
            text = line.encode("latin-1", "replace").decode("latin-1")
            canvas.drawString(edge, height - edge - row * leading, text)
        _page_ends(canvas, width, edge, f"page {number} of {count}")
    canvas.save()
    return out.getvalue()


def _page_ends(canvas: Canvas, width: float, edge: float, words: str) -> None:
    canvas.setFont("Courier", 7.6)
    canvas.drawRightString(width - edge, edge / 2.0, words)
    canvas.showPage()


def _pages(lines: list[str], rows: int) -> list[list[str]]:
    """Return lines in pages, broken where a line is empty if there is one near the end."""
    pages = []
    while lines:
        cut = min(rows, len(lines))
        if cut < len(lines):
            breaks = [n for n in range(cut, cut // 2, -1) if not lines[n - 1]]
            cut = breaks[0] if breaks else cut
        pages.append(lines[:cut])
        lines = lines[cut:]
        while lines and not lines[0]:
            lines = lines[1:]
    return pages
