"""STEP (AP242) with an assembly tree: each mark once as a solid, members as its occurrences."""

from __future__ import annotations

import os
import re
import tempfile
from pathlib import Path
from typing import Any

from palewright.model.geometry import Frame
from palewright.model.resolve import origin_text

from .built import Built
from .finishes import Finish, finish_of
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
        writer.SetColorMode(False)  # its order follows memory addresses; see _coloured
        writer.Transfer(document, Mode.STEPControl_AsIs)
        handle, name = tempfile.mkstemp(suffix=".step")
        os.close(handle)
        try:
            writer.Write(name)
            data = Path(name).read_bytes()
        finally:
            os.unlink(name)
    project = built.fence.job.project
    told = [plain(project.name)]
    if about := origin_text(built.fence.job):
        told.append(about)
    text = _settled(data, told, plain(project.author))
    chosen = built.fence.job.finishes
    finishes = {
        mark: finish_of(group[0].kind, chosen) for mark, group in built.fence.by_mark.items()
    }
    return _coloured(text, finishes).encode("ascii")


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
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDocStd import TDocStd_Document
    from OCP.TopLoc import TopLoc_Location
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())

    def name(label: Any, text: str) -> None:
        TDataStd_Name.Set_s(label, TCollection_ExtendedString(text, True))

    parts = {}
    for mark, solid in built.solids.items():
        parts[mark] = shapes.AddShape(solid.wrapped, False)
        name(parts[mark], mark)

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


def _coloured(text: str, finishes: dict[str, Finish]) -> str:
    """Add to each mark's solid its colour, as styled items of ISO 10303-46."""
    number = max(int(found) for found in re.findall(r"^#(\d+) = ", text, re.MULTILINE))
    lines: list[str] = []
    colours: dict[Finish, int] = {}

    def add(entity: str) -> int:
        nonlocal number
        number += 1
        lines.append(f"#{number} = {entity};\n")
        return number

    # a product is followed by its representation: one solid, and the context of its units
    pattern = (
        r"PRODUCT\('([^']*)'|"
        r"ADVANCED_BREP_SHAPE_REPRESENTATION\(\s*'',\s*\(\s*#\d+,\s*#(\d+)\s*\),\s*#(\d+)\s*\)"
    )
    mark = ""
    for product, solid, context in re.findall(pattern, text):
        if product:
            mark = product
            continue
        finish = finishes[mark]
        if finish not in colours:
            red, green, blue = (f"{value:.6f}" for value in finish.rgb)
            colours[finish] = add(f"COLOUR_RGB('{finish.name}',{red},{green},{blue})")
        part = add(f"FILL_AREA_STYLE_COLOUR('',#{colours[finish]})")
        for wrap in (
            "FILL_AREA_STYLE('',(#{}))",
            "SURFACE_STYLE_FILL_AREA(#{})",
            "SURFACE_SIDE_STYLE('',(#{}))",
            "SURFACE_STYLE_USAGE(.BOTH.,#{})",
            "PRESENTATION_STYLE_ASSIGNMENT((#{}))",
            f"STYLED_ITEM('color',(#{{}}),#{solid})",
            f"MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',(#{{}}),#{context})",
        ):
            part = add(wrap.format(part))
    end = text.rindex("ENDSEC;")
    return text[:end] + "".join(lines) + text[end:]


def _settled(data: bytes, told: list[str], author: str) -> str:
    """Replace what changes from run to run, and write letters beyond ASCII as the format asks.

    told : lines of the file's description, the name of the project first.
    """
    text = data.decode("utf-8")
    head_end = text.index("ENDSEC;")
    schema = re.search(r"FILE_SCHEMA\s*\(.*?\)\s*;", text[:head_end], re.DOTALL)
    if schema is None:
        raise RuntimeError("the CAD kernel wrote a STEP file without a schema")
    header = (
        "ISO-10303-21;\nHEADER;\n"
        f"FILE_DESCRIPTION(({','.join(_quoted(line) for line in told)}),'2;1');\n"
        f"FILE_NAME({_quoted(told[0])},'',({_quoted(author)}),(''),'palewright','palewright','');\n"
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
    return header + body


def _quoted(text: str) -> str:
    return "'" + re.sub(r"[^\x00-\x7f]+", _escaped, text.replace("'", "''")) + "'"


def _escaped(match: re.Match[str]) -> str:
    """Return letters in the X2 form of ISO 10303-21 (UTF-16, four hexadecimal digits)."""
    return "\\X2\\" + match[0].encode("utf-16-be").hex().upper() + "\\X0\\"
