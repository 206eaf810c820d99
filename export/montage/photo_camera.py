"""The camera of a photograph, solved from points that are known on it and on the site.

A pinhole with one term of lens distortion: a point (x, y) of the picture, in focal lengths from its
middle, is seen at (x, y) (1 + k r2), r2 = x2 + y2 (Brown, Decentering distortion of lenses, 1966).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from palewright.model.basis.errors import PalewrightError

Array = NDArray[np.float64]

LEAST_POINTS, FREE_POINTS = 4, 6
"""Points that a camera needs, and points from which its lens is found too."""

FLAT = 0.02
"""Points whose third extent is less than this part of the first lie in a plane."""

BEARINGS, DISTANCES = 8, (1.2, 3.0, 8.0)
"""Where solving starts from: directions round the points, and distances in their sizes."""

EYE = 1600.0
"""Height at which a camera is first thought to be, mm over the points."""

USUAL_FOCAL = 26.0
"""Focal length of a telephone's main lens as on 35 mm film, mm; common practice, no source."""

FILM = math.hypot(36.0, 24.0)
"""Diagonal of 35 mm film, mm."""

HORIZON_WEIGHT = 0.5
"""What an error of the horizon counts beside one of a point: it is seen less sharply."""


class CameraError(PalewrightError):
    """A camera that cannot be solved; the text says what is missing."""


@dataclass(frozen=True)
class Known:
    """What is known of a photograph. pixels : (n, 2), from its upper left; places : (n, 3), mm;
    horizon : (m, 2), pixels on it; size : width and height, pixels; focal : pixels, or None.
    """

    pixels: Array
    places: Array
    horizon: Array
    size: tuple[int, int]
    focal: float | None


@dataclass(frozen=True)
class PhotoCamera:
    """A solved camera. turn : (3, 3), rows to the right, down and forward; at : (3,), mm; focal :
    pixels; bend : k of the lens; middle : of the picture, pixels; errors : (n,), of each point,
    pixels; freed : whether focal length and bend were found from the points.
    """

    turn: Array
    at: Array
    focal: float
    bend: float
    middle: tuple[float, float]
    errors: Array
    freed: bool

    def pixels(self, places: Array) -> Array:
        """Return where places (n, 3) are seen, pixels (n, 2)."""
        seen = (places - self.at) @ self.turn.T
        flat = seen[:, :2] / seen[:, 2:]
        return exact(bent(flat, self.bend) * self.focal + np.array(self.middle))

    def straight(self, pixels: Array) -> Array:
        """Return what pixels (n, 2) would be without distortion, in focal lengths (n, 2)."""
        return unbent((pixels - np.array(self.middle)) / self.focal, self.bend)


def exact(values: object) -> Array:
    """Return values in double precision."""
    return np.asarray(values, dtype=np.float64)


def bent(flat: Array, bend: float) -> Array:
    """Return places in the picture, in focal lengths, as a lens shows them."""
    return exact(flat * (1.0 + bend * (flat**2).sum(axis=-1, keepdims=True)))


def unbent(seen: Array, bend: float) -> Array:
    """Undo `bent`, by iteration."""
    flat = seen.copy()
    for _ in range(12):
        flat = seen / (1.0 + bend * (flat**2).sum(axis=-1, keepdims=True))
    return flat


def film_focal(focal: float, size: tuple[int, int]) -> float:
    """Return a focal length as on 35 mm film in pixels, by the diagonals."""
    return focal * math.hypot(*size) / FILM


def solve_camera(known: Known) -> PhotoCamera:
    """Return the camera that sees the known places nearest to their pixels (least squares).

    Focal length and lens are found too from six points that do not lie in a plane; else the focal
    length is the photograph's own, or that of a telephone's main lens.

    Raises
    ------
    CameraError
        When there are too few points, they lie on a line, or no camera sees them so.
    """
    count = len(known.places)
    if count < LEAST_POINTS:
        raise CameraError(
            f"{count} points are known; a camera needs {LEAST_POINTS}, or {FREE_POINTS} not all in "
            "one plane where its focal length is to be found"
        )
    extents = np.linalg.svd(known.places - known.places.mean(axis=0), compute_uv=False)
    if extents[1] < FLAT * extents[0]:
        raise CameraError("all points lie on a line; one beside it is needed")
    free = count >= FREE_POINTS and extents[2] > FLAT * extents[0]
    focal = known.focal or film_focal(USUAL_FOCAL, known.size)
    best: PhotoCamera | None = None
    for start in _starts(known, focal):
        found = _refined(start, known, free=free)
        if found is not None and (best is None or _rms(found) < _rms(best)):
            best = found
    if best is None:
        raise CameraError(
            "no camera sees the points where they are said to be; are some exchanged?"
        )
    return best


