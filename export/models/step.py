"""STEP (AP242): the CAD kernel writes each mark's solid once, and we the assembly of them.

The kernel's document of an assembly takes some 10 kB of memory and 0.25 ms for each occurrence; as
text an occurrence is seven short entities.
"""

from __future__ import annotations

import contextlib
import os
import re
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from palewright.model.basis.text import plain
from palewright.model.geometry.frames import Frame, Vector
from palewright.model.resolved.job import origin_text

from .finishes import Finish, finish_of
from .product import Product
from .tree import Branch, tree_of

if TYPE_CHECKING:
    import cadquery

SETTINGS = {
    "write.step.schema": 5,  # AP242
    "write.surfacecurve.mode": 0,  # no curves in the faces' parameters: half of the file
}
"""The kernel's settings that we write with."""


def write_step(built: Product) -> bytes:
    """Return a fence as a STEP file (ISO 10303-21), lengths in mm.

    Products are named by mark, occurrences by the member's own name, colours are sRGB. The same
    fence gives the same bytes: the header carries no clock, and occurrence ids count from 1.
    """
    solids = _solids_text(built.solids)
    head_end, end = solids.index("ENDSEC;"), solids.rindex("ENDSEC;")
    parts = _parts(solids)
    job = built.fence.job
    entities = _Entities(max(int(found) for found in re.findall(r"^#(\d+) = ", solids, re.M)))
    _assembly(entities, tree_of(built.fence), parts)
    finishes = {
        mark: finish_of(group[0].kind, job.finishes) for mark, group in built.fence.by_mark.items()
    }
    _colours(entities, parts, finishes)
    told = [plain(job.project.name)]
    if about := origin_text(job):
        told.append(about)
    head = _header(solids[:head_end], told, plain(job.project.author))
    return "".join([head, solids[head_end:end], *entities.lines, solids[end:]]).encode("ascii")


@contextlib.contextmanager
def _settings() -> Iterator[None]:
    """Set the kernel's global settings, and set them back."""
    from OCP.Interface import Interface_Static
    from OCP.STEPCAFControl import STEPCAFControl_Controller

    STEPCAFControl_Controller.Init_s()  # the settings do not exist before
    before = {key: Interface_Static.IVal_s(key) for key in SETTINGS}
    try:
        for key, value in SETTINGS.items():
            if not Interface_Static.SetIVal_s(key, value):
                raise RuntimeError(f"the CAD kernel does not know the setting {key} = {value}")
        yield
    finally:
        for key, value in before.items():
            Interface_Static.SetIVal_s(key, value)


def _solids_text(solids: dict[str, cadquery.Solid]) -> str:
    """Return the kernel's STEP file of the solids, each a product named by its mark."""
    document = _document(solids)
    with _settings():
        from OCP.STEPCAFControl import STEPCAFControl_Writer
        from OCP.STEPControl import STEPControl_StepModelType as Mode

        writer = STEPCAFControl_Writer()
        writer.SetNameMode(True)
        writer.SetColorMode(False)  # its order follows memory addresses; see _colours
        writer.Transfer(document, Mode.STEPControl_AsIs)
        handle, name = tempfile.mkstemp(suffix=".step")
        os.close(handle)
        try:
            writer.Write(name)
            return Path(name).read_text("ascii")
        finally:
            os.unlink(name)


def _document(solids: dict[str, cadquery.Solid]) -> Any:
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDocStd import TDocStd_Document
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    for mark, solid in solids.items():
        label = shapes.AddShape(solid.wrapped, False)
        TDataStd_Name.Set_s(label, TCollection_ExtendedString(mark))
    return document


@dataclass(frozen=True)
class _Product:
    """Numbers of the entities of a product that others refer to.

    definition : its product definition; shape : its shape representation; axes : the placement in
    that representation; context : of the representation's units; solid : 0 for an assembly.
    """

    definition: int
    shape: int
    axes: int
    context: int
    solid: int = 0


def _parts(text: str) -> dict[str, _Product]:
    """Return the products in a STEP file of the kernel's, by name."""
    number = r"#(\d+)"
    pattern = (
        rf"^{number} = PRODUCT_DEFINITION\(|^#\d+ = PRODUCT\('([^']*)'|"
        rf"^{number} = ADVANCED_BREP_SHAPE_REPRESENTATION\("
        rf"\s*'',\s*\(\s*{number},\s*{number}\s*\),\s*{number}\s*\)"
    )
    products = {}
    definition, name = 0, ""
    for product, called, shape, axes, solid, context in re.findall(pattern, text, re.MULTILINE):
        if product:
            definition = int(product)
        elif called:
            name = called
        else:  # a product is followed by its representation
            products[name] = _Product(definition, int(shape), int(axes), int(context), int(solid))
    return products


@dataclass
class _Entities:
    """Entities in the order in which they are made, numbered on from those of the kernel."""

    last: int
    lines: list[str] = field(default_factory=list)
    directions: dict[str, int] = field(default_factory=dict)

    def add(self, entity: str) -> int:
        self.last += 1
        self.lines.append(f"#{self.last}={entity};\n")
        return self.last

    def direction(self, vector: Vector) -> int:
        """Return the direction of a unit vector, one for all that point the same way."""
        values = _reals(vector, 15)
        if values not in self.directions:
            self.directions[values] = self.add(f"DIRECTION('',({values}))")
        return self.directions[values]

    def placement(self, frame: Frame) -> int:
        z, x = self.direction(frame.z), self.direction(frame.x)
        point = self.add(f"CARTESIAN_POINT('',({_reals(frame.origin, 6)}))")
        return self.add(f"AXIS2_PLACEMENT_3D('',#{point},#{z},#{x})")


