"""Logos drawn as SVG: filled and stroked shapes, without text, pictures, gradients and styles."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Any
from xml.etree import ElementTree

from palewright.model.basis.errors import PalewrightError

Rgb = tuple[float, float, float]
Step = tuple[str, tuple[float, ...]]
"""A step of a path: "move", "line", "curve" (two handles and the end) or "close"."""

SHAPES = ("path", "rect", "circle", "ellipse", "polygon", "polyline", "line")
UNSEEN = ("title", "desc", "metadata", "namedview")
MOST_STEPS, MOST_DEEP = 50_000, 40

INHERITED = ("fill", "stroke", "stroke-width", "fill-rule")


class SvgError(PalewrightError):
    """An SVG that is not drawn; the text says why."""


@dataclass(frozen=True)
class SvgShape:
    """A shape. steps : in the drawing's units, y down; fill, stroke : 0 to 1, None for none;
    width : of the stroke; even : filled by the even-odd rule.
    """

    steps: tuple[Step, ...]
    fill: Rgb | None
    stroke: Rgb | None
    width: float
    even: bool


@dataclass(frozen=True)
class SvgDrawing:
    """A drawing. width, height : of its view box; shapes : from its upper left corner."""

    width: float
    height: float
    shapes: tuple[SvgShape, ...]


def read_svg(data: bytes) -> SvgDrawing:
    """Return the shapes of an SVG.

    Raises
    ------
    SvgError
        When it is none, or holds what is not drawn.
    """
    if b"<!ENTITY" in data:
        raise SvgError("defines entities; save it as plain SVG or as PNG")
    try:
        root = ElementTree.fromstring(data)
    except (ElementTree.ParseError, ValueError, LookupError):
        raise SvgError("is no SVG that can be read; allowed: PNG, JPEG, SVG") from None
    if _tag(root) != "svg":
        raise SvgError("is no SVG that can be read; allowed: PNG, JPEG, SVG")
    try:
        left, top, wide, high = _box(root)
        from fontTools.misc.transform import Transform

        shapes: list[SvgShape] = []
        _walk(root, Transform(1, 0, 0, 1, -left, -top), {}, shapes, 0)
    except SvgError:
        raise
    except (ValueError, TypeError, IndexError, KeyError, NotImplementedError, OverflowError):
        raise SvgError("has a shape that cannot be read; save it as plain SVG or as PNG") from None
    if not shapes:
        raise SvgError("has no shape that is drawn; allowed: PNG, JPEG, SVG")
    if sum(len(shape.steps) for shape in shapes) > MOST_STEPS:
        raise SvgError(f"has more than {MOST_STEPS} steps; save it as PNG")
    return SvgDrawing(wide, high, tuple(shapes))


def _tag(element: Any) -> str:
    return str(element.tag).rpartition("}")[2]


def _box(root: Any) -> tuple[float, float, float, float]:
    """Return the left, top, width and height of what is shown."""
    told = root.get("viewBox")
    if told:
        numbers = [float(part) for part in re.split(r"[\s,]+", told.strip())]
    else:
        sizes = (re.match(r"[\d.]+", root.get(key, "")) for key in ("width", "height"))
        numbers = [0.0, 0.0, *(float(size[0]) if size else 0.0 for size in sizes)]
    left, top, wide, high = numbers
    if not (math.isfinite(left + top) and 0.0 < wide < 1e6 and 0.0 < high < 1e6):
        raise SvgError("has no size: no viewBox, and no width and height")
    return left, top, wide, high


def _walk(
    element: Any, at: Any, given: dict[str, str], shapes: list[SvgShape], deep: int
) -> None:  # fmt: skip
    tag = _tag(element)
    if not isinstance(element.tag, str) or tag in UNSEEN or (tag == "defs" and not len(element)):
        return
    if deep > MOST_DEEP:
        raise SvgError("is nested too deeply; save it as PNG")
    if tag not in ("svg", "g", *SHAPES):
        raise SvgError(f"has <{tag}>, which is not drawn; turn it into paths, or save it as PNG")
    own = {**given, **{key: element.get(key) for key in INHERITED if element.get(key)}}
    style = dict(part.split(":", 1) for part in element.get("style", "").split(";") if ":" in part)
    own |= {key.strip(): text.strip() for key, text in style.items() if key.strip() in INHERITED}
    at = at.transform(_moved(element.get("transform", "")))
    if tag in SHAPES:
        shapes.append(_shape(element, at, own))
        return
    for inner in element:
        _walk(inner, at, own, shapes, deep + 1)


def _moved(text: str) -> Any:
    """Return an SVG transform (SVG 2, 8.5) as one matrix."""
    from fontTools.misc.transform import Transform

    whole = Transform()
    for name, inside in re.findall(r"(\w+)\s*\(([^)]*)\)", text):
        numbers = [float(part) for part in re.split(r"[\s,]+", inside.strip())]
        match name:
            case "matrix":
                whole = whole.transform(Transform(*numbers))
            case "translate":
                whole = whole.translate(*numbers)
            case "scale":
                whole = whole.scale(*numbers)
            case "rotate":
                turn, *about = numbers
                x, y = about or (0.0, 0.0)
                whole = whole.translate(x, y).rotate(math.radians(turn)).translate(-x, -y)
            case _:
                raise SvgError(f"has the transform '{name}', which is not drawn; save it as PNG")
    return whole


def _shape(element: Any, at: Any, own: dict[str, str]) -> SvgShape:
    from fontTools.pens.basePen import BasePen
    from fontTools.svgLib.path import PathBuilder, parse_path

    steps: list[Step] = []

    class Pen(BasePen):  # type: ignore[misc]
        """Takes the steps down where they are drawn."""

        def _moveTo(self, to: tuple[float, float]) -> None:  # noqa: N802
            steps.append(("move", at.transformPoint(to)))

        def _lineTo(self, to: tuple[float, float]) -> None:  # noqa: N802
            steps.append(("line", at.transformPoint(to)))

        def _curveToOne(self, *points: tuple[float, float]) -> None:  # noqa: N802
            steps.append(("curve", tuple(v for p in points for v in at.transformPoint(p))))

        def _closePath(self) -> None:  # noqa: N802
            steps.append(("close", ()))

    kept = {key: text for key, text in element.items() if key != "transform"}
    bare = ElementTree.Element(_tag(element), kept)
    builder = PathBuilder()
    builder.add_path_from_element(bare)
    for path in builder.paths:
        parse_path(path, Pen(None))
    if not all(math.isfinite(value) for _, values in steps for value in values):
        raise ValueError
    growth = math.sqrt(abs(at[0] * at[3] - at[1] * at[2]))
    width = float(re.match(r"[\d.]+", own.get("stroke-width", "1"))[0]) * growth  # type: ignore[index]
    fill, stroke = _colour(own.get("fill", "#000000")), _colour(own.get("stroke", "none"))
    return SvgShape(tuple(steps), fill, stroke, width, own.get("fill-rule") == "evenodd")


def _colour(text: str) -> Rgb | None:
    if text == "none":
        return None
    from PIL import ImageColor

    try:
        red, green, blue = ImageColor.getrgb("#000000" if text == "currentColor" else text)[:3]
    except ValueError:
        raise SvgError(f"has the colour '{text}', which is not drawn; save it as PNG") from None
    return red / 255.0, green / 255.0, blue / 255.0
