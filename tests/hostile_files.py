"""Files that somebody made to do harm, and files with bytes changed, as a spec may name them."""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from pathlib import Path

from palewright.model.basis.errors import PalewrightError
from palewright.model.rules.rule_sets import read_rules
from palewright.model.spec.price_file import read_prices
from palewright.model.survey.survey_files import read_survey

HEAD = "  0\nSECTION\n  2\nHEADER\n  9\n$ACADVER\n  1\nAC1015\n  9\n$INSUNITS\n 70\n     6\n"
POLYLINE = "  0\nLWPOLYLINE\n100\nAcDbEntity\n  8\nL\n100\nAcDbPolyline\n 70\n0\n"
SPLINE = "  0\nSPLINE\n100\nAcDbEntity\n  8\nL\n100\nAcDbSpline\n 70\n8\n 71\n3\n"
RULES = """name = "estate"
title = "heights on the estate"
jurisdiction = "the estate"
source = "its deed"

[[rule]]
code = "ESTATE-HEIGHT"
measure = "height"
most = 1200
severity = "note"
text = "no fence is higher"
"""
PRICES = """item,unit,price
currency,,GBP
tax,%,20
timber 100 x 100 use class 4,m,4.95
"timber 75 x 38 use class 3, 3.6 m",each,5.40
"""
PRICE_TABLES = """currency = "GBP"
tax = 20
[price]
"timber 100 x 100 use class 4" = { unit = "m", price = "4.95" }
"""


def drawing(entities: str, blocks: str = "") -> str:
    """Return a drawing in metres, as text."""
    return (
        f"{HEAD}  0\nENDSEC\n  0\nSECTION\n  2\nBLOCKS\n{blocks}  0\nENDSEC\n"
        f"  0\nSECTION\n  2\nENTITIES\n{entities}  0\nENDSEC\n  0\nEOF\n"
    )


def block(name: str, entities: str) -> str:
    start = f"  0\nBLOCK\n  8\n0\n  2\n{name}\n 70\n0\n 10\n0\n 20\n0\n 30\n0\n  3\n{name}\n"
    return f"{start}{entities}  0\nENDBLK\n  8\n0\n"


def use(name: str, columns: int = 1, rows: int = 1) -> str:
    return (
        f"  0\nINSERT\n  8\n0\n  2\n{name}\n 10\n0\n 20\n0\n 70\n{columns}\n 71\n{rows}\n"
        " 44\n1\n 45\n1\n"
    )


def line(x0: float, y0: float, x1: float, y1: float) -> str:
    return f"  0\nLINE\n  8\nL\n 10\n{x0}\n 20\n{y0}\n 11\n{x1}\n 21\n{y1}\n"


def features(kind: str, coordinates: str, count: int, name: str = "A") -> str:
    one = (
        f'{{"type":"Feature","properties":{{"name":"{name}"}},"geometry":'
        f'{{"type":"{kind}","coordinates":{coordinates}}}}}'
    )
    return '{"type":"FeatureCollection","features":[' + ",".join([one] * count) + "]}"


def _nested(uses: Callable[[str], str], depth: int, lowest: str = "") -> str:
    inner = "".join(block(f"B{n}", uses(f"B{n - 1}")) for n in range(1, depth))
    return drawing(uses(f"B{depth - 1}"), block("B0", lowest) + inner)


def _spline(code: int, points: int) -> str:
    places = "".join(
        f" {code}\n{n}\n {code + 10}\n{n * 7919 % 13}\n {code + 20}\n0\n" for n in range(points)
    )
    return drawing(SPLINE + f" 7{3 if code == 10 else 4}\n{points}\n" + places)


