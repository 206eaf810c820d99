"""The upright section through a fence and a footing, drawn from its members."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.figures import hole_sign
from palewright.export.drawing.draft.style import CUT_CONCRETE, CUT_GRAVEL, CUT_GROUND, CUT_TIMBER
from palewright.export.drawing.draft.view import Dimension, Hatch, Item, Line, View
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Frame, Point
from palewright.model.geometry.metal_caps import MetalCap
from palewright.model.geometry.outlines import Outline
from palewright.model.geometry.post_shapes import Bevel
from palewright.model.geometry.shapes import Bolt, Cap, Hole, RoundHole, bar_of
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.layout.run_layout import RunLayout, stations_of_leg
from palewright.model.layout.side_ground import Side, ground_beside
from palewright.model.parts.hardware import bolt_name
from palewright.model.parts.kick_boards import AT_POST
from palewright.model.parts.members import BOLT, RAIL, STEEL_FEET
from palewright.model.resolved.job import BESIDE, RunJob
from palewright.model.resolved.pale_plan import in_words
from palewright.model.resolved.post_feet import Foot
from palewright.model.resolved.words import PostRole
from palewright.model.spec.buying import Concrete

from .callouts import Callout, callouts
from .dimensions import level_chain, one_dimension, upright_chain
from .post_tops import cap_outline, finial_lines, metal_cap_outline
from .projection import project
from .rail_details import bolt_lines
from .titles import titled

BASE = "base of the bay: heights count from here"
"""What the line is called that heights are measured from."""

SLAB = "slab or paving that is there"
"""What shoes are bolted down on, in words."""

GROUND_REACH = 25.0
"""How far the ground is shown beside the footing, mm on paper."""


@dataclass(frozen=True)
class Cut:
    """A fence cut at a post, where the base of its bays lies on the ground.

    x = 0 on the line of the fence, y = 0 on the ground, the front to the left.
    """

    fence: FenceModel
    run_number: int
    post: PlacedPost
    draft: Draft

    @property
    def run(self) -> RunJob:
        """The run that is cut."""
        return self.fence.layouts[self.run_number].run

    @property
    def foot(self) -> Foot:
        """How the post stands."""
        return self.post.plan.foot

    def beside(self, side: Side) -> float:
        """Return the ground of a side over that along the fence, mm, 0 where it is the same."""
        layout = self.fence.layouts[self.run_number]
        for number in range(len(layout.legs)):
            for x, post in stations_of_leg(layout, number):
                if post is self.post:
                    beside = ground_beside(layout, number, (x, x), side)[0][1]
                    return beside - layout.legs[number].ground(x)
        return 0.0

    @property
    def top(self) -> float:
        """Height of the post, mm."""
        return self.run.rails.tops[-1] + self.post.plan.above_rail

    @property
    def back(self) -> float:
        """The post's back, mm."""
        return self.post.plan.depth - self.run.face

    @property
    def middle(self) -> float:
        """The post's middle, mm."""
        return (-self.run.face + self.back) / 2.0

    @property
    def hole(self) -> float:
        """The middle of what is dug across the fence, mm."""
        return self.middle + self.foot.aside

    @property
    def half(self) -> float:
        """Half of what is broken of the ground across the fence, mm."""
        return 0.0 if self.foot.taken is None else _half_across(self.foot.taken)

    @property
    def right(self) -> float:
        """How far the post reaches to the back with its hole or the steel that it stands on, mm."""
        return max(self.back, self.hole + _half_across(self.foot.room))


def _half_across(hole: Hole) -> float:
    """Return half the size of a hole across the fence, mm."""
    return (hole.diameter if isinstance(hole, RoundHole) else hole.depth) / 2.0


