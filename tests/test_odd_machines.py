"""Odd names, odd places to write to, odd clocks, and builds that run into each other."""

from __future__ import annotations

import io
import math
import os
import random
import resource
import subprocess
import sys
import threading
import time
import zipfile
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner
from ezdxf import recover
from ezdxf.tools.text import plain_text

import palewright
from helpers import ROOT
from palewright.cli.main import main
from palewright.export.drawing.sets.drawing_files import set_files
from palewright.export.drawing.sets.sheet_sets import Purpose
from palewright.export.models.obj import write_obj
from palewright.export.models.product import Product
from palewright.export.models.threemf import write_3mf
from palewright.export.outputs import making
from palewright.export.outputs.files import write_files
from palewright.export.outputs.making import build_outputs, locked
from palewright.export.outputs.registry import OUTPUTS
from palewright.export.papers.calculation import figure
from palewright.export.papers.workbook import write_workbook
from palewright.export.tables.list_tables import csv_bytes
from palewright.model.basis import source_files
from palewright.model.basis.errors import OutputError
from palewright.model.basis.text import in_dxf, plain
from palewright.model.strength.steps import used_figure, used_words

GARDEN = "[[run]]\npoints = [[0, 0], [3600, 0]]\n"
EVERY = "".join(map(chr, (*range(32), 127, *range(128, 160), 0x2028, 0x2029, 0xFFFE, 0xFFFF)))
"""Characters that TOML allows in a text, escaped, and other formats do not."""

ODD = f"a%%d %%%c^J^I{EVERY}<b>&amp;'\"{{;}}\\P\U0001f600"
LISTS = [output for output in OUTPUTS if output.name == "csv"]


def run(*arguments: str) -> tuple[int, str]:
    result = CliRunner().invoke(main, list(arguments), catch_exceptions=False)
    return result.exit_code, result.stderr


def command(*arguments: str | bytes, **options: Any) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-m", "palewright.cli", *arguments], capture_output=True, **options
    )


@pytest.fixture
def spec(tmp_path: Path) -> Path:
    path = tmp_path / "garden.toml"
    path.write_text(GARDEN, "utf-8")
    return path


@pytest.fixture(scope="module")
def odd() -> Product:
    texts = {"name": ODD, "site": ODD, "client": ODD, "reference": ODD[:60], "owner": ODD[:120]}
    spec = palewright.Spec(
        project=texts,
        run=[{"name": ODD[:80], "points": [[0, 0], [3000, 0]], "existing": ODD[:120]}],
        revision=[{"index": "A", "text": ODD}],
        extra=[{"item": ODD[:120], "note": ODD}],
    )
    return palewright.read(spec).product


def test_xml_is_well_formed_for_every_character(odd: Product) -> None:
    documents = [write_workbook(odd.fence, odd.order), write_3mf(odd)]
    for data in documents:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            parts = [name for name in packed.namelist() if name.endswith((".xml", ".model"))]
            assert parts
            for name in parts:
                ElementTree.fromstring(packed.read(name))
    drawn = set_files(odd.fence, Purpose.PLANNING, "odd\x01%%d", ("svg",))
    assert drawn
    for data in drawn.values():
        root = ElementTree.fromstring(data)
        assert "a%%d" in "".join(root.itertext())


def test_codes_of_dxf_in_names_are_letters(odd: Product) -> None:
    data = set_files(odd.fence, Purpose.BUILD, "odd", ("dxf",))["odd.dxf"]
    document, audit = recover.read(io.BytesIO(data))
    assert not audit.errors
    texts = {
        plain_text(entity.dxf.text)
        for layout in document.layouts
        for entity in layout.query("TEXT")
    }
    wanted = plain(ODD).replace("%%", "% %").replace("%%", "% %")
    assert any(wanted[:9] in text and "^J^I" in text for text in texts), texts
    assert not any("°" in text for text in texts if text.startswith("a%"))
    assert in_dxf("5 % of 100%") == "5 % of 100%"


