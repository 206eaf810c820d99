"""STEP (AP242) with an assembly tree: each mark once as a solid, members as its occurrences."""

from __future__ import annotations

import os
import re
import tempfile
from pathlib import Path
from typing import Any

from palewright.model.geometry import Frame

from .built import Built
from .finishes import finish_of
from .tree import Branch, plain, tree_of

AP242 = 5
"""Value of the kernel's setting write.step.schema for AP242."""


def write_step(built: Built) -> bytes:
    """Return a fence as a STEP file (ISO 10303-21), lengths in mm.

    Products are named by mark, occurrences by the member's own name, colours are sRGB. The same
    fence gives the same bytes: the header carries no clock, and occurrence ids count from 1.
    """
    from OCP.STEPControl import STEPControl_StepModelType as Mode

    document = _document(built)
    with _schema():
        from OCP.STEPCAFControl import STEPCAFControl_Writer

        writer = STEPCAFControl_Writer()
        writer.SetNameMode(True)
        writer.SetColorMode(True)
        writer.Transfer(document, Mode.STEPControl_AsIs)
        handle, name = tempfile.mkstemp(suffix=".step")
        os.close(handle)
        try:
            writer.Write(name)
            data = Path(name).read_bytes()
        finally:
            os.unlink(name)
    project = built.fence.job.project
    return _settled(data, plain(project.name), plain(project.author))


class _schema:
    """Sets the kernel's global schema setting, and sets it back."""

    def __enter__(self) -> None:
        from OCP.Interface import Interface_Static
        from OCP.STEPCAFControl import STEPCAFControl_Controller

        STEPCAFControl_Controller.Init_s()  # the setting does not exist before
        self.before = Interface_Static.IVal_s("write.step.schema")
        if not Interface_Static.SetIVal_s("write.step.schema", AP242):
            raise RuntimeError("the CAD kernel does not know the STEP schema AP242")

    def __exit__(self, *_: object) -> None:
        from OCP.Interface import Interface_Static

        Interface_Static.SetIVal_s("write.step.schema", self.before)


def _document(built: Built) -> Any:
    from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDocStd import TDocStd_Document
    from OCP.TopLoc import TopLoc_Location
    from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool

    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())

    def name(label: Any, text: str) -> None:
        TDataStd_Name.Set_s(label, TCollection_ExtendedString(text, True))

    parts = {}
    for mark, group in built.fence.by_mark.items():
        label = shapes.AddShape(built.solids[mark].wrapped, False)
        name(label, mark)
        finish = finish_of(group[0].kind)
        colour = Quantity_Color(*finish.rgb, Quantity_TypeOfColor.Quantity_TOC_sRGB)
        colours.SetColor(label, colour, XCAFDoc_ColorType.XCAFDoc_ColorSurf)
        parts[mark] = label

    def assembly(branch: Branch) -> Any:
        label = shapes.NewShape()
        name(label, branch.name)
        for inner in branch.branches:
            placed = shapes.AddComponent(label, assembly(inner), TopLoc_Location())
            name(placed, inner.name)
        for member in branch.members:
            placed = shapes.AddComponent(label, parts[member.mark], _location(member.frame))
            name(placed, member.name)
        return label

    assembly(tree_of(built.fence))
    shapes.UpdateAssemblies()
    return document


def _location(frame: Frame) -> Any:
    from OCP.gp import gp_Ax3, gp_Dir, gp_Pnt, gp_Trsf
    from OCP.TopLoc import TopLoc_Location

    turn = gp_Trsf()
    turn.SetTransformation(
        gp_Ax3(gp_Pnt(*frame.origin), gp_Dir(*frame.z), gp_Dir(*frame.x)), gp_Ax3()
    )
    return TopLoc_Location(turn)


def _settled(data: bytes, name: str, author: str) -> bytes:
    """Replace what changes from run to run, and write letters beyond ASCII as the format asks."""
    text = data.decode("utf-8")
    head_end = text.index("ENDSEC;")
    schema = re.search(r"FILE_SCHEMA\s*\(.*?\)\s*;", text[:head_end], re.DOTALL)
    if schema is None:
        raise RuntimeError("the CAD kernel wrote a STEP file without a schema")
    header = (
        "ISO-10303-21;\nHEADER;\n"
        f"FILE_DESCRIPTION(({_quoted(name)}),'2;1');\n"
        f"FILE_NAME({_quoted(name)},'',({_quoted(author)}),(''),'palewright','palewright','');\n"
        f"{schema[0]}\n"
    )
    body = text[head_end:]
    count = 0

    def renumber(match: re.Match[str]) -> str:
        # the kernel counts these ids over the life of the process, and wraps lines by length
        nonlocal count
        count += 1
        rest = re.sub(r"\n\s*", "", match[2])
        return f"{match[1]}{count}'{rest}"

    pattern = r"(NEXT_ASSEMBLY_USAGE_OCCURRENCE\(')\d+'(.*?\);)(?=\n#|\nENDSEC)"
    body = re.sub(pattern, renumber, body, flags=re.DOTALL)
    body = re.sub(r"[^\x00-\x7f]+", _escaped, body)
    return (header + body).encode("ascii")


def _quoted(text: str) -> str:
    return "'" + re.sub(r"[^\x00-\x7f]+", _escaped, text.replace("'", "''")) + "'"


def _escaped(match: re.Match[str]) -> str:
    """Return letters in the X2 form of ISO 10303-21 (UTF-16, four hexadecimal digits)."""
    return "\\X2\\" + match[0].encode("utf-16-be").hex().upper() + "\\X0\\"
