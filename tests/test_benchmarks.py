from __future__ import annotations

import importlib.util

import pytest

from helpers import ROOT


@pytest.mark.slow
def test_a_build_takes_no_longer_than_three_imports_of_the_cad_library() -> None:
    path = ROOT / "benchmarks" / "build_time.py"
    spec = importlib.util.spec_from_file_location("build_time", path)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    base, build = module.compare(2)
    assert build <= 3.0 * base
