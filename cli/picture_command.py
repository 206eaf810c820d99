"""The command that renders pictures: fast, or with the light traced."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path
from typing import TYPE_CHECKING

import click

from .help_pages import Told
from .jobs import SPEC, sound_fence

if TYPE_CHECKING:
    from palewright.export.pictures.traced_picture import SunnyHour

HOUR = re.compile(r"(\d{1,2})(?::(\d{2}))?(?:([+-])(\d{1,2})(?::?(\d{2}))?)?")
"""An hour of the clock, and how far the clock is before UTC: 15:30+01:00."""

DEFAULT_HOUR = "12:00"


@click.command(
    cls=Told,
    examples=(
        "palewright picture garden.toml -o garden.png --view gate",
        "palewright picture garden.toml -o garden.png --quality traced",
        "palewright picture garden.toml -o june.png --quality traced --date 2026-06-21 "
        "--hour 18:30+01:00 --place 51.5,-1.2",
    ),
)
@click.argument("spec", type=SPEC)
@click.option("-o", "--out", type=click.Path(path_type=Path, dir_okay=False), required=True,
              help="PNG file to write.")  # fmt: skip
@click.option("--view", "of", default="front", show_default=True,
              type=click.Choice(["front", "back", "corner", "gate", "eye-level"]))  # fmt: skip
@click.option("--width", default=1600, type=click.IntRange(64, 8000), show_default=True)
@click.option("--height", default=800, type=click.IntRange(64, 8000), show_default=True)
@click.option("--quality", type=click.Choice(["fast", "traced"]), default="fast", show_default=True,
              help="traced: light followed from surface to surface; a minute or two.")  # fmt: skip
@click.option("--date", "day", metavar="YYYY-MM-DD",
              help="With traced: the sun of that day, at --hour and --place.")  # fmt: skip
@click.option("--hour", metavar="HH:MM[+HH:MM]",
              help="Hour of the clock with its offset from UTC; without one the sun's mean time. "
              "12:00 when left out.")  # fmt: skip
@click.option("--place", metavar="LAT,LONG",
              help="Degrees north and east; from the survey's grid when left out.")  # fmt: skip
def picture(spec: Path, out: Path, of: str, width: int, height: int, **light: str | None) -> None:
    """Render a picture of SPEC as PNG.

    The daylight is the same for every fence, the sun off its front; --quality traced with --date
    takes the sun and the clear sky of a day, an hour and a place.
    """
    from palewright.export.models.product import Product
    from palewright.export.outputs.files import write_files
    from palewright.export.pictures.camera import Viewpoint
    from palewright.export.pictures.clear_view import clear_view
    from palewright.export.pictures.picture import write_picture

    traced = light["quality"] == "traced"
    if not traced and any(light[key] for key in ("day", "hour", "place")):
        raise click.UsageError("--date, --hour and --place need --quality traced")
    if light["day"] is None and (light["hour"] or light["place"]):
        raise click.UsageError("--hour and --place need --date")
    view = Viewpoint(of, width=width, height=height)
    built = Product(sound_fence(spec))
    if traced:
        from palewright.export.pictures.traced_picture import write_traced_picture

        hour = _hour(light, built.fence.job.crs, built.fence.job.origin)
        made = write_traced_picture(built, view, hour, _progress())
        if hour is not None:
            azimuth, up = hour.sun
            click.echo(f"sun {azimuth:.0f} degrees from north, {up:.0f} over the horizon, at "
                       f"{hour.moment.astimezone(UTC):%Y-%m-%d %H:%M} UTC")  # fmt: skip
    else:
        made = write_picture(built, view)
    write_files(out.parent, {out.name: made})
    for sentence in clear_view(built.fence, view).said:
        click.echo(sentence)


def _progress() -> Callable[[int, int], None]:
    """Return what shows on standard error how far the tracer is."""

    def step(done: int, passes: int) -> None:
        end = "\r" if sys.stderr.isatty() and done < passes else "\n"
        click.echo(f"tracing light: {100 * done // passes} %{end}", err=True, nl=False)

    return step


def _hour(
    light: dict[str, str | None], crs: str, origin: tuple[float, float, float]
) -> SunnyHour | None:
    """Return when and where the sun shines; None where no day is asked for."""
    from palewright.export.pictures.traced_picture import SunnyHour

    if light["day"] is None:
        return None
    try:
        day = date.fromisoformat(light["day"])
    except ValueError:
        raise click.UsageError(f"--date {light['day']}: not a day, as 2026-06-21") from None
    latitude, longitude = _place(light["place"], crs, origin)
    given = light["hour"] or DEFAULT_HOUR
    found = HOUR.fullmatch(given)
    hours, minutes = (int(found[1]), int(found[2] or 0)) if found else (99, 0)
    if found is None or hours > 23 or minutes > 59:
        raise click.UsageError(f"--hour {given}: not an hour, as 15:30 or 15:30+01:00")
    before = timedelta(hours=longitude / 15.0)
    if found[3]:
        before = timedelta(hours=int(found[4]), minutes=int(found[5] or 0))
        before = before if found[3] == "+" else -before
    if abs(before) >= timedelta(hours=24):
        raise click.UsageError(f"--hour {given}: no clock is so far from UTC")
    moment = datetime(day.year, day.month, day.day, hours, minutes, tzinfo=timezone(before))
    return SunnyHour(moment, latitude, longitude)


def _place(given: str | None, crs: str, origin: tuple[float, float, float]) -> tuple[float, float]:
    """Return degrees north and east, as given or from where the survey's grid has the fence."""
    if given is not None:
        try:
            latitude, longitude = (float(part) for part in given.split(","))
        except ValueError:
            latitude = longitude = 999.0
        if not (abs(latitude) <= 90.0 and abs(longitude) <= 180.0):
            raise click.UsageError(f"--place {given}: not degrees north and east, as 51.5,-1.2")
        return latitude, longitude
    found = None
    if crs:
        from palewright.model.survey.grids import degrees_of

        found = degrees_of(crs, origin[:2])
    if found is None:
        raise click.UsageError("--date needs --place LAT,LONG: the spec names no grid that says "
                               "where on earth it is")  # fmt: skip
    return found
