"""The command line."""

from __future__ import annotations

import atexit
import gc
import io
import json
import os
import signal
import sys
import threading
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from palewright.model.basis.errors import OutputError, PalewrightError

from .endings import NO_ROOM, give_up_output, stoppable

if TYPE_CHECKING:
    from palewright.export.papers.alternatives import Alternative
    from palewright.model.basis.findings import Finding
    from palewright.model.fence.fence_model import FenceModel

FAULTS = 1
"""Exit code when checks found faults that stop the job."""

COLLECTION = (50_000, 20, 20)
"""Thresholds of Python's collector of cycles: of a run that makes much and keeps it, the usual ones
look through all again and again; a build takes a quarter less with these.
"""

NO_WIND = "has no [wind] table; give its basic velocity, as velocity = 22"

SPEC = click.Path(path_type=Path)

PRICES = click.option(
    "--prices",
    type=SPEC,
    help="Price file, CSV or TOML; the one that the spec names when left out.",
)


class _Commands(click.Group):
    """Shows errors that the user can mend as one message, without a traceback."""

    def invoke(self, ctx: click.Context) -> Any:
        for stream in (sys.stdout, sys.stderr):
            # a name of a project or a file may hold letters that the terminal does not know
            if isinstance(stream, io.TextIOWrapper) and stream.errors == "strict":
                stream.reconfigure(errors="backslashreplace")
        try:
            with stoppable():
                result = super().invoke(ctx)
                sys.stdout.flush()
            return result
        except PalewrightError as error:
            click.echo(str(error), err=True)
            ctx.exit(error.exit_code)
        except OSError as error:
            if error.errno not in NO_ROOM:
                raise
            give_up_output()
            click.echo(f"output cannot be written: {error.strerror}", err=True)
            ctx.exit(OutputError.exit_code)


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="palewright", message="palewright %(version)s")
def main() -> None:
    """Turn one small spec of a timber picket fence into solids, drawings and lists."""
    gc.set_threshold(*COLLECTION)
    atexit.register(gc.freeze)  # what is left at the end is not looked through once more
    # the library that reads specs would look through all that is installed for plug-ins of its own
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")


@main.command()
@click.argument("spec", type=SPEC)
@click.option("-o", "--out", type=click.Path(path_type=Path, file_okay=False), required=True,
              help="Folder for the files.")  # fmt: skip
@click.option("--only", default="", help="Outputs to make, as in 'step,dxf'; all when left out.")
@click.option("-q", "--quiet", is_flag=True, help="Print nothing but faults.")
@click.option("--fresh", is_flag=True, help="Make also what is unchanged.")
@PRICES
def build(spec: Path, out: Path, only: str, quiet: bool, fresh: bool, prices: Path | None) -> None:
    """Build every output of SPEC into a folder. What is unchanged since is kept."""
    from palewright.export.models.product import Product
    from palewright.export.outputs.making import build_outputs
    from palewright.export.outputs.registry import OUTPUTS

    names = [name.strip() for name in only.split(",") if name.strip()]
    known = [output.name for output in OUTPUTS]
    for name in names:
        if name not in known:
            there = "\n".join(f"  {output.name}: {output.help}" for output in OUTPUTS)
            raise click.UsageError(f"no output '{name}'; there are:\n{there}")
    chosen = [output for output in OUTPUTS if (output.name in names if names else not output.asked)]
    fence, findings = _read(spec, prices)
    _show(findings, err=True, quiet=quiet)
    if _stops(findings):
        click.echo("Nothing was built: the faults above stop the job.", err=True)
        sys.exit(FAULTS)
    with click.progressbar(
        length=len(chosen), label="building", file=sys.stderr,
        hidden=quiet or not sys.stderr.isatty(),
    ) as bar:  # fmt: skip
        done = build_outputs(
            Product(fence), chosen, spec.stem, out, fresh=fresh, step=lambda name: bar.update(1)
        )
    if not quiet:
        click.echo(_summary(fence))
        for name, size in done.files.items():
            click.echo(f"{out / name}  {_size(size)}")
        if done.kept:
            click.echo(f"unchanged and kept: {', '.join(done.kept)}")