def _assembly(entities: _Entities, root: Branch, parts: dict[str, _Product]) -> None:
    """Add the products of the tree's branches and the occurrences of what is in each.

    The entities and how they hang together: ISO 10303-44 and the recommended practices of the
    CAx Implementor Forum for assembly structure, as far as the kernel's own files show them.
    """
    add = entities.add
    first = next(iter(parts.values()))
    application = add("APPLICATION_CONTEXT('Managed model based 3d engineering')")
    product_context = add(f"PRODUCT_CONTEXT('',#{application},'mechanical')")
    definition_context = add(
        f"PRODUCT_DEFINITION_CONTEXT('part definition',#{application},'design')"
    )
    at_rest = entities.placement(Frame())
    count = 0

    def occurrence(parent: int, shape: int, part: _Product, name: str, placed: int) -> None:
        nonlocal count
        count += 1
        turn = add(f"ITEM_DEFINED_TRANSFORMATION('','',#{part.axes},#{placed})")
        relation = add(
            f"(REPRESENTATION_RELATIONSHIP('','',#{part.shape},#{shape})"
            f"REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION(#{turn})"
            "SHAPE_REPRESENTATION_RELATIONSHIP())"
        )
        usage = add(
            f"NEXT_ASSEMBLY_USAGE_OCCURRENCE('{count}',{_quoted(name)},'',"
            f"#{parent},#{part.definition},$)"
        )
        shown = add(f"PRODUCT_DEFINITION_SHAPE('','',#{usage})")
        add(f"CONTEXT_DEPENDENT_SHAPE_REPRESENTATION(#{relation},#{shown})")

    def assembly(branch: Branch) -> _Product:
        inner = [(assembly(below), below.name, at_rest) for below in branch.branches]
        inner += [
            (parts[member.mark], member.name, entities.placement(member.frame))
            for member in branch.members
        ]
        name = _quoted(branch.name)
        product = add(f"PRODUCT({name},{name},'',(#{product_context}))")
        add(f"PRODUCT_RELATED_PRODUCT_CATEGORY('part',$,(#{product}))")
        formation = add(f"PRODUCT_DEFINITION_FORMATION('','',#{product})")
        definition = add(f"PRODUCT_DEFINITION('design','',#{formation},#{definition_context})")
        items = dict.fromkeys([at_rest, *(placed for _, _, placed in inner)])
        shape = add(
            f"SHAPE_REPRESENTATION('',({','.join(f'#{item}' for item in items)}),#{first.context})"
        )
        shown = add(f"PRODUCT_DEFINITION_SHAPE('','',#{definition})")
        add(f"SHAPE_DEFINITION_REPRESENTATION(#{shown},#{shape})")
        for part, called, placed in inner:
            occurrence(definition, shape, part, called, placed)
        return _Product(definition, shape, at_rest, first.context)

    assembly(root)


def _colours(entities: _Entities, parts: dict[str, _Product], finishes: dict[str, Finish]) -> None:
    """Add to each mark's solid its colour, as styled items of ISO 10303-46."""
    colours: dict[Finish, int] = {}
    for mark, product in parts.items():
        finish = finishes[mark]
        if finish not in colours:
            red, green, blue = (f"{value:.6f}" for value in finish.rgb)
            colours[finish] = entities.add(f"COLOUR_RGB('{finish.name}',{red},{green},{blue})")
        part = entities.add(f"FILL_AREA_STYLE_COLOUR('',#{colours[finish]})")
        for wrap in (
            "FILL_AREA_STYLE('',(#{}))",
            "SURFACE_STYLE_FILL_AREA(#{})",
            "SURFACE_SIDE_STYLE('',(#{}))",
            "SURFACE_STYLE_USAGE(.BOTH.,#{})",
            "PRESENTATION_STYLE_ASSIGNMENT((#{}))",
            f"STYLED_ITEM('color',(#{{}}),#{product.solid})",
            f"MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',(#{{}}),#{product.context})",
        ):
            part = entities.add(wrap.format(part))


def _header(text: str, told: list[str], author: str) -> str:
    """Return a header without what changes from run to run, with the schema of the kernel's.

    told : lines of the file's description, the name of the project first.
    """
    schema = re.search(r"FILE_SCHEMA\s*\(.*?\)\s*;", text, re.DOTALL)
    if schema is None:
        raise RuntimeError("the CAD kernel wrote a STEP file without a schema")
    return (
        "ISO-10303-21;\nHEADER;\n"
        f"FILE_DESCRIPTION(({','.join(_quoted(line) for line in told)}),'2;1');\n"
        f"FILE_NAME({_quoted(told[0])},'',({_quoted(author)}),(''),'palewright','palewright','');\n"
        f"{schema[0]}\n"
    )


def _reals(values: Vector, digits: int) -> str:
    return ",".join(_real(value, digits) for value in values)


def _real(value: float, digits: int) -> str:
    """Return a rounded number as ISO 10303-21 writes one: with a point, and E for an exponent.

    >>> _real(1200.0, 6), _real(-1e-16, 15), _real(2e-7, 15), _real(-0.25, 15)
    ('1200.', '0.', '2.E-07', '-0.25')
    """
    mantissa, _, exponent = repr(round(value, digits) + 0.0).partition("e")
    whole, _, fraction = mantissa.partition(".")
    return f"{whole}.{fraction if fraction != '0' else ''}" + (f"E{exponent}" if exponent else "")


def _quoted(text: str) -> str:
    return "'" + re.sub(r"[^\x00-\x7f]+", _escaped, text.replace("'", "''")) + "'"


def _escaped(match: re.Match[str]) -> str:
    """Return letters in the X2 form of ISO 10303-21 (UTF-16, four hexadecimal digits)."""
    return "\\X2\\" + match[0].encode("utf-16-be").hex().upper() + "\\X0\\"
