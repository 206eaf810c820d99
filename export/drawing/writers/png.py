"""Sheets as PNG pictures."""

from __future__ import annotations

import io
import math

from palewright.export.drawing.draft.lettering import cap_height
from palewright.export.drawing.draft.paper import Area, Image, Label, Stroke
from palewright.export.drawing.draft.style import FONT_FILE
from palewright.export.drawing.sheets.sheet import Sheet

DOTS = 6.0
"""Pixels a millimetre: 150 an inch."""

FINE = 2
"""Drawn so many times larger, and averaged."""


def write_png(sheet: Sheet) -> bytes:
    """Return a sheet as a PNG picture, black on white; pictures on the sheet are left out."""
    from PIL import Image as Pictures
    from PIL import ImageDraw, ImageFont

    dots = DOTS * FINE
    size = math.ceil(sheet.size.width * dots), math.ceil(sheet.size.height * dots)
    canvas = Pictures.new("L", size, 255)
    pen = ImageDraw.Draw(canvas)

    def pixel(x: float, y: float) -> tuple[float, float]:
        return x * dots, size[1] - y * dots

    for mark in sheet.marks:
        match mark:
            case Stroke(points, width, _, dashes, closed):
                loop = [pixel(*point) for point in (*points, *(points[:1] if closed else ()))]
                for part in _dashed(loop, [dash * dots for dash in dashes]):
                    pen.line(part, fill=0, width=max(FINE, round(width * dots)), joint="curve")
            case Area(points, grey):
                pen.polygon([pixel(*point) for point in points], fill=round(grey * 255))
            case Label(text, (x, y), height, degrees):
                font = ImageFont.truetype(str(FONT_FILE), height / cap_height() * dots)
                left, top, right, low = (math.floor(v) for v in font.getbbox(text, anchor="ls"))
                box = Pictures.new("L", (right - left + 4, low - top + 4), 0)
                ImageDraw.Draw(box).text(
                    (2 - left, 2 - top), text, fill=255, font=font, anchor="ls"
                )
                turned = box.rotate(degrees, expand=True, resample=Pictures.Resampling.BICUBIC)
                # where the baseline's left end is after turning about the box's middle
                cx, cy = box.width / 2.0 - (2 - left), box.height / 2.0 - (2 - top)
                cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
                px, py = pixel(x, y)
                mx, my = px + cx * cos + cy * sin, py - cx * sin + cy * cos
                spot = round(mx - turned.width / 2.0), round(my - turned.height / 2.0)
                canvas.paste(0, spot, turned)
            case Image():
                continue
    small = canvas.resize((size[0] // FINE, size[1] // FINE), Pictures.Resampling.LANCZOS)
    out = io.BytesIO()
    small.save(out, "PNG", optimize=True)
    return out.getvalue()


def _dashed(
    points: list[tuple[float, float]], dashes: list[float]
) -> list[list[tuple[float, float]]]:
    """Return the drawn parts of a line; the whole line without dashes."""
    if not dashes:
        return [points]
    import shapely
    from shapely.ops import substring

    line = shapely.LineString(points)
    parts = []
    at, number = 0.0, 0
    while at < line.length:
        step = max(dashes[number % len(dashes)], 1.0)
        if number % 2 == 0:
            parts.append([(float(x), float(y)) for x, y in substring(line, at, at + step).coords])
        at, number = at + step, number + 1
    return parts