@main.command()
@click.argument("spec", type=SPEC)
def check(spec: Path) -> None:
    """Say what is wrong or doubtful in SPEC, without building anything."""
    from palewright.model.checks.building_checks import BUILDING, CAUTIONS
    from palewright.model.checks.rule_findings import report

    fence, findings = _read(spec)
    click.echo(_summary(fence))
    _show(findings, err=False, quiet=False)
    if not findings:
        click.echo("No breach found of the rules checked.")
    checked, missed = report(fence)
    for head, lines in (("Rules checked", (BUILDING, *checked)), ("Not checked", missed)):
        click.echo(f"\n{head}:")
        for line in lines:
            click.echo(f"  - {line}")
    click.echo("\nCautions; local codes and licensed practice come first:")
    for caution in CAUTIONS:
        click.echo(f"  - {caution}")
    if _stops(findings):
        sys.exit(FAULTS)


LISTS = ("members", "posts", "bays", "cutting", "boards", "plans", "concrete", "fixings", "order")


@main.command()
@click.argument("spec", type=SPEC)
@click.option("-o", "--out", type=click.Path(path_type=Path, dir_okay=False),
              help="PDF or text file to write; printed when left out.")  # fmt: skip
def wind(spec: Path, out: Path | None) -> None:
    """Work out the wind on SPEC step by step: posts, rails, fixings, footings."""
    from palewright.export.papers.calculation import calculation_pdf, calculation_text

    fence = _sound(spec)
    if fence.job.wind is None:
        raise OutputError(f"{spec}: {NO_WIND}")
    if out is None:
        click.echo(calculation_text(fence), nl=False)
        return
    if out.suffix.lower() not in (".pdf", ".txt"):
        raise click.UsageError(f"--out {out}: must end in .pdf or .txt")
    pdf = out.suffix.lower() == ".pdf"
    data = calculation_pdf(fence) if pdf else calculation_text(fence).encode()
    _write(out.parent, {out.name: data})


@main.command()
@click.argument("spec", type=SPEC)
@PRICES
def size(spec: Path, prices: Path | None) -> None:
    """Find the cheapest posts, depths, bays and bolts that together stand in the wind of SPEC.

    By the prices of a price file, or else the least timber and then the least concrete.
    """
    from palewright.export.papers.sizing_text import sizing_text
    from palewright.model.spec.price_file import read_prices
    from palewright.model.strength.size import SpecFiles, sized
    from palewright.reading import read_spec

    told, survey, rules, known = read_spec(spec)
    if told.wind is None:
        raise OutputError(f"{spec}: {NO_WIND}")
    site = SpecFiles(survey, rules, known if prices is None else read_prices(prices))
    click.echo(sizing_text(told, sized(told, site)))


@main.command(name="list")
@click.argument("spec", type=SPEC)
@click.option("--table", type=click.Choice(LISTS), help="One table alone.")
@PRICES
def list_parts(spec: Path, table: str | None, prices: Path | None) -> None:
    """Print the lists of SPEC: members, posts, bays, what is sawn from which boards, the order."""
    from palewright.export.models.product import Product
    from palewright.export.tables.list_tables import TABLES, text_table
    from palewright.export.tables.order_tables import ORDER_TABLES, board_lines

    built = Product(_sound(spec, prices))
    texts = []
    for name in LISTS if table is None else (table,):
        if name in TABLES:
            rows = TABLES[name](built.fence)
        else:
            rows = ORDER_TABLES[name](built.fence, built.order)
        drawn = "\n\n" + "\n".join(board_lines(built.order)).rstrip() if name == "boards" else ""
        texts.append(f"{name}\n\n{text_table(rows)}{drawn}")
    click.echo("\n\n".join(texts))


