"""Every post, rail, fixing and footing of random fences against a second calculation."""

from __future__ import annotations

import math
import random
from typing import Any

import pytest
from second_calculator import Calculator

from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.fixed_posts import gate_problems
from palewright.model.order.joints import make_fence
from palewright.model.resolved.resolve import resolve
from palewright.model.spec.spec_tables import SpecTables
from palewright.model.strength.post_strength import checked_post
from palewright.model.strength.rail_strength import checked_rail
from palewright.model.strength.run_wind import run_winds

FENCES, BATCHES = 200, 8


def random_spec(rng: random.Random) -> dict[str, Any]:
    """A run of one to three legs with gates, in any wind, on any ground."""
    x = y = 0.0
    level, heading = 0.0, rng.uniform(0, 360)
    slope = rng.choice([0.0, 0.0, 0.12])
    points: list[list[float]] = [[x, y, level]]
    gates, before = [], 0.0
    for number in range(rng.randint(1, 3)):
        if number:
            heading += rng.choice([-120, -90, -60, -20, 25, 45, 90, 90, 130])
        length = rng.uniform(3500, 9000)
        if rng.random() < 0.5:
            opening = rng.uniform(800, 2600)
            gates.append(
                {
                    "at": before + length * rng.uniform(0.47, 0.53),
                    "opening": opening,
                    "leaves": 1 if opening < 1300 else 2,
                    "hinge": rng.choice(["left", "right"]),
                }
            )
        x += length * math.cos(math.radians(heading))
        y += length * math.sin(math.radians(heading))
        level += length * rng.uniform(-slope, slope)
        points.append([x, y, level])
        before += length
    form = rng.choice(["face", "face", "arris"])
    rails = rng.choice([2, 2, 3])
    tall = rng.uniform(900, 1700)
    return {
        "run": [
            {
                "points": points,
                "gate": gates,
                "front": rng.choice(["left", "right"]),
                "starts": rng.choice(["post", "post", "wall"]),
            }
        ],
        "posts": {
            "section": rng.choice([[75, 75], [100, 100], [100, 125], [150, 150]]),
            "bay": rng.uniform(1300, 2600),
            "embedment": rng.choice([500, 600, 750]),
        },
        "rails": {
            "count": rails,
            "form": form,
            "section": [84, 42] if form == "arris" else rng.choice([[75, 38], [95, 45]]),
            "bolt": rng.choice(["M8", "M10", "M12"]),
            "stock_length": rng.choice([3000, 3600, 4800, 6000]),
        },
        "pales": {
            "width": rng.uniform(60, 130),
            "gap": rng.choice([4, 8, 20, 45, 80]),
            "gap_max": 100,
            "length": tall,
            "head": rng.choice(["square", "pointed", "round"]),
        },
        "footings": {"size": 320, "hole": rng.choice(["round", "square"])},
        "wind": {
            "velocity": rng.uniform(16, 30),
            "terrain": rng.choice(["0", "I", "II", "III", "IV"]),
            "orography": rng.choice([1.0, 1.2]),
            "shelter": rng.choice([1.0, 0.7]),
            "duration": rng.choice(["short-term", "instantaneous"]),
            **rng.choice([{}, {}, {"force": 1.6}]),
        },
        "strength": {
            "posts": rng.choice(["C16", "C18", "C24"]),
            "rails": rng.choice(["C16", "C24"]),
            "leaf_load": rng.choice([0.0, 1000.0]),
        },
        "soil": {
            "kind": rng.choice(["clay", "sand", "gravel"]),
            **rng.choice([{}, {"cohesion": 40.0}, {"friction": 32.0}]),
            **rng.choice([{}, {"doubled": True}, {"doubled": False}]),
        },
        "fixings": {"pales": rng.choice(["nails", "screws"])},
    }


def random_fences(seed: int, count: int) -> list[FenceModel]:
    """Return random fences; what cannot be built is drawn again."""
    rng = random.Random(seed)
    fences: list[FenceModel] = []
    while len(fences) < count:
        job = resolve(SpecTables.model_validate(random_spec(rng)))
        if not job.problems and not any(True for run in job.runs for _ in gate_problems(run)):
            fences.append(make_fence(job))
    return fences


@pytest.mark.slow
@pytest.mark.parametrize("batch", range(BATCHES))
def test_both_calculators_agree(batch: int) -> None:
    """All utilisations of every member to a thousandth, over 200 fences."""
    compared = 0
    for fence in random_fences(batch, FENCES // BATCHES):
        for wind in run_winds(fence):
            second = Calculator(fence, wind.number)
            for number, post in enumerate(wind.layout.posts):
                if post.footing is None:
                    continue
                own: dict[str, float] = {}
                for _, checks in checked_post(wind, number):
                    for one in checks:
                        own[one.name] = max(own.get(one.name, 0.0), one.utilisation)
                assert own == pytest.approx(second.check_post(number), rel=1e-3, abs=1e-9)
                compared += len(own)
            again = dict(second.check_rails())
            for order, rails in enumerate(wind.beams):
                for rail in rails if wind.shown[order] is not None else ():
                    _, checks = checked_rail(wind, order, rail, fence.job.fixings)
                    own = {one.name: one.utilisation for one in checks}
                    key = order, rail.row, rail.places
                    assert own == pytest.approx(again[key], rel=1e-3, abs=1e-9)
                    compared += len(own)
    assert compared > 1000
