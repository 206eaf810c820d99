"""Sheets as SVG, one file each, in millimetres."""

from __future__ import annotations

import base64
from xml.sax.saxutils import escape

from palewright.export.drawing.draft.lettering import cap_height
from palewright.export.drawing.draft.paper import Area, Image, Label, Mark, Stroke
from palewright.export.drawing.draft.style import BLACK, Layer
from palewright.export.drawing.sheets.sheet import Sheet
from palewright.model.basis.text import printable

FAMILY = "'Liberation Sans', Arimo, Arial, Helvetica, sans-serif"
"""Fonts of the same widths, so that text keeps its place."""


def write_svg(sheet: Sheet, title: str) -> bytes:
    """Return a sheet as an SVG file (SVG 1.1), its viewBox in mm, each layer a group.

    Groups carry what editors of drawings take for layers; filled areas and pictures lie below.
    """
    width, height = sheet.size.width, sheet.size.height
    parts = [
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<svg xmlns="http://www.w3.org/2000/svg" '
        'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
        f'width="{width:g}mm" height="{height:g}mm" '
        f'viewBox="0 0 {width:g} {height:g}">\n<title>{escape(printable(title))}</title>\n'
        f'<rect width="{width:g}" height="{height:g}" fill="#fff"/>\n'
    ]
    below: list[Mark] = []
    layers: dict[Layer, list[Stroke | Label]] = {}
    for mark in sheet.marks:
        if isinstance(mark, (Stroke, Label)):
            layers.setdefault(mark.layer, []).append(mark)
        else:
            below.append(mark)
    parts += [_shape(mark, height) for mark in below]
    for layer, marks in layers.items():
        parts.append(
            f'<g id="{layer.name}" inkscape:groupmode="layer" '
            f'inkscape:label="{escape(layer.note)}" fill="none" stroke="#000" '
            'stroke-linecap="round" stroke-linejoin="round">\n'
        )
        parts += [_shape(mark, height) for mark in marks if isinstance(mark, Stroke)]
        words = [_text(mark, height) for mark in marks if isinstance(mark, Label)]
        if words:
            head = f'<g font-family="{FAMILY}" fill="#000" stroke="none">\n'
            parts += [head, *words, "</g>\n"]
        parts.append("</g>\n")
    parts.append("</svg>\n")
    return "".join(parts).encode("utf-8")


def _shape(mark: Mark, height: float) -> str:
    match mark:
        case Stroke(points, width, layer, dashes, closed):
            dash = f' stroke-dasharray="{" ".join(f"{d:g}" for d in dashes)}"' if dashes else ""
            ink = f' stroke="rgb({_bytes(layer.ink)})"' if layer.ink != BLACK else ""
            path = _path(points, height, closed)
            return f'<path d="{path}" stroke-width="{width:g}"{dash}{ink}/>\n'
        case Area(points, grey):
            level = round(grey * 255)
            return (
                f'<path d="{_path(points, height, True)}" stroke="none" '
                f'fill="rgb({level},{level},{level})"/>\n'
            )
        case Image(data, (x, y), wide, high):
            text = base64.b64encode(data).decode()
            return (
                f'<image x="{x:g}" y="{height - y - high:g}" width="{wide:g}" height="{high:g}" '
                f'href="data:image/png;base64,{text}"/>\n'
            )
        case Label():
            return ""


def _bytes(ink: tuple[float, float, float]) -> str:
    return ",".join(f"{round(part * 255)}" for part in ink)


def _path(points: tuple[tuple[float, float], ...], height: float, closed: bool) -> str:
    corners = " ".join(f"{x:.3f},{height - y:.3f}" for x, y in points)
    return f"M{corners}" + ("Z" if closed else "")


def _text(label: Label, height: float) -> str:
    x, y = label.at
    turn = (
        f' transform="rotate({-label.degrees:g} {x:.3f} {height - y:.3f})"' if label.degrees else ""
    )
    return (
        f'<text x="{x:.3f}" y="{height - y:.3f}" font-size="{label.height / cap_height():.4f}" '
        f'textLength="{label.width:.3f}" lengthAdjust="spacingAndGlyphs"{turn}>'
        f"{escape(printable(label.text))}</text>\n"
    )