@main.command()
@click.argument("specs", type=SPEC, nargs=-1, required=True)
@PRICES
@click.option("-o", "--out", type=click.Path(path_type=Path, file_okay=False), required=True,
              help="Folder for the spreadsheet and the PDF.")  # fmt: skip
@click.option("--picture/--no-picture", default=True, show_default=True,
              help="A picture of the fence in the PDF.")  # fmt: skip
@click.option("--part-priced", is_flag=True,
              help="Write it even where lines have no price; the PDF names them.")  # fmt: skip
def quote(
    specs: tuple[Path, ...], prices: Path | None, out: Path, picture: bool, part_priced: bool
) -> None:
    """Price the first of SPECS: a spreadsheet for you, a PDF for the customer.

    Timber is cut at the least cost of the price file's lengths. More specs are alternatives, shown
    in a table. 'palewright prices' writes a price file to fill in.
    """
    from palewright.export.papers.quote_pdf import write_quote
    from palewright.export.papers.workbook import write_workbook
    from palewright.export.tables.list_tables import text_table
    from palewright.export.tables.order_tables import quote_table

    offers = _alternatives(specs, prices)
    offer = offers[0]
    if offer.quote is None:
        raise OutputError(f"{specs[0]}: names no price file; give --prices FILE")
    click.echo(text_table(quote_table(offer.quote)))
    _unpriced(offers, part_priced)
    image = None
    if picture:
        from palewright.export.models.product import Product
        from palewright.export.pictures.picture import Viewpoint, write_picture

        try:
            image = write_picture(Product(offer.fence), Viewpoint(width=1600, height=800))
        except OutputError as error:
            click.echo(f"{error}; the quotation has none", err=True)
    stem = specs[0].stem
    files = {
        f"{stem}-quote.xlsx": write_workbook(offer.fence, offer.order, offer.quote),
        f"{stem}-quote.pdf": write_quote(offers, image),
    }
    _write(out, files)


@main.command()
@click.argument("specs", type=SPEC, nargs=-1, required=True)
@PRICES
def compare(specs: tuple[Path, ...], prices: Path | None) -> None:
    """Show what alternatives take and cost, side by side."""
    from palewright.export.papers.alternatives import compare_table
    from palewright.export.tables.list_tables import text_table

    click.echo(text_table(compare_table(_alternatives(specs, prices))))


@main.command(name="prices")
@click.argument("spec", type=SPEC)
@click.option("-o", "--out", type=click.Path(path_type=Path, dir_okay=False), required=True,
              help="CSV file to write.")  # fmt: skip
@click.option("--force", is_flag=True, help="Replace a file that is there.")
def price_file(spec: Path, out: Path, force: bool) -> None:
    """Write a price file for SPEC, with a line for all that it needs and prices to fill in."""
    from palewright.export.models.product import Product
    from palewright.export.tables.list_tables import csv_bytes
    from palewright.model.order.prices import blank_prices

    if out.exists() and not force:
        raise OutputError(f"{out}: is there already; use --force to replace it")
    _write(out.parent, {out.name: csv_bytes(blank_prices(Product(_sound(spec)).order))})


@main.command()
@click.argument("spec", type=SPEC)
@click.option("-o", "--out", type=click.Path(path_type=Path, dir_okay=False), required=True,
              help="PNG file to write.")  # fmt: skip
@click.option("--view", "of", default="front", show_default=True,
              type=click.Choice(["front", "back", "corner", "gate", "eye-level"]))  # fmt: skip
@click.option("--width", default=1600, type=click.IntRange(64, 8000), show_default=True)
@click.option("--height", default=800, type=click.IntRange(64, 8000), show_default=True)
def picture(spec: Path, out: Path, of: str, width: int, height: int) -> None:
    """Render a picture of SPEC as PNG."""
    from palewright.export.models.product import Product
    from palewright.export.outputs.files import write_files
    from palewright.export.pictures.picture import Viewpoint, write_picture

    view = Viewpoint(of, width=width, height=height)
    write_files(out.parent, {out.name: write_picture(Product(_sound(spec)), view)})


