"""The front door for Python: the guide's page as script and notebook, errors, outputs, assembly."""

from __future__ import annotations

import doctest
import importlib
import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import nbformat
import numpy as np
import pytest
from house import rooms, sources
from lxml import etree
from nbclient import NotebookClient

import palewright as pw
from helpers import EXAMPLES, ROOT
from palewright.export.outputs.registry import OUTPUTS
from palewright.model.basis.errors import PalewrightError

BLOCK = re.compile(r"^```(\w+)(?: title=\"([^\"]+)\")?\n(.*?)^```$", re.MULTILINE | re.DOTALL)
PAGE = BLOCK.findall((ROOT / "docs" / "python.md").read_text("utf-8"))

FAULTY = {"run": [{"points": [[0, 0], [3600, 0]]}], "rails": {"stock_length": 900}}
COTTAGE = next(path for path in EXAMPLES if path.stem == "cottage")


def prepare(folder: Path) -> list[str]:
    """Write the page's files into a folder and return its Python blocks in order."""
    for _, title, text in PAGE:
        if title:
            (folder / title).write_text(text, "utf-8")
    return [text for language, title, text in PAGE if language == "python" and not title]


@pytest.fixture(scope="module")
def cottage() -> pw.Fence:
    return pw.read(COTTAGE)


@pytest.mark.slow
def test_the_guides_page_runs_as_a_script(tmp_path: Path) -> None:
    script = tmp_path / "job.py"
    script.write_text("\n".join(prepare(tmp_path)), "utf-8")
    done = subprocess.run([sys.executable, script], cwd=tmp_path, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert "of the timber is offcuts" in done.stdout
    assert "did you mean 'width'" in done.stdout
    assert (tmp_path / "orchard-gate.step").read_bytes().startswith(b"ISO-10303-21")
    assert (tmp_path / "orchard-gate.pdf").read_bytes().startswith(b"%PDF")
    assert (tmp_path / "lists" / "orchard-gate-order.csv").exists()


@pytest.mark.slow
def test_the_guides_page_runs_as_a_notebook(tmp_path: Path) -> None:
    blocks = prepare(tmp_path)
    book = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(text) for text in blocks])
    client = NotebookClient(
        book, timeout=300, kernel_name="python3", resources={"metadata": {"path": str(tmp_path)}}
    )
    client.execute()
    shown = [out.data for out in book.cells[0].outputs if out.output_type == "execute_result"]
    assert shown[0]["text/plain"].startswith("<Fence 'Orchard gate': 10.80 m, 8 posts")
    assert shown[0]["image/svg+xml"].startswith("<svg")


def test_importing_the_front_door_loads_nothing_else() -> None:
    code = "import palewright, sys, json; print(json.dumps(sorted(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    loaded = set(json.loads(done.stdout))
    assert "palewright" in loaded
    assert not {n for n in loaded if n.startswith("palewright.")}
    assert not loaded & {"pydantic", "numpy", "cadquery", "shapely", "OCP"}


def test_every_public_name_is_there_and_no_other() -> None:
    for name in pw.__all__:
        assert getattr(pw, name)
    assert set(pw.__all__) == set(dir(pw))
    with pytest.raises(AttributeError, match="no attribute 'fence'"):
        pw.fence  # noqa: B018


def test_every_error_of_the_project_is_under_one() -> None:
    """All that is raised by a class of the project's own can be caught by its one root."""
    count = 0
    for room in rooms().values():
        for name in re.findall(r"^class (\w+Error)\b", room.path.read_text("utf-8"), re.M):
            assert issubclass(getattr(importlib.import_module(room.module), name), PalewrightError)
            count += 1
    assert count >= 7


def test_a_bad_file_raises_all_its_problems(tmp_path: Path) -> None:
    file = tmp_path / "bad.toml"
    file.write_text(
        "[[run]]\npoints = [[0, 0], [1800, 0]]\n[pales]\nwidht = 90\n[posts]\nbay = 'x'\n"
        "[rails]\ncount = 0\n"
    )
    with pytest.raises(pw.SpecError) as caught:
        pw.read(file)
    lines = str(caught.value).splitlines()
    assert [re.match(r".*bad\.toml:(\d+): ([\w.]+):", line)[2] for line in lines] == [  # type: ignore[index]
        "pales.widht",
        "posts.bay",
        "rails.count",
    ]
    assert len(caught.value.problems) == 3


def test_a_bad_spec_raises_all_its_problems() -> None:
    with pytest.raises(pw.SpecError) as caught:
        pw.Spec(run=[{"points": [(0, 0), (900, 0)]}], pales={"gap": -1}, wnid={})
    assert {problem.path for problem in caught.value.problems} == {("pales", "gap"), ("wnid",)}
    # what needs several keys to see is said too
    with pytest.raises(pw.SpecError, match="would overlap"):
        pw.Spec(run=[{"points": [(0, 0), (900, 0)]}], rails={"tops": [300, 310]})


def test_a_spec_of_values_is_the_fence_of_its_file(cottage: pw.Fence) -> None:
    import tomllib

    spec = pw.Spec(folder=COTTAGE.parent, **tomllib.loads(COTTAGE.read_text("utf-8")))
    assert pw.read(spec).members == cottage.members


def test_faults_stop_what_is_made(tmp_path: Path) -> None:
    fence = pw.read(pw.Spec(**FAULTY))
    assert fence.check()[0].severity.value == "stop"
    for act in (fence.order, fence.to_assembly, lambda: pw.write(fence, tmp_path / "a.glb")):
        with pytest.raises(pw.FaultError, match=r"spec: stop: .*\[RAIL-LONG"):
            act()
    assert not list(tmp_path.iterdir())


