"""STEP text of solids by the CAD kernel, for those that we do not write ourselves."""

from __future__ import annotations

import contextlib
import os
import re
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from .step_entities import StepProduct

if TYPE_CHECKING:
    import cadquery

SETTINGS = {
    "write.step.schema": 5,  # AP242
    "write.surfacecurve.mode": 0,  # no curves in the faces' parameters: half of the file
}
"""The kernel's settings that we write with."""


def kernel_products(
    solids: Mapping[str, cadquery.Solid],
) -> tuple[bytes, int, dict[str, StepProduct]]:
    """Return the kernel's entities for some solids, the largest number of one, and the product of
    each solid by its name.
    """
    text = _text_of(solids)
    start = text.index("DATA;") + len("DATA;\n")
    last = max(int(found) for found in re.findall(r"^#(\d+) = ", text, re.MULTILINE))
    return text[start : text.rindex("ENDSEC;")].encode("ascii"), last, _products(text)


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


def _text_of(solids: Mapping[str, cadquery.Solid]) -> str:
    """Return the kernel's STEP file of the solids, each a product named by its mark."""
    document = _document(solids)
    with _settings():
        from OCP.STEPCAFControl import STEPCAFControl_Writer
        from OCP.STEPControl import STEPControl_StepModelType as Mode

        writer = STEPCAFControl_Writer()
        writer.SetNameMode(True)
        writer.SetColorMode(False)  # its order follows memory addresses
        writer.Transfer(document, Mode.STEPControl_AsIs)
        handle, name = tempfile.mkstemp(suffix=".step")
        os.close(handle)
        try:
            writer.Write(name)
            return Path(name).read_text("ascii")
        finally:
            os.unlink(name)


def _document(solids: Mapping[str, cadquery.Solid]) -> Any:
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


def _products(text: str) -> dict[str, StepProduct]:
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
            products[name] = StepProduct(
                definition, int(shape), int(axes), int(context), int(solid)
            )
    return products
