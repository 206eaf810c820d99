"""Hostile and mutated survey, price and rule files: read, or refused with a message.

Run: python benchmarks/files.py [COUNT]. Needs what the tests need. Each file may take two seconds
and 500 MB. Prints what broke a rule, and figures; ends with 1 when any did.
"""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests"))

from hostile_files import HOSTILE, SEEDS, high_water, mutated_bytes, timed
from tables import head, row

SECONDS, MEGABYTES, BATCH = 2.0, 500.0, 100


def tried(path: Path, data: bytes) -> tuple[bool, float, list[str]]:
    """Read a file: whether it was read, seconds, what is wrong."""
    path.write_bytes(data)
    wrong = []
    try:
        ended, seconds = timed(path)
    except Exception as error:
        return False, 0.0, [f"{path.name}: {type(error).__name__}: {error}"]
    if seconds > SECONDS:
        wrong.append(f"{path.name}: {seconds:.1f} s")
    if not ended.strip() or "Traceback" in ended:
        wrong.append(f"{path.name}: no message")
    return ended == "read", seconds, wrong


def batch(what: str) -> None:
    """Read one hostile file by name, or mutated ones from a number on; print what came of it."""
    read, longest = 0, 0.0
    wrong: list[str] = []
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        if what in HOSTILE:
            tests = [(what, HOSTILE[what]().encode())]
        else:
            tests = []
            for number in range(int(what), int(what) + BATCH):
                rng = random.Random(number)
                name = rng.choice(list(SEEDS))
                tests.append((name, mutated_bytes(rng, SEEDS[name].encode())))
        before = high_water()
        for name, data in tests:
            was_read, seconds, found = tried(folder / name, data)
            read += was_read
            longest = max(longest, seconds)
            wrong += [f"{what}: {text}" for text in found]
        del tests
    memory = high_water()
    if memory > MEGABYTES:
        wrong.append(f"{what}: {memory:.0f} MB, {before:.0f} before")
    print(json.dumps([read, longest, memory, wrong]))


def apart(what: str) -> tuple[int, float, float, list[str]]:
    """Try a batch in a process of its own, so that its memory is its own."""
    done = subprocess.run(
        [sys.executable, __file__, "--batch", what], capture_output=True, text=True
    )
    if done.returncode:
        return 0, 0.0, 0.0, [f"{what}: ended with {done.returncode}: {done.stderr[-300:]}"]
    read, longest, memory, wrong = json.loads(done.stdout.splitlines()[-1])
    return read, longest, memory, wrong


def main() -> None:
    if sys.argv[1:2] == ["--batch"]:
        batch(sys.argv[2])
        return
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 2_000
    head("files", "count", "read", "wrong", "longest, s", "most memory, MB")
    failed = False
    for name, jobs, each in (
        ("made to do harm", list(HOSTILE), 1),
        ("mutated", [str(n) for n in range(0, count, BATCH)], BATCH),
    ):
        with ThreadPoolExecutor(os.cpu_count()) as pool:
            results = list(pool.map(apart, jobs))
        for result in results:
            print(*result[3], sep="\n", end="\n" if result[3] else "", file=sys.stderr)
        wrong = sum(len(result[3]) for result in results)
        failed |= bool(wrong)
        row(name, f"{len(jobs) * each:,}", sum(r[0] for r in results), wrong,
            f"{max(r[1] for r in results):.2f}", f"{max(r[2] for r in results):.0f}")  # fmt: skip
    sys.exit(failed)


if __name__ == "__main__":
    main()
