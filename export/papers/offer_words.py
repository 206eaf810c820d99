"""What is offered, in words for a customer: kind, sizes, timber, finish, gates, how it is set."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from decimal import Decimal

from palewright.export.drawing.draft.figures import Figures, Units
from palewright.model.basis.text import plain, titled_text
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.metal_caps import MetalCap
from palewright.model.geometry.shapes import Cap, Hole, RoundHole, SquareHole
from palewright.model.layout.run_layout import Opening, RunLayout, footed_posts
from palewright.model.lists.leaf_words import leaf_words
from palewright.model.lists.takeoff import fence_height, fence_length, gate_count, post_count
from palewright.model.order.fence_figures import BARE, BROWN, finished_parts, painted_areas
from palewright.model.order.order_lines import Group, Order, OrderLine
from palewright.model.parts.members import PALE
from palewright.model.resolved.pale_plan import in_words

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
           "eleven", "twelve")  # fmt: skip

Told = tuple[str, str]
"""What a part is, and what is said of it."""


def number_word(count: int) -> str:
    """Return a count in words up to twelve, in figures above.

    >>> number_word(2), number_word(13)
    ('two', '13')
    """
    return NUMBERS[count] if count < len(NUMBERS) else str(count)


def money_words(amount: Decimal, currency: str) -> str:
    """Return an amount of money as customers read it.

    >>> money_words(Decimal("1234.50"), "GBP"), money_words(Decimal("1234.50"), "SEK")
    ('£1,234.50', 'SEK 1,234.50')
    """
    sign = {"GBP": "£", "EUR": "€", "USD": "$"}.get(currency, f"{currency} " if currency else "")
    return f"{sign}{amount:,}"


def size_words(sides: Iterable[float], *, feet: bool) -> str:
    r"""Return small sizes: in millimetres, or in feet and inches.

    >>> size_words([90.0], feet=False), size_words([88.9], feet=True)
    ('90 mm', '3 1/2"')
    """
    figures = Figures(Units.FEET if feet else Units.MILLIMETRES)
    text = " \u00d7 ".join(figures.text(side) for side in sides)
    return text if feet else f"{text} mm"


def length_words(length: float, *, feet: bool) -> str:
    """Return a length of fence or a height: in metres, or in feet and inches."""
    return Figures(Units.FEET).text(length) if feet else f"{length / 1000.0:.2f} m"


def in_imperial(fence: FenceModel) -> bool:
    """Tell whether a job's papers are in feet and inches."""
    return fence.job.feet


def summary(fence: FenceModel) -> str:
    """Return a fence in one sentence."""
    feet, gates = in_imperial(fence), gate_count(fence)
    long = length_words(fence_length(fence), feet=feet)
    high = length_words(fence_height(fence), feet=feet)
    with_gates = f", with {number_word(gates)} gate{'s' if gates > 1 else ''}" if gates else ""
    return f"{long} of timber picket fence, {high} high at its highest point{with_gates}."


def offered(fence: FenceModel, order: Order, left_out: Iterable[OrderLine] = ()) -> list[Told]:
    """Return all that is offered, part by part; parts that runs do not share are told by run.

    left_out : lines without a price, which are not in it.
    """
    extras = [line for line in order.lines if line.group == Group.EXTRAS]
    posts = post_count(fence)
    told = [
        ("Fence", _by_run(fence, _extent)),
        ("Pales", _by_run(fence, _pales)),
        ("Rails", _by_run(fence, _rails)),
        ("Capping rail", _by_run(fence, _capping)),
        ("Kick boards", _by_run(fence, _kick_boards)),
        ("Posts", f"{titled_text(number_word(posts))} posts. {_by_run(fence, _posts)}"),
        ("Gates", " ".join(_gate(fence, layout, opening) for layout in fence.layouts
                           for opening in layout.openings)),
        ("How it is set", _by_run(fence, _set)),
        ("Timber", _timber(order)),
        ("Finish", finish_words(fence)),
        ("Also included", _list(line.item for line in extras if line not in left_out)),
    ]  # fmt: skip
    return [(name, text) for name, text in told if text]


NOTHING = "none"
"""What stands for a part that one alternative has and another has not."""


def differing(told: Sequence[Mapping[str, str]]) -> tuple[list[str], list[str]]:
    """Return the parts in which alternatives differ, and those that are the same in all.

    >>> differing([{"Pales": "pointed", "Posts": "13"}, {"Pales": "round", "Posts": "13"}])
    (['Pales'], ['Posts'])
    """
    labels = list(dict.fromkeys(label for one in told for label in one))
    differ = [label for label in labels if len({one.get(label) for one in told}) > 1]
    return differ, [label for label in labels if label not in differ]


def same_words(labels: Iterable[str]) -> str:
    """Return in a sentence what is the same in all alternatives."""
    return f"The same in all of them: {', '.join(label.lower() for label in labels)}."


