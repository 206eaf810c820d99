"""The renderer as a process of its own: where the machine lacks the libraries it draws with, it may
crash instead of failing, and that must not take the work down with it.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable, Mapping
from typing import Any

from palewright.model.basis.errors import OutputError

LIBRARIES = "on Debian: apt-get install libegl1 libgl1-mesa-dri libgl1 libxrender1"
"""What to install where the renderer cannot start."""

KEEPS = {"MALLOC_MMAP_THRESHOLD_": "1000000000", "MALLOC_TRIM_THRESHOLD_": "2000000000",
         "MALLOC_TOP_PAD_": "67108864"}  # fmt: skip
"""The C library (glibc) keeps the memory of arrays for the next ones: a tenth of the time."""

TIME_LIMIT = 300
"""Seconds until a picture counts as failed."""

MISSING = "the picture could not be drawn"


def rendered(scene: Mapping[str, Any], begins: bytes) -> bytes:
    """Return what the renderer makes of a scene of arrays; begins : what that begins with.

    Raises
    ------
    OutputError
        When the renderer does not start or does not finish.
    """
    made = answered("render", scene)
    if not made.startswith(begins):
        raise OutputError(f"{MISSING} on this machine; {LIBRARIES}")
    return made


def answered(
    module: str,
    scene: Mapping[str, Any],
    step: Callable[[str], None] | None = None,
    limit: int = TIME_LIMIT,
) -> bytes:
    """Return what a module's process writes for a scene of arrays, nothing where it crashes.

    step : is told each line that it writes beside; limit : seconds until it counts as failed.

    Raises
    ------
    OutputError
        When it does not finish.
    """
    import numpy as np

    # -P: a folder named palewright in the current one is not this program
    command = [sys.executable, "-P", "-m", f"palewright.export.pictures.{module}"]
    with tempfile.TemporaryFile() as given, tempfile.TemporaryFile() as made:
        np.savez(given, **scene)
        given.seek(0)
        late = threading.Event()
        with subprocess.Popen(
            command,
            stdin=given,
            stdout=made,
            stderr=subprocess.PIPE,
            env=os.environ | KEEPS,
        ) as process:

            def stop() -> None:
                late.set()
                process.kill()

            timer = threading.Timer(limit, stop)
            timer.start()
            try:
                assert process.stderr is not None
                for line in process.stderr:
                    if step is not None:
                        step(line.decode("utf-8", "replace").strip())
                code = process.wait()
            except BaseException:
                process.kill()
                raise
            finally:
                timer.cancel()
        if late.is_set():
            raise OutputError(f"{MISSING} within {limit} s")
        made.seek(0)
        return made.read() if code == 0 else b""
