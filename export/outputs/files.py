"""The one place that writes files."""

from __future__ import annotations

import contextlib
import glob
import os
import stat
import tempfile
import time
from pathlib import Path

from palewright.model.basis.errors import OutputError

Files = dict[str, bytes]

STALE = 60.0
"""Unfinished files are left alone for so long, seconds: another run may be writing them."""


def write_files(folder: Path, files: Files, *, stale: float = STALE) -> None:
    """Write files into a folder, all beside their names first, then moved into place.

    stale : unfinished files older than so many seconds are litter.

    Raises
    ------
    OutputError
        When one cannot be written; then none is changed.
    """
    unfinished: list[tuple[Path, Path]] = []
    through: list[tuple[Path, bytes]] = []
    target = folder
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, data in files.items():
            target = folder / name
            if _is_special(target):
                through.append((target, data))
                continue
            if target.is_symlink():
                target = target.resolve()
            _sweep(target.parent, name, stale)
            handle, temporary = tempfile.mkstemp(
                prefix=f".{name}.", suffix=".part", dir=target.parent
            )
            unfinished.append((Path(temporary), target))
            with os.fdopen(handle, "wb") as out:
                out.write(data)
            os.chmod(temporary, 0o666 & ~_umask())
        for target, data in through:
            with target.open("wb", buffering=0) as out:
                left = memoryview(data)
                while left:
                    left = left[out.write(left) or 0 :]
        for place, target in unfinished:
            place.replace(target)
    except OSError as error:
        raise OutputError(f"{target}: cannot be written: {error.strerror}") from None
    except ValueError:  # a null character
        raise OutputError(f"{str(target)!r}: cannot be written: not a file name") from None
    finally:
        for place, _ in unfinished:
            place.unlink(missing_ok=True)


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
