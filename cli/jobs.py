"""What commands share: reading a spec, saying what is wrong, writing files and naming them."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from palewright.model.basis.errors import OutputError

if TYPE_CHECKING:
    from palewright.export.papers.alternatives import Alternative
    from palewright.model.basis.findings import Finding
    from palewright.model.fence.fence_model import FenceModel

FAULTS = 1
"""Exit code when checks found faults that stop the job."""

SPEC = click.Path(path_type=Path)

PRICES = click.option(
    "--prices",
    type=SPEC,
    help="Price file, CSV or TOML; the one that the spec names when left out.",
)


def read_checked(spec: Path, prices: Path | None = None) -> tuple[FenceModel, tuple[Finding, ...]]:
    """Return the fence of a spec, bought by a price file's prices where one is given."""
    from palewright.model.checks.building_checks import check as run_checks
    from palewright.model.order.prices import with_prices
    from palewright.model.spec.price_file import read_prices
    from palewright.reading import read_fence

    fence = with_prices(read_fence(spec), None if prices is None else read_prices(prices))
    return fence, run_checks(fence)


def sound_fence(spec: Path, prices: Path | None = None) -> FenceModel:
    """Return the fence of a spec, or end with the faults that stop the job. See read_checked."""
    fence, findings = read_checked(spec, prices)
    if any_stops(findings):
        show_findings(findings, err=True, quiet=True)
        sys.exit(FAULTS)
    return fence


def any_stops(findings: tuple[Finding, ...]) -> bool:
    """Tell whether one of the findings stops the job."""
    return any(finding.severity.value == "stop" for finding in findings)


COLOURS = {"stop": "red", "warn": "yellow", "note": "cyan"}


def coloured(line: str) -> str:
    """Return a message with its first word or place in colour; on a terminal alone it shows.

    Without colour where the environment says so: NO_COLOR, or TERM=dumb.
    """
    if os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb":
        return line
    word, colon, rest = line.partition(": ")
    if word in COLOURS:
        return click.style(word + colon, fg=COLOURS[word], bold=word == "stop") + rest
    return click.style(word + colon, bold=True) + rest if colon else line


def show_findings(findings: tuple[Finding, ...], *, err: bool, quiet: bool) -> None:
    """Print findings; quiet : those alone that stop the job."""
    for finding in findings:
        if not quiet or finding.severity.value == "stop":
            click.echo(coloured(finding.line()), err=err)


def fence_summary(fence: FenceModel) -> str:
    """Return what a fence is, on one line."""
    from palewright.model.basis.imperial import imperial_amount
    from palewright.model.basis.units import feet_and_inches
    from palewright.model.lists.takeoff import (
        concrete,
        fence_length,
        gate_count,
        pale_count,
        post_count,
    )
    from palewright.model.order.gravel import rammed

    feet = fence.job.feet
    length = fence_length(fence)
    along = feet_and_inches(length) if feet else f"{length / 1000.0:.2f} m"
    posts = post_count(fence)
    gates = gate_count(fence)
    total, unit, fill = concrete(fence), "m3", "concrete"
    volume = total.volume / 1e9
    if not total.footings and (loose := rammed(fence).loose):
        volume, fill = loose, "gravel"
    if feet:
        volume, unit = imperial_amount(volume, unit)
    return (
        f"{fence.job.project.name}: {along} of fence, {posts} posts, "
        f"{pale_count(fence)} pales, {gates} gate{'' if gates == 1 else 's'}, "
        f"{volume:.2f} {unit} of {fill}, {len(fence.by_mark)} marks"
    )


def offers_of(specs: tuple[Path, ...], prices: Path | None) -> list[Alternative]:
    """Return the fences of some specs with their orders, priced where there are prices."""
    from palewright.export.papers.alternatives import Alternative
    from palewright.model.order.order_lines import order
    from palewright.model.order.prices import quote

    offers = []
    for spec in specs:
        fence = sound_fence(spec, prices)
        ordered, known = order(fence), fence.job.prices
        offers.append(
            Alternative(spec.stem, fence, ordered, None if known is None else quote(ordered, known))
        )
    return offers


def say_unpriced(offers: list[Alternative], part_priced: bool) -> None:
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


def write_named(out: Path, files: dict[str, bytes]) -> None:
    """Write files into a folder and name them."""
    from palewright.export.outputs.files import write_files

    write_files(out, files)
    for name, data in files.items():
        click.echo(f"{out / name}  {file_size(len(data))}")


def file_size(count: int) -> str:
    """Return a count of bytes as people read it."""
    return f"{count / 1e6:.1f} MB" if count >= 1e6 else f"{count / 1e3:.1f} kB"
