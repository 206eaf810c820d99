"""Builds that are repeated, killed, run twice at once, or find no room: nothing is lost."""

from __future__ import annotations

import hashlib
import os
import random
import resource
import shutil
import signal
import subprocess
import sys
import time
import zipfile
from collections import Counter
from pathlib import Path
from typing import Any

import ezdxf
import openpyxl
import pypdfium2
import pytest
import trimesh
from click.testing import CliRunner
from lxml import etree, html
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.STEPControl import STEPControl_Reader
from specfuzz import known_keys, mutated, put, seeds, toml

from helpers import fence_of
from palewright.cli.main import main
from palewright.export.drawing.sets.drawing_files import set_files
from palewright.export.drawing.sets.sheet_sets import Purpose
from palewright.export.models.finishes import finish_of
from palewright.export.models.product import Product
from palewright.export.outputs.files import write_files
from palewright.export.outputs.making import RECORD, build_outputs, key_of, locked
from palewright.export.outputs.registry import OUTPUTS
from palewright.export.page.html import write_page
from palewright.model.basis.errors import OutputError, PalewrightError, SpecError
from palewright.model.order.joints import make_fence
from palewright.reading import parse_job

GARDEN = '[[run]]\npoints = [[0, 0], ["5.4 m", 0]]\n'
LISTS = [output for output in OUTPUTS if output.name in ("csv", "xlsx", "site")]


def files(folder: Path) -> dict[str, str]:
    return {p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in folder.iterdir()}


def built(**changes: Any) -> Product:
    return Product(fence_of({"run": [{"points": [[0, 0], [5400, 0]]}], **changes}))


def test_what_is_unchanged_is_kept(tmp_path: Path) -> None:
    first = build_outputs(built(), LISTS, "f", tmp_path)
    assert first.kept == ()
    before = files(tmp_path)
    times = {path.name: path.stat().st_mtime_ns for path in tmp_path.iterdir()}
    again = build_outputs(built(), LISTS, "f", tmp_path)
    assert again.kept == ("csv", "xlsx", "site")
    assert again.files == first.files
    assert files(tmp_path) == before
    assert {p.name: p.stat().st_mtime_ns for p in tmp_path.iterdir() if p.name != RECORD} == {
        name: at for name, at in times.items() if name != RECORD
    }
    # what a list is made from changes lists alone
    other = build_outputs(built(timber={"kerf": 5}), LISTS, "f", tmp_path)
    assert other.kept == ("site",)
    # a file that somebody changed is made again, and all are on demand
    (tmp_path / "f-setting-out.dxf").write_text("spoiled")
    assert build_outputs(built(timber={"kerf": 5}), LISTS, "f", tmp_path).kept == ("csv", "xlsx")
    assert build_outputs(built(), LISTS, "f", tmp_path, fresh=True).kept == ()
    assert files(tmp_path) == before


def test_kept_outputs_are_what_a_fresh_build_makes(tmp_path: Path) -> None:
    """Whatever changes: building over an older build gives the bytes of a build from nothing."""
    changes: list[dict[str, Any]] = [
        {}, {"finishes": {"pales": "white paint"}}, {"sheets": {"size": "A2"}},
        {"project": {"name": "other"}}, {"timber": {"kerf": 9}}, {"pales": {"length": 1000}},
        {"fixings": {"pales": "screws"}}, {"concrete": {"extra": 0.3}}, {"soil": {"frost": 10}},
        {"work": {"fix_pale": 0.1}}, {"extra": [{"item": "skip"}]}, {"painting": {"coats": 3}},
        {"wind": {"velocity": 20}}, {"revision": [{"index": "A", "text": "moved"}]},
        {"feature": [{"kind": "hedge", "points": [[0, 1500], [4000, 1500]], "width": 600}]},
    ]  # fmt: skip
    chosen = [output for output in OUTPUTS if output.name in ("csv", "xlsx", "site", "sheets")]
    over = tmp_path / "over"
    for number, change in enumerate(changes):
        build_outputs(built(**change), chosen, "f", over)
        fresh = tmp_path / str(number)
        build_outputs(built(**change), chosen, "f", fresh)
        found, wanted = files(over), files(fresh)
        assert {n: h for n, h in found.items() if n != RECORD} == {
            n: h for n, h in wanted.items() if n != RECORD
        }, change


