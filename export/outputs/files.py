"""The one place that writes files."""

from __future__ import annotations

import contextlib
import glob
import os
import stat
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from palewright.model.basis.errors import OutputError

Files = dict[str, bytes]

STALE = 60.0
"""Unfinished files are left alone for so long, seconds: another run may be writing them."""


class Unfinished:
    """Files that stand beside their names, to be moved into place together.

    folder : they are for; stale : unfinished files older than so many seconds are litter.
    """

    def __init__(self, folder: Path, stale: float) -> None:
        self._folder = folder
        self._stale = stale
        self._beside: list[tuple[Path, Path]] = []
        self._through: list[tuple[Path, bytes]] = []

    def add(self, files: Files) -> None:
        """Write files beside their names; what leads to a device waits until the end."""
        target = self._folder
        with _told(lambda: target):
            self._folder.mkdir(parents=True, exist_ok=True)
            for name, data in files.items():
                target = self._folder / name
                if _is_special(target):
                    self._through.append((target, data))
                    continue
                if target.is_symlink():
                    target = target.resolve()
                _sweep(target.parent, name, self._stale)
                handle, temporary = tempfile.mkstemp(
                    prefix=f".{name}.", suffix=".part", dir=target.parent
                )
                self._beside.append((Path(temporary), target))
                with os.fdopen(handle, "wb") as out:
                    out.write(data)
                os.chmod(temporary, 0o666 & ~_umask())

    def put_in_place(self) -> None:
        """Move all to their names."""
        target = self._folder
        with _told(lambda: target):
            for target, data in self._through:
                with target.open("wb", buffering=0) as out:
                    left = memoryview(data)
                    while left:
                        left = left[out.write(left) or 0 :]
            for place, target in self._beside:
                place.replace(target)

    def clear(self) -> None:
        """Remove what was not put in place."""
        for place, _ in self._beside:
            place.unlink(missing_ok=True)


@contextlib.contextmanager
def _told(target: Callable[[], Path]) -> Iterator[None]:
    """Say in our words which file could not be written."""
    try:
        yield
    except OSError as error:
        raise OutputError(f"{target()}: cannot be written: {error.strerror}") from None
    except ValueError:  # a null character
        raise OutputError(f"{str(target())!r}: cannot be written: not a file name") from None


@contextlib.contextmanager
def unfinished(folder: Path, *, stale: float = STALE) -> Iterator[Unfinished]:
    """Yield what takes files for a folder; they are put in place when all went well, else none is
    changed.

    Raises
    ------
    OutputError
        When one cannot be written.
    """
    files = Unfinished(folder, stale)
    try:
        yield files
        files.put_in_place()
    finally:
        files.clear()


def write_files(folder: Path, files: Files, *, stale: float = STALE) -> None:
    """Write files into a folder, all beside their names first, then moved into place.

    stale : unfinished files older than so many seconds are litter.

    Raises
    ------
    OutputError
        When one cannot be written; then none is changed.
    """
    with unfinished(folder, stale=stale) as waiting:
        waiting.add(files)


def _is_special(path: Path) -> bool:
    """Tell whether a path leads to a device or a pipe, which is written to and not replaced."""
    try:
        mode = path.stat().st_mode
    except (OSError, ValueError):
        return False
    return not (stat.S_ISREG(mode) or stat.S_ISDIR(mode))


def _sweep(folder: Path, name: str, older: float) -> None:
    """Remove what a killed run left beside a file, if it is older than so many seconds."""
    for path in folder.glob(f".{glob.escape(name)}.*.part"):
        with contextlib.suppress(OSError):
            # a clock that was set back makes the past the future
            if abs(time.time() - path.stat().st_mtime) >= older:
                path.unlink()


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
