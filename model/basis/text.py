"""Text that users gave, made safe to print."""

from __future__ import annotations


def plain(text: str) -> str:
    r"""Return text on one line, without control characters and backslashes.

    >>> plain("a\nb\\c")
    'a b/c'
    """
    kept = "".join(" " if ord(c) < 32 or 127 <= ord(c) < 160 else c for c in text)
    return kept.replace("\\", "/").strip()
