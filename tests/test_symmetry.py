"""What may not change a fence, and what may not make it stronger: properties of random fences."""

from __future__ import annotations

import math
import random
from collections import Counter
from collections.abc import Callable
from copy import deepcopy
from typing import Any

import pytest
from test_second_calculator import random_spec

from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.fixed_posts import gate_problems
from palewright.model.order.joints import make_fence
from palewright.model.order.order_lines import order
from palewright.model.resolved.resolve import resolve
from palewright.model.spec.spec_tables import SpecTables
from palewright.model.strength.assess import assess

OTHER = {"left": "right", "right": "left"}

Data = dict[str, Any]


def made(data: Data) -> FenceModel | None:
    job = resolve(SpecTables.model_validate(data))
    if job.problems or any(True for run in job.runs for _ in gate_problems(run)):
        return None
    return make_fence(job)


def reversed_(data: Data) -> Data:
    """The same fence, told from its other end."""
    data = deepcopy(data)
    run = data["run"][0]
    points = run["points"]
    length = sum(math.dist(a[:2], b[:2]) for a, b in zip(points, points[1:], strict=False))
    run["points"], run["front"] = points[::-1], OTHER[run["front"]]
    run["starts"], run["ends"] = run.get("ends", "post"), run.get("starts", "post")
    for gate in run["gate"]:
        gate["at"] = length - gate["at"]
    return data


def mirrored(data: Data) -> Data:
    data = deepcopy(data)
    run = data["run"][0]
    run["points"] = [[-x, *rest] for x, *rest in run["points"]]
    run["front"] = OTHER[run["front"]]
    for gate in run["gate"]:
        gate["hinge"] = OTHER[gate["hinge"]]
    return data


def moved(data: Data) -> Data:
    data = deepcopy(data)
    run = data["run"][0]
    cos, sin = math.cos(0.651), math.sin(0.651)
    run["points"] = [
        [x * cos - y * sin + 1e5, x * sin + y * cos - 3e4, z + 250.0] for x, y, z in run["points"]
    ]
    return data


def figures(fence: FenceModel) -> list[float]:
    """Every utilisation, in order of size within each kind of member."""
    strength = assess(fence)
    posts = sorted((one.placed.kind, one.post) for one in strength.posts)
    footings = sorted((one.placed.kind, one.footing) for one in strength.posts)
    return [value for _, value in posts + footings] + sorted(one.used for one in strength.rails)


def lists(fence: FenceModel) -> tuple[Counter[Any], Counter[Any]]:
    """What is ordered, and how many members each mark has, by what the mark is."""
    lines = Counter({(line.item, line.unit): line.quantity for line in order(fence).lines})
    counts = Counter(member.mark for member in fence.members)
    kinds = {
        member.mark: (member.kind.name, round(member.shape.volume)) for member in fence.members
    }
    return lines, Counter((kinds[mark], count) for mark, count in counts.items())


@pytest.mark.slow
@pytest.mark.parametrize("change", [moved, mirrored, reversed_])
def test_where_a_fence_stands_and_how_it_is_told_changes_nothing(
    change: Callable[[Data], Data],
) -> None:
    rng = random.Random(11)
    compared = 0
    while compared < 40:
        data = random_spec(rng)
        fence = made(data)
        if fence is None:
            continue
        changed = made(change(data))
        assert changed is not None
        assert figures(changed) == pytest.approx(figures(fence), rel=1e-6)
        assert lists(changed) == lists(fence)
        compared += 1


def worst(fence: FenceModel) -> dict[tuple[str, str], float]:
    return {(one.members, one.check.name): one.check.utilisation for one in assess(fence).governing}


def stronger_wind(data: Data) -> None:
    data["wind"]["velocity"] *= 1.3


def taller_pales(data: Data) -> None:
    data["pales"]["length"] *= 1.15


def weaker_timber(data: Data) -> None:
    data["strength"] |= {"posts": "C16", "rails": "C16", "pales": "C16"}


def wider_bays(data: Data) -> None:
    """As many bays, each a fifth wider."""
    run = data["run"][0]
    run["points"] = [[1.2 * x, 1.2 * y, z] for x, y, z in run["points"]]
    data["posts"]["bay"] *= 1.2
    data["rails"]["stock_length"] *= 1.2
    for gate in run["gate"]:
        gate["at"] *= 1.2


@pytest.mark.slow
@pytest.mark.parametrize("change", [stronger_wind, taller_pales, weaker_timber, wider_bays])
def test_what_loads_a_fence_more_never_makes_it_stronger(change: Callable[[Data], None]) -> None:
    """Of open fences, whose coefficient does not depend on their length (EN 1991-1-4, 7.4.1)."""
    rng = random.Random(5)
    compared = 0
    while compared < 40:
        data = random_spec(rng)
        data["pales"]["gap"] = 80
        data["rails"]["count"] = 2
        data["run"][0]["points"] = [[x, y, 0.0] for x, y, _ in data["run"][0]["points"]]
        data["run"][0]["gate"] = [] if change is wider_bays else data["run"][0]["gate"]
        data["wind"].pop("force", None)
        heavier = deepcopy(data)
        change(heavier)
        before, after = made(data), made(heavier)
        if before is None or after is None:
            continue
        less, more = worst(before), worst(after)
        for key in less.keys() & more.keys():
            assert more[key] >= less[key] * (1.0 - 1e-9), (key, data)
        compared += 1
