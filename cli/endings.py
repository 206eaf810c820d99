"""How a command ends that is not let finish: interrupted, stopped, or out of room."""

from __future__ import annotations

import atexit
import contextlib
import errno
import os
import signal
import sys
import threading
from collections.abc import Iterator
from typing import Any, NoReturn

ENDS = {signal.SIGINT: (130, "interrupted"), signal.SIGTERM: (143, "stopped")}
"""Exit codes after Ctrl-C and SIGTERM, as shells have them, and what is said then."""

UNWRITTEN = 120
"""Exit code where the last of the output has no room, as the interpreter has it."""

NO_ROOM = (errno.ENOSPC, errno.EDQUOT, errno.EIO)
"""Numbers of errors of a device that takes no more."""


@contextlib.contextmanager
def stoppable() -> Iterator[None]:
    """End at once and in one line on Ctrl-C and SIGTERM.

    An exception may come up inside a library's own start or callback, which makes another one of
    it. What is written stands under its name only when it is whole, so that nothing is lost.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = listen()
    try:
        yield
    finally:
        for number, handler in zip(ENDS, before, strict=True):
            signal.signal(number, handler)


def listen() -> list[Any]:
    """End in this way from now on, also while the interpreter ends; return who listened before."""
    return [signal.signal(number, _end) for number in ENDS]


def _end(number: int, frame: object) -> None:
    code, word = ENDS[signal.Signals(number)]
    os.write(2, f"{word}; files that were there are whole\n".encode())
    os._exit(code)


def leave(code: str | int | None) -> NoReturn:
    """End the program with an exit code, its work done.

    The interpreter's own end takes the libraries apart piece by piece, for a tenth of a second in
    which a signal would end it in another way; nothing of that is needed any more.
    """
    for number in ENDS:
        signal.signal(number, signal.SIG_IGN)
    if isinstance(code, str):
        print(code, file=sys.stderr)
    atexit._run_exitfuncs()
    ended = int(bool(code)) if code is None or isinstance(code, str) else code
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except OSError:
            ended = ended or UNWRITTEN
    os._exit(ended)


def give_up_output() -> None:
    """Let the interpreter not try once more to print what has no room."""
    with contextlib.suppress(OSError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
