"""The lists against the members and against independent arithmetic."""

from __future__ import annotations

import csv
import io
import math

import pytest

from helpers import fence_of
from palewright.export.models.product import Product
from palewright.export.tables.list_tables import csv_bytes, text_table
from palewright.export.tables.order_tables import write_tables
from palewright.model.lists.takeoff import concrete, part_lines, station_lines


def rows(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"))))


def test_members_add_up_to_the_solids(built: Product) -> None:
    table = rows(write_tables(built.fence, built.order, "f")["f-members.csv"])
    assert [row["mark"] for row in table] and {row["mark"] for row in table} == set(
        built.fence.by_mark
    )
    for row in table:
        group = built.fence.by_mark[row["mark"]]
        assert int(row["count"]) == len(group)
        solid = built.solids[row["mark"]]
        assert float(row["volume each m3"]) == pytest.approx(solid.Volume() / 1e9, abs=5.1e-7)
    lines = {line.mark: line for line in part_lines(built.fence)}
    for mark, solid in built.solids.items():
        box = solid.BoundingBox()
        sizes = sorted((box.xlen, box.ylen, box.zlen))
        line = lines[mark]
        if line.kind.prefix in ("RA", "PA", "PO", "LE"):
            assert sorted((line.first, line.second, line.length)) == pytest.approx(sizes, abs=1e-4)


def test_posts_are_set_out_along_the_line(built: Product) -> None:
    table = rows(write_tables(built.fence, built.order, "f")["f-posts.csv"])
    assert len(table) == sum(len(layout.posts) for layout in built.fence.layouts)
    lines = station_lines(built.fence)
    for row, line in zip(table, lines, strict=True):
        assert row["post"] == line.label
        assert float(row["chainage mm"]) == pytest.approx(line.chainage, abs=0.0501)
        in_ground = line.kind != "wall"
        assert (float(row["hole depth mm"]) > float(row["post below ground mm"])) == in_ground
    for layout in built.fence.layouts:
        own = [line for line in lines if line.label.startswith(layout.run.letter)]
        assert [line.chainage for line in own] == sorted(line.chainage for line in own)
        if layout.run.line.bent:
            continue  # posts on a bend stand back from it like corner posts
        for one, other in zip(own, own[1:], strict=False):
            if "corner" not in (one.kind, other.kind) and "gate" not in (one.kind, other.kind):
                apart = math.dist((one.east, one.north), (other.east, other.north))
                assert apart == pytest.approx(other.chainage - one.chainage, abs=1e-6)


def test_concrete_is_hole_less_post_and_a_weathered_top() -> None:
    fence = fence_of(
        {
            "run": [{"points": [[0, 0], [3600, 0]]}],
            "footings": {"hole": "square", "size": 300, "bed": 50, "weathering": 0},
        }
    )
    total = concrete(fence)
    # three holes of 0.3 x 0.3 x 0.65 less posts of 0.1 x 0.1 x 0.6
    assert total.footings == 3
    assert total.excavation == pytest.approx(3 * 0.0585e9)
    assert total.volume == pytest.approx(3 * (0.0585e9 - 0.006e9))


def test_bays_and_gaps(built: Product) -> None:
    for row in rows(write_tables(built.fence, built.order, "f")["f-bays.csv"]):
        total = sum(
            int(part.split(" x ")[0]) * float(part.split(" x ")[1])
            for part in row["bays"].split(" + ")
        )
        assert total > 0
        assert int(row["pales"]) > 0


def test_no_cell_becomes_a_formula() -> None:
    data = csv_bytes([("=1+1", "+2", "-3", "@x", "plain", "-12.5")])
    (cells,) = csv.reader(io.StringIO(data.decode("utf-8-sig")))
    assert cells == ["'=1+1", "+2", "-3", "'@x", "plain", "-12.5"]


def test_text_tables_line_up() -> None:
    text = text_table([("mark", "count"), ("PA1", 7), ("RA12", 110)])
    assert text.splitlines() == ["mark  count", "----  -----", "PA1       7", "RA12    110"]
