"""Reading files that somebody else made: what one is and how large, before any of it is read."""

from __future__ import annotations

import codecs
import os
import re
import stat
import tomllib
from pathlib import Path
from typing import Any

from .errors import PalewrightError, Problem, SpecError

NOT_UTF_8 = (
    "is not UTF-8 text: a letter here is written in another way; in your editor save the file "
    "with the encoding UTF-8"
)

NO_TOML = "is not TOML: neither a heading in [ ] nor a key, = and a sound value, or one twice"

LARGEST_SPEC = 4_000_000
"""Bytes; a spec is written by hand, a larger file is something else."""

MOST_PARTS = 20
"""Parts of a key in TOML, as a.b.c has three; no table of ours is so deep."""

MOST_NESTED = 40
"""Arrays and inline tables within each other in TOML."""


class SourceFileError(PalewrightError):
    """A file that cannot be read; the text says why, without its name and nothing of its content.

    line : of a text, from 1, or None.
    """

    def __init__(self, text: str, line: int | None = None) -> None:
        super().__init__(text)
        self.line = line

    def of(self, file: str) -> SpecError:
        """Return it as what is wrong with a spec or a price file of that name."""
        return SpecError(file, (Problem((), str(self), line=self.line),))


class TomlError(SourceFileError):
    """A text that is no TOML."""


def read_source(path: Path, largest: int) -> bytes:
    """Return what is in a regular file. largest : bytes; of a larger one nothing is read.

    Raises
    ------
    SourceFileError
        When there is no such file, or it is a folder, a pipe or a device, or too large.
    """
    try:
        kind = path.stat()
        if stat.S_ISDIR(kind.st_mode):
            raise SourceFileError("cannot be read: is a folder")
        if not stat.S_ISREG(kind.st_mode):  # reading might never end, or do something
            raise SourceFileError("cannot be read: is no regular file")
        # a pipe that came in between must not be waited for
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
        with os.fdopen(handle, "rb") as file:
            if not stat.S_ISREG(os.fstat(handle).st_mode):
                raise SourceFileError("cannot be read: is no regular file")
            data = file.read(largest + 1)
    except OSError as error:
        raise SourceFileError(f"cannot be read: {error.strerror}") from None
    except ValueError:  # a null character
        raise SourceFileError("cannot be read: not a file name") from None
    if len(data) > largest:
        raise SourceFileError(f"is larger than {largest} bytes, the most that is read")
    return data


def text_of(data: bytes) -> str:
    """Return UTF-8 as text, with or without its mark at the start, or UTF-16 with its mark.

    Raises SourceFileError, with the line.
    """
    try:
        if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
            return data.decode("utf-16")
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise SourceFileError(NOT_UTF_8, line) from None


IN_QUOTES = r'"(?:\\.|[^"\\\n])*+"' + r"|'[^'\n]*+'"
"""A text in quotes on one line of TOML, as a regular expression."""

_PART = rf"(?:[\w-]++|{IN_QUOTES})"
_TOKEN = re.compile(
    r'"""(?:\\.|[^\\])*?(?:"""|\Z)'
    r"|'''.*?(?:'''|\Z)"
    rf"|(?P<long>{_PART}(?:[ \t]*+\.[ \t]*+{_PART}){{{MOST_PARTS},}}+)"
    rf"|{IN_QUOTES}|\#[^\n]*+|(?P<open>[\[{{])|(?P<close>[\]}}])|[\w-]++",
    re.DOTALL,
)


def toml_tables(text: str) -> dict[str, Any]:
    """Return the tables of a TOML text that is no deeper than a person writes it.

    Raises
    ------
    SourceFileError
        With the line, when it is too deep; TomlError, when it is not TOML.
    """
    depth = 0
    for token in _TOKEN.finditer(text):
        if token["open"]:
            depth += 1
        elif token["close"]:
            depth -= 1
        if token["long"] or depth > MOST_NESTED:
            raise SourceFileError("is nested too deeply", text.count("\n", 0, token.start()) + 1)
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        told = re.search(r"at line (\d+)", str(error))
        line = int(told[1]) if told else None
        raise TomlError(NO_TOML, line) from None
    except RecursionError:
        raise SourceFileError("is nested too deeply") from None
    except ValueError:  # a number of thousands of digits
        raise SourceFileError("is not TOML: a number has too many digits") from None
