"""Where the sun stands at a date, an hour and a place."""

from __future__ import annotations

import math
from datetime import UTC, datetime

J2000 = datetime(2000, 1, 1, 12, tzinfo=UTC)


def sun_place(moment: datetime, latitude: float, longitude: float) -> tuple[float, float]:
    """Return the sun's azimuth and height over the horizon, degrees.

    moment : with its time zone; latitude, longitude : degrees, north and east positive; azimuth :
    from north, clockwise. The height is as seen, with refraction at 1010 hPa and 10 degrees C.
    Within 0.02 degrees from 1950 to 2050.

    Source: the low-precision solar coordinates of the Astronomical Almanac, section C, with the
    sidereal time beside them; refraction after Bennett in the form of Saemundsson (1986), as in
    Meeus, Astronomical Algorithms, chapter 16. Both from memory; tests hold them against NREL's
    worked example.

    >>> azimuth, height = sun_place(datetime(2026, 6, 21, 12, tzinfo=UTC), 51.5, 0.0)
    >>> round(azimuth), round(height)
    (179, 62)
    """
    days = (moment - J2000).total_seconds() / 86400.0
    anomaly = math.radians(357.528 + 0.9856003 * days)
    along = math.radians(
        280.460 + 0.9856474 * days + 1.915 * math.sin(anomaly) + 0.020 * math.sin(2.0 * anomaly)
    )
    tilt = math.radians(23.439 - 0.0000004 * days)
    ascension = math.atan2(math.cos(tilt) * math.sin(along), math.cos(along))
    declination = math.asin(math.sin(tilt) * math.sin(along))
    sidereal = math.radians(280.46062 + 360.98564737 * days + longitude)
    hour, north = sidereal - ascension, math.radians(latitude)
    up = math.asin(
        math.sin(north) * math.sin(declination)
        + math.cos(north) * math.cos(declination) * math.cos(hour)
    )
    azimuth = math.atan2(
        -math.sin(hour) * math.cos(declination),
        math.sin(declination) * math.cos(north)
        - math.cos(declination) * math.sin(north) * math.cos(hour),
    )
    height = math.degrees(up)
    lifted = 1.02 / math.tan(math.radians(height + 10.3 / (height + 5.11))) / 60.0
    return math.degrees(azimuth) % 360.0, height + (lifted if height > -1.0 else 0.0)


def sun_vector(azimuth: float, height: float) -> tuple[float, float, float]:
    """Return the unit vector (east, north, up) to the sun. azimuth, height : degrees."""
    turn, up = math.radians(azimuth), math.radians(height)
    return math.cos(up) * math.sin(turn), math.cos(up) * math.cos(turn), math.sin(up)
