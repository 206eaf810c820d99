"""Holes filled with rammed gravel: what is made, bought, checked, said and refused."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from helpers import fence_of
from palewright.export.papers.alternatives import Alternative, facts
from palewright.export.papers.offer_words import offered
from palewright.model.basis.errors import SpecError
from palewright.model.checks.building_checks import CAUTIONS, WET_CEMENT, cautions
from palewright.model.fence.fence_model import FenceModel
from palewright.model.lists.setting_out import CEMENT, HARD, RAMMING, site_steps
from palewright.model.lists.takeoff import concrete, gravel
from palewright.model.order.gravel import LOOSE, rammed
from palewright.model.order.order_lines import Group, order
from palewright.model.parts.members import FOOTING, PACKING, POST
from palewright.model.strength.assess import assess
from palewright.reading import job_of

RUN = {"points": [[0, 0], [7200, 0]], "gate": [{"at": 2700.0}]}


def packed(**told: Any) -> FenceModel:
    return fence_of({"run": [RUN], "footings": {"fill": "gravel", "hole": "round", **told}})


def test_the_hole_less_the_post_is_gravel() -> None:
    fence = packed()
    posts = [post for layout in fence.layouts for post in layout.posts]
    wanted = sum(
        math.pi * 150.0**2 * (post.plan.embedment + 50.0)
        - post.plan.width * post.plan.depth * post.plan.embedment
        for post in posts
    )
    assert gravel(fence) == pytest.approx(wanted)
    total = concrete(fence)
    assert (total.footings, total.volume) == (0, 0.0)
    assert total.excavation == pytest.approx(
        sum(math.pi * 150.0**2 * (post.plan.embedment + 50.0) for post in posts)
    )
    kinds = [member.kind for member in fence.members]
    assert FOOTING not in kinds
    assert kinds.count(PACKING) == kinds.count(POST)


def test_gravel_is_bought_and_no_cement() -> None:
    fence = packed()
    told = fence.job.concrete
    made, lines = rammed(fence), order(fence).lines
    assert made.loose == pytest.approx(gravel(fence) / 1e9 * LOOSE * (1.0 + told.extra))
    bags = [line for line in lines if line.group == Group.GRAVEL]
    assert [int(line.quantity) for line in bags] == [
        math.ceil(made.loose * told.aggregate / told.bulk_bag)
    ]
    assert not [line for line in lines if line.group == Group.CONCRETE]
    work = {line.item: line.quantity for line in lines if line.group == Group.WORK}
    assert work["dig hole"] == work["set post"]
    assert float(work["ram gravel"]) == pytest.approx(made.loose, abs=0.006)
    assert "place concrete" not in work


def test_in_the_wind_the_post_alone_bears() -> None:
    """b is the post's diagonal, and the depth is the post's; in concrete the hole's, and the bed's
    too (IBC 1807.3: b of the post or of its footing; from memory).
    """
    wind = {"wind": {"velocity": 22.0}, "run": [{"points": [[0, 0], [7200, 0]]}]}
    for fill, width, deep in (("gravel", math.hypot(100, 100), 0.6), ("concrete", 300.0, 0.65)):
        fence = fence_of({**wind, "footings": {"fill": fill, "hole": "round"}})
        found = [one.check for one in assess(fence).governing if one.check.code == "WIND-DEPTH"]
        assert found
        for check in found:
            step = next(s for s in check.steps if s.symbol == "b")
            assert step.value == pytest.approx(width / 1000.0, abs=1e-4)
            assert check.resistance == pytest.approx(deep)
            assert ("footings.fill" in check.mend) == (fill == "gravel")


def test_what_is_said_is_of_gravel() -> None:
    fence, other = packed(), fence_of({"run": [RUN]})
    assert WET_CEMENT not in cautions(fence)
    assert any("until the gravel is rammed" in one for one in cautions(fence))
    assert cautions(other) == CAUTIONS
    said = offered(fence, order(fence))
    assert any("in rammed gravel, in round holes" in str(told) for told in said)
    alike = dict(facts(Alternative("packed", fence, order(fence), None)))
    assert "concrete" not in alike
    assert alike["gravel"] == f"{rammed(fence).loose:.2f} m3"
    assert RAMMING in site_steps(fence)
    assert CEMENT not in site_steps(fence)
    assert HARD in site_steps(other)
    assert RAMMING not in site_steps(other)


def test_gravel_that_stands_over_the_ground_is_refused() -> None:
    with pytest.raises(SpecError) as caught:
        job_of({"run": [RUN], "footings": {"fill": "gravel", "weathering": 25.0}}, {}, "x", Path())
    assert "footings.weathering" in str(caught.value)
    assert "gravel does not stand over the ground" in str(caught.value)
    assert packed(weathering=0.0).members
