"""Concrete against a worked example of estimating handbooks."""

from __future__ import annotations

import math

import pytest

from helpers import fence_of
from palewright.model.order.concrete_mix import mix, mix_of
from palewright.model.spec.buying import Concrete


def test_a_cubic_metre_of_one_two_four() -> None:
    """1 m3 of 1:2:4 with 1.54 of loose materials: cement 0.22 m3, 316.8 kg at 1440 kg/m3; sand
    0.44 m3, 638 kg at 1450; stone 0.88 m3 (worked example of estimating pages for builders).
    """
    told = Concrete(mix=(1.0, 2.0, 4.0), loose=1.54, aggregate=1450.0)
    cement, aggregates = mix_of(1.0, told)
    assert cement == pytest.approx(316.8, abs=0.05)
    assert [name for name, _, _ in aggregates] == ["sand", "stone"]
    assert [loose for _, loose, _ in aggregates] == pytest.approx([0.44, 0.88])
    assert aggregates[0][2] == pytest.approx(638.0)


def test_holes_in_closed_form() -> None:
    """A hole 300 across and 600 deep holds 0.04241 m3, 0.03641 with a post of 100 x 100 in it; a
    300 square one 0.048: arithmetic. A 20 kg bag makes 10 litres (common practice, no source).
    """
    footings = {"hole": "round", "size": 300, "bed": 0, "weathering": 0}
    fence = fence_of({"run": [{"points": [[0, 0], [1800, 0]]}], "footings": footings,
                      "concrete": {"extra": 0.0}})  # fmt: skip
    found = mix(fence)
    (line,) = found.footings
    assert line.volume == pytest.approx(math.pi * 0.15**2 * 0.6 - 0.1 * 0.1 * 0.6)
    assert line.volume == pytest.approx(0.03641, abs=5e-6)
    assert line.bags == 3.7
    assert found.ready_bags == 8
    assert found.excavation == pytest.approx(2 * 0.04241, abs=1e-5)
    square = fence_of({"run": [{"points": [[0, 0], [1800, 0]]}],
                       "footings": footings | {"hole": "square"}})  # fmt: skip
    assert mix(square).footings[0].volume == pytest.approx(0.048)
