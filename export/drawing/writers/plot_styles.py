"""A plot style table (CTB): all colours print black, as wide as their layers say."""

from __future__ import annotations

import io
import struct

MAGIC = 48
"""Length of what a plot style file begins with, before its three numbers, bytes."""

COLOURS = range(1, 256)
BLACK = (0, 0, 0)


def write_ctb(description: str) -> bytes:
    """Return a plot style table for drawings whose layers carry their widths.

    The library packs the three numbers of the file's head (a checksum and two lengths) in the
    machine's own width; programs read four bytes each, the lowest first.
    """
    from ezdxf.addons import acadctb

    table = acadctb.new_ctb()
    table.description = description
    for colour in COLOURS:
        table[colour].color = BLACK
    out = io.BytesIO()
    table.write(out)
    data = out.getvalue()
    wide = struct.calcsize("LLL")
    numbers = struct.unpack("LLL", data[MAGIC : MAGIC + wide])
    return data[:MAGIC] + struct.pack("<LLL", *numbers) + data[MAGIC + wide :]