def test_every_part_of_a_job_reaches_the_outputs_that_need_it() -> None:
    """A shape in the run changes every key; a finish those of what shows it or buys it."""
    base, painted, taller = (
        built(),
        built(finishes={"rails": "oiled"}),
        built(pales={"length": 950}),
    )
    for output in OUTPUTS:
        key = key_of(base.fence.job, output, "f")
        assert key != key_of(taller.fence.job, output, "f")
        shows = output.name in (
            "step", "glb", "3mf", "obj", "instanced", "usdz", "page", "picture", "csv", "xlsx",
            "takeoff", "order-sheet", "proposal", "merged", "obj-metres",
        ) or output.name.startswith("sheets-")  # fmt: skip
        assert (key != key_of(painted.fence.job, output, "f")) is shows
        assert key != key_of(base.fence.job, output, "g")


def test_two_builds_in_one_folder_wait_for_each_other(tmp_path: Path) -> None:
    spec = tmp_path / "g.toml"
    spec.write_text(GARDEN)
    out = tmp_path / "out"
    with locked(out):
        command = [sys.executable, "-m", "palewright.cli", "build", str(spec), "-o", str(out)]
        done = subprocess.run([*command, "--only", "csv"], capture_output=True, text=True)
    assert done.returncode == 2
    assert "another build is writing there; wait until it is done" in done.stderr
    assert not out.exists()
    build_outputs(built(), LISTS, "f", out)  # the lock is gone


def test_a_folder_is_one_folder_by_any_name(tmp_path: Path) -> None:
    real, link = tmp_path / "real", tmp_path / "link"
    real.mkdir()
    link.symlink_to(real)
    with locked(real), pytest.raises(OutputError), locked(link):
        pass


WRITER = """
import sys
from pathlib import Path
from palewright.export.outputs.files import write_files
out = Path(sys.argv[1])
print("ready", flush=True)
number = 0
while True:
    number += 1
    write_files(out, {name: bytes([number % 251]) * 400_000 for name in ("a.step", "b.dxf")})
"""


def killed_writer(folder: Path, rng: random.Random) -> None:
    """Kill a process that writes all the time, then see that each file is whole."""
    with subprocess.Popen(
        [sys.executable, "-c", WRITER, str(folder)], stdout=subprocess.PIPE
    ) as run:
        assert run.stdout is not None
        run.stdout.readline()
        time.sleep(rng.uniform(0.0, 0.05))
        run.send_signal(signal.SIGKILL)
    for name in ("a.step", "b.dxf"):
        path = folder / name
        if path.exists():
            data = path.read_bytes()
            assert len(data) == 400_000
            assert len(set(data)) == 1


def test_killed_while_writing_every_file_is_whole(tmp_path: Path) -> None:
    rng = random.Random(2)
    for _ in range(10):
        killed_writer(tmp_path, rng)
    assert list(tmp_path.iterdir())


def test_litter_of_a_killed_build_goes_with_the_next(tmp_path: Path) -> None:
    build_outputs(built(), LISTS, "f", tmp_path)
    litter = tmp_path / ".f-setting-out.dxf.abc.part"
    litter.write_text("half")
    (tmp_path / ".other.part").write_text("not ours")
    build_outputs(built(), LISTS, "f", tmp_path, fresh=True)
    assert not litter.exists()
    assert (tmp_path / ".other.part").exists()
    # a single file's writer leaves a young one alone: somebody may be writing it
    litter.write_text("half")
    write_files(tmp_path, {"f-setting-out.dxf": b"x"})
    assert litter.exists()
    os.utime(litter, (0, 0))
    write_files(tmp_path, {"f-setting-out.dxf": b"x"})
    assert not litter.exists()


