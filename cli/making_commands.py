"""Commands that make files: build, sheets, template, page, watch."""

from __future__ import annotations

import signal
import sys
import threading
from pathlib import Path
from typing import TYPE_CHECKING

import click

from palewright.model.basis.errors import OutputError

from .help_pages import Told, ToldOutputs
from .jobs import (
    FAULTS,
    PRICES,
    SPEC,
    any_stops,
    fence_summary,
    file_size,
    read_checked,
    show_findings,
    sound_fence,
    write_named,
)

if TYPE_CHECKING:
    from palewright.export.models.product import Product


@click.command(
    cls=ToldOutputs,
    examples=(
        "palewright build garden.toml -o out",
        "palewright build garden.toml -o out --only step,sheets",
    ),
)
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
    fence, findings = read_checked(spec, prices)
    show_findings(findings, err=True, quiet=quiet)
    if any_stops(findings):
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
        click.echo(fence_summary(fence))
        for name, size in done.files.items():
            click.echo(f"{out / name}  {file_size(size)}")
        if done.kept:
            click.echo(f"unchanged and kept: {', '.join(done.kept)}")


@click.command(
    cls=Told, examples=("palewright sheets garden.toml -o out --for planning --formats pdf",)
)
@click.argument("spec", type=SPEC)
@click.option("-o", "--out", type=click.Path(path_type=Path, file_okay=False), required=True,
              help="Folder for the files.")  # fmt: skip
@click.option("--for", "purpose",
              type=click.Choice(["build", "planning", "customer", "workshop", "site"]),
              default="build", show_default=True, help="Whom the sheets are for.")  # fmt: skip
@click.option("--formats", default="pdf,dxf,svg", show_default=True,
              help="Formats to write, as in 'pdf,svg'; dxf-flat: a flat DXF a sheet.")  # fmt: skip
@PRICES
def sheets(spec: Path, out: Path, purpose: str, formats: str, prices: Path | None) -> None:
    """Draw the sheets of SPEC: for building, a planning enquiry, the customer, workshop or site.

    For a planning enquiry it says, line by line, what authorities ask for and what of it is on
    the sheets.
    """
    from palewright.export.drawing.draft.style import Style
    from palewright.export.drawing.sets.drawing_files import FORMATS, sheet_files
    from palewright.export.drawing.sets.planning_answers import answer_lines
    from palewright.export.drawing.sets.sheet_sets import Purpose, sheet_set
    from palewright.export.models.product import Product

    names = tuple(name.strip() for name in formats.split(",") if name.strip())
    for name in names:
        if name not in FORMATS:
            raise click.UsageError(f"no format '{name}'; there are: {', '.join(FORMATS)}")
    fence = sound_fence(spec, prices)
    image = None
    if purpose == "customer":
        from palewright.export.pictures.camera import Viewpoint
        from palewright.export.pictures.clear_view import clear_view
        from palewright.export.pictures.picture import write_picture

        view = Viewpoint(width=2000, height=1000)
        image = write_picture(Product(fence), view)
        for sentence in clear_view(fence, view).said:
            click.echo(sentence)
    drawn, style = sheet_set(fence, Purpose(purpose), Style(), image)
    write_named(out, sheet_files(fence, drawn, style, f"{spec.stem}-{purpose}", names))
    if purpose == "planning":
        click.echo("What planning authorities in England ask for; others may ask for other things:")
    for line in answer_lines(fence, drawn) if purpose == "planning" else ():
        click.echo(line)


@click.command(cls=Told, examples=("palewright template garden.toml -o out --paper A3",))
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
    files = template_files(sound_fence(spec), spec.stem, paper, moved)
    write_named(out, files)


@click.command(cls=Told, examples=("palewright page garden.toml -o garden.html",))
@click.argument("specs", type=SPEC, nargs=-1, required=True)
@click.option("-o", "--out", type=click.Path(path_type=Path, dir_okay=False), required=True,
              help="HTML file to write.")  # fmt: skip
@click.option("--pictures/--no-pictures", default=True, show_default=True,
              help="Pictures for browsers without 3D; else drawings.")  # fmt: skip
@PRICES
@click.option("--priced/--unpriced", default=True, show_default=True,
              help="The price of each alternative, where all that is ordered has one.")  # fmt: skip
@click.option("--models", is_flag=True,
              help="Write the first fence as GLB and USDZ too, to send with the page; it says how "
              "they are opened.")  # fmt: skip
def page(
    specs: tuple[Path, ...], out: Path, pictures: bool, prices: Path | None, priced: bool,
    models: bool,
) -> None:  # fmt: skip
    """Write a 3D page of SPECS that opens in any browser, without a network.

    The customer tries finishes and heads in it, and prints what is chosen to sign it. Several
    specs are alternatives: the page switches between them, each named as its project.option says,
    or after its file.
    """
    from palewright.export.models.product import Product
    from palewright.export.page.choices import unpriced_fences
    from palewright.export.page.html import PageOptions, write_page

    fences = [(spec.stem, Product(sound_fence(spec, prices))) for spec in specs]
    if priced:
        for name in unpriced_fences(fences):
            click.echo(
                f"{name}: lines of its order have no price, so the page shows none", err=True
            )
    beside = _models_beside(fences[0][1], out.stem) if models else {}
    drawn: list[bytes] = []
    if pictures:
        from palewright.export.pictures.camera import Viewpoint
        from palewright.export.pictures.picture import write_picture

        try:
            drawn = [write_picture(built, Viewpoint(width=1200, height=600)) for _, built in fences]
        except OutputError as error:
            click.echo(f"{error}; drawings take the place of pictures", err=True)
    options = PageOptions(priced=priced, beside=tuple(beside))
    write_named(out.parent, {out.name: write_page(fences, drawn, options)} | beside)


def _models_beside(built: Product, stem: str) -> dict[str, bytes]:
    """Return the files of a model that are sent with a page; what cannot be made is said."""
    from palewright.export.models.glb import write_glb
    from palewright.export.models.usdz import write_usdz

    made = {f"{stem}.glb": write_glb(built)}
    try:
        return {f"{stem}.usdz": write_usdz(built)} | made
    except OutputError as error:
        click.echo(str(error), err=True)
        return made


@click.command(cls=Told, examples=("palewright watch garden.toml",))
@click.argument("specs", type=SPEC, nargs=-1, required=True)
@click.option("--port", default=0, type=click.IntRange(0, 65535),
              help="Port on this machine; a free one when left out.")  # fmt: skip
def watch(specs: tuple[Path, ...], port: int) -> None:
    """Show SPECS in the browser and rebuild on every save, until interrupted."""
    from palewright.export.page.live import builder_of, watched
    from palewright.export.page.server import Live, server_of
    from palewright.reading import read_fence

    live = Live(builder_of(specs, read_fence), click.echo)
    told = live.rebuild()
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
    click.echo(told)
    try:
        server.serve_forever()
    except KeyboardInterrupt:
        click.echo("stopped")
    finally:
        stop.set()
        server.server_close()
