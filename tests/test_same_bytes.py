"""Every example at every output is the same, byte for byte, whoever makes it and where."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from helpers import EXAMPLES, ROOT, THOROUGH

HERE = {"TZ": "UTC", "LC_ALL": "C.UTF-8", "PYTHONHASHSEED": "1"}
ELSEWHERE = {
    "TZ": "Asia/Kathmandu", "LC_ALL": "C", "PYTHONHASHSEED": "77",
    "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0",
}  # fmt: skip

FULL_SIZE = ("cottage",)
"""Examples whose pictures are made as large as they are; of others a quarter so wide and high."""

TWICE = EXAMPLES if THOROUGH else [
    path for path in EXAMPLES if path.stem in (*FULL_SIZE, "green", "headland", "nursery")
]  # fmt: skip
"""Examples that are made twice: with a survey, slopes, curves and many runs; all when thorough."""


@pytest.mark.slow
@pytest.mark.parametrize("example", TWICE, ids=lambda path: path.stem)
def test_every_output_on_two_runs(example: Path, tmp_path: Path) -> None:
    other = tmp_path / "ein änderer Ort"
    other.mkdir()
    shutil.copytree(ROOT / "examples", other, dirs_exist_ok=True)
    made = []
    smaller = "1" if example.stem in FULL_SIZE else "4"
    for spec, out, settings in (
        (example, tmp_path / "out", HERE), (other / example.name, other / "out", ELSEWHERE)
    ):  # fmt: skip
        script = str(ROOT / "tests" / "every_output.py")
        subprocess.run(
            [sys.executable, script, str(spec), str(out), smaller],
            check=True, cwd=spec.parent, env={**os.environ, **settings},
        )  # fmt: skip
        files = sorted(path for path in out.rglob("*") if path.is_file())
        made.append({str(path.relative_to(out)): path.read_bytes() for path in files})
    assert len(made[0]) > 40
    assert made[0].keys() == made[1].keys()
    differ = [name for name, data in made[0].items() if data != made[1][name]]
    assert not differ


LONG = """
[[run]]
points = [[0, 0, 0], [{a}, {b}, 900], [{c}, {d}, -700]]
rails = {{ joints = "least timber" }}
[[run.gate]]
at = 9000
opening = 1100
"""
"""A long fence on a slope, whose pales and rails are of many lengths; mm."""


@pytest.mark.slow
def test_lists_of_long_fences_on_an_idle_and_on_a_crowded_machine(tmp_path: Path) -> None:
    """What is bought does not depend on what else the machine does."""
    command = [
        sys.executable,
        "-c",
        "from palewright.cli.main import main; main()",
        "build",
        "-q",
        "--only",
        "csv,takeoff",
        "--fresh",
    ]
    specs = []
    for number in range(2):
        spec = tmp_path / f"long{number}.toml"
        a, b, c, d = 61_000 + 3_170 * number, 4_000, 88_000 + 2_930 * number, 27_000
        spec.write_text(LONG.format(a=a, b=b, c=c, d=d))
        specs.append(spec)

    def made(name: str) -> dict[str, bytes]:
        for spec in specs:
            subprocess.run([*command, str(spec), "-o", str(tmp_path / name)], check=True)
        return {path.name: path.read_bytes() for path in (tmp_path / name).glob("long*.*")}

    idle = made("idle")
    spin = [sys.executable, "-c", "while True: pass"]
    crowd = [subprocess.Popen(spin) for _ in range(3)]
    try:
        crowded = made("crowded")
    finally:
        for process in crowd:
            process.kill()
            process.wait()
    assert len(idle) > 10
    assert crowded == idle