def fence_section(
    fence: FenceModel, run: int, draft: Draft, post: PlacedPost | None = None
) -> View:
    """Return the section through the fence at a post, front to the left; at a line post if any.

    x = 0 on the line of the fence, y = 0 on the ground; that of a side may be at another level.
    """
    layout = fence.layouts[run]
    cut = Cut(fence, run, post or section_post(layout), draft)
    reach = draft.full(GROUND_REACH)
    items: list[Item] = [
        *_concrete(cut),
        *_ground(cut, reach),
        *_post(cut),
        *_steel(cut),
        *_rails(cut),
        *_pale(cut),
        *_capping(cut),
        *_bolts(cut),
        *_front_dimensions(cut),
        *_back_dimensions(cut),
        *_level_dimensions(cut),
    ]
    items += callouts(list(_said(cut, reach)), items, draft)
    title = f"Section at a {cut.post.kind} post, {cut.run.called}"
    notes = [] if _flat(layout) else ["heights over the base of the bay; ground as on elevations"]
    if any(post.drop for post in layout.posts if post.footing is not None):
        fill = layout.fillings[0].fill
        notes.append(f"holes count from the ground at the post; {fill} ends where it is lowest")
    notes += _side_notes(cut)
    return titled(title, items, draft, left=-cut.run.fence_front - reach, notes=notes)


def _said(cut: Cut, reach: float) -> Iterator[Callout]:
    """Yield what the parts of a section are, with their sizes and how they are fixed."""
    run, job, figure = cut.run, cut.fence.job, cut.draft.figure
    plan, pales, low = cut.post.plan, run.pales, -cut.post.plan.embedment / 2.0
    fixed = f"{job.fixings.crossing} {job.fixings.pales} at each rail"
    middle = -(run.layers[0].front + run.layers[0].back) / 2.0
    widths = in_words([f"{figure(width)} x {figure(pales.thickness)}" for width in pales.widths])
    heads = in_words([kind.head_shape for kind in pales.sorts])
    said = (
        f"pale {widths}, {heads}" if len(pales.sorts) == 1 else f"pales by turns {widths}, {heads}"
    )
    up = run.rails.tops[-1] + 0.6 * (run.shoulder - run.rails.tops[-1])
    if run.capping is not None:  # under the rail that carries it
        up = run.rails.tops[-1] - 2.0 * run.rails.section[0]
    yield Callout(f"{said}{pales.words.laid}; {fixed}", (middle, up))
    height, thick = run.rails.section
    rail = (_rail_front(run) + thick / 2.0, run.rails.tops[-1] - height / 4.0)
    yield Callout(f"{run.rails.way.name} {figure(height)} x {figure(thick)}", rail)
    if run.kick_board is not None:
        kick = run.kick_board
        size = f"{figure(kick.height)} x {figure(kick.thickness)}"
        at = (kick.thickness / 2.0 - kick.front(run.face), kick.clearance + 0.6 * kick.height)
        yield Callout(f"kick board {size}, {AT_POST} {job.fixings.pales} at each post", at)
    if run.capping is not None:
        size = f"{figure(run.capping.width)} x {figure(run.capping.thickness)}"
        at = (0.3 * run.capping.width - run.capping.front, run.height + run.capping.thickness / 2.0)
        yield Callout(f"capping rail {size}", at)
    bolt = _bolt_at(cut.fence, cut.run_number, cut.post)
    if bolt is not None:
        at = (_rail_front(run) + bolt.length - bolt.diameter, run.rails.tops[0] - height / 2.0)
        words = f"{bolt_name(bolt)}, washer and nut, at each rail"
        yield Callout(words, at)
    top = run.rails.tops
    above = (top[0] + top[-1] - height) / 2.0 if len(top) > 1 else top[0] / 2.0
    size = f"{figure(plan.width)} x {figure(plan.depth)}"
    dug, right = cut.foot.dug, cut.hole + cut.half
    stands = cut.foot.said(figure)
    if dug is not None:
        hole = f"hole {cut.draft.figures.dug(dug.hole)}, {figure(cut.foot.deep)} deep"
        stands = f"{hole}; {stands}" if stands else hole
    cast = ", concrete" if plan.cast else ""
    yield Callout(f"{cut.post.kind} post {size}{cast}; {stands}", (cut.middle, above))
    yield Callout(BASE, (right + reach * 0.8, 0.0))
    if dug is not None:
        fill = _concrete_words(job.concrete) if dug.poured else "gravel, rammed in layers"
        yield Callout(fill, ((max(cut.back, cut.hole) + right) / 2.0, low))
    if cut.foot.on_slab:
        yield Callout(SLAB, (right + reach * 0.4, -3.0 * cut.draft.n))


