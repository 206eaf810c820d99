"""Random specs that combine features: what the checks let pass goes on to lists, sheets, solids.

Run: python benchmarks/combined.py [LISTS SHEETS SOLIDS [FIRST]]: how many specs go through check
and lists, how many of them on through every sheet, how many through solids and files. Needs what
the tests need. Prints every spec that broke a rule, and figures; ends with 1 when any did.
"""

from __future__ import annotations

import csv
import io
import json
import os
import random
import resource
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests"))

from combined_specs import combined
from exact_clashes import exact_clashes
from specfuzz import toml
from tables import head, row

from palewright.export.models.product import Product
from palewright.model.basis.errors import PalewrightError
from palewright.model.basis.findings import Severity
from palewright.model.checks.building_checks import check
from palewright.model.fence.fence_model import FenceModel
from palewright.model.order.joints import make_fence
from palewright.reading import parse_job

BATCH = {"lists": 100, "sheets": 10, "solids": 4}
ALARM = {"lists": 5, "sheets": 60, "solids": 300}
"""Seconds of the processor for one spec: what else the machine does is not measured."""
HUNG = 20
"""Times as many seconds by the clock: a spec that waits for something takes no processor."""


def late(number: int, frame: object) -> None:
    raise TimeoutError


def lists(built: Product) -> list[str]:
    """Write every list; return what is wrong."""
    from palewright.export.tables.order_tables import write_tables

    write_tables(built.fence, built.order, "f")
    return []


def sheets(built: Product) -> list[str]:
    """Draw every set of sheets; return what is wrong."""
    from ezdxf import recover

    from palewright.export.drawing.sets.drawing_files import set_files
    from palewright.export.drawing.sets.sheet_sets import Purpose
    from palewright.export.drawing.writers.site_dxf import write_site_dxf

    wrong = []
    for purpose in Purpose:
        if purpose is Purpose.CUSTOMER:  # holds a picture: with the solids
            continue
        for name, data in set_files(built.fence, purpose, f"f-{purpose}").items():
            if not name.endswith(".dxf"):
                continue
            audit = recover.read(io.BytesIO(data))[1]
            wrong += [f"{name}: {error.message}" for error in (*audit.errors, *audit.fixes)]
    write_site_dxf(built.fence)
    return wrong


def solids(built: Product) -> list[str]:
    """Make solids, models and page; return what does not agree."""
    import trimesh

    from palewright.export.models.glb import write_glb
    from palewright.export.models.step import write_step
    from palewright.export.tables.order_tables import write_tables

    wrong = [f"{mark}: not a valid solid" for mark, s in built.solids.items() if not s.isValid()]
    wrong += exact_clashes(built)
    members = Counter(member.mark for member in built.fence.members)
    tables = write_tables(built.fence, built.order, "f")
    rows = list(csv.DictReader(io.StringIO(tables["f-members.csv"].decode("utf-8-sig"))))
    listed = {r["mark"]: int(r["count"]) for r in rows}
    if listed != members:
        wrong.append(f"list {listed} is not members {members}")
    step = write_step(built).decode("utf-8")
    glb = trimesh.load(io.BytesIO(write_glb(built)), file_type="glb")
    for mark, count in members.items():
        named = sum(step.count(f"'{mark}-{n:03d}'") > 0 for n in range(1, count + 1))
        if named != count:
            wrong.append(f"STEP has {named} of {count} {mark}")
    nodes = Counter(name.rsplit("-", 1)[0] for name in glb.graph.nodes_geometry)
    if sum(nodes.values()) != sum(members.values()):
        wrong.append(f"GLB has {sum(nodes.values())} of {sum(members.values())} members")
    return wrong


STAGES = {"lists": lists, "sheets": sheets, "solids": solids}


