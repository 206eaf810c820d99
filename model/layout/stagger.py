"""Joints of rails, row by row, on few of the same posts."""

from __future__ import annotations


def stagger(
    edges: list[float],
    stock: float,
    rows: int,
    extra: tuple[float, float] = (0.0, 0.0),
    broken: frozenset[int] = frozenset(),
) -> list[list[int]]:
    """Choose the joints of each row of rails.

    Parameters
    ----------
    edges : list of float, mm
        Where rails may end, in order.
    stock : float, mm
        Longest rail to be had. A single bay longer than that stays one piece.
    rows : int
        Rows of rails, lowest first; neighbouring rows share as few joints as they can.
    extra : (2,) float, mm
        Length that end cuts add to the first and the last piece.
    broken : frozenset of int
        Edges where every row is jointed.

    Returns
    -------
    list of list of int
        For each row the numbers of the edges where its pieces start and end.

    Examples
    --------
    >>> stagger([0, 1800, 3600, 5400, 7200], 3600, 2)
    [[0, 2, 4], [0, 1, 3, 4]]
    """
    last = len(edges) - 1

    def fits(first: int, end: int) -> bool:
        length = edges[end] - edges[first]
        length += (extra[0] if first == 0 else 0.0) + (extra[1] if end == last else 0.0)
        if any(first < number < end for number in broken):
            return False
        return end - first == 1 or length <= stock + 1e-6

    def fill(splits: list[int]) -> list[int]:
        while splits[-1] < last:
            first = splits[-1]
            end = first + 1
            while end < last and fits(first, end + 1):
                end += 1
            splits.append(end)
        return splits

    chosen = [fill([0])]
    for _ in range(1, rows):
        before = set(chosen[-1][1:-1])
        tries = [fill([0])]
        tries += [fill([0, end]) for end in range(chosen[0][1] - 1, 0, -1)]
        shared = before - broken
        chosen.append(min(tries, key=lambda row: (len(shared & set(row[1:-1])), len(row))))
    return chosen
