"""How large fences do: files, times and memory, beside the straightforward way, in one run.

Run: python benchmarks/scale.py [LARGEST]. Each figure is of a process of its own, so that memory is
counted apart; the straightforward scripts are measured at 500 and 1,000 pales and scaled with the
slope between the two. Prints a table.
"""

from __future__ import annotations

import gc
import json
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from tables import head, row

from palewright.cli.main import COLLECTION

if TYPE_CHECKING:
    from palewright.export.models.product import Product

RUNS = 3

Measure = Callable[[int], tuple[float, int, int]]
"""From a count of pales or pieces to seconds, bytes and what was made."""

PALE = ((0.0, 0.0), (100.0, 0.0), (100.0, 850.0), (50.0, 900.0), (0.0, 850.0))
"""The outline that the straightforward scripts draw, mm."""


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
    if what in OURS:
        gc.set_threshold(*COLLECTION)  # as the commands do
    seconds, size, count = ONE[what](pales)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000.0
    print(json.dumps({"seconds": seconds, "bytes": size, "count": count, "memory": memory}))


def built(pales: int) -> Product:
    from palewright.export.models.product import Product
    from palewright.model.order.joints import make_fence
    from palewright.reading import parse_job

    return Product(make_fence(parse_job(fence_spec(pales))))


def ours_step(pales: int) -> tuple[float, int, int]:
    from palewright.export.models.step import write_step

    fence = built(pales)
    start = time.perf_counter()
    data = write_step(fence)
    return time.perf_counter() - start, len(data), len(fence.fence.members)


def ours_glb(pales: int, instanced: bool = False) -> tuple[float, int, int]:
    from palewright.export.models.glb import write_glb

    fence = built(pales)
    assert fence.meshes
    start = time.perf_counter()
    data = write_glb(fence, instanced=instanced)
    return time.perf_counter() - start, len(data), len(fence.fence.members)


def ours_instanced(pales: int) -> tuple[float, int, int]:
    return ours_glb(pales, instanced=True)


def whole(write: Measure, pales: int) -> tuple[float, int, int]:
    """From the text of a spec to the bytes of a file: laid out, made solid, written."""
    import cadquery  # noqa: F401  # its import is not timed, as of the straightforward scripts

    start = time.perf_counter()
    _, size, count = write(pales)
    return time.perf_counter() - start, size, count


def bytes_alone(pales: int) -> tuple[float, int, int]:
    """Writing the same bytes as the STEP file, and nothing else."""
    from palewright.export.models.step import write_step

    fence = built(pales)
    data = write_step(fence)
    with tempfile.TemporaryDirectory() as folder:
        start = time.perf_counter()
        (Path(folder) / "x").write_bytes(data)
        return time.perf_counter() - start, len(data), len(fence.fence.members)


def kernel(pales: int) -> tuple[float, int, int]:
    """The same assembly by the CAD kernel's own document; the time is of its transfer alone."""
    from OCP.gp import gp_Ax3, gp_Dir, gp_Pnt, gp_Trsf
    from OCP.STEPCAFControl import STEPCAFControl_Writer
    from OCP.STEPControl import STEPControl_StepModelType
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDocStd import TDocStd_Document
    from OCP.TopLoc import TopLoc_Location
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    fence = built(pales)
    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    parts = {mark: shapes.AddShape(s.wrapped, False) for mark, s in fence.solids.items()}
    root = shapes.NewShape()
    for member in fence.fence.members:
        frame, turn = member.frame, gp_Trsf()
        axes = gp_Ax3(gp_Pnt(*frame.origin), gp_Dir(*frame.z), gp_Dir(*frame.x))
        turn.SetTransformation(axes, gp_Ax3())
        shapes.AddComponent(root, parts[member.mark], TopLoc_Location(turn))
    shapes.UpdateAssemblies()
    writer = STEPCAFControl_Writer()
    start = time.perf_counter()
    writer.Transfer(document, STEPControl_StepModelType.STEPControl_AsIs)
    taken = time.perf_counter() - start
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "x.step"
        writer.Write(str(path))
        return taken, path.stat().st_size, len(fence.fence.members)


