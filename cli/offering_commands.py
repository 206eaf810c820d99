"""Commands that make the papers between customer, contractor and merchant: quote, proposal."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from palewright.model.basis.errors import OutputError

from .help_pages import Told
from .jobs import PRICES, SPEC, offers_of, say_unpriced, write_named

if TYPE_CHECKING:
    from palewright.export.papers.alternatives import Alternative
    from palewright.export.pictures.camera import Viewpoint
    from palewright.model.fence.fence_model import FenceModel

OUT = click.option("-o", "--out", type=click.Path(path_type=Path, file_okay=False), required=True,
                   help="Folder for the files.")  # fmt: skip
PART_PRICED = click.option("--part-priced", is_flag=True, help="Write it even where lines have no "
                           "price; the PDF names them.")  # fmt: skip
PICTURE = click.option("--picture/--no-picture", default=True, show_default=True,
                       help="A picture of the fence in the PDF.")  # fmt: skip
NUMBER = click.option("--number", default="", metavar="TEXT",
                      help="Number of the quotation, in place of offer.number.")  # fmt: skip
TODAY = click.option("--today", is_flag=True,
                     help="Date it today, in place of the spec's offer.date.")  # fmt: skip
SPECS = click.argument("specs", type=SPEC, nargs=-1, required=True)

ASKED = (SPECS, PRICES, OUT, PICTURE, PART_PRICED, NUMBER, TODAY)
"""What every offer is asked with, in the order of the help."""


def offering(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command what every offer is asked with."""
    for given in reversed(ASKED):
        command = given(command)
    return command


def priced_offers(
    specs: tuple[Path, ...], prices: Path | None, *, part_priced: bool
) -> list[Alternative]:
    """Return the alternatives of some specs, all priced, or end with what they lack."""
    offers = offers_of(specs, prices)
    for spec, offer in zip(specs, offers, strict=True):
        if offer.quote is None:
            raise OutputError(f"{spec}: names no price file; give --prices FILE")
    say_unpriced(offers, part_priced)
    return offers


def pictures_of(fences: Sequence[FenceModel], paper: str, view: Viewpoint) -> list[bytes]:
    """Return a picture of each fence; none where the machine can draw none, which is said, as
    is what a picture leaves out.
    """
    from palewright.export.models.product import Product
    from palewright.export.pictures.clear_view import clear_view
    from palewright.export.pictures.picture import write_picture

    try:
        drawn = [write_picture(Product(fence), view) for fence in fences]
    except OutputError as error:
        click.echo(f"{error}; the {paper} has none", err=True)
        return []
    told = dict.fromkeys(said for fence in fences for said in clear_view(fence, view).said)
    for sentence in told:
        click.echo(sentence)
    return drawn


@click.command(
    cls=Told,
    examples=(
        "palewright quote garden.toml --prices prices.csv -o offer",
        "palewright quote garden.toml round-heads.toml --prices prices.csv -o offer",
    ),
)
@offering
def quote(
    specs: tuple[Path, ...], prices: Path | None, out: Path, number: str, **asked: bool
) -> None:
    """Price the first of SPECS: a spreadsheet for you, a PDF for the customer.

    Timber is cut at the least cost of the price file's lengths. More specs are alternatives, shown
    in a table. 'palewright prices' writes a price file to fill in.
    """
    from palewright.export.papers.offer_terms import issue_of
    from palewright.export.papers.quote_pdf import write_quote
    from palewright.export.papers.workbook import write_workbook
    from palewright.export.pictures.camera import Viewpoint
    from palewright.export.tables.list_tables import text_table
    from palewright.export.tables.order_tables import quote_table

    offers = priced_offers(specs, prices, part_priced=asked["part_priced"])
    offer = offers[0]
    assert offer.quote is not None
    click.echo(text_table(quote_table(offer.quote)))
    view, fences = Viewpoint(width=1600, height=800), [offer.fence] if asked["picture"] else []
    image = next(iter(pictures_of(fences, "quotation", view)), None)
    issue = issue_of(offer.fence.job, number=number, dated=_today(asked["today"]))
    stem = specs[0].stem
    files = {
        f"{stem}-quote.xlsx": write_workbook(offer.fence, offer.order, offer.quote, offers),
        f"{stem}-quote.pdf": write_quote(offers, image, issue),
    }
    write_named(out, files)


@click.command(
    cls=Told,
    examples=(
        "palewright proposal garden.toml -o offer",
        "palewright proposal garden.toml round-heads.toml --prices prices.csv -o offer --today",
    ),
)
@offering
def proposal(
    specs: tuple[Path, ...], prices: Path | None, out: Path, number: str, **asked: bool
) -> None:
    """Write a proposal of SPECS to be signed: two to four pages of PDF for the customer.

    A picture, what is offered in words, plan and front, price, terms and where both sign. More
    specs are alternatives, beside each other. What nobody gave is left out, and named here; who
    the firm is and what its terms are stands in the file that [firm] names.
    """
    from palewright.export.papers.offer_terms import issue_of, tasks_without_hours
    from palewright.export.papers.proposal_pdf import write_proposal
    from palewright.export.pictures.camera import Viewpoint
    from palewright.model.checks.paper_checks import offer_gaps
    from palewright.model.lists.takeoff import gate_count

    offers = priced_offers(specs, prices, part_priced=asked["part_priced"])
    job = offers[0].fence.job
    issue = issue_of(job, number=number, dated=_today(asked["today"]))
    fences = [offer.fence for offer in offers] if asked["picture"] else []
    cover = pictures_of(fences[:1], "proposal", Viewpoint(width=2000, height=1000))
    closer = []
    if cover and len(fences) > 1:
        near = "gate" if all(gate_count(fence) for fence in fences) else "front"
        closer = pictures_of(fences, "proposal", Viewpoint(near, width=1000, height=500))
    paper = write_proposal(offers, cover[0] if cover else None, issue, closer)
    write_named(out, {f"{specs[0].stem}-proposal.pdf": paper})
    given = {"offer.number": issue.number, "offer.date": issue.date}
    gaps = [gap for gap in offer_gaps(job) if not given.get(gap.partition(" ")[0])]
    quote = offers[0].quote
    tasks = tasks_without_hours(quote) if quote is not None and job.offer.crew else []
    if tasks:
        gaps.append(f"[work] (hours to {', '.join(tasks)}: the crew's days follow from all)")
    if gaps:
        click.echo("Not on it, as nobody gave it:")
        for gap in gaps:
            click.echo(f"  {gap}")


def _today(asked: bool) -> str:
    return date.today().isoformat() if asked else ""