def _concrete_words(concrete: Concrete) -> str:
    """Return what concrete is made of, as the spec says it."""
    if concrete.supply != "site mix":
        return f"concrete, {concrete.supply}"
    parts = " : ".join(f"{part:g}" for part in concrete.mix)
    kinds = "cement : ballast" if len(concrete.mix) == 2 else "cement : sand : stone"
    return f"concrete {parts} by volume, {kinds}"


def _side_notes(cut: Cut) -> Iterator[str]:
    """Say how much higher or lower the ground is on a side than along the fence."""
    sides: tuple[tuple[Side, str], ...] = (("front", "in front"), ("back", "behind"))
    for side, words in sides:
        over = cut.beside(side)
        if over:
            way = "higher" if over > 0.0 else "lower"
            figure = cut.draft.figure(abs(over))
            yield f"ground {words} is {figure} {way} at {cut.post.label} than along the fence"


def _flat(layout: RunLayout) -> bool:
    """Tell whether all bays stand level on level ground."""
    settings = [setting for stretch in layout.stretches for setting in stretch.settings]
    return all(post.rise == 0.0 for post in layout.posts) and not any(s.slope for s in settings)


def section_post(layout: RunLayout) -> PlacedPost:
    """Return the post that a run is cut at: a line post, or the first that stands in the ground,
    or a plate where none does.
    """
    footed = [post for post in layout.posts if post.made]
    return next(
        (post for post in footed if post.kind == PostRole.LINE), (footed or layout.posts)[0]
    )


def other_feet(layout: RunLayout) -> list[PlacedPost]:
    """Return a post for each other way of standing that a run has, besides that of its section."""
    seen = {section_post(layout).plan.foot.way}
    found = []
    for post in layout.posts:
        if post.made and post.plan.foot.way not in seen:
            seen.add(post.plan.foot.way)
            found.append(post)
    return found


def _concrete(cut: Cut) -> Iterator[Item]:
    footing, dug, middle, half = cut.foot.filled(), cut.foot.dug, cut.hole, cut.half
    if footing is None or dug is None:
        return
    d = footing.post_depth / 2.0
    high = footing.weathering
    if high and isinstance(footing.hole, RoundHole):
        high = footing.cone_height * (1.0 - d / half)
    loop = (
        (middle - half, 0.0), (middle - half, -footing.depth), (middle + half, -footing.depth),
        (middle + half, 0.0), (middle + d, high), (middle + d, -footing.embedment),
        (middle - d, -footing.embedment), (middle - d, high),
    )  # fmt: skip
    poured = dug.poured
    yield Line.through(loop, layers.CONCRETE if poured else layers.GRAVEL, closed=True)
    yield Hatch(loop, CUT_CONCRETE if poured else CUT_GRAVEL)


def _ground(cut: Cut, reach: float) -> Iterator[Item]:
    deep = 6.0 * cut.draft.n
    left, right = cut.hole - cut.half, cut.hole + cut.half
    pattern = CUT_CONCRETE if cut.foot.on_slab else CUT_GROUND
    beside = (cut.beside("front"), cut.beside("back"))
    for (x0, x1), z in zip(((left - reach, left), (right, right + reach)), beside, strict=True):
        yield Hatch(((x0, z - deep), (x1, z - deep), (x1, z), (x0, z)), pattern)
        yield Line.through(((x0, z), (x1, z)), layers.GROUND)
    for x, z in zip((left, right), beside, strict=True):
        if z != 0.0:  # the step from that side's ground to that along the fence
            yield Line.through(((x, 0.0), (x, z)), layers.SIDE_GROUND)