def test_nothing_has_no_sign_and_infinity_is_a_word() -> None:
    rows = csv_bytes([["-0.0", "-0", "-0.000", "-0.01", "0.0", -1]]).decode("utf-8-sig")
    assert rows == "0.0,0,0.000,-0.01,0.0,-1\r\n"
    assert used_figure(math.inf) == "none" and used_figure(1.234) == "1.23"
    assert "inf" not in used_words(math.inf) and used_words(1.5) == "used to 150%"
    assert figure(-0.0) == figure(-1e-12) == "0"
    assert "inf" not in figure(math.inf)


def test_the_material_file_of_obj_is_the_one_that_is_named(odd: Product) -> None:
    files = write_obj(odd, "a\nb c")
    head = files["a\nb c.obj"].split(b"\n", 4)
    assert head[3] == b"mtllib a_b_c.mtl"
    assert b"newmtl" in files["a_b_c.mtl"]


def test_names_of_files_may_be_no_utf8(tmp_path: Path) -> None:
    folder = os.fsencode(tmp_path) + b"/caf\xe9"
    os.mkdir(folder)
    with open(folder + b"/g\xe4rten.toml", "wb") as file:
        file.write(GARDEN.encode())
    out = folder + b"/o\xff"
    done = command("build", folder + b"/g\xe4rten.toml", "-o", out, "--only", "csv,page,glb,sheets")
    assert done.returncode == 0, done.stderr
    names = os.listdir(out)
    assert b"g\xe4rten.glb" in names and b"g\xe4rten.pdf" in names
    wrong = command("check", folder + b"/n\xf6.toml")
    assert wrong.returncode == 2 and b"cannot be read" in wrong.stderr
    assert b"Traceback" not in wrong.stderr


def test_a_pipe_or_a_device_is_written_through(spec: Path, tmp_path: Path) -> None:
    pipe = tmp_path / "page.html"
    os.mkfifo(pipe)
    read: list[bytes] = []
    reader = threading.Thread(target=lambda: read.append(pipe.read_bytes()))
    reader.start()
    assert run("page", str(spec), "-o", str(pipe)) == (0, "")
    reader.join(20)
    assert read[0].startswith(b"<!doctype html>") or b"<html" in read[0][:200]
    assert pipe.is_fifo()
    null = tmp_path / "null.html"
    null.symlink_to("/dev/null")
    assert run("page", str(spec), "-o", str(null))[0] == 0
    assert null.is_symlink() and not Path("/dev/null").is_file()
    full = tmp_path / "full.html"
    full.symlink_to("/dev/full")
    code, said = run("page", str(spec), "-o", str(full))
    assert code == 2 and "No space left" in said and "Traceback" not in said


def test_a_link_is_followed_and_stays(spec: Path, tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    real, link = tmp_path / "real" / "page.html", tmp_path / "page.html"
    real.write_text("old")
    link.symlink_to(real)
    assert run("page", str(spec), "-o", str(link))[0] == 0
    assert link.is_symlink()
    assert len(real.read_bytes()) > 1000


def test_out_of_room_is_said_and_old_files_are_whole(spec: Path, tmp_path: Path) -> None:
    """A limit on the size of files, as a quota or a full disk: writing fails half-way."""
    out = tmp_path / "out"
    assert run("build", str(spec), "-o", str(out), "--only", "csv,sheets", "-q")[0] == 0
    before = {path.name: path.read_bytes() for path in out.iterdir()}
    spec.write_text(GARDEN.replace("3600", "5400"), "utf-8")

    def limit() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (9_000, 9_000))

    done = command(
        "build", str(spec), "-o", str(out), "--only", "csv,sheets", "-q", preexec_fn=limit
    )
    assert done.returncode == 2
    assert b"cannot be written" in done.stderr and b"Traceback" not in done.stderr
    assert {path.name: path.read_bytes() for path in out.iterdir()} == before