def simple(pales: int, suffix: str) -> tuple[float, int, int]:
    """One solid a pale, as a short script does it."""
    import cadquery as cq

    start = time.perf_counter()
    assembly = cq.Assembly()
    for number in range(pales):
        pale = (
            cq.Workplane("XZ").polyline(PALE).close().extrude(20).translate((160.0 * number, 0, 50))
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
    document.layers.add("PALES")
    on_layer = {"layer": "PALES"}
    document.blocks.new("PALE").add_lwpolyline(PALE, close=True, dxfattribs=on_layer)
    space = document.modelspace()
    for number in range(pales):
        space.add_blockref("PALE", (160.0 * number, 0.0), dxfattribs=on_layer)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "x.dxf"
        document.saveas(path)
        return time.perf_counter() - start, path.stat().st_size, pales


def ours_inserts(pales: int) -> tuple[float, int, int]:
    """The same block references by our writer, with its layers, its audit and a sheet."""
    from palewright.export.drawing.draft.style import PALES, Style
    from palewright.export.drawing.draft.view import Block, Insert, Line, View
    from palewright.export.drawing.sheets.recorded import Placed
    from palewright.export.drawing.sheets.sheet import Sheet
    from palewright.export.drawing.sheets.sheet_frame import SIZES
    from palewright.export.drawing.writers.dxf import write_dxf

    style = Style()
    block = Block("PALE", (Line.through(PALE, PALES, closed=True),))
    items = tuple(Insert(block, (160.0 * number, 0.0), PALES) for number in range(pales))
    view = View("Pales", 50.0, items)
    sheet = Sheet(SIZES["A3"], "Pales", (Placed.of(view, (0.0, 0.0), style),))
    start = time.perf_counter()
    data = write_dxf((sheet,), "x", style)
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "x.dxf").write_bytes(data)
        return time.perf_counter() - start, len(data), pales


def sheets(pales: int) -> tuple[float, int, int]:
    from palewright.export.drawing.sets.drawing_files import build_drawings

    fence = built(pales)
    start = time.perf_counter()
    files = build_drawings(fence.fence, "x")
    return time.perf_counter() - start, sum(map(len, files.values())), pales


def cutting(pieces: int) -> tuple[float, int, int]:
    import random
    from collections import Counter

    from palewright.model.order.cutting import cut
    from palewright.model.order.stock import Saw, Stock

    rng = random.Random(1)
    lengths = [round(rng.uniform(300.0, 3500.0), 1) for _ in range(300)]
    demand = Counter(rng.choice(lengths) for _ in range(pieces))
    start = time.perf_counter()
    plan = cut(demand, [Stock(float(mm), mm) for mm in range(1800, 4801, 300)], Saw(3.0))
    return time.perf_counter() - start, round(1e6 * plan.gap), pieces


ONE: dict[str, Measure] = {
    "step": ours_step, "glb": ours_glb, "instanced": ours_instanced, "bytes": bytes_alone,
    "whole step": partial(whole, ours_step), "whole glb": partial(whole, ours_glb),
    "kernel": kernel, "simple step": simple_step, "simple glb": simple_glb, "inserts": inserts,
    "our inserts": ours_inserts, "sheets": sheets, "cutting": cutting,
}  # fmt: skip

OURS = ("step", "glb", "instanced", "whole step", "whole glb", "our inserts", "sheets", "cutting")


def medians(what: str, pales: int, runs: int = RUNS) -> dict[str, float]:
    """Return the medians of several processes."""
    taken = [timed(what, pales) for _ in range(runs)]
    return {key: statistics.median(one[key] for one in taken) for key in taken[0]}


