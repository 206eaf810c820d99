"""Builds killed at random: the files they leave are whole, and the next build mends the rest.

Run: python benchmarks/kill.py [COUNT]. Half the kills hit the whole program, half a process that
does nothing but write, so that many fall between two files. Half as many builds are interrupted or
stopped, which they have to say in a line and by their code. Ends with 1 when anything was lost.
"""

from __future__ import annotations

import hashlib
import random
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tables import head, row

GARDEN = '[[run]]\npoints = [[0, 0], ["{length}", 0]]\n'
SIZE = 300_000
WRITER = f"""
import sys
from pathlib import Path

from palewright.export.outputs.files import write_files
print("ready", flush=True)
number = 0
while True:
    number += 1
    data = bytes([number % 251]) * {SIZE}
    write_files(Path(sys.argv[1]), {{"a.step": data, "b.dxf": data, "c.glb": data}})
"""


def whole(folder: Path) -> dict[str, str]:
    return {
        path.name: hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.iterdir()
        if not path.name.startswith(".")
    }


def builds(folder: Path, count: int, rng: random.Random) -> tuple[int, int]:
    """Kill builds; return how many files were lost or broken, and litter after the next build."""
    spec, out = folder / "g.toml", folder / "out"
    command = [sys.executable, "-m", "palewright.cli", "build", str(spec), "-o", str(out), "-q",
               "--only", "csv,xlsx,site"]  # fmt: skip
    wanted = []
    taken = 0.0
    for length in ("5.4 m", "9 m"):
        spec.write_text(GARDEN.format(length=length))
        start = time.perf_counter()
        subprocess.run(command, check=True)
        taken = time.perf_counter() - start
        wanted.append(whole(out))
    lost = 0
    for number in range(count):
        spec.write_text(GARDEN.format(length=("5.4 m", "9 m")[number % 2]))
        with subprocess.Popen(command) as run:
            time.sleep(rng.uniform(0.2, 1.1) * taken)
            run.send_signal(signal.SIGKILL)
        left = whole(out)
        lost += sum(left.get(name) not in (wanted[0][name], wanted[1][name]) for name in wanted[0])
    subprocess.run(command, check=True)
    lost += whole(out) != wanted[(count - 1) % 2]
    return lost, sum(path.name.endswith(".part") for path in out.iterdir())


def writers(folder: Path, count: int, rng: random.Random) -> int:
    """Kill writers; return how many files were not whole."""
    broken = 0
    for _ in range(count):
        command = [sys.executable, "-c", WRITER, str(folder)]
        with subprocess.Popen(command, stdout=subprocess.PIPE) as run:
            assert run.stdout is not None
            assert run.stdout.readline() == b"ready\n"
            time.sleep(rng.uniform(0.01, 0.06))
            run.send_signal(signal.SIGKILL)
        for path in folder.iterdir():
            if not path.name.startswith("."):
                data = path.read_bytes()
                broken += len(data) != SIZE or len(set(data)) != 1
    return broken


def interrupts(folder: Path, count: int, rng: random.Random) -> int:
    """Interrupt and stop builds; return how many ended with another code than they should, in more
    than a line, or left a file that is not whole.
    """
    spec, out = folder / "g.toml", folder / "out"
    command = [sys.executable, "-m", "palewright.cli", "build", str(spec), "-o", str(out), "-q",
               "--only", "csv,xlsx,site"]  # fmt: skip
    spec.write_text(GARDEN.format(length="5.4 m"))
    start = time.perf_counter()
    subprocess.run(command, check=True)
    taken = time.perf_counter() - start
    wanted = whole(out)
    wrong = 0
    for number in range(count):
        sent = (signal.SIGINT, signal.SIGTERM)[number % 2]
        with subprocess.Popen([*command, "--fresh"], stderr=subprocess.PIPE) as run:
            # before it has started at all the interpreter ends as it does
            time.sleep(rng.uniform(0.3, 1.0) * taken)
            run.send_signal(sent)
            said = run.stderr.read() if run.stderr else b""
        ended = {signal.SIGINT: 130, signal.SIGTERM: 143}[sent]
        # on a busy machine the interpreter may not have begun: a shell shows 130 and 143 then too
        early = run.returncode == -sent and not said
        clean = run.returncode == 0 or (run.returncode == ended and said.count(b"\n") == 1)
        clean |= early
        if not clean or whole(out) != wanted:
            wrong += 1
            print(f"{sent.name}: {run.returncode} {said[-300:]!r}", file=sys.stderr)
    return wrong


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    rng = random.Random(1)
    with tempfile.TemporaryDirectory() as one, tempfile.TemporaryDirectory() as other:
        lost, litter = builds(Path(one), count // 2, rng)
        broken = writers(Path(other), count - count // 2, rng)
    with tempfile.TemporaryDirectory() as one:
        wrong = interrupts(Path(one), count // 2, rng)
    head(
        "kills", "files lost", "broken", "left over after the next run", "interrupts", "ended badly"
    )
    row(count, lost, broken, litter, count // 2, wrong)
    sys.exit(bool(lost or broken or litter or wrong))


if __name__ == "__main__":
    main()