def one(stage: str, number: int, folder: Path) -> tuple[str, list[str]]:
    """Take a spec through a stage: how it ended, and what is wrong."""
    spec = combined(random.Random(number), folder)
    text = toml(spec)
    signal.setitimer(signal.ITIMER_PROF, ALARM[stage])
    signal.alarm(HUNG * ALARM[stage])
    try:
        fence: FenceModel = make_fence(parse_job(text, folder=folder))
        stops = [f.code for f in check(fence) if f.severity is Severity.STOP]
        if stops:
            return "stopped " + stops[0], []
        wrong = STAGES[stage](Product(fence))
        return "built", [f"{number}: {message}" for message in wrong]
    except PalewrightError as error:
        return "refused " + str(error).split(": ")[-1][:60], []
    except TimeoutError:
        return "late", [f"{number}: over {ALARM[stage]} s"]
    except Exception as error:
        import traceback

        where = traceback.extract_tb(error.__traceback__)[-1]
        return "broken", [
            f"{number}: {type(error).__name__}: {error} {where.filename}:{where.lineno}"
        ]
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.alarm(0)


def batch(stage: str, first: int, count: int) -> tuple[dict[str, int], float, int, list[str]]:
    """Take specs through a stage: ends, longest time, memory in kB, what went wrong."""
    signal.signal(signal.SIGALRM, late)
    signal.signal(signal.SIGPROF, late)
    ends: Counter[str] = Counter()
    wrong: list[str] = []
    longest = 0.0
    with tempfile.TemporaryDirectory() as place:
        for number in range(first, first + count):
            start = time.process_time()
            end, found = one(stage, number, Path(place))
            longest = max(longest, time.process_time() - start)
            ends[end] += 1
            wrong += found
    return dict(ends), longest, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, wrong


def apart(stage: str, first: int, count: int) -> tuple[dict[str, int], float, int, list[str]]:
    """Take a batch in a process of its own."""
    command = [sys.executable, __file__, "--batch", stage, str(first), str(count)]
    done = subprocess.run(command, capture_output=True, text=True)
    if done.returncode:
        return {}, 0.0, 0, [f"{first}: process ended with {done.returncode}: {done.stderr[-500:]}"]
    ends, longest, memory, wrong = json.loads(done.stdout.splitlines()[-1])
    for text in wrong:
        print(text, file=sys.stderr, flush=True)
    return ends, longest, memory, wrong


def main() -> None:
    if sys.argv[1:2] == ["--batch"]:
        print(json.dumps(batch(sys.argv[2], int(sys.argv[3]), int(sys.argv[4]))))
        return
    counts = dict(zip(STAGES, map(int, sys.argv[1:4] or (20_000, 2_000, 500)), strict=True))
    first = int(sys.argv[4]) if len(sys.argv) > 4 else 0
    head("specs", "through", "built", "stopped by checks", "refused", "wrong",
         "longest, s of processor", "most memory, GB", "all, s")  # fmt: skip
    failed = False
    for stage, count in counts.items():
        start = time.perf_counter()
        size = BATCH[stage]
        with ThreadPoolExecutor(os.cpu_count()) as pool:
            jobs = [pool.submit(apart, stage, n, min(size, first + count - n))
                    for n in range(first, first + count, size)]  # fmt: skip
            results = [job.result() for job in jobs]
        ends: Counter[str] = Counter()
        for result in results:
            ends.update(result[0])
        wrong = sum(len(result[3]) for result in results)
        failed |= bool(wrong)
        stopped = sum(n for end, n in ends.items() if end.startswith("stopped"))
        refused = sum(n for end, n in ends.items() if end.startswith("refused"))
        if os.environ.get("PALEWRIGHT_ENDS"):
            for end, n in ends.most_common(25):
                print(n, end, file=sys.stderr)
        row(f"{count:,}", stage, f"{ends['built']:,}", f"{stopped:,}", f"{refused:,}", wrong,
            f"{max((r[1] for r in results), default=0):.2f}",
            f"{max((r[2] for r in results), default=0) / 1e6:.2f}",
            f"{time.perf_counter() - start:.0f}")  # fmt: skip
    sys.exit(failed)


if __name__ == "__main__":
    main()
