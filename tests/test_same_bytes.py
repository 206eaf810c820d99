"""Every example at every output is the same, byte for byte, whoever makes it and where."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from helpers import EXAMPLES, ROOT

HERE = {"TZ": "UTC", "LC_ALL": "C.UTF-8", "PYTHONHASHSEED": "1"}
ELSEWHERE = {
    "TZ": "Asia/Kathmandu", "LC_ALL": "C", "PYTHONHASHSEED": "77",
    "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0",
}  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.stem)
def test_every_output_on_two_runs(example: Path, tmp_path: Path) -> None:
    other = tmp_path / "ein änderer Ort"
    other.mkdir()
    for path in (ROOT / "examples").iterdir():
        shutil.copy(path, other)
    made = []
    for spec, out, settings in (
        (example, tmp_path / "out", HERE), (other / example.name, other / "out", ELSEWHERE)
    ):  # fmt: skip
        subprocess.run(
            [sys.executable, str(ROOT / "tests" / "every_output.py"), str(spec), str(out)],
            check=True, cwd=spec.parent, env={**os.environ, **settings},
        )  # fmt: skip
        files = sorted(path for path in out.rglob("*") if path.is_file())
        made.append({str(path.relative_to(out)): path.read_bytes() for path in files})
    assert len(made[0]) > 40
    assert made[0].keys() == made[1].keys()
    differ = [name for name, data in made[0].items() if data != made[1][name]]
    assert not differ
