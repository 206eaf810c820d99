"""Which members each bay and gate has, by mark: what is bundled for it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from operator import attrgetter

from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.layout.run_layout import Opening, RunLayout, Stretch
from palewright.model.parts.members import KINDS, Kind, Member


@dataclass(frozen=True)
class BayLine:
    """A bay or a gate with its members.

    run, leg : numbers; name : of it, as "A bay 03" or "A gate 1"; first, last : labels of the
    posts that it stands between; x0, x1 : of these along the leg, mm; members : all that the bay
    begins with: a rail over several bays is of the first, a post of the first bay at it.
    """

    run: int
    leg: int
    name: str
    first: str
    last: str
    x0: float
    x1: float
    members: tuple[Member, ...]

    @property
    def number(self) -> str:
        """Its number in its run, or the gate's words: "03", "gate 1"."""
        return self.name.split(" ", 1)[1].removeprefix("bay ")

    def bundles(self, *kinds: Kind) -> list[tuple[Member, int]]:
        """Return one member of each mark of some kinds, and how many there are."""
        counts = Counter(m.mark for m in self.members if m.kind in kinds)
        firsts = {m.mark: m for m in reversed(self.members)}
        order = sorted(counts, key=lambda mark: KINDS.index(firsts[mark].kind))
        return [(firsts[mark], counts[mark]) for mark in order]

    def marks(self, *kinds: Kind) -> str:
        """Return the marks of some kinds, with counts over one: "PA1 x 12, PA4"."""
        return marks_words((m.mark, count) for m, count in self.bundles(*kinds))


def marks_words(counts: Iterator[tuple[str, int]]) -> str:
    """Return marks with how many there are: "PA1 x 12, PA4"."""
    return ", ".join(f"{mark} x {count}" if count > 1 else mark for mark, count in counts)


def bay_lines(fence: FenceModel) -> list[BayLine]:
    """Return every bay and gate, run by run from left to right."""
    return [
        line for run, layout in enumerate(fence.layouts) for line in _of_run(fence, run, layout)
    ]


def _of_run(fence: FenceModel, run: int, layout: RunLayout) -> Iterator[BayLine]:
    letter, bay = layout.run.letter, 0
    stretches = [(s.leg_number, s.xs[0], s) for s in layout.stretches]
    openings = [(o.leg_number, o.start, o) for o in layout.openings]
    parts: list[tuple[int, float, Stretch | Opening]] = [*stretches, *openings]
    for leg, _, part in sorted(parts, key=lambda item: item[:2]):
        spans: list[tuple[str, PlacedPost, PlacedPost, float, float]] = []
        if isinstance(part, Opening):
            first, last = part.posts
            spans = [(f"{letter} gate {part.number + 1}", first, last, part.start, part.end)]
        else:
            for (one, other), (x0, x1) in zip(pairwise(part.posts), pairwise(part.xs), strict=True):
                bay += 1
                spans.append((f"{letter} bay {bay:02d}", one, other, x0, x1))
        for name, one, other, x0, x1 in spans:
            members = fence.by_group.get((run, name), ())
            yield BayLine(run, leg, name, one.label, other.label, x0, x1, members)


def by_leg(lines: list[BayLine]) -> dict[tuple[int, int], list[BayLine]]:
    """Return bays and gates by run and leg, in order of where they start."""
    legs: dict[tuple[int, int], list[BayLine]] = {}
    for line in sorted(lines, key=attrgetter("run", "leg", "x0")):
        legs.setdefault((line.run, line.leg), []).append(line)
    return legs