@main.command()
@click.argument("specs", type=SPEC, nargs=-1, required=True)
@click.option("-o", "--out", type=click.Path(path_type=Path, dir_okay=False), required=True,
              help="HTML file to write.")  # fmt: skip
@click.option("--pictures/--no-pictures", default=True, show_default=True,
              help="Pictures for browsers without 3D; else drawings.")  # fmt: skip
def page(specs: tuple[Path, ...], out: Path, pictures: bool) -> None:
    """Write a 3D page of SPECS that opens in any browser, without a network.

    Several specs are alternatives: the page switches between them, each named after its file.
    """
    from palewright.export.models.product import Product
    from palewright.export.page.html import write_page

    fences = [(spec.stem, Product(_sound(spec))) for spec in specs]
    drawn: list[bytes] = []
    if pictures:
        from palewright.export.pictures.picture import Viewpoint, write_picture

        try:
            drawn = [write_picture(built, Viewpoint(width=1200, height=600)) for _, built in fences]
        except OutputError as error:
            click.echo(f"{error}; drawings take the place of pictures", err=True)
    _write(out.parent, {out.name: write_page(fences, drawn)})


@main.command()
@click.argument("specs", type=SPEC, nargs=-1, required=True)
@click.option("--port", default=0, type=click.IntRange(0, 65535),
              help="Port on this machine; a free one when left out.")  # fmt: skip
def watch(specs: tuple[Path, ...], port: int) -> None:
    """Show SPECS in the browser and rebuild on every save, until interrupted."""
    from palewright.export.page.live import builder_of, watched
    from palewright.export.page.server import Live, server_of
    from palewright.reading import read_fence

    live = Live(builder_of(specs, read_fence))
    live.rebuild()
    if live.trouble:
        raise OutputError(live.trouble)
    try:
        server = server_of(live, port)
    except OSError as error:
        raise OutputError(f"port {port}: cannot be used: {error.strerror}") from None
    signal.signal(signal.SIGINT, signal.default_int_handler)  # the server is closed in order
    stop = threading.Event()
    watcher = threading.Thread(target=live.watch, args=(lambda: watched(specs), stop), daemon=True)
    watcher.start()
    click.echo(f"http://127.0.0.1:{server.server_address[1]}/  (stop with Ctrl-C)")
    try:
        server.serve_forever()
    except KeyboardInterrupt:
        click.echo("stopped")
    finally:
        stop.set()
        server.server_close()


@main.command()
@click.argument("spec", type=SPEC)
@click.option("-o", "--out", type=click.Path(path_type=Path, file_okay=False), required=True,
              help="Folder for the files.")  # fmt: skip
@click.option("--for", "purpose",
              type=click.Choice(["build", "planning", "customer", "workshop", "site"]),
              default="build", show_default=True, help="Whom the sheets are for.")  # fmt: skip
@click.option("--formats", default="pdf,dxf,svg", show_default=True,
              help="Formats to write, as in 'pdf,svg'.")  # fmt: skip
@PRICES
def sheets(spec: Path, out: Path, purpose: str, formats: str, prices: Path | None) -> None:
    """Draw the sheets of SPEC: for building, a planning enquiry, the customer, workshop or site."""
    from palewright.export.drawing.sets.drawing_files import FORMATS, set_files
    from palewright.export.drawing.sets.sheet_sets import Purpose
    from palewright.export.models.product import Product

    names = tuple(name.strip() for name in formats.split(",") if name.strip())
    for name in names:
        if name not in FORMATS:
            raise click.UsageError(f"no format '{name}'; there are: {', '.join(FORMATS)}")
    fence = _sound(spec, prices)
    image = None
    if purpose == "customer":
        from palewright.export.pictures.picture import Viewpoint, write_picture

        image = write_picture(Product(fence), Viewpoint(width=2000, height=1000))
    files = set_files(fence, Purpose(purpose), f"{spec.stem}-{purpose}", names, image)
    _write(out, files)