def finish_words(fence: FenceModel) -> str:
    """Return the finish: in the user's words, or what is put on; empty for bare timber."""
    given = plain(fence.job.project.finish)
    if given:
        return f"{given.rstrip('.')}."
    names = [name for name in painted_areas(fence) if name not in BARE]
    coats = fence.job.painting.coats
    often = f"{number_word(coats)} coat{'s' if coats > 1 else ''}"
    if parts := finished_parts(fence):
        told = [f"{_list(parts[name])} {name}" for name in parts if name in (*names, BROWN)]
        return f"{titled_text('; '.join(told))}{f'; {often}' if names else ''}." if told else ""
    return f"{titled_text(_list(names))}, {often}." if names else ""


def _list(words: Iterable[str]) -> str:
    """Return words one after the other: "a, b and c"."""
    known = [plain(word) for word in words]
    if len(known) < 2:
        return "".join(known)
    return f"{', '.join(known[:-1])} and {known[-1]}"


def _by_run(fence: FenceModel, tell: Callable[[FenceModel, RunLayout], str]) -> str:
    """Return what is told of the runs: once where it is the same of all, else by name."""
    by_text: dict[str, list[str]] = {}
    for layout in fence.layouts:
        text = tell(fence, layout)
        if text:
            by_text.setdefault(text, []).append(layout.run.called)
    if len(by_text) < 2:
        return titled_text("".join(by_text))
    return " ".join(f"{titled_text(_list(names))}: {text}" for text, names in by_text.items())


def _extent(fence: FenceModel, layout: RunLayout) -> str:
    feet = in_imperial(fence)
    long = length_words(layout.run.line.length, feet=feet)
    high = length_words(layout.run.height, feet=feet)
    bays = sum(len(stretch.bays) for stretch in layout.stretches)
    run = layout.run
    walls = [run.walled[at] and run.piers[at] is None for at in (0, 1)]
    to_walls = {0: "", 1: ", from a wall", 2: ", from wall to wall"}[sum(walls)]
    piers = sum(pier is not None for pier in run.piers)
    to_walls += {0: "", 1: ", to a pier", 2: ", from pier to pier"}[piers]
    hedges = dict.fromkeys(length_words(gap, feet=feet) for gap in run.hedges if gap)
    to_walls += "".join(f", {gap} clear of a hedge" for gap in hedges)
    hosts = dict.fromkeys(host.run.called for host in layout.run.hosts if host is not None)
    to_walls += f", joined to {' and '.join(hosts)}" if hosts else ""
    low = dict.fromkeys(
        length_words(layout.run.height - drop, feet=feet) for drop in layout.run.ramps if drop
    )
    down = f", going down in the last bay to {' and '.join(low)}" if low else ""
    return (
        f"{long}{to_walls}, in {number_word(bays)} bay{'' if bays == 1 else 's'}, "
        f"the pales {high} high over the ground{down}."
    )


def _pales(fence: FenceModel, layout: RunLayout) -> str:
    run, feet, told = layout.run, in_imperial(fence), fence.job.fixings
    number = next(n for n, one in enumerate(fence.layouts) if one is layout)
    count = sum(1 for m in fence.members if m.kind == PALE and m.run == number)
    gaps = [stretch.row.gap for stretch in layout.stretches]
    widest = max(gaps, default=0.0)
    gap = size_words([widest if feet else math.ceil(widest - 0.05)], feet=feet) if gaps else ""
    laid = run.pales.words.laid
    apart = f", not more than {gap} apart" if gap else ""
    if run.pales.lapped and gaps:
        least = size_words([-widest if feet else math.floor(0.05 - widest)], feet=feet)
        apart = f", each lapping the next by {least} or more"
    top = run.top_line
    shapes = [kind.head_shape for kind in run.pales.sorts]
    heads = f"with {in_words(shapes)} heads" if any(shapes) else "cut square"
    sizes = in_words(
        [size_words([wide, run.pales.thickness], feet=feet) for wide in run.pales.widths]
    )
    if len(run.pales.sorts) > 1:
        longs = sorted({kind.length for kind in run.pales.sorts}, reverse=True)
        long = in_words([size_words([one], feet=feet) for one in longs])
        heads = f"by turns, {f'{long} long, ' if len(longs) > 1 else ''}{heads}"
    if top.heads == "curve":
        heads = "their tops cut along the curve"
    line = {"straight": "", "dip": ", in dips between the posts", "arch": ", in arches",
            "wave": ", in waves"}[top.shape]  # fmt: skip
    return (
        f"{count} pales {sizes}, "
        f"{heads}{line}{laid}{apart}. At each rail "
        f"{number_word(told.crossing)} {told.coating} {told.pales}."
    )


def _rails(fence: FenceModel, layout: RunLayout) -> str:
    rails, feet = layout.run.rails, in_imperial(fence)
    how = rails.way.offer.format(bolt=rails.bolt, set=rails.set_words)
    if rails.panels is not None:
        framed = ", framed with an upright at each end" if rails.panels.upright else ""
        how = f"in panels made in the workshop{framed}, each hung {how}"
    count = len(rails.tops)
    size = size_words(rails.section, feet=feet)
    return f"{number_word(count)} rail{'s' if count > 1 else ''} {size}, {how}."


