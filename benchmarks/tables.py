"""Rows of the tables that every benchmark prints."""

from __future__ import annotations


def row(*cells: object) -> None:
    """Print a row at once, so that a long benchmark shows how far it is."""
    print("| " + " | ".join(map(str, cells)) + " |", flush=True)


def head(*cells: str) -> None:
    """Print the head of a new table."""
    print()
    row(*cells)
    row(*("---" for _ in cells))
