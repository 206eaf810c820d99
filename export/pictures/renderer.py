"""The renderer as a process of its own: where the machine lacks the libraries it draws with, it may
crash instead of failing, and that must not take the work down with it.
"""

from __future__ import annotations

import io
import subprocess
import sys
from collections.abc import Mapping
from typing import Any

from palewright.model.basis.errors import OutputError

LIBRARIES = "on Debian: apt-get install libegl1 libgl1-mesa-dri libgl1 libxrender1"
"""What to install where the renderer cannot start."""

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
    import numpy as np

    packed = io.BytesIO()
    np.savez(packed, **scene)
    # -P: a folder named palewright in the current one is not this program
    command = [sys.executable, "-P", "-m", "palewright.export.pictures.render"]
    try:
        done = subprocess.run(
            command, input=packed.getvalue(), capture_output=True, timeout=TIME_LIMIT, check=False
        )
    except subprocess.TimeoutExpired:
        raise OutputError(f"{MISSING} within {TIME_LIMIT} s") from None
    if done.returncode != 0 or not done.stdout.startswith(begins):
        raise OutputError(f"{MISSING} on this machine; {LIBRARIES}")
    return done.stdout