def test_a_folder_that_cannot_be_written_is_said(spec: Path, tmp_path: Path) -> None:
    for target in ("/proc/palewright", "/dev/null/out", str(spec)):
        done = command("build", str(spec), "-o", target, "--only", "csv", "-q")
        assert done.returncode == 2, target
        assert b"Traceback" not in done.stderr and done.stderr.count(b"\n") <= 4
    with pytest.raises(OutputError, match="not a file name"):
        write_files(tmp_path, {"a\0b.html": b"x"})


def test_no_lock_is_left_anywhere(spec: Path, tmp_path: Path) -> None:
    place = tmp_path / "tmp"
    place.mkdir()
    out = tmp_path / "out"
    done = command(
        "build", str(spec), "-o", str(out), "--only", "csv,page",
        env={**os.environ, "TMPDIR": str(place)},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert list(place.iterdir()) == []
    assert not [path for path in out.iterdir() if "lock" in path.name or path.suffix == ".part"]


def test_where_folders_have_no_locks_a_file_does(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(making, "fcntl", None)
    with locked(tmp_path), pytest.raises(OutputError, match="another build"), locked(tmp_path):
        pass


def test_builds_in_a_folder_and_its_parent_do_not_wait(spec: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    held = locked(out), locked(out / "inner"), locked(tmp_path)
    again = pytest.raises(OutputError, match="another build")
    with held[0], held[1], held[2], again, locked(out / "inner"):
        pass
    assert not out.exists()  # nothing was built
    jobs = [
        subprocess.Popen(
            [sys.executable, "-m", "palewright.cli", "build", str(spec), "-o", str(place),
             "--only", "csv,takeoff", "-q"],
            stderr=subprocess.PIPE,
        )
        for place in (out, out, out / "inner")
    ]  # fmt: skip
    ends = [(job.wait(60), job.stderr.read() if job.stderr else b"") for job in jobs]
    assert ends[2][0] == 0
    assert {code for code, _ in ends[:2]} in ({0}, {0, 2})
    for code, said in ends:
        assert code == 0 or b"another build is writing there" in said
    assert (out / "garden-order.csv").read_bytes() == (out / "inner/garden-order.csv").read_bytes()


def test_a_clock_that_was_set_back_leaves_no_litter(tmp_path: Path) -> None:
    litter = tmp_path / ".a.csv.xyz.part"
    litter.write_text("half")
    ahead = time.time() + 86_400.0
    os.utime(litter, (ahead, ahead))
    write_files(tmp_path, {"a.csv": b"whole"})
    assert [path.name for path in tmp_path.iterdir()] == ["a.csv"]
    fence = palewright.read(palewright.Spec(run=[{"points": [[0, 0], [3600, 0]]}]))
    build_outputs(fence.product, LISTS, "f", tmp_path)
    for path in tmp_path.iterdir():
        os.utime(path, (ahead, ahead))
    assert build_outputs(fence.product, LISTS, "f", tmp_path).kept == ("csv",)


def test_a_build_reads_each_file_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """So that what is built is of one state of the files, whoever saves meanwhile."""
    (tmp_path / "s.csv").write_text("E,N,code\n0,0,F\n4,0,F\n", "utf-8")
    (tmp_path / "p.csv").write_text("item,unit,price\ncurrency,,GBP\n", "utf-8")
    spec = tmp_path / "g.toml"
    spec.write_text(
        'survey = {file = "s.csv"}\nprices = {file = "p.csv"}\nrun = [{line = "F"}]\n', "utf-8"
    )
    read: list[str] = []
    whole = source_files.read_source

    def counted(path: Path, largest: int) -> bytes:
        read.append(Path(path).name)
        data = whole(path, largest)
        path.write_bytes(b"changed meanwhile [")
        return data

    import palewright.model.spec.price_file as price_file
    import palewright.model.survey.survey_files as survey_files
    import palewright.reading as reading

    for module in (price_file, survey_files, reading):
        monkeypatch.setattr(module, "read_source", counted)
    code, said = run("build", str(spec), "-o", str(tmp_path / "out"), "--only", "csv,sheets,page")
    assert code == 0, said
    assert sorted(read) == ["g.toml", "p.csv", "s.csv"]


@pytest.mark.slow
def test_builds_edits_and_kills_in_any_order_leave_whole_files(tmp_path: Path) -> None:
    """Twenty random steps: whatever was killed, the next build is of the spec as it is then."""
    rng = random.Random(7)
    spec, out = tmp_path / "g.toml", tmp_path / "out"
    arguments = ["build", str(spec), "-o", str(out), "--only", "csv,sheets,obj", "-q"]
    length = 3600
    spec.write_text(GARDEN, "utf-8")
    for _ in range(20):
        way = rng.random()
        if way < 0.4:
            length = rng.randrange(2000, 9000)
            spec.write_text(GARDEN.replace("3600", str(length)), "utf-8")
        elif way < 0.8:
            job = subprocess.Popen([sys.executable, "-m", "palewright.cli", *arguments])
            time.sleep(rng.uniform(0.2, 2.5))
            job.kill()
            job.wait()
        else:
            spec.write_text("[[run]", "utf-8")
            assert command(*arguments).returncode == 2
            spec.write_text(GARDEN.replace("3600", str(length)), "utf-8")
    assert command(*arguments).returncode == 0
    fresh = tmp_path / "fresh"
    done = command("build", str(spec), "-o", str(fresh), "--only", "csv,sheets,obj", "-q")
    assert done.returncode == 0
    names = {path.name for path in fresh.iterdir()}
    assert {path.name for path in out.iterdir()} == names
    for name in names:
        assert (out / name).read_bytes() == (fresh / name).read_bytes(), name


UNCALLED = ("numba", "llvmlite", "trame", "trame_vtk", "trame_vuetify", "aiohttp", "wslink")


@pytest.mark.slow
def test_what_the_cad_library_asks_for_and_nobody_calls_can_be_left_out(tmp_path: Path) -> None:
    """As docs/install.md says: every output is made without them."""
    told = (ROOT / "docs" / "install.md").read_text("utf-8")
    assert all(name.replace("_", "-") in told for name in UNCALLED)
    code = (
        "import sys\n"
        f"for name in {UNCALLED!r}: sys.modules[name] = None\n"
        "from palewright.cli.main import main\n"
        "from palewright.export.outputs.registry import OUTPUTS\n"
        "left = ('calculation', 'ground', 'proposal')\n"
        "names = ','.join(o.name for o in OUTPUTS if o.name not in left)\n"
        f"main(['build', {str(ROOT / 'examples' / 'terrace.toml')!r}, '-o', {str(tmp_path)!r},"
        " '--only', names])\n"
    )
    (tmp_path / "sitecustomize.py").write_text(code.split("from")[0])
    settings = {**os.environ, "PYTHONPATH": str(tmp_path)}  # the picture's own process too
    done = subprocess.run(
        [sys.executable, "-c", code], env=settings, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr
    for suffix in (".step", ".glb", ".stl", ".3mf", ".obj", ".pdf", ".png", ".html", ".usdz"):
        assert list(tmp_path.glob(f"*{suffix}")), suffix


def test_a_folder_of_its_name_is_not_the_program(tmp_path: Path) -> None:
    """Whoever keeps a copy of the program beside the specs gets pictures all the same."""
    (tmp_path / "palewright").mkdir()
    (tmp_path / "palewright" / "__init__.py").write_text("raise ImportError('not this one')\n")
    program = Path(sys.executable).with_name("palewright")
    example = ROOT / "examples" / "terrace.toml"
    done = subprocess.run(
        [program, "picture", example, "-o", "a.png", "--width", "64", "--height", "64"],
        cwd=tmp_path, capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "a.png").read_bytes().startswith(b"\x89PNG")