def test_wind_is_asked_for_where_it_is_missing() -> None:
    fence = pw.read(pw.Spec(run=[{"points": [[0, 0], [1800, 0]]}]))
    with pytest.raises(pw.SpecError, match=r"spec: wind: is missing"):
        fence.wind()


@pytest.mark.slow
@pytest.mark.parametrize(
    ("output", "suffix"), [(o, suffix) for o in OUTPUTS for suffix in o.suffixes],
    ids=lambda value: value if isinstance(value, str) else value.name,
)  # fmt: skip
def test_every_suffix_writes_what_the_output_makes(
    output: Any, suffix: str, cottage: pw.Fence, tmp_path: Path
) -> None:
    sharing = [other for other in OUTPUTS if suffix in other.suffixes]
    first = [other for other in sharing if not other.asked] or sharing
    name = None if first == [output] else output.name
    paths = pw.write(cottage, tmp_path / f"front{suffix}", name)
    made = output.make(cottage.product, "front")
    assert paths[0] == tmp_path / f"front{suffix}"
    assert paths[0].read_bytes() == made["front" + output.suffixes[suffix]]
    for path in paths[1:]:
        assert path.read_bytes() == made[path.name]
    assert {path.name for path in tmp_path.iterdir()} == {path.name for path in paths}


def test_every_output_can_be_named(cottage: pw.Fence, tmp_path: Path) -> None:
    assert list(pw.outputs()) == [output.name for output in OUTPUTS]
    paths = pw.write(cottage, tmp_path / "new" / "folder", "csv")
    assert tmp_path / "new" / "folder" / "cottage-posts.csv" in paths
    assert all(path.exists() for path in paths)


@pytest.mark.slow
def test_a_gate_with_no_fence_beside_it_has_every_paper(tmp_path: Path) -> None:
    gate = {"at": 562.5, "opening": 1000}
    fence = pw.read(pw.Spec(run=[{"points": [[0, 0], [1125, 0]], "gate": [gate]}]))
    assert "1 gate" in repr(fence)
    for output in pw.outputs():
        # these ask for [wind], for a surveyed surface, and for prices
        if output in ("calculation", "ground", "proposal"):
            continue
        assert all(path.stat().st_size for path in pw.write(fence, tmp_path / output, output))
    (page,) = (tmp_path / "page").glob("*.html")
    assert "Gap between pales" not in page.read_text("utf-8")


@pytest.mark.parametrize(
    ("target", "name", "words"),
    [
        ("a.dxf", None, "several outputs end in .dxf; name one: 'sheets' or 'site'"),
        ("a.doc", None, "no output ends in '.doc'; there are .3mf"),
        ("a", None, "no output ends in ''"),
        ("a.step", "stp", "no output 'stp'; there are: csv"),
    ],
)
def test_what_cannot_be_written_is_said(
    target: str, name: str | None, words: str, cottage: pw.Fence, tmp_path: Path
) -> None:
    with pytest.raises(pw.OutputError, match=re.escape(words)):
        pw.write(cottage, tmp_path / target, name)
    assert not list(tmp_path.iterdir())


def test_the_assembly_has_tree_names_colours_and_places(cottage: pw.Fence) -> None:
    assembly = cottage.to_assembly()
    assert assembly.name == cottage.name
    leaves = {}
    for run in assembly.children:
        assert run.name.startswith("A ")
        for bay in run.children:
            assert bay.name.startswith(("A bay", "A gate"))
            leaves |= {child.name: child for child in bay.children}
    assert leaves.keys() == {member.name for member in cottage.members}
    shapes: dict[str, Any] = {}
    for member in cottage.members:
        child = leaves[member.name]
        # one solid a mark, placed by its location
        first = shapes.setdefault(member.mark, child.obj)
        assert first.wrapped.IsSame(child.obj.wrapped)
        transform = child.loc.wrapped.Transformation()
        there = [[transform.Value(row, column) for column in range(1, 5)] for row in range(1, 4)]
        frame = member.frame
        axes = np.array([frame.x, frame.y, frame.z, frame.origin]).T
        assert np.allclose(there, axes, atol=1e-9)
        assert child.color is not None
    assert len(shapes) == len(cottage.model.by_mark) < len(leaves)
    colours = {tuple(round(v, 3) for v in leaf.color.toTuple()) for leaf in leaves.values()}
    assert len(colours) >= 3  # timber, concrete, metal
    whole = sum(member.shape.volume for member in cottage.members)
    assert assembly.toCompound().Volume() == pytest.approx(whole, rel=1e-6)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_a_fence_says_in_one_line_what_it_is_and_draws_itself(path: Path) -> None:
    fence = pw.read(path)
    assert len(repr(fence)) < 160
    assert "\n" not in repr(fence)
    svg = fence._repr_svg_()
    root = etree.fromstring(svg.encode())
    width, height = (float(root.get(key).removesuffix("mm")) for key in ("width", "height"))
    assert 100.0 < width < 480.0
    assert 40.0 < height < 600.0
    for text in root.iter("{*}text"):
        assert 0.0 <= float(text.get("x", width / 2)) <= width
    assert len(svg) < 3e6


def with_examples() -> list[str]:
    """Modules whose docstrings hold examples."""
    return [module for module, file in sources().items() if ">>> " in file.read_text("utf-8")]


@pytest.mark.parametrize("module", with_examples())
def test_the_examples_in_docstrings_hold(
    module: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    told = doctest.testmod(importlib.import_module(module))
    assert told.failed == 0
    assert told.attempted > 0
