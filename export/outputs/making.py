"""A build: only what changed is made again, two groups of outputs side by side, one at a time."""

from __future__ import annotations

import contextlib
import hashlib
import json
import multiprocessing
import os
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from filelock import FileLock, Timeout

try:
    import fcntl
except ImportError:  # on Windows
    fcntl = None  # type: ignore[assignment]

import palewright.export
import palewright.model
from palewright.export.models.product import Product
from palewright.model.basis.errors import OutputError, PalewrightError
from palewright.model.fence.fence_model import FenceModel
from palewright.model.resolved.job import Job

from .files import Files, unfinished, write_files
from .registry import OUTPUTS, Output

RECORD = ".palewright.json"
"""What a folder's outputs were made from."""


@dataclass(frozen=True)
class Done:
    """files : all outputs with their sizes; kept : names of outputs that were made before."""

    files: dict[str, int]
    kept: tuple[str, ...]


def build_outputs(
    built: Product,
    chosen: Sequence[Output],
    stem: str,
    folder: Path,
    *,
    fresh: bool = False,
    step: Callable[[str], None] = lambda name: None,
) -> Done:
    """Make outputs in a folder; those whose spec and files are unchanged are kept.

    fresh : make all anew; step : called with the name of each output when it is made.

    Raises
    ------
    OutputError
        When another build is writing there, or a file cannot be made or written.
    """
    with locked(folder) as held:
        record = _read_record(folder)
        known = {} if fresh else record
        keys = {output.name: key_of(built.fence.job, output, stem) for output in chosen}
        kept = [o for o in chosen if _is_whole(folder, known.get(o.name), keys[o.name])]
        rest = [output for output in chosen if output not in kept]
        for output in kept:
            step(output.name)
        with unfinished(folder, stale=0.0) as waiting:  # nobody else writes here now
            for name, files in _make(built, rest, stem, held):
                waiting.add(files)
                digests = {file: hashlib.sha256(data).hexdigest() for file, data in files.items()}
                record[name] = {"key": keys[name], "files": digests}
                step(name)
        text = json.dumps(record, indent=1, sort_keys=True)
        write_files(folder, {RECORD: text.encode()}, stale=0.0)
        sizes = {}
        for output in chosen:
            for name in record[output.name]["files"]:  # type: ignore[index]
                sizes[name] = (folder / name).stat().st_size
        return Done(sizes, tuple(output.name for output in kept))


@contextlib.contextmanager
def locked(folder: Path) -> Iterator[int | None]:
    """Hold a folder for one build; yield the handle that holds it, if any does.

    The lock ends with the process, however that ends; a forked one has to close the handle. The
    folder itself is locked where the system can; elsewhere a file among the temporary ones.
    """
    if fcntl is not None:
        with _flocked(folder) as held:
            yield held
        return
    name = hashlib.sha256(str(folder.resolve()).encode("utf-8", "surrogatepass")).hexdigest()[:24]
    lock = FileLock(Path(tempfile.gettempdir()) / f"palewright-{name}.lock")
    try:
        lock.acquire(timeout=0)
    except Timeout:
        raise OutputError(
            f"{folder}: another build is writing there; wait until it is done"
        ) from None
    except OSError:
        yield None  # nowhere to keep a lock: go on without
        return
    try:
        yield None
    finally:
        lock.release()


@contextlib.contextmanager
def _flocked(folder: Path) -> Iterator[int | None]:
    made = not folder.exists()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handle = os.open(folder, os.O_RDONLY)
    except (OSError, ValueError):
        yield None  # writing will say what is wrong
        return
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        os.close(handle)
        raise OutputError(
            f"{folder}: another build is writing there; wait until it is done"
        ) from None
    except OSError:
        pass  # a file system without locks
    try:
        yield handle
    finally:
        if made:  # for nothing, where nothing came of it
            with contextlib.suppress(OSError):
                folder.rmdir()
        os.close(handle)


def key_of(job: Job, output: Output, stem: str) -> str:
    """Return a digest of all that an output is made from: its part of the job, and this code."""
    parts = [repr(getattr(job, name)) for name in output.needs]
    text = "\n".join([output.name, stem, _code(), *parts])
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


@cache
def _code() -> str:
    """Return a digest of this package's files, by their sizes and times."""
    files = []
    for package in (palewright.model, palewright.export):
        for folder in package.__path__:
            for path in sorted(Path(folder).rglob("*")):
                if path.suffix in (".py", ".toml", ".js", ".ttf"):
                    stat = path.stat()
                    files.append(f"{path.name} {stat.st_size} {stat.st_mtime_ns}")
    return hashlib.sha256("\n".join(files).encode()).hexdigest()


def _read_record(folder: Path) -> dict[str, object]:
    try:
        data = json.loads((folder / RECORD).read_text("utf-8"))
    except (OSError, ValueError):
        return {}
    return data if isinstance(data, dict) else {}


def _is_whole(folder: Path, entry: object, key: str) -> bool:
    """Tell whether an output was made from the same and its files are as they were written."""
    if not isinstance(entry, dict) or entry.get("key") != key:
        return False
    files = entry.get("files")
    if not isinstance(files, dict) or not files:
        return False
    try:
        return all(
            hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest
            for name, digest in files.items()
        )
    except OSError:
        return False


def _make(
    built: Product, outputs: Sequence[Output], stem: str, held: int | None
) -> Iterator[tuple[str, Files]]:
    """Yield outputs by name as they are made: those without solids in a process of their own
    beside the others, where the machine has two cores and can fork.
    """
    plain = [output for output in outputs if not output.solids]
    solid = [output for output in outputs if output.solids]
    apart = (os.cpu_count() or 1) > 1 and "fork" in multiprocessing.get_all_start_methods()
    if not (plain and solid and apart):
        for output in outputs:
            yield output.name, output.make(built, stem)
        return
    context = multiprocessing.get_context("fork")
    alone = (os.getpid(), held)
    with ProcessPoolExecutor(1, context, _live_no_longer_than, alone) as pool:
        later = pool.submit(_make_apart, built.fence, [output.name for output in plain], stem)
        for output in solid:
            yield output.name, output.make(built, stem)
        try:
            others, trouble = later.result()
        except BrokenProcessPool:
            raise OutputError("a process that made drawings and lists was stopped") from None
    if trouble:
        raise OutputError(trouble)
    yield from others.items()


def _live_no_longer_than(parent: int, held: int | None) -> None:
    """Let go of the parent's lock, and end when it does: a killed parent tells nobody."""
    if held is not None:
        os.close(held)

    def look() -> None:
        while os.getppid() == parent:
            time.sleep(0.5)
        os._exit(1)

    threading.Thread(target=look, daemon=True).start()


def _make_apart(fence: FenceModel, names: list[str], stem: str) -> tuple[dict[str, Files], str]:
    """Make outputs by name, for another process; an error comes back as its message."""
    built = Product(fence)
    try:
        return {o.name: o.make(built, stem) for o in OUTPUTS if o.name in names}, ""
    except PalewrightError as error:
        return {}, str(error)