@main.command()
@click.argument("spec", type=SPEC)
@click.option("-o", "--out", type=click.Path(path_type=Path, file_okay=False), required=True,
              help="Folder for the files.")  # fmt: skip
@click.option("--paper", type=click.Choice(["A4", "A3"]), default="A4", show_default=True)
@click.option("--offset", default="0", show_default=True,
              help="Moves the DXF's outline outwards, for a kerf or a tool.")  # fmt: skip
def template(spec: Path, out: Path, paper: str, offset: str) -> None:
    """Draw the pale heads of SPEC at full size: PDF to print, DXF to cut."""
    from palewright.export.drawing.sets.drawing_files import template_files
    from palewright.model.basis.units import ALLOWED, parse_length

    try:
        moved = parse_length(offset)
    except ValueError:
        raise click.UsageError(f"--offset {offset}: not a length; allowed: {ALLOWED}") from None
    files = template_files(_sound(spec), spec.stem, paper, moved)
    _write(out, files)


@main.command()
@click.argument("file", type=SPEC)
@click.option("--line", default="", help="Line to take; needed when there are several.")
@click.option("--units", type=click.Choice(["mm", "cm", "m", "in", "ft"]),
              help="Unit of a file that does not say.")  # fmt: skip
@click.option("--crs", default="", help="Grid of the coordinates, as EPSG:27700.")
@click.option(
    "--tolerance", default="5", show_default=True, help="How closely splines are followed."
)
@click.option("-o", "--out", type=click.Path(path_type=Path, dir_okay=False),
              help="Draw a small plan: .png, .svg or .pdf.")  # fmt: skip
def survey(
    file: Path, line: str, units: str | None, crs: str, tolerance: str, out: Path | None
) -> None:
    """Show what a survey FILE holds, and what a fence would take from it."""
    from palewright.export.papers.survey_text import survey_text
    from palewright.model.basis.units import ALLOWED, parse_length
    from palewright.model.survey.points_and_lines import SurveyError
    from palewright.model.survey.survey_files import read_survey

    try:
        close = parse_length(tolerance)
    except ValueError:
        close = 0.0
    if close <= 0.0:
        raise click.UsageError(f"--tolerance {tolerance}: not a length over 0; allowed: {ALLOWED}")
    if out is not None and out.suffix.lower() not in (".png", ".svg", ".pdf"):
        raise click.UsageError(f"--out {out}: must end in .png, .svg or .pdf")
    read = read_survey(file, units=units, crs=crs, tolerance=close)
    taken, why = None, ""
    try:
        taken = read.line(line)
    except SurveyError as error:
        if line:
            raise
        why = str(error)
    click.echo(survey_text(read, taken, why, units, crs))
    if out is not None:
        from palewright.export.papers.survey_text import survey_picture

        _write(out.parent, {out.name: survey_picture(read, taken, out.suffix.lower())})


@main.command()
@click.argument("path", type=click.Path(path_type=Path, dir_okay=False), required=False)
@click.option("--force", is_flag=True, help="Replace a file that is there.")
def new(path: Path | None, force: bool) -> None:
    """Write a commented starter spec to PATH, or print it."""
    from importlib.resources import files

    from palewright.export.outputs.files import write_files

    text = (files("palewright.cli") / "starter.toml").read_text("utf-8")
    if path is None:
        click.echo(text, nl=False)
        return
    if path.exists() and not force:
        raise OutputError(f"{path}: is there already; use --force to replace it")
    write_files(path.parent, {path.name: text.encode()})
    click.echo(f"{path} written; next: palewright check {path}")


@main.command()
@click.option("--of", type=click.Choice(["spec", "takeoff"]), default="spec", show_default=True,
              help="A spec, or the lists that build writes as JSON.")  # fmt: skip
