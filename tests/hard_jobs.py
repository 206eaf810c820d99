"""Jobs that are hard to draw, invented: for tests that measure the sheets."""

from __future__ import annotations

import math
import random
from typing import Any

STREET: dict[str, Any] = {
    "project": {"name": "Chapel Rise", "reference": "CR"},
    "run": [
        {
            "points": [[0, 0], ["19.4 m", 0]],
            "starts": "wall",
            "levels": [[0, 0], ["6 m", 420], ["11 m", 610], ["19.4 m", 1490]],
            "gate": [{"at": "3.2 m", "opening": 950}, {"at": "12 m", "opening": 3300, "leaves": 2}],
        }
    ],
}

ARC: dict[str, Any] = {
    "project": {"name": "Crescent", "reference": "CT"},
    "run": [
        {
            "points": [
                [round(38200 * math.sin(a)), round(38200 * (1 - math.cos(a)))]
                for a in (k * math.pi / 40 for k in range(21))
            ],
            "levels": [[0, 0], ["58 m", "1.1 m"]],
        }
    ],
}

BETWEEN_WALLS: dict[str, Any] = {
    "project": {"name": "Side passage", "reference": "SP"},
    "run": [{"points": [[0, 0], [2400, 0]], "starts": "wall", "ends": "wall"}],
}

YARD: dict[str, Any] = {
    "project": {"name": "Corner lot", "reference": "CL"},
    "run": [
        {
            "points": [[0, 0], ["31 ft 4 in", 0], ["40 ft", "17 ft"], ["22 ft", "33 ft 7 in"],
                       ["1 ft", "29 ft"]],
            "gate": [{"at": "9 ft", "opening": "3 ft 2 in"}],
            "levels": [[0, 0], ["31 ft", "14 in"], ["90 ft", "5 in"]],
        }
    ],
    "posts": {"section": ["3 1/2 in", "3 1/2 in"], "bay": "8 ft", "top": "flat"},
    "sheets": {"size": "ARCH B", "units": "ft-in"},
}  # fmt: skip

SITE: dict[str, Any] = {
    "project": {"name": "Allotments", "reference": "AL"},
    "run": [
        {
            "points": [
                [round((58000 + 9000 * (k % 3 - 1)) * math.cos(k * math.tau / 30)),
                 round((58000 + 9000 * (k % 3 - 1)) * math.sin(k * math.tau / 30))]
                for k in range(30)
            ],
            "closed": True,
            "gate": [{"at": "7.6 m", "opening": 3600, "leaves": 2}],
        }
    ],
}  # fmt: skip

FEET: dict[str, Any] = {
    "project": {"name": "Mill yard", "reference": "MY"},
    "run": [
        {
            "points": [[0, 0], ["7.6 m", 0], ["11 m", "2.8 m"]],
            "levels": [[0, 0], ["12 m", 90]],
            "gate": [{"at": "2.9 m", "opening": 1000}],
        }
    ],
    "posts": {"foot": "shoe", "corner": {"foot": "hole"}, "gate": {"foot": "hole"}},
}
"""A job whose posts stand in more than one way."""

HARD = {
    "street": STREET, "arc": ARC, "passage": BETWEEN_WALLS, "yard": YARD, "allotments": SITE,
    "feet": FEET,
}  # fmt: skip


def random_job(seed: int) -> dict[str, Any]:
    """Return a fence of two to nine legs with any turns, a slope, gates, and at times feet."""
    dice = random.Random(seed)
    x = y = heading = 0.0
    points, total = [[0, 0]], 0.0
    lengths = [dice.uniform(2600, 14000) for _ in range(dice.randint(2, 9))]
    gates = []
    for length in lengths:
        x += length * math.cos(heading)
        y += length * math.sin(heading)
        points.append([round(x), round(y)])
        if length > 5000 and dice.random() < 0.4:
            gates.append(
                {"at": round(total + length / 2), "opening": dice.choice([900, 1000, 1200])}
            )
        total += length
        heading += math.radians(dice.choice([-95, -80, -40, -9, 7, 25, 50, 88]))
    levels = [[0, 0], [round(total * 0.4), dice.randint(-400, 400)], [round(total) - 60, 200]]
    run: dict[str, Any] = {"points": points, "gate": gates}
    if dice.random() < 0.6:
        run["levels"] = levels
    job: dict[str, Any] = {"project": {"name": f"Job {seed}"}, "run": [run]}
    if dice.random() < 0.3:
        job["sheets"] = {"size": dice.choice(["ARCH B", "ARCH C"]), "units": "ft-in"}
    return job
