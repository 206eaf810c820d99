"""What a GLB is put together from: its binary part, meshes, materials and their variants."""

from __future__ import annotations

import json
import struct
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from .finishes import TIMBER_FINISHES, Finish

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

ARRAY_BUFFER, ELEMENT_ARRAY_BUFFER = 34962, 34963
UNSIGNED_SHORT, UNSIGNED_INT, FLOAT = 5123, 5125, 5126

VARIANTS = "KHR_materials_variants"
AS_SPECIFIED = "as specified"
"""The variant in which all timber has its own finish; the others have all of it in one."""


@dataclass(frozen=True)
class MeshArrays:
    """What a primitive holds. points : (n, 3), m, Y up; normals : (n, 3); places : (n, 2), m, of a
    texture whose v grows downwards (glTF 2.0, 3.8.3); indices : (m,).
    """

    points: NDArray[np.float64]
    normals: NDArray[np.float64]
    places: NDArray[np.float64]
    indices: NDArray[np.int64]


def joined(parts: Sequence[MeshArrays]) -> MeshArrays:
    """Return several as one."""
    import numpy as np

    starts = np.cumsum([0, *(len(part.points) for part in parts)])
    return MeshArrays(
        np.concatenate([part.points for part in parts]),
        np.concatenate([part.normals for part in parts]),
        np.concatenate([part.places for part in parts]),
        np.concatenate([p.indices + at for p, at in zip(parts, starts, strict=False)]),
    )


@dataclass
class BinaryPart:
    """The file's binary part while it grows, with the views and accessors into it."""

    data: bytearray = field(default_factory=bytearray)
    views: list[dict[str, Any]] = field(default_factory=list)
    accessors: list[dict[str, Any]] = field(default_factory=list)

    def view(self, raw: bytes, target: int | None = None) -> int:
        """Add bytes and return the number of the view of them."""
        self.data.extend(b"\0" * (-len(self.data) % 4))
        view = {"buffer": 0, "byteOffset": len(self.data), "byteLength": len(raw)}
        self.views.append(view if target is None else {**view, "target": target})
        self.data.extend(raw)
        return len(self.views) - 1

    def add(self, raw: bytes, target: int | None, accessor: dict[str, Any]) -> int:
        """Add bytes with an accessor and return its number."""
        self.accessors.append({"bufferView": self.view(raw, target), **accessor})
        return len(self.accessors) - 1

    def floats(self, rows: NDArray[np.float64], box: bool = False) -> int:
        """Add rows of two or three floats to be drawn; return the number of their accessor.

        box : whether it says the smallest and largest, as of points it must.
        """
        values = rows.astype("<f4")
        kind = {"componentType": FLOAT, "count": len(rows), "type": f"VEC{rows.shape[1]}"}
        if box:
            kind["min"] = [float(v) for v in values.min(axis=0)]
            kind["max"] = [float(v) for v in values.max(axis=0)]
        return self.add(values.tobytes(), ARRAY_BUFFER, kind)

    def whole(self) -> bytes:
        """Return the binary part, its length a multiple of four."""
        self.data.extend(b"\0" * (-len(self.data) % 4))
        return bytes(self.data)


@dataclass
class Palette:
    """The materials of a file while it grows: own finishes first as they are met."""

    numbers: dict[Finish, int] = field(default_factory=dict)

    def number(self, finish: Finish) -> int:
        """Return the number of a finish's material."""
        return self.numbers.setdefault(finish, len(self.numbers))

    def variants(self, own: Finish) -> dict[str, Any]:
        """Return what a primitive of timber says of its finish in each variant."""
        used: dict[int, list[int]] = {self.number(own): [0]}
        for number, finish in enumerate(TIMBER_FINISHES.values(), 1):
            used.setdefault(self.number(finish), []).append(number)
        mappings = [{"material": number, "variants": own} for number, own in used.items()]
        return {VARIANTS: {"mappings": mappings}}

    def materials(self) -> list[dict[str, Any]]:
        """Return the materials."""
        return [_material(finish) for finish in self.numbers]


def named_variants() -> dict[str, Any]:
    """Return the extension of the file that names its variants."""
    return {VARIANTS: {"variants": [{"name": n} for n in (AS_SPECIFIED, *TIMBER_FINISHES)]}}


def mesh_entry(
    name: str, drawn: MeshArrays, surface: Mapping[str, Any], binary: BinaryPart
) -> dict[str, Any]:
    """Return a mesh of one primitive, its arrays added to the binary part.

    surface : the primitive's material and extensions.
    """
    short = len(drawn.points) < 65535
    whole = {
        "componentType": UNSIGNED_SHORT if short else UNSIGNED_INT,
        "count": int(drawn.indices.size),
        "type": "SCALAR",
    }
    numbers = drawn.indices.astype("<u2" if short else "<u4").tobytes()
    attributes = {
        "POSITION": binary.floats(drawn.points, box=True),
        "NORMAL": binary.floats(drawn.normals),
        "TEXCOORD_0": binary.floats(drawn.places),
    }
    index = binary.add(numbers, ELEMENT_ARRAY_BUFFER, whole)
    return {"name": name, "primitives": [{"attributes": attributes, "indices": index, **surface}]}


def packed(document: Mapping[str, Any], data: bytes) -> bytes:
    """Return a GLB of a document and its binary part (glTF 2.0, 4.4)."""
    text = json.dumps(document, separators=(",", ":"), ensure_ascii=False).encode()
    text += b" " * (-len(text) % 4)
    total = 12 + 8 + len(text) + 8 + len(data)
    return b"".join(
        (
            struct.pack("<4sII", b"glTF", 2, total),
            struct.pack("<I4s", len(text), b"JSON"),
            text,
            struct.pack("<I4s", len(data), b"BIN\0"),
            data,
        )
    )


def vectors(rows: Sequence[Sequence[float]]) -> bytes:
    """Return rows of floats as an accessor holds them."""
    return struct.pack(f"<{len(rows) * len(rows[0])}f", *(v for row in rows for v in row))


def _material(finish: Finish) -> dict[str, Any]:
    return {
        "name": finish.name,
        "pbrMetallicRoughness": {
            "baseColorFactor": [*(round(v, 5) for v in finish.linear), 1.0],
            "metallicFactor": finish.metallic,
            "roughnessFactor": finish.roughness,
        },
    }
