"""Builds that are interrupted, stopped or run out of room: codes, one line, whole files."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from click.testing import CliRunner

from palewright.cli.main import main
from palewright.model.order.cutting import cut
from palewright.model.order.stock import Saw, Stock

GARDEN = '[[run]]\npoints = [[0, 0], ["9 m", 0], ["9 m", "6 m"]]\n'
STOPPED = """
[[run]]
points = [[0, 0], [3000, 0]]
[rails]
tops = [300, 600]
[pales]
length = 200
clearance = -900
"""

COMMAND = [sys.executable, "-m", "palewright.cli"]


def started(spec: Path, out: Path) -> subprocess.Popen[str]:
    command = [*COMMAND, "build", str(spec), "-o", str(out), "--fresh"]
    command += ["--only", "csv,xlsx,takeoff,sheets"]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def whole(out: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in out.iterdir() if path.name.startswith("g")}


@pytest.mark.slow
@pytest.mark.parametrize(("number", "code"), [(signal.SIGINT, 130), (signal.SIGTERM, 143)])
def test_a_build_that_is_stopped_leaves_whole_files(
    tmp_path: Path, number: signal.Signals, code: int
) -> None:
    """At moments spread over the build, over files of an earlier one: all of the old or the new."""
    spec, out = tmp_path / "g.toml", tmp_path / "out"
    spec.write_text(GARDEN)
    assert started(spec, out).wait(120) == 0
    old = whole(out)
    changed = GARDEN + "[pales]\nlength = 1000\n"
    spec.write_text(changed)
    fresh = tmp_path / "fresh"
    began = time.monotonic()
    assert started(spec, fresh).wait(120) == 0
    took = time.monotonic() - began
    new = whole(fresh)
    codes = set()
    for share in (0.35, 0.45, 0.55, 0.65, 0.75, 0.85, 0.95):
        process = started(spec, out)
        time.sleep(share * took)
        process.send_signal(number)
        told = process.communicate(timeout=60)[1]
        codes.add(process.returncode)
        assert "Traceback" not in told
        if process.returncode == code:
            assert told.strip().splitlines()[-1].endswith("files that were there are whole")
        found = whole(out)
        assert found.keys() == old.keys()
        assert all(data in (old[name], new[name]) for name, data in found.items())
    assert codes <= {0, code}
    assert code in codes


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="only where there is a full device")
@pytest.mark.parametrize("arguments", [["list"], ["check"]])
def test_a_full_device_is_said(tmp_path: Path, arguments: list[str]) -> None:
    spec = tmp_path / "g.toml"
    spec.write_text(GARDEN)
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [*COMMAND, *arguments, str(spec)], stdout=full, stderr=subprocess.PIPE, text=True
        )
    assert done.returncode == 2
    assert done.stderr.strip() == "output cannot be written: No space left on device"


def test_a_pipe_that_is_closed_is_no_traceback(tmp_path: Path) -> None:
    spec = tmp_path / "g.toml"
    spec.write_text(GARDEN)
    process = subprocess.Popen(
        [*COMMAND, "list", str(spec)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    process.stdout.close()
    assert process.stderr is not None
    told = process.stderr.read()
    process.wait(60)
    assert "Traceback" not in told


@pytest.mark.parametrize("command", ["list", "wind"])
def test_nothing_runs_on_what_the_checks_stop(tmp_path: Path, command: str) -> None:
    spec = tmp_path / "g.toml"
    spec.write_text(STOPPED + "[wind]\nvelocity = 20\n")
    done = CliRunner().invoke(main, [command, str(spec)])
    assert done.exit_code == 1
    assert "the pales would stand in the ground" in done.output
    assert "PO1" not in done.output


@pytest.mark.parametrize("length", [0.0, -800.0])
def test_a_piece_of_nothing_is_not_cut(length: float) -> None:
    with pytest.raises(ValueError, match="cannot be cut"):
        cut({length: 3, 900.0: 2}, [Stock(3000.0, 1)], Saw(3.0))
