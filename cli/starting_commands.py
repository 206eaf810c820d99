"""Commands to begin with: new, ready, survey, schema."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import click

from palewright.model.basis.errors import OutputError
from palewright.model.spec.first_words import GROUNDS, HEADS, SCHEMA_FILE, WALLS

from .help_pages import Told
from .jobs import FAULTS, SPEC, write_named


@click.command(
    cls=Told,
    examples=(
        "palewright new garden.toml",
        "palewright new garden.toml --ask",
        'palewright new garden.toml --leg "9 m" --leg "5 m left" --height "1 m" --gate "3.5 m"',
    ),
)
@click.argument("path", type=click.Path(path_type=Path, dir_okay=False), required=False)
@click.option("--ask", is_flag=True, help="Ask for what no option says.")
@click.option("--name", default="", help="What the job is called.")
@click.option("--leg", "legs", multiple=True, metavar="LENGTH [left|right [DEGREES]]",
              help="A straight of the line, with the turn to it; again for more.")  # fmt: skip
@click.option("--height", metavar="LENGTH", help="Of the pales' tops over the ground.")
@click.option("--head", type=click.Choice(HEADS), help="Shape of the pales' heads.")  # fmt: skip
@click.option("--gate", "gates", multiple=True, metavar="LENGTH [wide LENGTH]",
              help="A gate: how far along the line its middle is; again for another.")  # fmt: skip
@click.option("--ground", type=click.Choice(GROUNDS),
              help="Whether the ground falls, and rails go with it or step down.")  # fmt: skip
@click.option("--fall", metavar="LENGTH", help="Of the ground from the first point to the last.")
@click.option("--walls", type=click.Choice(WALLS),
              help="Which ends of the line meet a wall.")  # fmt: skip
@click.option("--force", is_flag=True, help="Replace a file that is there.")
def new(path: Path | None, ask: bool, force: bool, **said: Any) -> None:
    """Write a first spec to PATH, or print it: of what is said, or a commented one to change.

    With answers or options the spec holds what was said and nothing else. Beside the file goes the
    schema that its first line names, so that an editor can complete keys and show mistakes.
    """
    from .first_answers import answers_of, ask_for, starter_text

    if path is not None and path.exists() and not force:
        raise OutputError(f"{path}: is there already; use --force to replace it")
    if ask:
        said = ask_for(said)
    text = answers_of(said, schema=path is not None) if any(said.values()) else starter_text()
    if path is None:
        click.echo(text, nl=False)
        return
    from palewright.export.outputs.files import write_files
    from palewright.model.spec.schema import spec_schema

    known = json.dumps(spec_schema(), indent=2).encode() + b"\n"
    write_files(path.parent, {path.name: text.encode(), SCHEMA_FILE: known})
    click.echo(f"{path} written; next: palewright check {path}")


@click.command(cls=Told, examples=("palewright ready",))
def ready() -> None:
    """Say what this machine has of what is needed, and what each optional part brings."""
    from .readiness import parts

    lacking = False
    for part in parts():
        mark = "yes" if part.there else "NO" if part.needed else "no"
        click.echo(f"{mark:>3}  {part.what}: {part.told}")
        lacking |= part.needed and not part.there
    click.echo("Something that is needed is missing." if lacking else "All that is needed is here.")
    if lacking:
        sys.exit(FAULTS)


STRAIGHT = 20.0
"""How closely shots are followed where nothing is said, mm; as in a spec."""


def _length(option: str, text: str, over: float = -1.0) -> float:
    """Return an option's length, mm, larger than `over`."""
    from palewright.model.basis.units import ALLOWED, parse_length

    try:
        value = parse_length(text)
    except ValueError:
        value = -1.0
    if not value > over:
        least = "a length over 0" if over >= 0.0 else "a length of 0 or more"
        raise click.UsageError(f"{option} {text}: not {least}; allowed: {ALLOWED}")
    return value


@click.command(
    cls=Told,
    examples=(
        "palewright survey garden.csv",
        "palewright survey garden.dxf --line FENCE -o plan.png",
        "palewright survey tape.toml -o sketch.pdf",
    ),
)
@click.argument("file", type=SPEC)
@click.option("--line", default="", help="Line to take; needed when there are several.")
@click.option("--units", type=click.Choice(["mm", "cm", "m", "in", "ft", "us-ft"]),
              help="Unit of a file that does not say.")  # fmt: skip
@click.option("--crs", default="", help="Grid of the coordinates, as EPSG:27700.")
@click.option("--named-by", default="", metavar="PROPERTY", help="That names features of GeoJSON.")
@click.option("--layer", default="", help="Of a GeoPackage that has several.")
@click.option("--columns", default="", metavar="LETTERS",
              help="Of a point file without a heading, as PNEZD or PENZD.")  # fmt: skip
@click.option(
    "--tolerance", default="5", show_default=True, help="How closely splines are followed."
)
@click.option(
    "--straight", default=f"{STRAIGHT:g}", show_default=True, help="How closely shots are followed."
)
@click.option("-o", "--out", type=click.Path(path_type=Path, dir_okay=False),
              help="Draw a small plan: .png, .svg or .pdf.")  # fmt: skip
def survey(file: Path, line: str, tolerance: str, out: Path | None, **told: str | None) -> None:
    """Show what a survey FILE holds, and what a fence would take from it.

    Of a file of taped measurements, or of a spec with runs by legs, the plan is a sketch of what
    was measured, to hold beside the site.
    """
    from palewright.export.papers.survey_text import survey_text
    from palewright.model.survey.points_and_lines import Asked, SurveyError
    from palewright.model.survey.survey_files import read_survey

    close = _length("--tolerance", tolerance, over=0.0)
    straight = _length("--straight", told.pop("straight") or "")
    if out is not None and out.suffix.lower() not in (".png", ".svg", ".pdf"):
        raise click.UsageError(f"--out {out}: must end in .png, .svg or .pdf")
    crs, columns, named_by, layer = (
        told[key] or "" for key in ("crs", "columns", "named_by", "layer")
    )
    asked = Asked(told["units"], crs, close, columns, named_by, layer=layer)
    walked = None
    if file.suffix.lower() == ".toml":
        from palewright.reading import read_walked  # it brings all that reads specs

        walked = read_walked(file)
    if walked is None:
        walked = read_survey(file, asked), ""
    read, title = walked
    taken, why = None, ""
    try:
        taken = read.line(line)
    except SurveyError as error:
        if line:
            raise
        why = str(error)
    if straight != STRAIGHT:
        told["straight"] = f"{straight:g} mm"
    click.echo(survey_text(read, taken, why, told, straight))
    if out is not None:
        from palewright.export.papers.survey_text import survey_picture

        files = survey_picture(read, taken, out.suffix.lower(), title=title, straight=straight)
        write_named(out.parent, {out.name: files})
    if not read.lines:
        sys.exit(SurveyError.exit_code)


@click.command(cls=Told, examples=("palewright schema > palewright-schema.json",))
@click.option("--of", type=click.Choice(["spec", "takeoff"]), default="spec", show_default=True,
              help="A spec, or the lists that build writes as JSON.")  # fmt: skip
def schema(of: str) -> None:
    """Print a JSON Schema: of a spec, for editors that complete keys, or of the lists."""
    from palewright.model.order.takeoff_document import takeoff_schema
    from palewright.model.spec.schema import spec_schema

    click.echo(json.dumps(spec_schema() if of == "spec" else takeoff_schema(), indent=2))
