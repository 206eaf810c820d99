"""Text that users gave, made safe to print."""

from __future__ import annotations


def printable(text: str) -> str:
    r"""Return text on one line, with a space for each character that XML 1.0 (section 2.2) does
    not have and for what breaks lines.

    >>> printable("a\nb\x00c\ufffe")
    'a b c '
    """
    return "".join(" " if _breaks(ord(c)) else c for c in text)


def _breaks(code: int) -> bool:
    return (
        code < 32
        or 127 <= code < 160
        or code in (0x2028, 0x2029)
        or 0xD800 <= code < 0xE000
        or code & 0xFFFE == 0xFFFE
    )


def plain(text: str) -> str:
    r"""Return text on one line, without control characters and backslashes.

    >>> plain("a\nb\\c")
    'a b/c'
    """
    return printable(text).replace("\\", "/").strip()


def titled_text(text: str) -> str:
    """Return text with a capital at its start.

    >>> titled_text("gate 1"), titled_text("")
    ('Gate 1', '')
    """
    return text[:1].upper() + text[1:]


def in_dxf(text: str) -> str:
    """Return text as DXF has it (DXF reference, TEXT): a caret and a letter would be a control
    character, two per cent signs and a letter a symbol.

    >>> in_dxf("^J 50 %%d")
    '^ J 50 % %d'
    """
    spaced = plain(text).replace("^", "^ ")
    while "%%" in spaced:
        spaced = spaced.replace("%%", "% %")
    return spaced