def _post(cut: Cut) -> Iterator[Item]:
    plan, top, front, back = cut.post.plan, cut.top, -cut.run.face, cut.back
    head = plan.top.outline(plan.depth / 2.0, top, side=True)
    tip = [(cut.middle + x, z, bulge) for x, z, bulge in head]
    foot = -plan.embedment
    loop = ((front, foot, 0.0), (back, foot, 0.0), *tip)
    yield Line(loop, layers.POSTS, closed=True)
    yield from _bevel_lines(cut)
    if isinstance(plan.cap, Cap):
        outline = cap_outline(plan.cap, plan.cap.depth, cut.middle, top)
        yield Line.through(outline, layers.POSTS, closed=True)
    if isinstance(plan.cap, MetalCap):
        outline = metal_cap_outline(plan.cap, plan.cap.depth, cut.middle, top)
        yield Line.through(outline, layers.METAL, closed=True)
    if plan.finial is not None:
        foot = cut.post.full_height - plan.finial.height
        yield from finial_lines(plan.finial, (cut.middle, foot))


def _steel(cut: Cut) -> Iterator[Item]:
    """Yield the steel at the post's foot, seen from its side."""
    x, y, _ = cut.post.frame.x
    origin = cut.post.frame.point((0.0, -cut.middle, 0.0))
    view = Frame(origin, cut.post.frame.y, (-x, -y, 0.0))
    for member in cut.fence.of_post[cut.run_number, cut.post.label]:
        if member.kind in STEEL_FEET:
            for loop in project(member, view).loops:
                yield Line.through(loop, layers.METAL, closed=True)


def _bevel_lines(cut: Cut) -> Iterator[Line]:
    """Yield the inner edges of the bevels of a post's front and back edges."""
    plan = cut.post.plan
    if plan.bevel is None:
        return
    half = plan.depth / 2.0
    spans = plan.bevel.between(cut.top - plan.top.rise, cut.run.rail_bands(plan.width))
    points = list(Bevel(plan.bevel.size, plan.bevel.stop, spans).edge(half))
    for n in range(0, len(points), 4):
        for side in (-1.0, 1.0):
            loop = tuple((cut.middle + side * x, z) for x, z in points[n : n + 4])
            yield Line.through(loop, layers.METAL)


def _rail_front(run: RunJob) -> float:
    """Return where the rails' fronts are across the fence, mm."""
    return -run.rails.faces(run.face)[1]


def _rails(cut: Cut) -> Iterator[Item]:
    run = cut.run
    members = cut.fence.members
    rail = next(bar_of(m.shape) for m in members if m.kind == RAIL and m.run == cut.run_number)
    assert rail is not None
    for top in run.rails.tops:
        low = top - run.rails.section[0]
        loop = tuple((_rail_front(run) + y, low + z) for y, z in rail.section)
        yield Line.through(loop, layers.RAILS, closed=True)
        yield Hatch(loop, CUT_TIMBER)


def _pale(cut: Cut) -> Iterator[Item]:
    run = cut.run
    ups = {run.pales.clearance + kind.length - kind.rise for kind in run.pales.sorts}
    ups |= {run.pales.clearance + kind.length for kind in run.pales.sorts}
    for layer in run.layers:
        front, back = -layer.front, -layer.back
        pale = Outline.rectangle(front, run.pales.clearance, back, run.height)
        beside = layer.back < run.face - BESIDE  # it stands behind the post that is cut
        yield Line(pale.vertices, layers.HIDDEN if beside else layers.PALES, closed=True)
        for up in sorted(ups - {run.height}):  # where heads begin, and the tops of shorter ones
            edge = layers.HIDDEN if beside else layers.METAL
            yield Line.through(((front, up), (back, up)), edge)


