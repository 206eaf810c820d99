"""Staff readings of a level in a tape file: the book as it was kept."""

from __future__ import annotations

from collections.abc import Sequence

from palewright.model.basis.text import plain

from .level_lines import StaffReading
from .measurements import Reading
from .tape_reader import Taken, TapeFile, said_length

SIGHTS = ("back", "intermediate", "fore")
SHAPE = '["A", "back", "1.365 m"]; back, intermediate or fore'


def staff_readings(source: TapeFile) -> list[StaffReading]:
    """Return the readings in the order of the book.

    Raises
    ------
    SurveyError
        When a set-up does not go from a back sight to a fore sight.
    """
    readings: list[StaffReading] = []
    setup, last = 0, "fore"
    for key, (point, kind, value) in source.rows("staff", (3,), SHAPE):
        if kind not in SIGHTS:
            raise source.wrong(key, f"is not {SHAPE}")
        if kind == "back":
            _closed(source, last, readings)
            setup += 1
        elif last == "fore":
            raise source.wrong(
                key, "follows no back sight: each set-up of the level begins with one"
            )
        elif kind == "fore" and point == readings[-1].point and last == "back":
            raise source.wrong(key, "is a fore sight on the point of its own back sight")
        readings.append(StaffReading(point, kind, setup, source.length(value, key), key))
        last = kind
    _closed(source, last, readings)
    return readings


def _closed(source: TapeFile, last: str, readings: Sequence[StaffReading]) -> None:
    if last != "fore":
        point = plain(readings[-1].point)[:20]
        raise source.wrong(
            readings[-1].key, f"ends a set-up: its last reading, on {point}, is a fore sight"
        )


def staff_taken(source: TapeFile, readings: Sequence[StaffReading]) -> list[Taken]:
    """Return readings as measurements, each set-up with the height of its own line of sight."""
    sigma = source.sigma("staff")
    return [
        Taken(
            Reading(f"set-up {one.setup}", one.point, one.value, sigma),
            said_length(one.value),
            one.key,
        )
        for one in readings
    ]
