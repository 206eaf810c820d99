"""The strength checks written out: every symbol, formula, value and clause, to follow by hand."""

from __future__ import annotations

import io
from collections.abc import Iterator

from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel
from palewright.model.strength.assess import assess
from palewright.model.strength.steps import Assessment, Step, StrengthCheck

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
    wind, strength, soil = job.wind, job.strength, job.soil
    lateral = f"{soil.lateral:g} kPa/m" if soil.lateral is not None else soil.kind
    for name, value in (
        ("basic wind velocity vb", f"{wind.velocity:g} m/s"),
        ("terrain category", wind.terrain),
        ("orography factor co, shelter factor psi_s", f"{wind.orography:g}, {wind.shelter:g}"),
        ("density of air rho", f"{wind.density:g} kg/m3"),
        ("partial factors gamma_Q, gamma_G, gamma_M",
         f"{wind.wind_factor:g}, {wind.weight_factor:g}, {strength.factor:g}"),
        ("timber of posts, rails, pales (EN 338)",
         f"{strength.posts}, {strength.rails}, {strength.pales}"),
        ("soil", lateral),
    ):  # fmt: skip
        yield f"  {name:44s} {value}"
    places = assess(fence)
    yield ""
    yield "Utilisation: demand over resistance, 1.00 is just enough."
    for place in places:
        yield f"  {place.title}"
        for check in place.checks:
            mark = "  OVER" if check.utilisation > 1.0 + 1e-9 else ""
            yield f"    {check.name:44s} {check.utilisation:6.2f}{mark}"
    for place in places:
        yield from _place(place)


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
        f"utilisation {check.utilisation:.2f}"
    )


def _step(step: Step) -> str:
    value = f"{figure(step.value)} {step.unit}".rstrip()
    return f"    {step.symbol:8s} = {step.formula:46s} = {value:16s} {step.source}".rstrip()


def figure(value: float) -> str:
    """Return a value to four figures.

    >>> figure(166666.7), figure(0.49712), figure(0.0)
    ('166700', '0.4971', '0')
    """
    if value == 0.0:
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
    """Return the calculation as PDF on A4, the same text in a typewriter's columns."""
    from reportlab.lib.pagesizes import A4
    from reportlab.pdfgen.canvas import Canvas

    width, height = A4
    size, leading, edge = 7.6, 9.6, 48.0
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=A4, invariant=1)
    title = plain(fence.job.project.name)
    canvas.setTitle(f"Wind on {title}")
    canvas.setCreator("palewright")
    rows = int((height - 2.0 * edge) / leading)
    lines = calculation_text(fence).splitlines()
    pages = _pages(lines, rows)
    for number, page in enumerate(pages, 1):
        canvas.setFont("Courier", size)
        for row, line in enumerate(page):
            # the built-in typewriter face has no signs beyond Latin-1
            text = line.encode("latin-1", "replace").decode("latin-1")
            canvas.drawString(edge, height - edge - row * leading, text)
        canvas.drawRightString(width - edge, edge / 2.0, f"page {number} of {len(pages)}")
        canvas.showPage()
    canvas.save()
    return out.getvalue()


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