def start_up() -> None:
    example = str(Path(__file__).resolve().parent.parent / "examples" / "cottage.toml")
    commands = {
        "python -c 'import click'": [sys.executable, "-c", "import click"],
        "palewright --help": [sys.executable, "-m", "palewright.cli", "--help"],
        "palewright check cottage": [sys.executable, "-m", "palewright.cli", "check", example],
    }
    times: dict[str, list[float]] = {name: [] for name in commands}
    for _ in range(9):  # by turns
        for name, command in commands.items():
            start = time.perf_counter()
            subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
            times[name].append(time.perf_counter() - start)
    base = statistics.median(times["python -c 'import click'"])
    head("start-up", "s", "times the first")
    for name, taken in times.items():
        row(name, f"{statistics.median(taken):.2f}", f"{statistics.median(taken) / base:.1f}")


def writers(largest: int) -> dict[tuple[str, int], dict[str, float]]:
    found: dict[tuple[str, int], dict[str, float]] = {}
    head("file", "pales", "members", "s", "s a 1,000 pales", "bytes a member", "MB of memory")
    for what in ("step", "glb", "instanced"):
        sizes = [pales for pales in (1000, 10_000, 50_000) if pales <= largest]
        for pales in sizes:
            found[what, pales] = one = medians(what, pales)
            row(what, f"{pales:,}", f"{one['count']:,.0f}", f"{one['seconds']:.2f}",
                f"{1000 * one['seconds'] / pales:.4f}", f"{one['bytes'] / one['count']:.0f}",
                f"{one['memory']:.0f}")  # fmt: skip
        grown = found[what, sizes[-1]]["seconds"] / sizes[-1]
        grown /= found[what, sizes[0]]["seconds"] / sizes[0]
        row(f"{what}: time a pale, last over first", "", "", "", f"{grown:.2f} times", "", "")
    return found


def against_scripts(own: dict[str, float]) -> None:
    head("file", "script: 500 pales", "1,000", "10,000 by its slope", "ours, spec to file, 10,000",
         "times faster")  # fmt: skip
    for what in ("step", "glb"):
        low, high = (medians(f"simple {what}", pales)["seconds"] for pales in (500, 1000))
        scaled = high + (high - low) / 500.0 * 9000.0
        ours = medians(f"whole {what}", 10_000)["seconds"]
        row(what, f"{low:.1f} s", f"{high:.1f} s", f"{scaled:.0f} s", f"{ours:.2f} s",
            f"{scaled / ours:.0f}")  # fmt: skip
    head("STEP of 10,000 pales", "s", "MB", "MB of memory")
    named = (("bytes", "writing the bytes of our file"), ("kernel", "the kernel's transfer alone"))
    for name, found in (("ours", own), *((text, medians(what, 10_000)) for what, text in named)):
        row(name, f"{found['seconds']:.3f}", f"{found['bytes'] / 1e6:.1f}",
            f"{found['memory']:.0f}")  # fmt: skip


def drawings() -> None:
    head("what", "count", "s", "MB of memory", "times the bare loop")
    bare = medians("inserts", 50_000)
    ours = medians("our inserts", 50_000)
    for name, got in (("block references, bare loop of the DXF library", bare),
                      ("block references, our writer", ours)):  # fmt: skip
        row(name, "50,000", f"{got['seconds']:.2f}", f"{got['memory']:.0f}",
            f"{got['seconds'] / bare['seconds']:.2f}")  # fmt: skip
    for name, what, count in (
        ("construction sheets of 5 km of fence, DXF and PDF", "sheets", 31_250),
        ("cutting plan, pieces of 300 lengths from eleven sold", "cutting", 50_000),
    ):
        got = medians(what, count, 1)
        row(name, f"{count:,}", f"{got['seconds']:.1f}", f"{got['memory']:.0f}", "")


def main() -> None:
    if sys.argv[1:2] == ["--one"]:
        one(sys.argv[2], int(sys.argv[3]))
        return
    largest = int(sys.argv[1]) if len(sys.argv) > 1 else 50_000
    start_up()
    found = writers(largest)
    against_scripts(found["step", 10_000])
    drawings()


if __name__ == "__main__":
    main()
