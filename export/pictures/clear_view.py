"""A place for the camera from which nothing of the site stands before what is shown."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import TYPE_CHECKING

from palewright.export.models.things import PIER, thing_meshes
from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Vector
from palewright.model.lists.crossings import body_of, round_fence
from palewright.model.site.features import Feature

from .camera import Viewpoint, camera_of, usual_angles

if TYPE_CHECKING:
    from shapely import Geometry

SIDEWAYS = (0.0, 12.0, -12.0, 24.0, -24.0, 38.0, -38.0, 52.0, -52.0)
"""How far the camera goes aside to see past things, degrees, the least first."""

UPWARD = (0.0, 8.0, 18.0, 30.0)
"""How far it goes up to see over them, degrees."""

SEEN_EVERY, MOST_SEEN = 1500.0, 300
"""From place to place along a fence that is to be seen, mm, and how many there are at most."""

STANDS = 300.0
"""What is lower hides nothing, mm."""


@dataclass(frozen=True)
class ClearView:
    """A picture from where it shows what it is of.

    view : with the camera's place; left_out : things that hide it from everywhere near, which it is
    without; moved : whether the camera is elsewhere than usual.
    """

    view: Viewpoint
    left_out: tuple[Feature, ...]
    moved: bool

    @property
    def said(self) -> list[str]:
        """What to know of the picture, in sentences."""
        notes = []
        if self.moved:
            notes.append("The camera stands aside, as something of the site was before the fence.")
        if self.left_out:
            names = ", ".join(dict.fromkeys(plain(one.called) for one in self.left_out))
            notes.append(f"Left out, as it would hide what is shown: {names}.")
        return notes


@dataclass(frozen=True)
class _Body:
    """What may hide a fence. shape : in plan; top : the level of its highest, mm."""

    feature: Feature
    shape: Geometry
    top: float

    def hides(self, eye: Vector, spot: Vector) -> bool:
        """Tell whether it is between the eye and a spot, or the eye in it."""
        import shapely

        line = shapely.LineString([eye[:2], spot[:2]])
        inside = shapely.intersection(line, self.shape)
        length = line.length
        if inside.is_empty or length == 0.0:
            return False
        for x, y in shapely.get_coordinates(inside).tolist():
            share = math.dist(eye[:2], (x, y)) / length
            if eye[2] + (spot[2] - eye[2]) * share < self.top:
                return True
        return False


def clear_view(fence: FenceModel, view: Viewpoint) -> ClearView:
    """Return a view of a fence from where nothing stands before what it shows.

    A place that was asked for stays; then, and where there is no clear place near the usual one,
    what hides the fence is left out. Raises OutputError when there is nothing of the kind to show.
    """
    bodies = _bodies(fence)
    spots = _spots(fence, view.of)
    if not bodies or not spots:
        return ClearView(view, (), moved=False)
    asked = view.azimuth is not None or view.rise is not None or view.of == "eye-level"
    azimuth, rise = usual_angles(fence, view)
    best, hidden = view, _hiding(fence, view, spots, bodies)
    if hidden and not asked:
        for up, aside in product(UPWARD, SIDEWAYS):
            tried = replace(view, azimuth=azimuth + aside, rise=rise + up)
            found = _hiding(fence, tried, spots, bodies)
            if sum(found.values()) < sum(hidden.values()):
                best, hidden = tried, found
            if not hidden:
                break
    gone = tuple(body.feature for number, body in enumerate(bodies) if number in hidden)
    return ClearView(best, gone, moved=best != view)


def _hiding(
    fence: FenceModel, view: Viewpoint, spots: Sequence[Vector], bodies: Sequence[_Body]
) -> dict[int, int]:
    """Return how many spots each body hides, by number, of those that hide any."""
    x, y, z = camera_of(fence, view).eye
    counts = {
        number: sum(body.hides((x, y, z), spot) for spot in spots)
        for number, body in enumerate(bodies)
    }
    return {number: count for number, count in counts.items() if count}


def _bodies(fence: FenceModel) -> list[_Body]:
    """Return what stands on the site high enough to hide anything."""
    window = round_fence(fence)
    if window is None:
        return []
    tops: dict[Feature, tuple[float, float]] = {}
    for mesh in thing_meshes(fence):
        low, high = float(mesh.points[:, 2].min()), float(mesh.points[:, 2].max())
        before = tops.get(mesh.feature, (low, high))
        tops[mesh.feature] = min(low, before[0]), max(high, before[1])
    return [
        _Body(feature, body_of(feature).intersection(window), high)
        for feature, (low, high) in tops.items()
        if feature.place != PIER and not feature.goes
        if feature.height >= STANDS and high - low >= STANDS
    ]


def _spots(fence: FenceModel, of: str) -> list[Vector]:
    """Return places that a view must show: of gates, or all along the fence with its gates."""
    gates = list(_gate_spots(fence))
    if of == "gate":
        return [spot for number, spot in gates if number == 0]
    legs = [(layout, leg) for layout in fence.layouts for leg in layout.legs]
    every = max(SEEN_EVERY, math.fsum(leg.length for _, leg in legs) / MOST_SEEN)
    spots = [spot for _, spot in gates]
    for layout, leg in legs:
        count = max(1, math.ceil(leg.length / every))
        for number in range(count):
            x = leg.length * (number + 0.5) / count
            spots.append(leg.frame.point((x, 0.0, leg.ground(x) + 0.7 * layout.run.height)))
    return spots


def _gate_spots(fence: FenceModel) -> Iterator[tuple[int, Vector]]:
    """Yield places on the leaves of each gate, with the gate's number."""
    openings = [(layout, opening) for layout in fence.layouts for opening in layout.openings]
    for number, (layout, opening) in enumerate(openings):
        for across, up in product((0.1, 0.5, 0.9), (0.3, 0.9)):
            x = opening.start + (opening.end - opening.start) * across
            z = opening.base + layout.run.height * up
            yield number, opening.leg.frame.point((x, 0.0, z))