def schema(of: str) -> None:
    """Print a JSON Schema: of a spec, for editors that complete keys, or of the lists."""
    from palewright.model.order.takeoff_document import takeoff_schema
    from palewright.model.spec.schema import spec_schema

    click.echo(json.dumps(spec_schema() if of == "spec" else takeoff_schema(), indent=2))


def _alternatives(specs: tuple[Path, ...], prices: Path | None) -> list[Alternative]:
    """Return the fences of some specs with their orders, priced where there are prices."""
    from palewright.export.papers.alternatives import Alternative
    from palewright.model.order.order_lines import order
    from palewright.model.order.prices import quote

    offers = []
    for spec in specs:
        fence = _sound(spec, prices)
        ordered, known = order(fence), fence.job.prices
        offers.append(
            Alternative(spec.stem, fence, ordered, None if known is None else quote(ordered, known))
        )
    return offers


def _unpriced(offers: list[Alternative], part_priced: bool) -> None:
    """Say which prices are not used; end where lines have no price and that is not wanted."""
    quotes = [offer.quote for offer in offers if offer.quote is not None]
    unused = [set(quote.unused) for quote in quotes]
    for sentence in quotes[0].unused:
        if all(sentence in told for told in unused):
            click.echo(sentence, err=True)
    missing = list(dict.fromkeys(line.item for quote in quotes for line in quote.unpriced))
    if missing and not part_priced:
        named = "\n".join(f"  {item}" for item in missing)
        raise OutputError(
            f"{quotes[0].prices.file}: no price for:\n{named}\n"
            "Nothing was written: a quotation with a hole in it is too cheap. Fill the prices in, "
            "0 for what costs nothing, or ask for it with --part-priced."
        )


def _read(spec: Path, prices: Path | None = None) -> tuple[FenceModel, tuple[Finding, ...]]:
    """Return the fence of a spec, bought by a price file's prices where one is given."""
    from palewright.model.checks.building_checks import check as run_checks
    from palewright.model.order.prices import with_prices
    from palewright.model.spec.price_file import read_prices
    from palewright.reading import read_fence

    fence = with_prices(read_fence(spec), None if prices is None else read_prices(prices))
    return fence, run_checks(fence)


def _sound(spec: Path, prices: Path | None = None) -> FenceModel:
    """Return the fence of a spec, or end with the faults that stop the job. See _read."""
    fence, findings = _read(spec, prices)
    if _stops(findings):
        _show(findings, err=True, quiet=True)
        sys.exit(FAULTS)
    return fence


def _stops(findings: tuple[Finding, ...]) -> bool:
    return any(finding.severity.value == "stop" for finding in findings)


def _show(findings: tuple[Finding, ...], *, err: bool, quiet: bool) -> None:
    for finding in findings:
        if not quiet or finding.severity.value == "stop":
            click.echo(finding.line(), err=err)


def _summary(fence: FenceModel) -> str:
    from palewright.model.lists.takeoff import concrete, fence_length, pale_count, post_count

    length = fence_length(fence) / 1000.0
    posts = post_count(fence)
    gates = sum(len(layout.openings) for layout in fence.layouts)
    volume = concrete(fence).volume / 1e9
    return (
        f"{fence.job.project.name}: {length:.2f} m of fence, {posts} posts, "
        f"{pale_count(fence)} pales, {gates} gate{'' if gates == 1 else 's'}, "
        f"{volume:.2f} m3 of concrete, {len(fence.by_mark)} marks"
    )


def _write(out: Path, files: dict[str, bytes]) -> None:
    """Write files into a folder and name them."""
    from palewright.export.outputs.files import write_files

    write_files(out, files)
    for name, data in files.items():
        click.echo(f"{out / name}  {_size(len(data))}")


def _size(count: int) -> str:
    return f"{count / 1e6:.1f} MB" if count >= 1e6 else f"{count / 1e3:.1f} kB"
