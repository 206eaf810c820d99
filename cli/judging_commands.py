"""Commands that say what a fence is, takes and costs: check, wind, size, list and others."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from palewright.model.basis.errors import OutputError

from .help_pages import Told
from .jobs import (
    FAULTS,
    PRICES,
    SPEC,
    any_stops,
    fence_summary,
    offers_of,
    read_checked,
    show_findings,
    sound_fence,
    write_named,
)

NO_WIND = "has no [wind] table; give its basic velocity, as velocity = 22"


@click.command(cls=Told, examples=("palewright check garden.toml",))
@click.argument("spec", type=SPEC)
def check(spec: Path) -> None:
    """Say what is wrong or doubtful in SPEC, without building anything."""
    from palewright.model.checks.building_checks import BUILDING, cautions
    from palewright.model.checks.rule_findings import report

    fence, findings = read_checked(spec)
    click.echo(fence_summary(fence))
    show_findings(findings, err=False, quiet=False)
    if not findings:
        click.echo("No breach found of the rules checked.")
    checked, missed = report(fence)
    for head, lines in (("Rules checked", (BUILDING, *checked)), ("Not checked", missed)):
        click.echo(f"\n{head}:")
        for line in lines:
            click.echo(f"  - {line}")
    click.echo("\nCautions; local codes and licensed practice come first:")
    for caution in cautions(fence):
        click.echo(f"  - {caution}")
    if any_stops(findings):
        sys.exit(FAULTS)


@click.command(
    cls=Told,
    examples=(
        "palewright wind garden.toml",
        "palewright wind garden.toml -o wind.pdf",
    ),
)
@click.argument("spec", type=SPEC)
@click.option("-o", "--out", type=click.Path(path_type=Path, dir_okay=False),
              help="PDF or text file to write; printed when left out.")  # fmt: skip
def wind(spec: Path, out: Path | None) -> None:
    """Work out the wind on SPEC step by step: posts, rails, fixings, footings."""
    from palewright.export.papers.calculation import calculation_pdf, calculation_text

    fence = sound_fence(spec)
    if fence.job.wind is None:
        raise OutputError(f"{spec}: {NO_WIND}")
    if out is None:
        click.echo(calculation_text(fence), nl=False)
        return
    if out.suffix.lower() not in (".pdf", ".txt"):
        raise click.UsageError(f"--out {out}: must end in .pdf or .txt")
    pdf = out.suffix.lower() == ".pdf"
    data = calculation_pdf(fence) if pdf else calculation_text(fence).encode()
    write_named(out.parent, {out.name: data})


@click.command(cls=Told, examples=("palewright size garden.toml --prices prices.csv",))
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


LISTS = ("members", "posts", "bays", "cutting", "boards", "plans", "concrete", "fixings", "order")

BUILT = ("as-built", "as-built-bays", "as-built-limits", "cut-already")
"""Lists of fences with posts that were measured, or pieces cut before."""


PANELS = ("panels", "panel-pieces", "panel-bays")
"""Lists of fences whose bays are made in the workshop."""


@click.command(
    name="list",
    cls=Told,
    examples=(
        "palewright list garden.toml",
        "palewright list garden.toml --table boards",
    ),
)
@click.argument("spec", type=SPEC)
@click.option("--table", type=click.Choice((*LISTS, *PANELS, *BUILT)), help="One table alone.")
@PRICES
def list_parts(spec: Path, table: str | None, prices: Path | None) -> None:
    """Print the lists of SPEC: members, posts, bays, what is sawn from which boards, the order."""
    from palewright.export.models.product import Product
    from palewright.export.tables.as_built_tables import as_built_tables
    from palewright.export.tables.list_tables import TABLES, text_table
    from palewright.export.tables.order_tables import ORDER_TABLES, board_lines
    from palewright.export.tables.panel_tables import panel_tables

    if table in BUILT:  # of posts that stand, whatever is wrong with them
        fence, findings = read_checked(spec, prices)
        show_findings(findings, err=True, quiet=True)
    else:
        fence = sound_fence(spec, prices)
    built = Product(fence)
    own = panel_tables(fence)
    if table in PANELS and table not in own:
        raise OutputError(f"{spec}: has no panels: panels.made is not true")
    as_built = own | (as_built_tables(fence) if table is None or table in BUILT else {})
    if table in BUILT and table not in as_built:
        raise OutputError(f"{spec}: has no {'[[cut]]' if table == BUILT[-1] else '[[measured]]'}")
    texts = []
    for name in (*LISTS, *as_built) if table is None else (table,):
        if name in as_built:
            rows = as_built[name]
        elif name in TABLES:
            rows = TABLES[name](built.fence)
        else:
            rows = ORDER_TABLES[name](built.fence, built.order)
        drawn = "\n\n" + "\n".join(board_lines(built.order)).rstrip() if name == "boards" else ""
        texts.append(f"{name}\n\n{text_table(rows)}{drawn}")
    click.echo("\n\n".join(texts))


@click.command(cls=Told, examples=("palewright compare garden.toml round-heads.toml",))
@click.argument("specs", type=SPEC, nargs=-1, required=True)
@PRICES
def compare(specs: tuple[Path, ...], prices: Path | None) -> None:
    """Show what alternatives take and cost, side by side; of two also what differs by line."""
    from palewright.export.papers.alternatives import compare_table
    from palewright.export.papers.changes import order_changes
    from palewright.export.tables.list_tables import text_table

    offers = offers_of(specs, prices)
    click.echo(text_table(compare_table(offers)))
    if len(offers) == 2:
        rows = order_changes(*offers)
        click.echo()
        click.echo(text_table(rows) if len(rows) > 1 else "The orders are the same.")


@click.command(name="prices", cls=Told, examples=("palewright prices garden.toml -o prices.csv",))
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
    write_named(out.parent, {out.name: csv_bytes(blank_prices(Product(sound_fence(spec)).order))})
