"""STEP (AP242) as text: each mark's solid once, and the assembly of them.

The CAD kernel writes only the solids that have no skin. Its document of an assembly takes some
10 kB of memory and 0.25 ms for each occurrence; as text an occurrence is seven short entities.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from palewright.model.basis.text import plain
from palewright.model.geometry.frames import Frame
from palewright.model.geometry.skin_shapes import skin_of
from palewright.model.geometry.worked_shapes import Finished
from palewright.model.resolved.job import origin_text

from .finishes import Finish, finish_of
from .product import Product
from .step_bodies import add_solid
from .step_entities import StepEntities, StepProduct, quoted
from .step_kernel import kernel_products
from .tree import Branch, tree_of

SCHEMA = "AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF {1 0 10303 442 1 1 4 }"


def write_step(built: Product) -> bytes:
    """Return a fence as a STEP file (ISO 10303-21), lengths in mm.

    Products are named by mark, occurrences by the member's own name, colours are sRGB. The same
    fence gives the same bytes: the header carries no clock, and occurrence ids count from 1.
    """
    job, marks = built.fence.job, built.fence.by_mark
    entities = StepEntities()
    told = [plain(job.project.name)]
    if about := origin_text(job):
        told.append(about)
    entities.text += _header(told, plain(job.project.author)).encode("ascii")
    parts = _parts(entities, {mark: group[0].finished for mark, group in marks.items()})
    _assembly(entities, tree_of(built.fence), parts)
    finishes = {mark: finish_of(group[0].kind, job.finishes) for mark, group in marks.items()}
    _colours(entities, parts.products, finishes)
    entities.text += b"ENDSEC;\nEND-ISO-10303-21;\n"
    return bytes(entities.text)


@dataclass(frozen=True)
class _Parts:
    """What an assembly is made of. units : the context of representations in mm; product,
    definition : the contexts of products and of their definitions; at_rest : the placement at the
    origin; products : by mark.
    """

    units: int
    product: int
    definition: int
    at_rest: int
    products: dict[str, StepProduct]


def _parts(entities: StepEntities, shapes: dict[str, Finished]) -> _Parts:
    """Add a product for each mark, the CAD kernel's first."""
    skins = {mark: skin_of(shape) for mark, shape in shapes.items()}
    products: dict[str, StepProduct] = {}
    if rest := {mark: shapes[mark] for mark, skin in skins.items() if skin is None}:
        from palewright.model.solids.bodies import solid_of

        solids = {mark: solid_of(shape) for mark, shape in rest.items()}
        text, entities.last, products = kernel_products(solids)
        entities.text += text
    parts = _contexts(entities, products)
    for mark, skin in skins.items():
        if skin is not None:
            solid = add_solid(entities, skin)
            products[mark] = _product(entities, mark, parts, solid, (parts.at_rest, solid))
    return parts


def _contexts(entities: StepEntities, products: dict[str, StepProduct]) -> _Parts:
    add = entities.add
    application = add("APPLICATION_CONTEXT('Managed model based 3d engineering')")
    add(
        "APPLICATION_PROTOCOL_DEFINITION('international standard',"
        f"'ap242_managed_model_based_3d_engineering',2013,#{application})"
    )
    length = add("(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.))")
    angle = add("(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.))")
    solid = add("(NAMED_UNIT(*)SI_UNIT($,.STERADIAN.)SOLID_ANGLE_UNIT())")
    accuracy = add(
        f"UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE(1.E-07),#{length},"
        "'distance_accuracy_value','')"
    )
    units = add(
        "(GEOMETRIC_REPRESENTATION_CONTEXT(3)"
        f"GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT((#{accuracy}))"
        f"GLOBAL_UNIT_ASSIGNED_CONTEXT((#{length},#{angle},#{solid}))"
        "REPRESENTATION_CONTEXT('',''))"
    )
    product = add(f"PRODUCT_CONTEXT('',#{application},'mechanical')")
    definition = add(f"PRODUCT_DEFINITION_CONTEXT('part definition',#{application},'design')")
    return _Parts(units, product, definition, entities.placement(Frame()), products)


def _product(
    entities: StepEntities, name: str, parts: _Parts, solid: int, items: Iterable[int]
) -> StepProduct:
    """Add a product with its shape. solid : 0 for an assembly; items : of its representation."""
    add, named = entities.add, quoted(name)
    product = add(f"PRODUCT({named},{named},'',(#{parts.product}))")
    add(f"PRODUCT_RELATED_PRODUCT_CATEGORY('part',$,(#{product}))")
    formation = add(f"PRODUCT_DEFINITION_FORMATION('','',#{product})")
    definition = add(f"PRODUCT_DEFINITION('design','',#{formation},#{parts.definition})")
    kind = "ADVANCED_BREP_SHAPE_REPRESENTATION" if solid else "SHAPE_REPRESENTATION"
    listed = ",".join([f"#{item}" for item in items])
    shape = add(f"{kind}('',({listed}),#{parts.units})")
    shown = add(f"PRODUCT_DEFINITION_SHAPE('','',#{definition})")
    add(f"SHAPE_DEFINITION_REPRESENTATION(#{shown},#{shape})")
    return StepProduct(definition, shape, parts.at_rest, parts.units, solid)


def _assembly(entities: StepEntities, root: Branch, parts: _Parts) -> None:
    """Add the products of the tree's branches and the occurrences of what is in each.

    The entities and how they hang together: ISO 10303-44 and the recommended practices of the
    CAx Implementor Forum for assembly structure, as far as the kernel's own files show them.
    """
    add, at_rest = entities.add, parts.at_rest
    count = 0

    def occurrence(whole: StepProduct, part: StepProduct, name: str, placed: int) -> None:
        nonlocal count
        count += 1
        turn = add(f"ITEM_DEFINED_TRANSFORMATION('','',#{part.axes},#{placed})")
        relation = add(
            f"(REPRESENTATION_RELATIONSHIP('','',#{part.shape},#{whole.shape})"
            f"REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION(#{turn})"
            "SHAPE_REPRESENTATION_RELATIONSHIP())"
        )
        usage = add(
            f"NEXT_ASSEMBLY_USAGE_OCCURRENCE('{count}',{quoted(name)},'',"
            f"#{whole.definition},#{part.definition},$)"
        )
        shown = add(f"PRODUCT_DEFINITION_SHAPE('','',#{usage})")
        add(f"CONTEXT_DEPENDENT_SHAPE_REPRESENTATION(#{relation},#{shown})")

    def assembly(branch: Branch) -> StepProduct:
        inner = [(assembly(below), below.name, at_rest) for below in branch.branches]
        inner += [
            (parts.products[member.mark], member.name, entities.placement(member.frame))
            for member in branch.members
        ]
        items = dict.fromkeys([at_rest, *(placed for _, _, placed in inner)])
        whole = _product(entities, branch.name, parts, 0, items)
        for part, called, placed in inner:
            occurrence(whole, part, called, placed)
        return whole

    assembly(root)


def _colours(
    entities: StepEntities, parts: dict[str, StepProduct], finishes: dict[str, Finish]
) -> None:
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


def _header(told: list[str], author: str) -> str:
    """Return a header without what changes from run to run.

    told : lines of the file's description, the name of the project first.
    """
    return (
        "ISO-10303-21;\nHEADER;\n"
        f"FILE_DESCRIPTION(({','.join(quoted(line) for line in told)}),'2;1');\n"
        f"FILE_NAME({quoted(told[0])},'',({quoted(author)}),(''),'palewright','palewright','');\n"
        f"FILE_SCHEMA(('{SCHEMA}'));\nENDSEC;\nDATA;\n"
    )
