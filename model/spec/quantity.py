"""Quantities as formulas of a fence's own figures: "length * 1.1", "ceil(spoil / 6)"."""

from __future__ import annotations

import ast
import contextlib
import math
from collections.abc import Callable, Mapping

NAMES = {
    "length": "m of fence, gates included",
    "posts": "posts",
    "holes": "holes for posts",
    "bays": "bays",
    "rails": "pieces of rail",
    "pales": "pales, those of gates too",
    "gates": "gates",
    "leaves": "leaves of gates",
    "face": "m2 of the pales' fronts",
    "painted": "m2 of timber over the ground, all sides",
    "concrete": "m3, with what ragged holes take",
    "gravel": "m3, loose, that is rammed round posts",
    "spoil": "m3, loose",
    "weight": "kg of timber and metal",
}
"""Figures of a fence that a formula may use, and what they are."""

FUNCTIONS: dict[str, Callable[..., float]] = {
    "ceil": math.ceil, "floor": math.floor, "round": round, "max": max, "min": min,
}  # fmt: skip

LARGEST = 1e9

LONGEST = 200
"""Letters of a formula."""


def parsed(told: str | float) -> str | float:
    """Return a formula unchanged, or raise ValueError with what is wrong and what is allowed."""
    if isinstance(told, str):
        with contextlib.suppress(ZeroDivisionError, OverflowError):  # other figures may do
            _worked_out(told, dict.fromkeys(NAMES, 1.0))
    return told


def quantity_of(told: str | float, figures: Mapping[str, float]) -> float:
    """Return what a formula gives with the figures of a fence.

    >>> quantity_of("ceil(spoil / 6) + 1", {"spoil": 13.0})
    4.0

    Raises
    ------
    ValueError
        When it is no formula, divides by nothing, or gives what is no quantity.
    """
    try:
        value = _worked_out(told, figures) if isinstance(told, str) else told
    except (ZeroDivisionError, OverflowError):
        raise ValueError("divides by nothing or grows without end") from None
    if not 0.0 <= value < LARGEST:
        raise ValueError(f"gives {value:g}, which is no quantity")
    return value


def _worked_out(told: str, figures: Mapping[str, float]) -> float:
    if len(told) > LONGEST:
        raise ValueError(f"is longer than {LONGEST} letters")
    try:
        return float(_value(ast.parse(told.strip(), mode="eval").body, figures))
    except (SyntaxError, RecursionError, MemoryError, TypeError):
        raise ValueError("is no formula; allowed: numbers, + - * /, brackets, names") from None


def _value(node: ast.expr, figures: Mapping[str, float]) -> float:
    match node:
        case ast.Constant(value=int() | float() as number) if not isinstance(number, bool):
            return number
        case ast.Name(id=name) if name in figures:
            return figures[name]
        case ast.Name(id=name):
            raise ValueError(f"knows no {name!r}; allowed: {', '.join(NAMES)}")
        case ast.UnaryOp(op=ast.USub(), operand=inner):
            return -_value(inner, figures)
        case ast.BinOp(left=left, op=ast.Add(), right=right):
            return _value(left, figures) + _value(right, figures)
        case ast.BinOp(left=left, op=ast.Sub(), right=right):
            return _value(left, figures) - _value(right, figures)
        case ast.BinOp(left=left, op=ast.Mult(), right=right):
            return _value(left, figures) * _value(right, figures)
        case ast.BinOp(left=left, op=ast.Div(), right=right):
            return _value(left, figures) / _value(right, figures)
        case ast.Call(func=ast.Name(id=name), args=given, keywords=[]) if name in FUNCTIONS:
            return FUNCTIONS[name](*(_value(each, figures) for each in given))
    allowed = ", ".join(FUNCTIONS)
    raise ValueError(f"is no formula; allowed: numbers, + - * /, brackets, names, {allowed}")
