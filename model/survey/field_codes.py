"""Words that surveyors put behind a code to say where its line starts, ends, closes and curves.

No standard tells them; what is read by default is common practice, no source. A code is a name
and words, as FL1 B: the name has a number where there are several lines of a kind. What has no such
word is a code as ever, spaces and all.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from .code_words import WORDS, Chain, FieldCodes
from .points_and_lines import SurveyPoint

MOST_TOLD, MOST_NOTES = 5, 40
"""Points that a note names, and notes on the codes of a file."""


@dataclass
class _Open:
    """A line while it is read."""

    points: list[int] = field(default_factory=list)
    marks: dict[int, set[str]] = field(default_factory=dict)
    closed: bool = False


def chains_of(
    points: Sequence[SurveyPoint], codes: FieldCodes
) -> tuple[list[SurveyPoint], list[Chain], list[str]]:
    """Return points with the names of their lines as codes, the lines, and what was not understood.

    A name is read so where that gives a line at least; else its points keep their codes.
    """
    words = codes.words() if codes.read else {}
    marked: dict[int, tuple[str, set[str]]] = {}
    strange: list[str] = []
    for number, point in enumerate(points):
        name, marks, other = _parted(point.code, words, codes.remark)
        if marks and not other:
            marked[number] = name, marks
        elif marks:
            strange.append(f"{point.number} '{point.code}' ('{other}')")
    names = {name.casefold(): name for name, _ in reversed(marked.values())}
    members: dict[str, list[tuple[int, set[str]]]] = {}
    plain: dict[str, list[int]] = {}
    for number, point in enumerate(points):
        name, marks = marked.get(number, (point.code, set()))
        if not marks and names:
            name = _parted(point.code, {}, codes.remark)[0] if codes.remark else name
        if name.casefold() in names:
            members.setdefault(name.casefold(), []).append((number, marks))
        else:
            plain.setdefault(point.code, []).append(number)
    result, notes = list(points), list[str]()
    chains: list[Chain] = []
    for key, held in members.items():
        lines, wrong = _lines(held, points)
        if not lines:  # words that tell of no line: codes that happen to end so
            for number, _ in held:
                plain.setdefault(points[number].code, []).append(number)
            said = _some([f"{points[n].number} '{points[n].code}'" for n, marks in held if marks])
            notes.append(f"codes that tell of no line are taken as they are: points {said}")
            continue
        for number, _ in held:
            result[number] = replace(points[number], code=names[key])
        chains += _named(lines, names[key])
        notes += [f"{names[key]}: {text}" for text in wrong[:MOST_TOLD]]
        if len(wrong) > MOST_TOLD:
            notes.append(f"{names[key]}: and {len(wrong) - MOST_TOLD} more of the kind")
    if strange:
        notes.append(f"words behind a code are not understood: points {_some(strange)}")
    chains += [Chain(code or "(no code)", code, tuple(held)) for code, held in plain.items()]
    return result, sorted(chains, key=lambda chain: chain.points[0]), shortened(notes)


def shortened(notes: list[str]) -> list[str]:
    """Return no more notes than somebody reads, and how many there are besides."""
    more = len(notes) - MOST_NOTES
    return notes if more <= 0 else [*notes[:MOST_NOTES], f"and {more} more notes of the kind"]


def _some(told: list[str]) -> str:
    more = f" and {len(told) - MOST_TOLD} more" if len(told) > MOST_TOLD else ""
    return ", ".join(told[:MOST_TOLD]) + more


def _parted(code: str, words: dict[str, str], remark: str) -> tuple[str, set[str], str]:
    """Return the name, what the words behind it say, and the first that says nothing."""
    cells = code.split()
    if remark:
        start = next((n for n, cell in enumerate(cells) if n and cell.startswith(remark)), None)
        cells = cells[:start]
    first = next((n for n, cell in enumerate(cells) if n and cell.casefold() in words), len(cells))
    said = {words[cell.casefold()] for cell in cells[first:] if cell.casefold() in words}
    other = next((cell for cell in cells[first:] if cell.casefold() not in words), "")
    return " ".join(cells[:first]), said, other


def _named(lines: list[_Open], name: str) -> Iterator[Chain]:
    for number, line in enumerate(lines, 1):
        own = name if len(lines) == 1 else f"{name} #{number}"
        bends = tuple(_bends(line))
        yield Chain(own, name, tuple(line.points), line.closed, bends, told=True)


def _lines(
    held: list[tuple[int, set[str]]], points: Sequence[SurveyPoint]
) -> tuple[list[_Open], list[str]]:
    """Return the lines of one name, and what is wrong with its words."""
    lines: list[_Open] = []
    wrong: list[str] = []
    now = _Open()

    def finish() -> None:
        nonlocal now
        if len(now.points) > 1:
            lines.append(now)
        elif now.points:
            wrong.append(f"point {points[now.points[0]].number} is a line of one point")
        now = _Open()

    for number, marks in held:
        if "begin" in marks:
            finish()
        now.points.append(number)
        now.marks[len(now.points) - 1] = marks
        if "close" in marks:
            now.closed = len(now.points) > 2
            if not now.closed:
                wrong.append(f"point {points[number].number} closes a line of two points or one")
        if marks & {"end", "close"}:
            finish()
    finish()
    for line in lines:
        wrong += _curve_faults(line, points)
    return lines, wrong


def _curve_faults(line: _Open, points: Sequence[SurveyPoint]) -> Iterator[str]:
    inside = {place for first, last, _ in _bends(line) for place in range(first, last + 1)}
    for place, marks in line.marks.items():
        if marks & set(WORDS[3:]) and place not in inside:
            yield (
                f"point {points[line.points[place]].number} tells of a curve that has no start or "
                "too few points: straight there"
            )


def _bends(line: _Open) -> Iterator[tuple[int, int, bool]]:
    """Yield (first, last, tangent) of the curves of a line."""
    last = len(line.points) - 1
    place, spent = 0, -1  # spent : where the word for an arc belongs to the arc that ends there
    while place < last:
        marks = line.marks[place] - ({"arc"} if place == spent else set())
        end = None
        if "arc" in marks or ("curve" in marks and _curve_end(line, place) is None):
            end = place + 2
        elif "curve" in marks:
            end = _curve_end(line, place)
        elif "tangent" in marks:
            end = _curve_end(line, place) or place + 1
        if end is None or end > last or (end == place + 1 and "tangent" not in marks):
            place += 1
            continue
        yield place, end, "tangent" in marks
        every = all("arc" in line.marks[n] for n in range(place, end + 1))
        if every and (end == last or "arc" not in line.marks[end + 1]):
            spent = end
        place = end


def _curve_end(line: _Open, start: int) -> int | None:
    """Return where the curve that starts at a place ends, or None where nothing says so."""
    for place in range(start + 1, len(line.points)):
        if line.marks[place] & {"curve_end", "tangent_end"}:
            return place
        if line.marks[place] & {"curve", "arc", "tangent"}:
            return None
    return None