def test_a_full_disk_leaves_the_old_files(tmp_path: Path) -> None:
    """A limit on file size stands for the full disk: writing fails half way."""
    spec = tmp_path / "g.toml"
    spec.write_text(GARDEN)
    out = tmp_path / "out"
    command = [sys.executable, "-m", "palewright.cli", "build", str(spec), "-o", str(out),
               "--only", "csv,xlsx"]  # fmt: skip
    subprocess.run(command, check=True, capture_output=True)
    before = files(out)
    spec.write_text(GARDEN.replace("5.4 m", "9 m"))

    def small() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (3000, 3000))

    done = subprocess.run(command, capture_output=True, text=True, preexec_fn=small)
    assert done.returncode == 2
    assert "cannot be written" in done.stderr
    assert "Traceback" not in done.stderr
    assert files(out) == before


def test_a_folder_that_cannot_be_made_is_one_message(tmp_path: Path) -> None:
    spec = tmp_path / "g.toml"
    spec.write_text(GARDEN)
    (tmp_path / "out").write_text("a file")
    done = CliRunner().invoke(main, ["build", str(spec), "-o", str(tmp_path / "out" / "in")])
    assert done.exit_code == 2
    assert "cannot be written" in done.output


@pytest.mark.parametrize(
    "name", ["a b.toml", "a'b\"c.toml", "Zaun für 😀.toml", "-x.toml", "[x].toml"]
)
def test_odd_names_of_files_and_folders(tmp_path: Path, name: str) -> None:
    folder = tmp_path / "odd [folder] 'é'"
    folder.mkdir()
    (folder / name).write_text(GARDEN)
    out = folder / "out *?"
    environment = {**os.environ, "LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONIOENCODING": ""}
    command = [
        sys.executable,
        "-m",
        "palewright.cli",
        "build",
        "--only",
        "csv,site",
        "-o",
        str(out),
    ]
    done = subprocess.run(
        [*command, "--", str(folder / name)], capture_output=True, env=environment
    )
    assert done.returncode == 0, done.stderr
    stem = name.removesuffix(".toml")
    assert (out / f"{stem}-setting-out.dxf").exists()


def test_line_ends_of_windows(tmp_path: Path) -> None:
    spec = tmp_path / "g.toml"
    spec.write_bytes(GARDEN.replace("\n", "\r\n").encode("utf-8-sig"))
    assert CliRunner().invoke(main, ["check", str(spec)]).exit_code == 0
    spec.write_bytes(b"[[run]]\r\npoints = 3\r\n")
    assert f"{spec}:2:" in CliRunner().invoke(main, ["check", str(spec)]).output


EVIL = "=1+1\"'</script><b>😀\\..\\../x;{}%s\x7f"


def named(text: str) -> Product:
    """Return a fence with a text in every text field of the spec."""
    texts = ["name", "site", "client", "reference", "owner", "author", "approver", "finish"]
    data = {
        "project": dict.fromkeys(texts, text[:60]) | {"date": text[:40]},
        "run": [{"points": [[0, 0], [5400, 0]], "name": text[:80], "existing": text}],
        "revision": [{"index": text[:4], "date": text[:40], "text": text}],
    }
    return Product(fence_of(data))


def test_names_that_try_to_be_something_else(tmp_path: Path) -> None:
    """Every text field of the spec, hostile: outputs stay in their folder and inert."""
    chosen = [o for o in OUTPUTS if o.name not in ("usdz", "calculation", "ground", "proposal")]
    build_outputs(named(EVIL), chosen, "f", tmp_path)
    assert all(path.parent == tmp_path for path in tmp_path.rglob("*"))
    for path in tmp_path.glob("*.csv"):
        for row in path.read_text("utf-8-sig").splitlines():
            assert not any(cell.strip('"').startswith("=") for cell in row.split(","))
    book = openpyxl.load_workbook(tmp_path / "f.xlsx")
    assert not any(
        cell.data_type == "f" for sheet in book for row in sheet.iter_rows() for cell in row
    )
    for path in tmp_path.glob("*.dxf"):
        assert not ezdxf.readfile(path).audit().has_errors
    with zipfile.ZipFile(tmp_path / "f.3mf") as package:
        for name in package.namelist():
            etree.fromstring(package.read(name))
    for path in tmp_path.glob("*.glb"):
        scene = trimesh.load(path)
        evil = named(EVIL).fence
        members = evil.by_mark
        merged = {finish_of(one[0].kind, evil.job.finishes) for one in members.values()}
        wanted = merged if path.stem.endswith("merged") else members
        assert len(scene.geometry) == len(wanted)
    reader = STEPControl_Reader()
    assert reader.ReadFile(str(tmp_path / "f.step")) == IFSelect_ReturnStatus.IFSelect_RetDone
    assert reader.TransferRoots() == 1
    assert len(pypdfium2.PdfDocument(tmp_path / "f.pdf")) >= 1


