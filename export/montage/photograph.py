"""A photograph as it is looked at, and what its camera wrote into it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

from palewright.model.basis.errors import PalewrightError

if TYPE_CHECKING:
    from PIL.Image import Image

MOST_PIXELS = 120_000_000
"""Larger photographs are refused."""


class PhotographError(PalewrightError):
    """A photograph that cannot be read."""


@dataclass(frozen=True)
class Photograph:
    """image : turned as it is looked at; focal : as on 35 mm film, mm; taken : with its time zone;
    place : latitude and longitude, degrees; None each where the camera did not say.
    """

    image: Image
    focal: float | None
    taken: datetime | None
    place: tuple[float, float] | None


def read_photograph(path: Path) -> Photograph:
    """Return a photograph. Raises PhotographError for what is none."""
    from PIL import ExifTags, Image, ImageOps, UnidentifiedImageError

    try:
        with Image.open(path) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                raise PhotographError(
                    f"{path}: {opened.width} x {opened.height} pixels; at most "
                    f"{MOST_PIXELS // 1_000_000} million are allowed"
                )
            written = opened.getexif()
            shot = written.get_ifd(ExifTags.IFD.Exif)
            spot = written.get_ifd(ExifTags.IFD.GPSInfo)
            image = ImageOps.exif_transpose(opened).convert("RGB")
    except (OSError, UnidentifiedImageError, SyntaxError, ValueError) as error:
        raise PhotographError(f"{path}: is no photograph that can be read ({error})") from None
    focal = _figure(shot.get(ExifTags.Base.FocalLengthIn35mmFilm))
    return Photograph(image, focal or None, _taken(shot), _place(spot))


def _figure(value: Any) -> float | None:
    try:
        return float(Fraction(value))
    except (TypeError, ValueError, ZeroDivisionError):
        return None


def _taken(shot: Any) -> datetime | None:
    """Return when it was taken, where the time zone is written too."""
    from PIL import ExifTags

    when = str(shot.get(ExifTags.Base.DateTimeOriginal, ""))
    zone = str(shot.get(ExifTags.Base.OffsetTimeOriginal, ""))
    if not re.fullmatch(r"[+-]\d\d:\d\d", zone):
        return None
    try:
        return datetime.strptime(f"{when} {zone}", "%Y:%m:%d %H:%M:%S %z")
    except ValueError:
        return None


def _place(spot: Any) -> tuple[float, float] | None:
    from PIL import ExifTags

    found = []
    for part, side, behind in (
        (ExifTags.GPS.GPSLatitude, ExifTags.GPS.GPSLatitudeRef, "S"),
        (ExifTags.GPS.GPSLongitude, ExifTags.GPS.GPSLongitudeRef, "W"),
    ):
        try:
            degrees, minutes, seconds = (float(value) for value in spot[part])
        except (KeyError, TypeError, ValueError, ZeroDivisionError):
            return None
        size = degrees + minutes / 60.0 + seconds / 3600.0
        found.append(-size if str(spot.get(side, "")).upper() == behind else size)
    return found[0], found[1]