def _rms(camera: PhotoCamera) -> float:
    return float(np.sqrt((camera.errors**2).mean()))


def _starts(known: Known, focal: float) -> list[PhotoCamera]:
    """Return cameras round the points that look at their middle."""
    middle = known.places.mean(axis=0)
    size = max(float(np.linalg.norm(known.places - middle, axis=1).max()), 500.0)
    across = float(np.linalg.norm(known.pixels - known.pixels.mean(axis=0), axis=1).max())
    seen = size * focal / max(across, 1.0)
    starts = []
    for number in range(BEARINGS):
        bearing = 2.0 * math.pi * number / BEARINGS
        for away in (*(part * size for part in DISTANCES), seen):
            at = middle + np.array([away * math.cos(bearing), away * math.sin(bearing), EYE])
            forward = (middle - at) / np.linalg.norm(middle - at)
            right = np.cross(forward, (0.0, 0.0, 1.0))
            right /= np.linalg.norm(right)
            turn = np.stack([right, np.cross(forward, right), forward])
            centre = (known.size[0] / 2.0, known.size[1] / 2.0)
            starts.append(PhotoCamera(turn, at, focal, 0.0, centre, np.zeros(0), False))
    return starts


def _moved(camera: PhotoCamera, by: Array, size: float) -> PhotoCamera:
    """Return a camera turned, moved and its lens changed by what is solved for."""
    focal = camera.focal * math.exp(by[6]) if len(by) > 6 else camera.focal
    bend = float(by[7]) if len(by) > 7 else 0.0
    return replace(
        camera, turn=_turned(by[:3]) @ camera.turn, at=camera.at + by[3:6] * size, focal=focal,
        bend=bend,
    )  # fmt: skip


def _turned(vector: Array) -> Array:
    """Return the matrix of a turning by a vector (Rodrigues)."""
    angle = float(np.linalg.norm(vector))
    if angle < 1e-12:
        return np.eye(3)
    x, y, z = vector / angle
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    return exact(np.eye(3) + math.sin(angle) * cross + (1.0 - math.cos(angle)) * cross @ cross)


def _refined(start: PhotoCamera, known: Known, *, free: bool) -> PhotoCamera | None:
    """Return the least squares solution from a start; None where it sees points behind it."""
    from scipy.optimize import least_squares

    size = max(float(np.ptp(known.places, axis=0).max()), 1000.0)

    def missed(by: Array) -> Array:
        camera = _moved(start, by, size)
        seen = (known.places - camera.at) @ camera.turn.T
        # what is behind is kept before the camera, far off its mark
        deep = np.where(seen[:, 2] > 1.0, seen[:, 2], 1.0)
        flat = np.clip(seen[:, :2] / deep[:, None], -50.0, 50.0)
        spots = bent(flat, camera.bend) * camera.focal + np.array(camera.middle)
        apart = exact(spots - known.pixels).ravel()
        if not len(known.horizon):
            return apart
        return np.concatenate([apart, HORIZON_WEIGHT * _over_horizon(camera, known.horizon)])

    many = 2 * len(known.places) + len(known.horizon)
    steps = 8 if free else 6
    if many < steps:
        return None
    first = np.zeros(steps)
    rough = least_squares(missed, np.zeros(6), method="lm", max_nfev=300)
    first[:6] = rough.x
    found = least_squares(missed, first, method="lm", max_nfev=600) if free else rough
    camera = _moved(start, found.x, size)
    seen = (known.places - camera.at) @ camera.turn.T
    if (seen[:, 2] < 10.0).any() or not upright(camera):
        return None
    errors = np.linalg.norm(camera.pixels(known.places) - known.pixels, axis=1)
    return replace(camera, errors=errors, freed=free)


def upright(camera: PhotoCamera) -> bool:
    """Tell whether up on the site is up in the picture, as photographs are turned."""
    return float(camera.turn[1, 2]) < 0.0


def _over_horizon(camera: PhotoCamera, horizon: Array) -> Array:
    """Return how far pixels of the horizon are off the level of the eye, pixels."""
    flat = camera.straight(horizon)
    ways = np.column_stack([flat, np.ones(len(flat))]) @ camera.turn
    return exact(camera.focal * ways[:, 2] / np.linalg.norm(ways[:, :2], axis=1))