HOSTILE: dict[str, Callable[[], str]] = {
    "grid of an empty block.dxf": lambda: drawing(use("E", 20_000, 20_000), block("E", "")),
    "grid of a line.dxf": lambda: drawing(
        use("E", 20_000, 20_000), block("E", line(0, 0, 1, 1))
    ),
    "blocks of empty blocks.dxf": lambda: _nested(lambda name: use(name, 10, 10), 12),
    "uses of uses.dxf": lambda: _nested(lambda name: use(name) * 10, 6),
    "uses of a line.dxf": lambda: _nested(lambda name: use(name) * 10, 4, line(0, 0, 1, 1)),
    "lines from a point.dxf": lambda: drawing(
        "".join(line(0, 0, n, n + 1) for n in range(60_000))
    ),
    "as many lines as are read.dxf": lambda: drawing(
        "".join(line(0, 0, n, n + 1) for n in range(8_900))
    ),
    "polyline.dxf": lambda: drawing(
        POLYLINE + "".join(f" 10\n{n}\n 20\n{n % 7}\n" for n in range(58_000))
    ),
    "long polyline.dxf": lambda: drawing(
        POLYLINE + "".join(f" 10\n{n}\n 20\n{n % 7}\n" for n in range(1_000_000))
    ),
    "spline by fit points.dxf": lambda: _spline(11, 30_000),
    "spline by control points.dxf": lambda: _spline(10, 30_000),
    "short tags.dxf": lambda: "0\nSECTION\n2\nENTITIES\n" + "1\n\n" * 4_000_000,
    "extended data.dxf": lambda: drawing(line(0, 0, 1, 1) + "1001\nA\n" + "1000\nx\n" * 2_000_000),
    "texts.dxf": lambda: drawing("  0\nTEXT\n  8\nL\n  1\nhello\n" * 500_000),
    "layers.dxf": lambda: drawing("").replace(
        "ENDSEC", "ENDSEC\n  0\nSECTION\n  2\nTABLES\n  0\nTABLE\n  2\nLAYER\n"
        + "  0\nLAYER\n  2\nx\n 70\n0\n" * 400_000 + "  0\nENDTAB\n  0\nENDSEC", 1),
    "features of one name.geojson": lambda: features("Point", "[1,2]", 60_000),
    "as many features as are read.geojson": lambda: features("Point", "[1,2]", 49_000),
    "many features.geojson": lambda: features("LineString", "[[1,2],[3,4]]", 180_000),
    "deep lists.geojson": lambda: "[" * 3_000 + "]" * 3_000,
    "deep collections.geojson": lambda: (
        '{"type":"GeometryCollection","geometries":[' * 3_000 + "]}" * 3_000
    ),
    "positions.geojson": lambda: (
        '{"type":"LineString","coordinates":[' + ",".join(["[1,2]"] * 3_000_000) + "]}"
    ),
    "long number.geojson": lambda: '{"type":"Point","coordinates":[1,' + "9" * 5_000_000 + "]}",
    "points.csv": lambda: "E,N,Z,code\n" + "1,2,3,F\n" * 2_000_000,
    "as many points as are read.csv": lambda: "E,N,Z,code\n" + "".join(
        f"{n},{n % 9},1,F{n}\n" for n in range(59_000)
    ),
    "curves by codes.csv": lambda: "E,N,Z,code\n" + "".join(
        f"{n % 97},{n % 89},1,F{n % 3000} {'EC' if n % 5 else 'BC'}\n" for n in range(40_000)
    ),
    "shapes.csv": lambda: "wkt\n" + "POINT (1 500)\n" * 40_000,
    "columns.csv": lambda: "E,N" + ",x" * 5_000_000 + "\n1,2\n",
    "quote.csv": lambda: 'E,N\n"' + "1,2\n" * 3_000_000,
    "lines.csv": lambda: "E,N\n" + "\x0b" * 19_000_000,
    "prices.csv": lambda: PRICES + "x,m,y\n" * 300_000,
    "items.toml": lambda: "[price]\n" + "".join(
        f'"item {n}" = {{ unit = "m", price = "1" }}\n' for n in range(40_000)
    ),
    "key of many parts.toml": lambda: ".".join("a" * 20_000) + " = 1\n",
    "quoted key.toml": lambda: ".".join(['"a"'] * 20_000) + " = 1\n",
    "deep.toml": lambda: "a = " + "[" * 3_000 + "]" * 3_000,
    "deep tables.toml": lambda: "a = " + "{a=" * 3_000 + "1" + "}" * 3_000,
    "strings.toml": lambda: "a = " + '"""\\' * 200_000,
    "digits.toml": lambda: "a = " + "9" * 1_000_000,
}  # fmt: skip
"""Texts by the names of their files."""

SEEDS: dict[str, str] = {
    "s.dxf": drawing(
        line(0, 0, 9, 1) + line(9, 1, 12, 5) + use("P", 3, 2)
        + POLYLINE + " 10\n0\n 20\n0\n 42\n0.5\n 10\n5\n 20\n0\n 10\n5\n 20\n5\n",
        block("P", "  0\nPOINT\n  8\nG\n 10\n1\n 20\n2\n 30\n3\n"),
    ),
    "s.csv": "number,E,N,Z,code\n"
    + "".join(f"{n},{n}.5,{n % 3},{n / 9:.3f},F\n" for n in range(9)),
    "s.geojson": features("LineString", "[[-2.1,52.3,1.5],[-2.0995,52.3],[-2.0995,52.3004]]", 2),
    "p.csv": PRICES,
    "p.toml": PRICE_TABLES,
    "r.toml": RULES,
}  # fmt: skip

NASTY = (
    b"\0", b"\xff\xfe", b"nan", b"inf", b"1e308", b"-1e308", b"9" * 400, b"\n", b"\r", b"\"",
    b"'''", b"[" * 60, b"]", b"{", b"}", b",", b";", b"0\nENDSEC\n", b"0\nINSERT\n2\nP\n",
    b"  0\nSECTION\n", b"999\nx\n", b"1001\n", b"= 1\n", b".a" * 30, "\u2028".encode(),
    "\U0001f600".encode(), b"",
)  # fmt: skip


def mutated_bytes(rng: random.Random, data: bytes) -> bytes:
    """Return bytes with one to six pieces replaced, moved, doubled or dropped."""
    for _ in range(rng.randint(1, 6)):
        a, b = sorted(rng.randrange(len(data) + 1) for _ in range(2))
        b = min(b, a + rng.choice((1, 4, 40, 400)))
        way = rng.random()
        if way < 0.3:
            data = data[:a] + bytes(rng.randrange(256) for _ in range(b - a)) + data[b:]
        elif way < 0.55:
            data = data[:a] + rng.choice(NASTY) + data[b:]
        elif way < 0.7:
            data = data[:a] + data[b:]
        elif way < 0.85:
            data = data[:a] + data[a:b] * rng.choice((2, 10, 2_000)) + data[b:]
        else:
            at = rng.randrange(len(data) + 1)
            data = data[:at] + data[a:b] + data[at:]
    return data


def read_any(path: Path) -> str:
    """Read a file as what its name says; return how that ended: "read", or the message."""
    try:
        if path.name.startswith("r"):
            read_rules(path)
        elif path.suffix == ".toml" or path.name.startswith("p"):
            read_prices(path)
        else:
            read_survey(path)
    except PalewrightError as error:
        return str(error)
    return "read"


def timed(path: Path) -> tuple[str, float]:
    """Return how reading ended, and how many seconds it took."""
    start = time.perf_counter()
    ended = read_any(path)
    return ended, time.perf_counter() - start


def high_water() -> float:
    """Return the most memory that this process has had, MB."""
    for row in Path("/proc/self/status").read_text("ascii").splitlines():
        if row.startswith("VmHWM"):
            return int(row.split()[1]) / 1e3
    return 0.0
