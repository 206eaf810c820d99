"""The rooms stand in layers, without circles, and their pieces stay small."""

from __future__ import annotations

import ast
import re
from collections import defaultdict

import networkx
import pytest
from house import LAYERS, file_graph, folder_graph, rooms

from helpers import ROOT

LONGEST, MOST_PARAMETERS = 60, 6


def test_every_room_has_its_layer() -> None:
    held = {room.folder for room in rooms().values() if room.path.name != "__init__.py"}
    assert held == set(LAYERS)


def test_no_import_runs_up() -> None:
    known = rooms()
    height = {folder: number for number, folder in enumerate(LAYERS)}
    up = [
        f"{known[name].path} imports {known[other].path}"
        for name, other in file_graph().edges
        if known[name].path.name != "__init__.py"
        and known[other].path.name != "__init__.py"
        and height[known[other].folder] > height[known[name].folder]
    ]
    assert not up


@pytest.mark.parametrize("graph", [file_graph, folder_graph], ids=["files", "folders"])
def test_there_are_no_circles(graph) -> None:  # type: ignore[no-untyped-def]
    circles = [sorted(c) for c in networkx.strongly_connected_components(graph()) if len(c) > 1]
    assert not circles


def test_the_model_knows_no_clock() -> None:
    """What is bought, cut or built depends on the spec alone, never on how fast a machine is."""
    clock = re.compile(r"^\s*(import|from) (time|datetime|signal|threading)\b", re.MULTILINE)
    files = sorted((ROOT / "model").rglob("*.py"))
    assert len(files) > 50
    assert [path for path in files if clock.search(path.read_text())] == []


def test_no_two_of_a_name() -> None:
    modules, classes = defaultdict(list), defaultdict(list)
    for room in rooms().values():
        if not room.path.name.startswith("__"):
            modules[room.path.stem].append(str(room.path))
            if room.path.stem in {part for layer in LAYERS for part in layer.split("/")}:
                modules[room.path.stem].append("a folder")
        for node in room.tree.body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                classes[node.name].append(str(room.path))
    assert not {name: where for name, where in (*modules.items(), *classes.items()) if where[1:]}


def test_functions_are_short_and_take_little() -> None:
    wrong = []
    for room in rooms().values():
        for node in ast.walk(room.tree):
            if not isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
                continue
            given = node.args
            names = [a.arg for a in (*given.posonlyargs, *given.args, *given.kwonlyargs)]
            count = len([name for name in names if name not in ("self", "cls")])
            lines = (node.end_lineno or 0) - node.lineno + 1
            if lines > LONGEST or count > MOST_PARAMETERS:
                wrong.append(f"{room.path}:{node.lineno} {node.name}: {lines} lines, {count} given")
    assert not wrong
