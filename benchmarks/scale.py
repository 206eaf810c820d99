"""How large fences do: files, times and memory, beside the straightforward way, in one run.

Run: python benchmarks/scale.py [LARGEST]. Each figure is of a process of its own, so that memory is
counted apart; the straightforward scripts are measured at 500 and 1,000 pales and scaled with the
slope between the two. Prints a table.
"""

from __future__ import annotations

import json
import platform
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from palewright.export.built import Built

RUNS = 3


def fence_spec(pales: int) -> str:
    """Return a straight fence of about so many pales, in runs of 5,000 at most."""
    runs = max(1, -(-pales // 5000))
    length = pales / runs * 160.0
    return "".join(
        f"[[run]]\npoints = [[0, {n * 9000}], [{length}, {n * 9000}]]\n" for n in range(runs)
    )


def timed(what: str, pales: int) -> dict[str, float]:
    """Return what a process of its own measured."""
    command = [sys.executable, __file__, "--one", what, str(pales)]
    return json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)


def one(what: str, pales: int) -> None:
    """Measure one thing and print it as JSON: seconds, bytes, count, memory in MB."""
    seconds, size, count = ONE[what](pales)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000.0
    print(json.dumps({"seconds": seconds, "bytes": size, "count": count, "memory": memory}))


def built(pales: int) -> Built:
    from palewright.export.built import Built
    from palewright.model.fence import build_fence
    from palewright.model.spec_file import parse_job

    return Built(build_fence(parse_job(fence_spec(pales))))


def ours_step(pales: int) -> tuple[float, int, int]:
    from palewright.export.step import write_step

    fence = built(pales)
    assert fence.solids
    start = time.perf_counter()
    data = write_step(fence)
    return time.perf_counter() - start, len(data), len(fence.fence.members)


def ours_glb(pales: int, instanced: bool = False) -> tuple[float, int, int]:
    from palewright.export.glb import write_glb

    fence = built(pales)
    assert fence.meshes
    start = time.perf_counter()
    data = write_glb(fence, instanced=instanced)
    return time.perf_counter() - start, len(data), len(fence.fence.members)


def ours_instanced(pales: int) -> tuple[float, int, int]:
    return ours_glb(pales, instanced=True)


def bytes_alone(pales: int) -> tuple[float, int, int]:
    """Writing the same bytes as the STEP file, and nothing else."""
    from palewright.export.step import write_step

    fence = built(pales)
    data = write_step(fence)
    with tempfile.TemporaryDirectory() as folder:
        start = time.perf_counter()
        (Path(folder) / "x").write_bytes(data)
        return time.perf_counter() - start, len(data), len(fence.fence.members)


def simple(pales: int, suffix: str) -> tuple[float, int, int]:
    """One solid a pale, as a short script does it."""
    import cadquery as cq

    start = time.perf_counter()
    assembly = cq.Assembly()
    for number in range(pales):
        pale = (
            cq.Workplane("XZ")
            .polyline([(0, 0), (100, 0), (100, 850), (50, 900), (0, 850)])
            .close()
            .extrude(20)
            .translate((160.0 * number, 0, 50))
        )
        assembly.add(pale)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"fence{suffix}"
        assembly.export(str(path))
        return time.perf_counter() - start, path.stat().st_size, pales


def simple_step(pales: int) -> tuple[float, int, int]:
    return simple(pales, ".step")


def simple_glb(pales: int) -> tuple[float, int, int]:
    return simple(pales, ".glb")


def inserts(pales: int) -> tuple[float, int, int]:
    """Block references by a bare loop of the DXF library."""
    import ezdxf

    start = time.perf_counter()
    document = ezdxf.new("R2018")
    document.blocks.new("PALE").add_lwpolyline([(0, 0), (100, 0), (100, 850), (50, 900), (0, 850)])
    space = document.modelspace()
    for number in range(pales):
        space.add_blockref("PALE", (160.0 * number, 0.0))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "x.dxf"
        document.saveas(path)
        return time.perf_counter() - start, path.stat().st_size, pales


def sheets(pales: int) -> tuple[float, int, int]:
    from palewright.export.drawings import build_drawings

    fence = built(pales)
    start = time.perf_counter()
    files = build_drawings(fence.fence, "x")
    return time.perf_counter() - start, sum(map(len, files.values())), pales


def cutting(pieces: int) -> tuple[float, int, int]:
    import random
    from collections import Counter

    from palewright.model.order.stock import Saw, Stock, cut

    rng = random.Random(1)
    lengths = [round(rng.uniform(300.0, 3500.0), 1) for _ in range(300)]
    demand = Counter(rng.choice(lengths) for _ in range(pieces))
    start = time.perf_counter()
    plan = cut(demand, [Stock(float(mm), mm) for mm in range(1800, 4801, 300)], Saw(3.0))
    return time.perf_counter() - start, round(1e6 * plan.gap), pieces


ONE = {
    "step": ours_step, "glb": ours_glb, "instanced": ours_instanced, "bytes": bytes_alone,
    "simple step": simple_step, "simple glb": simple_glb, "inserts": inserts, "sheets": sheets,
    "cutting": cutting,
}  # fmt: skip


def start_up() -> None:
    example = str(Path(__file__).resolve().parent.parent / "examples" / "cottage.toml")
    commands = {
        "python -c 'import click'": [sys.executable, "-c", "import click"],
        "palewright --help": [sys.executable, "-m", "palewright.cli", "--help"],
        "palewright check cottage": [sys.executable, "-m", "palewright.cli", "check", example],
    }
    times: dict[str, list[float]] = {name: [] for name in commands}
    for _ in range(7):  # by turns
        for name, command in commands.items():
            start = time.perf_counter()
            subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
            times[name].append(time.perf_counter() - start)
    base = statistics.median(times["python -c 'import click'"])
    for name, taken in times.items():
        print(
            f"| {name} | {statistics.median(taken):.2f} s | {statistics.median(taken) / base:.1f} |"
        )


def main() -> None:
    if sys.argv[1:2] == ["--one"]:
        one(sys.argv[2], int(sys.argv[3]))
        return
    largest = int(sys.argv[1]) if len(sys.argv) > 1 else 50_000
    print(f"python {platform.python_version()}, {platform.machine()}, medians of {RUNS} runs")
    print("\n| start-up | time | over the first |\n|---|---|---|")
    start_up()
    print(
        print("\n| what | pales | s | s a 1,000 | bytes a member | MB |\n|---|---|---|---|---|---|")
    )
    found: dict[tuple[str, int], dict[str, float]] = {}
    for what in ("step", "glb", "instanced", "bytes"):
        for pales in (1000, 10_000, 50_000):
            if pales > largest:
                continue
            taken = [timed(what, pales) for _ in range(RUNS if pales < 50_000 else 1)]
            best = {key: statistics.median(t[key] for t in taken) for key in taken[0]}
            found[what, pales] = best
            print(f"| {what} | {pales:,} | {best['seconds']:.2f} | "
                  f"{1000 * best['seconds'] / pales:.3f} | {best['bytes'] / best['count']:.0f} | "
                  f"{best['memory']:.0f} |", flush=True)  # fmt: skip
    print(
        "\n| the straightforward way | 500 | 1,000 | 10,000 by its slope | ours at 10,000 | times |"
    )
    print("|---|---|---|---|---|---|")
    for what in ("step", "glb"):
        low, high = (timed(f"simple {what}", pales)["seconds"] for pales in (500, 1000))
        scaled = high + (high - low) / 500.0 * 9000.0
        own = found[what, 10_000]["seconds"]
        print(f"| {what} | {low:.1f} s | {high:.1f} s | {scaled:.0f} s | {own:.2f} s | "
              f"{scaled / own:.0f} |", flush=True)  # fmt: skip
    print("\n| what | count | s | MB of memory |\n|---|---|---|---|")
    for what, count in (("inserts", 50_000), ("sheets", 31_250), ("cutting", 50_000)):
        got = timed(what, count)
        print(f"| {what} | {count:,} | {got['seconds']:.1f} | {got['memory']:.0f} |", flush=True)


if __name__ == "__main__":
    main()
