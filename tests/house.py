"""The rooms of the project in layers, and what its files import: read from the source alone."""

from __future__ import annotations

import ast
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import networkx

from helpers import ROOT

LAYERS = (
    "model/basis",
    "model/geometry",
    "model/spec",
    "model/rules",
    "model/site",
    "model/survey",
    "model/resolved",
    "model/layout",
    "model/parts",
    "model/fence",
    "model/lists",
    "model/order",
    "model/strength",
    "model/checks",
    "model/solids",
    "export/models",
    "export/pictures",
    "export/montage",
    "export/tables",
    "export/drawing/draft",
    "export/drawing/views",
    "export/drawing/sheets",
    "export/drawing/writers",
    "export/drawing/sets",
    "export/papers",
    "export/page",
    "export/outputs",
    "palewright",
    "cli",
)
"""The rooms from the ground up: each knows only those before it."""

TOPS = ("model", "export", "cli", "palewright")


@dataclass(frozen=True)
class Room:
    """A file. path : from the project's root; module : as it is imported; tree : its source."""

    path: Path
    module: str
    tree: ast.Module

    @property
    def folder(self) -> str:
        """The folder that it stands in, from the project's root."""
        return self.path.parent.as_posix()


def module_of(path: Path) -> str:
    """Return the name that a file is imported by, as palewright.model.order.stock."""
    parts = path.with_suffix("").parts
    parts = parts if parts[0] == "palewright" else ("palewright", *parts)
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def sources() -> dict[str, Path]:
    """Return every file of the project's rooms by its module."""
    return {
        module_of(file.relative_to(ROOT)): file
        for top in TOPS
        for file in sorted((ROOT / top).rglob("*.py"))
        if "node_modules" not in file.parts
    }


@cache
def rooms() -> dict[str, Room]:
    """Return what stands in every file of the project's rooms, by its module."""
    return {
        module: Room(file.relative_to(ROOT), module, ast.parse(file.read_text("utf-8")))
        for module, file in sources().items()
    }


def imported(room: Room) -> set[str]:
    """Return the modules of the project that a file imports, wherever in it."""
    known = rooms()
    package = room.module if room.path.name == "__init__.py" else room.module.rpartition(".")[0]
    found = set()
    for node in ast.walk(room.tree):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            above = package.split(".")[: len(package.split(".")) - node.level + 1]
            base = ".".join(above) if node.level else ""
            name = ".".join(part for part in (base, node.module) if part)
            inner = {f"{name}.{alias.name}" for alias in node.names}
            found |= inner & known.keys() or {name}
    return {name for name in found if name in known}


@cache
def file_graph() -> networkx.DiGraph:
    """Return which file imports which."""
    graph = networkx.DiGraph()
    for name, room in rooms().items():
        graph.add_node(name)
        graph.add_edges_from((name, other) for other in imported(room))
    return graph


@cache
def folder_graph() -> networkx.DiGraph:
    """Return which folder imports from which."""
    graph = networkx.DiGraph()
    known = rooms()
    for name, other in file_graph().edges:
        first, second = known[name].folder, known[other].folder
        if first != second:
            graph.add_edge(first, second)
    return graph
