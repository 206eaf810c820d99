"""3MF (core specification 1.x): mm, one object for each mark, coloured, runs and bays as
components.
"""

from __future__ import annotations

import io
import zipfile
from xml.sax.saxutils import escape, quoteattr

from palewright.model.basis.text import printable
from palewright.model.geometry.frames import Frame

from .finishes import Finish, finish_of
from .product import Mesh, Product
from .tree import Branch, tree_of

_TYPES = """<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">\
<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>\
<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>\
</Types>
"""
_RELATIONS = """<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">\
<Relationship Target="/3D/3dmodel.model" Id="rel0" \
Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>
"""
_CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
MATERIALS = 1
"""Resource id of the material group; objects count on from it."""


def write_3mf(built: Product) -> bytes:
    """Return a fence as a 3MF package. The same fence gives the same bytes."""
    out: list[str] = ['<?xml version="1.0" encoding="UTF-8"?>\n']
    out.append(f'<model unit="millimeter" xml:lang="en-GB" xmlns="{_CORE}">\n')
    title = escape(printable(built.fence.job.project.name).strip() or "fence")
    out.append(f'<metadata name="Title">{title}</metadata>\n<resources>\n')
    finishes: dict[Finish, int] = {}
    for group in built.fence.by_mark.values():
        finishes.setdefault(finish_of(group[0].kind, built.fence.job.finishes), len(finishes))
    out.append(f'<basematerials id="{MATERIALS}">')
    for finish in finishes:
        out.append(f'<base name={quoteattr(finish.name)} displaycolor="{finish.hex}FF"/>')
    out.append("</basematerials>\n")
    ids: dict[str, int] = {}
    for mark, group in built.fence.by_mark.items():
        ids[mark] = MATERIALS + 1 + len(ids)
        number = finishes[finish_of(group[0].kind, built.fence.job.finishes)]
        out.append(
            f'<object id="{ids[mark]}" name="{mark}" type="model" pid="{MATERIALS}" '
            f'pindex="{number}">'
        )
        out.append(_mesh(built.meshes[mark]))
        out.append("</object>\n")
    last = _components(tree_of(built.fence), ids, out, MATERIALS + 1 + len(ids))
    out.append(f'</resources>\n<build><item objectid="{last}"/></build>\n</model>\n')
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as package:
        for name, text in (
            ("[Content_Types].xml", _TYPES),
            ("_rels/.rels", _RELATIONS),
            ("3D/3dmodel.model", "".join(out)),
        ):
            entry = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
            entry.compress_type = zipfile.ZIP_DEFLATED
            package.writestr(entry, text)
    return packed.getvalue()


def _components(branch: Branch, ids: dict[str, int], out: list[str], free: int) -> int:
    """Write the objects of a branch, the inner ones first; return the id of its own."""
    inner = []
    for part in branch.branches:
        number = _components(part, ids, out, free)
        inner.append(f'<component objectid="{number}"/>')
        free = number + 1
    for member in branch.members:
        turn = _transform(member.frame)
        inner.append(f'<component objectid="{ids[member.mark]}" transform="{turn}"/>')
    named = quoteattr(printable(branch.name))
    out.append(f'<object id="{free}" name={named} type="model"><components>')
    out.extend(inner)
    out.append("</components></object>\n")
    return free


def _transform(frame: Frame) -> str:
    """Return the frame as 3MF's row-major 4 x 3 matrix for row vectors."""
    values = (*frame.x, *frame.y, *frame.z, *frame.origin)
    return " ".join(f"{round(value, 9) + 0.0:.10g}" for value in values)


def _mesh(mesh: Mesh) -> str:
    vertices = "".join(
        f'<vertex x="{x:.8g}" y="{y:.8g}" z="{z:.8g}"/>' for x, y, z in mesh.vertices.tolist()
    )
    triangles = "".join(
        f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in mesh.triangles.tolist()
    )
    return f"<mesh><vertices>{vertices}</vertices><triangles>{triangles}</triangles></mesh>"
