"""What a customer chooses with on the page: alternatives with their prices, finishes, heads.

Words and prices are those of the proposal; where nobody gave one, there is none.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

from palewright.export.models.finishes import TIMBER_FINISHES
from palewright.export.models.product import Product
from palewright.export.papers.alternatives import option_of
from palewright.export.papers.offer_terms import (
    date_words,
    issue_of,
    last_day,
    validity_words,
    with_tax_words,
)
from palewright.export.papers.offer_words import (
    NOTHING,
    differing,
    finish_words,
    in_imperial,
    money_words,
    offered,
    summary,
)
from palewright.model.basis.text import plain
from palewright.model.order.prices import quote

from .other_heads import other_heads
from .page_scene import finish_data, float_text, number_text

CHOSEN_PARTS = ("pales", "rails", "posts")
"""The parts that a customer chooses a finish for."""

Fences = Sequence[tuple[str, Product]]
"""Fences with the names of their files."""


def choice_names(fences: Fences) -> list[str]:
    """Return what alternatives are called: as their specs say, or by their files' names, which
    stand behind where two specs say the same.
    """
    said = [option_of(built.fence, name) for name, built in fences]
    often = Counter(said)
    return [
        option if often[option] == 1 else f"{option} ({plain(name)})"
        for option, (name, _) in zip(said, fences, strict=True)
    ]


def choices_data(
    fences: Fences, *, ordered: bool = True, priced: bool = True
) -> list[dict[str, Any]]:
    """Return what the page says of each alternative and tries on it, ready for JSON.

    ordered : whether the order of each is worked out, for what differs and for prices; priced :
    show prices, where all lines of an order have one.
    """
    many = ordered and len(fences) > 1
    told = [dict(offered(built.fence, built.order)) for _, built in fences if many]
    differ, same = differing(told)
    return [
        {
            "offer": {
                "option": name,
                **_paper(built),
                "differs": [[label, told[at].get(label, NOTHING)] for label in differ],
                "same": [label.lower() for label in same],
                **(_price(built) if ordered and priced else {}),
            },
            "finished": {part: getattr(built.fence.job.finishes, part) for part in CHOSEN_PARTS},
            "heads": _heads(built),
        }
        for at, (name, (_, built)) in enumerate(zip(choice_names(fences), fences, strict=True))
    ]


def palette() -> list[dict[str, Any]]:
    """Return every finish that can be tried, ready for JSON."""
    return [finish_data(finish, grained=True) for finish in TIMBER_FINISHES.values()]


def unpriced_fences(fences: Fences) -> list[str]:
    """Return the names of alternatives whose price the page leaves out, as lines have none."""
    return [
        option_of(built.fence, name)
        for name, built in fences
        if built.fence.job.prices is not None and not _price(built)
    ]


def _paper(built: Product) -> dict[str, Any]:
    """Return what stands on the sheet to sign besides the choice: as far as it was given."""
    fence = built.fence
    job = fence.job
    firm = job.firm.told if job.firm is not None else None
    issue = issue_of(job)
    held = firm.validity if firm is not None else None
    last = last_day(issue.date, held)
    feet = in_imperial(fence)
    given = {
        "site": plain(job.project.site),
        "client": plain(job.project.client),
        "owner": plain(job.project.owner),
        "email": plain(firm.email) if firm is not None else "",
        "number": plain(issue.number),
        "dated": date_words(plain(issue.date), feet=feet),
        "summary": summary(fence),
        "finish": finish_words(fence),
        "holds": validity_words(issue.date, held, feet=feet) if held is not None else "",
        "until": last.isoformat() if last is not None else "",
    }
    return {name: text for name, text in given.items() if text}


def _price(built: Product) -> Mapping[str, str]:
    """Return the price with tax, as on the proposal; nothing where a line has none: a price with
    a hole in it is too low.
    """
    prices = built.fence.job.prices
    if prices is None:
        return {}
    offer = quote(built.order, prices)
    if offer.unpriced:
        return {}
    return {
        "price": money_words(offer.total, prices.currency),
        "tax": with_tax_words(offer, built.fence.job),
    }


def _heads(built: Product) -> dict[str, Any]:
    """Return the heads that can be tried, and which marks of the fence are pales that take them."""
    known = other_heads(built)
    return {
        "offered": known.offered,
        "marks": {mark: [at, round(length, 4)] for mark, (at, length) in known.by_mark.items()},
        "shapes": {
            name: [
                {
                    "points": float_text(pale.mesh.vertices),
                    "triangles": number_text(pale.mesh.triangles),
                    "length": round(pale.length, 4),
                }
                for pale in pales
            ]
            for name, pales in known.pales.items()
        },
    }
