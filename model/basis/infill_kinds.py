"""Findings about what stands between posts besides pales and rails."""

from __future__ import annotations

from .findings import FindingKind, Severity

NOTE = Severity.NOTE

CAPPING_END_GRAIN = FindingKind(
    "CAPPING-END-GRAIN", NOTE,
    means="the capping rail is held by the pales' end grain alone, as no rail is flush with their "
    "tops",
    matters="Nails and screws hold badly in end grain, and a capping rail is leaned and sat on.",
    helps="Raise the last of rails.tops to the pales' tops (leave rails.tops out to have it so), "
    'or let it lie on the posts too: capping.over = "posts".',
)  # fmt: skip