def _capping(cut: Cut) -> Iterator[Item]:
    kick = cut.run.kick_board
    if kick is not None:
        front = kick.front(cut.run.face)
        loop = tuple((y - front, kick.clearance + z) for y, z in kick.section)
        yield Line.through(loop, layers.RAILS, closed=True)
        yield Hatch(loop, CUT_TIMBER)
    plan = cut.run.capping
    if plan is not None:
        loop = tuple((y - plan.front, cut.run.height + z) for y, z in plan.section)
        yield Line.through(loop, layers.RAILS, closed=True)
        yield Hatch(loop, CUT_TIMBER)


def _bolts(cut: Cut) -> Iterator[Item]:
    bolt = _bolt_at(cut.fence, cut.run_number, cut.post)
    if bolt is None:
        return
    run = cut.run
    start, height = _rail_front(run), run.rails.section[0]
    for top in run.rails.tops:
        for line in bolt_lines(bolt, (0.0, 0.0)):
            # from upright to level: y of the bolt becomes x of the section
            turned = tuple((start + y, top - height / 2.0 + x, b) for x, y, b in line.vertices)
            yield Line(turned, layers.METAL, closed=True)


def _bolt_at(fence: FenceModel, run: int, post: PlacedPost) -> Bolt | None:
    """Return the first bolt through a post, or None when its rails have none."""
    for member in fence.members:
        if member.run == run and member.kind == BOLT and isinstance(member.shape, Bolt):
            x, y, _ = post.frame.local(member.frame.origin)
            if abs(x) < post.plan.width / 2.0 and abs(y) < 300.0:
                return member.shape
    return None


def _front_dimensions(cut: Cut) -> Iterator[Dimension]:
    """Yield clearance and length of the pales, in front of them."""
    run, draft = cut.run, cut.draft
    left = min(-run.fence_front, cut.hole - _half_across(cut.foot.room))
    tops = sorted({run.pales.clearance + kind.length for kind in run.pales.sorts})
    tops += [run.height + run.pales.crown] if run.capping is not None else []
    ups = {0.0, run.pales.clearance, *tops}
    if run.kick_board is not None:
        ups |= {run.kick_board.clearance, run.kick_board.top}
    heights = [(left, z) for z in sorted(ups)]
    for one in upright_chain(heights, left - draft.full(draft.style.first_tier), draft):
        yield replace(one, masks=one.text_at is not None)  # it may reach into the ground


def _back_dimensions(cut: Cut) -> Iterator[Dimension]:
    """Yield what is behind the post: weathering, the post over the rail, its depth, the rails."""
    run, draft = cut.run, cut.draft
    foot, right = cut.foot, cut.right
    x = right + draft.full(draft.style.first_tier)
    if foot.dug is not None and foot.dug.weathering:
        yield from upright_chain([(right, 0.0), (right, foot.dug.weathering)], x, draft)
    yield from upright_chain([(right, run.rails.tops[-1]), (right, cut.top)], x, draft)
    x += draft.full(draft.style.side_tier)
    # above ground the rails, nearest first; below it the post and its bed
    below = sorted({-foot.deep, -foot.embedment, 0.0})
    yield from upright_chain([(right, z) for z in below], x, draft, aside=True)
    for rail in run.rails.tops:
        yield one_dimension(((right, 0.0), (right, rail)), (x, 0.0), 90.0, draft)
        x += draft.full(draft.style.side_tier)


def _level_dimensions(cut: Cut) -> Iterator[Dimension]:
    """Yield the hole's width below, and the pales' thickness above."""
    run, draft = cut.run, cut.draft
    first_tier = draft.full(draft.style.first_tier)
    if cut.foot.dug is not None:
        low, sign = -cut.foot.deep, hole_sign(cut.foot.dug.hole)
        hole: list[Point] = [(cut.hole - cut.half, low), (cut.hole + cut.half, low)]
        for one in level_chain(hole, low - first_tier, draft):
            yield replace(one, sign=sign)
    faces = sorted({-face for layer in run.layers for face in (layer.front, layer.back)})
    pale: list[Point] = [(face, run.height) for face in faces]
    yield from level_chain(pale, max(run.height + run.pales.crown, cut.top) + first_tier, draft)