def _kick_boards(fence: FenceModel, layout: RunLayout) -> str:
    plan, feet = layout.run.kick_board, in_imperial(fence)
    if plan is None:
        return ""
    size = size_words([plan.height, plan.thickness], feet=feet)
    return f"{size}, {plan.set_words}, {size_words([plan.clearance], feet=feet)} over the ground."


def _capping(fence: FenceModel, layout: RunLayout) -> str:
    plan, feet = layout.run.capping, in_imperial(fence)
    if plan is None:
        return ""
    size = size_words([plan.width, plan.thickness], feet=feet)
    falls = f", its top sloped {plan.falls_said}" if plan.falls_said else ""
    grooved = ", with drip grooves" if plan.grooves else ""
    where = "pales and posts" if plan.on_posts else "the pales"
    gates = "; gate leaves have none" if layout.openings else ""
    return f"{size}, on the tops of {where}{falls}{grooved}{gates}."


def _posts(fence: FenceModel, layout: RunLayout) -> str:
    feet = in_imperial(fence)
    sections: dict[str, list[str]] = {}
    for kind, posts in footed_posts(layout):
        plan = posts[0].plan
        said = f"{size_words([plan.width, plan.depth], feet=feet)}{' concrete' * plan.cast}"
        own = sections.setdefault(said, [])
        own += [] if kind.value in own else [kind.value]
    if not sections:
        return ""
    if len(sections) == 1:
        text = f"{next(iter(sections))}"
    else:
        text = _list(f"{size} ({_list(kinds)} posts)" for size, kinds in sections.items())
    plans = [post.plan for post in layout.posts]
    caps = {type(plan.cap) for plan in plans}
    tops = [name for kind, name in ((Cap, "caps"), (MetalCap, "metal caps")) if kind in caps]
    if any(plan.bevel is not None for plan in plans):
        tops.append("bevelled edges")
    shapes = dict.fromkeys(plan.finial_shape for plan in plans if plan.finial is not None)
    tops += [f"{shape} finials" for shape in shapes]
    return f"{text}{f', with {_list(tops)}' if tops else ''}."


def _gate(fence: FenceModel, layout: RunLayout, opening: Opening) -> str:
    feet, told = in_imperial(fence), opening.spec
    wide = length_words(told.opening, feet=feet) if not feet else size_words(
        [told.opening], feet=feet
    )  # fmt: skip
    name = titled_text(plain(told.name)) if told.name.strip() else "Gate"
    plan = layout.run.gates.leaves[opening.number]
    leaves = "two leaves" if told.leaves == 2 else "one leaf"
    if told.leaves == 1 and plan.slide is None:
        leaves += f", hinged on the {told.hinge} as seen from the front"
    heads = layout.run.pales.heads_said
    own = leaf_words(plan, heads, lambda size: size_words([size], feet=feet))
    if plan.slide is not None:
        return f"{name}: {wide} wide in the clear, {', '.join([leaves, *own])}."
    made = "".join(f"{words}, " for words in own)
    way = "away from" if told.swing == "in" else "towards"
    return f"{name}: {wide} wide in the clear, {leaves}, {made}opening {way} the front."


def _hole_words(hole: Hole, *, feet: bool) -> str:
    match hole:
        case RoundHole(diameter):
            return f"round holes {size_words([diameter], feet=feet)} across"
        case SquareHole(width, depth):
            return f"holes {size_words([width, depth], feet=feet)}"


def _set(fence: FenceModel, layout: RunLayout) -> str:
    feet = in_imperial(fence)
    told = [f"Posts {words}." for words in dict.fromkeys(f.offered for f in layout.feet) if words]
    deep = [foot.embedment for foot in layout.feet if foot.dug is not None and foot.buried]
    if not deep:
        return " ".join(told)
    if told:
        told = _by_kind(layout)
    dug = [foot.dug.hole for foot in layout.feet if foot.dug is not None and foot.buried]
    hole = _list([_hole_words(one, feet=feet) for one in dict.fromkeys(dug)])
    low, high = size_words([min(deep)], feet=feet), size_words([max(deep)], feet=feet)
    depth = high if low == high else f"{low.removesuffix(' mm')} to {high}"
    fill = "concrete" if layout.run.footings.poured else "rammed gravel"
    others = "Others" if told else "Posts"
    return " ".join([*told, f"{others} {depth} deep in the ground, in {fill}, in {hole}."])


def _by_kind(layout: RunLayout) -> list[str]:
    """Say of each way of standing but in a hole which kinds of posts do."""
    kinds: dict[str, list[str]] = {}
    for kind, posts in footed_posts(layout):
        own = kinds.setdefault(posts[0].plan.foot.offered, [])
        own += [] if kind.value in own else [kind.value]
    return [f"{titled_text(_list(own))} posts {words}." for words, own in kinds.items() if words]


def _timber(order: Order) -> str:
    """Return the use classes of what is bought, which stand in the order."""
    ground = {line.section.ground for line in order.timber}
    parts = [
        f"{name} {words}"
        for there, name, words in (
            (True, "use class 4", "for what stands in the ground"),
            (False, "use class 3", "for all above it"),
        )
        if there in ground
    ]
    return f"{titled_text(_list(parts))} (EN 335)." if parts else ""
