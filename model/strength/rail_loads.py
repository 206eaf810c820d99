"""How the wind on pales comes to rails and to posts: shares of the rails, and their beams."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from palewright.model.layout.run_layout import Stretch
from palewright.model.resolved.job import RunJob

from .continuous_beam import Beam, continuous_beam
from .shown import Shown

STIFF_PALES, STIFF_RAILS = "stiff pales on yielding rails", "yielding pales on stiff rails"


@dataclass(frozen=True)
class RailBeam:
    """A rail as a beam. row : from the lowest; places : numbers of the posts in the stretch that
    hold it; beam : under a load of 1.
    """

    row: int
    places: tuple[int, ...]
    beam: Beam


@dataclass(frozen=True)
class Shares:
    """What each rail takes of the wind on the pales, lowest first. words : what is assumed."""

    words: str
    values: tuple[float, ...]


def rail_heights(run: RunJob, shown: Shown) -> tuple[float, ...]:
    """Return the middles of the rails over the ground, lowest first, mm."""
    half = run.rails.section[0] / 2.0
    return tuple(top - half + shown.lift for top in run.rails.tops)


def shares_of(heights: tuple[float, ...], foot: float, top: float) -> tuple[Shares, ...]:
    """Return what rails take of an even load on pales, by the assumptions that bound it.

    heights : of the rails, foot, top : of the pales, mm. On two rails statics decide. On more it
    depends on what yields: pales that stay straight on rails of one stiffness, or rails that stay
    straight under pales that are continuous beams; the truth lies between.
    """
    count = len(heights)
    if count == 1:
        return (Shares("one rail", (1.0,)),)
    middle, mean = (foot + top) / 2.0, sum(heights) / count
    spread = sum((height - mean) ** 2 for height in heights)
    stiff = tuple(1.0 / count + (middle - mean) * (each - mean) / spread for each in heights)
    if count == 2:
        return (Shares("the pales' statics", stiff),)
    if heights[0] < foot or heights[-1] > top:
        return (Shares(STIFF_PALES, stiff),)
    beam = continuous_beam(heights, heights[0] - foot, top - heights[-1])
    firm = tuple(reaction / (top - foot) for reaction in beam.reactions)
    return Shares(STIFF_PALES, stiff), Shares(STIFF_RAILS, firm)


def rail_beams(run: RunJob, stretch: Stretch) -> Iterator[RailBeam]:
    """Yield the rails of a stretch as beams on its posts; ends beyond the posts are cantilevers."""
    xs, last = stretch.xs, len(stretch.xs) - 1
    before, beyond = abs(xs[0] - stretch.first.x), abs(stretch.last.x - xs[-1])
    if run.rails.over_posts:
        for piece in stretch.rails:
            a, b = piece.bays[0], piece.bays[1] + 1
            beam = continuous_beam(
                xs[a : b + 1], before if a == 0 else 0.0, beyond if b == last else 0.0
            )
            yield RailBeam(piece.row, tuple(range(a, b + 1)), beam)
        return
    for bay, (x0, x1) in enumerate(pairwise(xs)):
        beam = continuous_beam(
            (x0, x1), before if bay == 0 else 0.0, beyond if bay + 1 == last else 0.0
        )
        for row in range(len(run.rails.tops)):
            yield RailBeam(row, (bay, bay + 1), beam)


def carried(beams: tuple[RailBeam, ...], posts: int, rows: int) -> tuple[tuple[float, ...], ...]:
    """Return the length of each row of rails that each post carries, mm: [post][row]."""
    lengths = [[0.0] * rows for _ in range(posts)]
    for rail in beams:
        for place, reaction in zip(rail.places, rail.beam.reactions, strict=True):
            lengths[place][rail.row] += reaction
    return tuple(map(tuple, lengths))
