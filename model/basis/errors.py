"""What can go wrong, told so that the user can mend it."""

from __future__ import annotations

from dataclasses import dataclass

KeyPath = tuple[str | int, ...]
"""Where a value stands in a spec: ("run", 0, "gate", 1, "at")."""


def key_text(path: KeyPath) -> str:
    """Return a key path as it is spoken of: run[1].gate[2].at, counting from one.

    >>> key_text(("run", 0, "gate", 1, "at"))
    'run[1].gate[2].at'
    """
    text = ""
    for key in path:
        text += f"[{key + 1}]" if isinstance(key, int) else f".{key}" if text else key
    return text or "(whole file)"


@dataclass(frozen=True)
class Problem:
    """One mistake in a spec.

    path : where in the spec; line : int or None, from 1; value : what stands there, as text;
    message : what is wrong and what is allowed.
    """

    path: KeyPath
    message: str
    value: str | None = None
    line: int | None = None

    def text(self, file: str) -> str:
        """Return the one-line message of this problem in `file`."""
        place = f"{file}:{self.line}" if self.line else file
        shown = f" (found {self.value})" if self.value is not None else ""
        # a line says where it is; without one and without a key it is the whole file
        where = "" if self.line and not self.path else f"{key_text(self.path)}: "
        return f"{place}: {where}{self.message}{shown}"


class PalewrightError(Exception):
    """An error that the user can mend; its text is the whole message.

    exit_code : int, what a command ends with (2 for bad input).
    """

    exit_code = 2


MOST_SAID = 60
"""Problems of a file that are written out; of more their count is said."""


class SpecError(PalewrightError):
    """A spec that cannot be used, with every problem found in it."""

    def __init__(self, file: str, problems: tuple[Problem, ...]) -> None:
        self.file = file
        self.problems = problems
        lines = [problem.text(file) for problem in problems[:MOST_SAID]]
        if len(problems) > MOST_SAID:
            lines.append(f"{file}: and {len(problems) - MOST_SAID} more problems")
        super().__init__("\n".join(lines))


class OutputError(PalewrightError):
    """An output that cannot be written."""


class FaultError(PalewrightError):
    """A fence with faults that stop the job, so that nothing is made from it."""

    exit_code = 1
