"""A picket fence as plain values: spec, line, layout, members, checks and take-off.

The names below load on first use; none of them loads the CAD kernel.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from .checks import check
    from .errors import PalewrightError, SpecError
    from .fence import Fence, build_fence
    from .findings import Finding
    from .members import Member
    from .spec_file import parse_job, read_job, spec_schema

_HOMES = {
    "Fence": "fence",
    "Finding": "findings",
    "Member": "members",
    "PalewrightError": "errors",
    "SpecError": "errors",
    "build_fence": "fence",
    "check": "checks",
    "parse_job": "spec_file",
    "read_job": "spec_file",
    "spec_schema": "spec_file",
}

__all__ = [
    "Fence",
    "Finding",
    "Member",
    "PalewrightError",
    "SpecError",
    "build_fence",
    "check",
    "parse_job",
    "read_job",
    "spec_schema",
]


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(import_module(f".{_HOMES[name]}", __name__), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
