"""A plot style table (CTB): colours print black, as wide as their layers say, but for those of
layers with an ink of their own.
"""

from __future__ import annotations

import io
import struct

from palewright.export.drawing.draft.style import BLACK, LAYERS

MAGIC = 48
"""Length of what a plot style file begins with, before its three numbers, bytes."""

COLOURS = range(1, 256)


def write_ctb(description: str) -> bytes:
    """Return a plot style table for drawings whose layers carry their widths.

    The library packs the three numbers of the file's head (a checksum and two lengths) in the
    machine's own width; programs read four bytes each, the lowest first.
    """
    from ezdxf.addons import acadctb

    table = acadctb.new_ctb()
    table.description = description
    own = {layer.colour: layer.ink for layer in LAYERS if layer.ink != BLACK}
    for colour in COLOURS:
        red, green, blue = (round(255 * part) for part in own.get(colour, BLACK))
        table[colour].color = (red, green, blue)
    out = io.BytesIO()
    table.write(out)
    data = out.getvalue()
    wide = struct.calcsize("LLL")
    numbers = struct.unpack("LLL", data[MAGIC : MAGIC + wide])
    return data[:MAGIC] + struct.pack("<LLL", *numbers) + data[MAGIC + wide :]