def test_names_put_nothing_into_pages_and_drawings() -> None:
    """A page or an SVG has the same elements with a hostile name as with a plain one."""
    found = []
    for text in (EVIL, "a" * len(EVIL)):
        fence = named(text)
        page = write_page([(text, fence)]).decode()
        sheets = set_files(fence.fence, Purpose.BUILD, "f", ("svg",)).values()
        trees = [html.fromstring(page), *(etree.fromstring(sheet) for sheet in sheets)]
        tags = [
            Counter(
                (element.tag, tuple(sorted(element.attrib)))
                for element in tree.iter() if isinstance(element.tag, str)
            )
            for tree in trees
        ]  # fmt: skip
        # a wider name may stand on another sheet, so that of sheets the kinds of elements count
        kinds = {tag for sheet in tags[1:] for tag in sheet}
        found.append(({tag: n for tag, n in tags[0].items() if "path" not in str(tag)}, kinds))
    assert found[0] == found[1]


@pytest.mark.slow
def test_ten_thousand_letters_are_refused_wherever_they_stand() -> None:
    """In one short message, which does not say them all again."""
    for key in known_keys():
        points = [{"at": [0, 0]}, {"at": [5400, 0]}]
        spec: dict[str, Any] = {"run": [{"points": points, "gate": [{"at": 2700}]}]}
        put(spec, key, "x" * 10_000)
        with pytest.raises(SpecError) as error:
            parse_job(toml(spec))
        assert max(len(line) for line in str(error.value).splitlines()) < 1500, key
    assert named("x" * 80).fence.job.runs[0].name == "x" * 80


@pytest.mark.slow
def test_a_build_that_is_killed_at_any_time(tmp_path: Path) -> None:
    """The whole program, killed at random; what it leaves is the old build or the new, file by
    file, and the next build mends the rest.
    """
    spec = tmp_path / "g.toml"
    out = tmp_path / "out"
    command = [sys.executable, "-m", "palewright.cli", "build", str(spec), "-o", str(out), "-q",
               "--only", "csv,xlsx,site"]  # fmt: skip
    wanted = []
    for length in ("5.4 m", "9 m"):
        spec.write_text(GARDEN.replace("5.4 m", length))
        subprocess.run(command, check=True)
        wanted.append(files(out))
    rng = random.Random(5)
    for number in range(8):
        spec.write_text(GARDEN.replace("5.4 m", ("5.4 m", "9 m")[number % 2]))
        with subprocess.Popen(command) as run:
            time.sleep(rng.uniform(0.3, 1.5))
            run.kill()
        for name, digest in files(out).items():
            if not name.endswith(".part") and name != RECORD:
                assert digest in (wanted[0][name], wanted[1][name])
    subprocess.run(command, check=True)
    assert {n: h for n, h in files(out).items() if n != RECORD} == {
        n: h for n, h in wanted[1].items() if n != RECORD
    }
    shutil.rmtree(out)


def test_random_specs_build_or_say_why() -> None:
    """A first part of benchmarks/fuzz.py, which tries twenty thousand."""
    bases, keys = seeds(), known_keys()
    done = refused = 0
    for number in range(150):
        text = toml(mutated(random.Random(number), bases, keys))
        try:
            make_fence(parse_job(text))
            done += 1
        except PalewrightError as error:
            refused += bool(str(error).strip())
    assert done > 5
    assert done + refused == 150
