"""The preview page: one HTML file with everything in it."""

from __future__ import annotations

import base64
import hashlib
import io
import json
import re
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from importlib.resources import files
from typing import Any

from palewright.export.models.product import Product
from palewright.model.basis.text import plain
from palewright.model.lists.takeoff import fence_length, pale_count

from .choices import Fences, choice_names, choices_data, palette
from .page_scene import scene_of

WITHOUT_SCRIPT = "#pictures { display: block !important; } canvas, footer { display: none; }"
"""The style of the page where no script runs."""

QUALITY = 85
"""Of JPEG pictures, of 100."""

MOST_DRAWN = 3000
"""Pales of a fence that is drawn for browsers without 3D."""


@dataclass(frozen=True)
class PageOptions:
    """How a page is made.

    live : whether it listens for rebuilt models, only where `watch` serves it: it waits for no
    order then, and shows no prices; priced : whether it shows prices where there are any; beside :
    names of model files that are sent with it.
    """

    live: bool = False
    priced: bool = True
    beside: tuple[str, ...] = ()


def models_of(fences: Fences, options: PageOptions) -> list[dict[str, Any]]:
    """Return what the page draws and says of each fence; each comes with the name of its file."""
    names = choice_names(fences)
    chosen = choices_data(fences, ordered=not options.live, priced=options.priced)
    return [
        scene_of(built, name) | one
        for name, (_, built), one in zip(names, fences, chosen, strict=True)
    ]


def write_page(
    fences: Fences, pictures: Sequence[bytes] = (), options: PageOptions | None = None
) -> bytes:
    """Return the preview page of one fence, or of alternatives side by side.

    Parameters
    ----------
    fences : sequence of (name, Product)
        The alternatives, with the names of their files; the first is shown first.
    pictures : sequence of bytes
        A PNG picture of each fence for browsers without 3D. Without any the page shows plans and
        front elevations.
    options : PageOptions
        How it is made; with prices and for nobody to rebuild when left out.
    """
    told = options or PageOptions()
    models = models_of(fences, told)
    names = [model["name"] for model in models]
    shown = [_picture(name, data) for name, data in zip(names, pictures, strict=bool(pictures))]
    if not shown:
        drawings = [_elevations(name, one) for name, (_, one) in zip(names, fences, strict=True)]
        shown = [drawn for one in drawings for drawn in one]
    data = json.dumps(
        {"models": models, "live": told.live, "palette": palette(), "beside": told.beside},
        separators=(",", ":"),
        ensure_ascii=True,
    )
    script = _text("bundle.js").replace("</script", "<\\/script")
    style = _text("page.css") + _text("choosing.css")
    parts = {
        "SCRIPT": _hashes(script),
        "STYLES": _hashes(style, WITHOUT_SCRIPT),
        "PLAIN": WITHOUT_SCRIPT,
        "TITLE": escape(plain(fences[0][1].fence.job.project.name) or "Picket fence"),
        "CSS": style,
        "PICTURES": "\n".join(shown),
        # no end tag may stand in a script
        "DATA": data.replace("<", "\\u003c"),
        "BUNDLE": script,
    }
    # in one pass: what stands in a name of the user's is not a place to fill
    text = re.sub(r"@([A-Z]+)@", lambda place: parts[place[1]], _text("page.html"))
    return text.encode("utf-8")


def _hashes(*texts: str) -> str:
    """Return what a content policy allows by its hash: these texts and nothing else inline."""
    digests = (base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()) for text in texts)
    return " ".join(f"'sha256-{digest.decode()}'" for digest in digests)


def _text(name: str) -> str:
    return (files("palewright.export.page") / name).read_text("utf-8")


def _picture(name: str, data: bytes) -> str:
    named = escape(plain(name), quote=True)
    text = base64.b64encode(_smaller(data)).decode()
    return (
        f'<figure><img alt="Picture of {named}" src="data:image/jpeg;base64,{text}">'
        f"<figcaption>{named}</figcaption></figure>"
    )


def _smaller(picture: bytes) -> bytes:
    """Return a picture as JPEG: a page with it stays small enough to send."""
    from PIL import Image

    out = io.BytesIO()
    with Image.open(io.BytesIO(picture)) as image:
        image.convert("RGB").save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue()


def _elevations(name: str, built: Product) -> list[str]:
    """Return plan and front elevation of a fence as drawings in SVG; of a vast one its facts."""
    if pale_count(built.fence) > MOST_DRAWN:
        length = fence_length(built.fence) / 1000.0
        return [f"<p>{escape(name)}: {length:.0f} m of fence, too long to draw here.</p>"]
    from palewright.export.drawing.draft.style import Style
    from palewright.export.drawing.sets.sheet_sets import Purpose, sheet_set
    from palewright.export.drawing.writers.svg import write_svg

    sheets, _ = sheet_set(built.fence, Purpose.CUSTOMER, Style())
    drawn = []
    for sheet in sheets:
        text = write_svg(sheet, f"{name}: {sheet.title}").decode("utf-8")
        drawn.append(text[text.index("<svg") :])
    return drawn
