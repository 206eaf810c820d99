"""Commands on photographs of the site."""

from __future__ import annotations

from pathlib import Path

import click

from .help_pages import Told
from .jobs import SPEC, sound_fence

PHOTO = click.Path(exists=True, dir_okay=False, path_type=Path)


@click.command(
    cls=Told,
    examples=(
        "palewright montage garden.toml front.jpg --pick points.html",
        "palewright montage garden.toml front.jpg -o garden-front.png",
    ),
)
@click.argument("spec", type=SPEC)
@click.argument("photo", type=PHOTO)
@click.option("-o", "--out", type=click.Path(path_type=Path, dir_okay=False),
              help="PNG file to write.")  # fmt: skip
@click.option("--pick", type=click.Path(path_type=Path, dir_okay=False),
              help="Write the page on which points are picked, instead.")  # fmt: skip
@click.option("--points", type=click.Path(path_type=Path, dir_okay=False),
              help="File of known points; PHOTO with .toml when left out.")  # fmt: skip
@click.option("--width", type=click.IntRange(64, 8000),
              help="Pixels; the photograph's own, at most 2400, when left out.")  # fmt: skip
def montage(
    spec: Path, photo: Path, out: Path | None, pick: Path | None, points: Path | None,
    width: int | None,
) -> None:  # fmt: skip
    """Put the fence of SPEC into PHOTO, a photograph of its site.

    The camera is found from points that are known in the photograph and on the site: feet and tops
    of posts that stand already, corners of the house, pegs. --pick writes a page to click them on.
    """
    from palewright.export.outputs.files import write_files

    if (out is None) == (pick is None):
        raise click.UsageError("needs -o FILE for the montage, or --pick FILE for the page")
    fence = sound_fence(spec)
    if pick is not None:
        from palewright.export.montage.photograph import read_photograph
        from palewright.export.montage.picking_page import write_picking_page

        read_photograph(photo)
        write_files(pick.parent, {pick.name: write_picking_page(fence, photo)})
        click.echo(f"open {pick}, pick points, and save them as {photo.with_suffix('.toml')}")
        return
    assert out is not None
    from palewright.export.models.product import Product
    from palewright.export.montage.composing import make_montage, said_of
    from palewright.export.montage.photo_points import read_points
    from palewright.export.montage.photograph import read_photograph

    known = read_points(points or photo.with_suffix(".toml"))
    picture = read_photograph(photo)
    made = make_montage(Product(fence), picture, known, width or min(picture.image.width, 2400))
    write_files(out.parent, {out.name: made.png})
    for sentence in said_of(made, known):
        click.echo(sentence)
