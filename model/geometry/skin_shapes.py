"""The skin of each shape."""

from __future__ import annotations

from .facets import faces_of
from .metal_caps import MetalCap
from .plate_skins import plate_skin
from .post_shapes import Post
from .post_skins import post_skin
from .prisms import Prism, prism_skin
from .shapes import Bar, Bolt, Cap, Footing, Plate, Rod, Tenoned
from .skins import Skin, skin_of_polygons
from .tenoned_skins import tenoned_skin
from .turned_shapes import Turned
from .turned_skins import bolt_skin, footing_skin, rod_skin, turned_skin
from .worked_shapes import Finished, Worked
from .worked_skins import worked_skin


def skin_of(shape: Finished) -> Skin | None:
    """Return the skin of a shape in its own coordinates, mm, or None where only the CAD kernel can
    make its solid: bevels that meet, a post as wide as its hole, parts that run into each
    other, holes over an edge.
    """
    match shape:
        case Bar() | Cap() | MetalCap():
            return skin_of_polygons(faces_of(shape))
        case Post():
            return post_skin(shape)
        case Plate():
            return plate_skin(shape)
        case Footing():
            return footing_skin(shape)
        case Bolt():
            return bolt_skin(shape)
        case Rod():
            return rod_skin(shape)
        case Turned():
            return turned_skin(shape)
        case Worked():
            return worked_skin(shape, skin_of(shape.stock))
        case Prism():
            return prism_skin(shape)
        case Tenoned():
            return tenoned_skin(shape)
