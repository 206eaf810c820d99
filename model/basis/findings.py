"""What a check finds: in plain words, with its place, its figures and its source."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum

from .imperial import imperial

PRACTICE = "common practice, no source"


class Severity(Enum):
    """How much a finding matters: a stop keeps `build` from writing anything."""

    STOP = "stop"
    WARN = "warn"
    NOTE = "note"


@dataclass(frozen=True)
class FindingKind:
    """What one code stands for, wherever it is found.

    code : short and lasting; means : what is wrong, as findings say it; matters : why; helps :
    what to do about it; source : of the limit.
    """

    code: str
    severity: Severity
    means: str
    matters: str
    helps: str
    source: str = PRACTICE

    def at(self, where: str, measured: str, allowed: str, *, text: str = "") -> Finding:
        """Return the finding at a place; text : instead of what the kind means."""
        return Finding(self, where, text or self.means, measured, allowed)


@dataclass(frozen=True)
class Finding:
    """One finding.

    where : the place on the fence; text : what is wrong, mostly with how to mend it; measured,
    allowed : mm or degrees, as text.
    """

    kind: FindingKind
    where: str
    text: str
    measured: str = ""
    allowed: str = ""

    @property
    def code(self) -> str:
        """The lasting code of its kind."""
        return self.kind.code

    @property
    def severity(self) -> Severity:
        """How much it matters."""
        return self.kind.severity

    @property
    def source(self) -> str:
        """Where the limit comes from."""
        return self.kind.source

    def line(self) -> str:
        """Return the finding as one line."""
        figures = f" ({self.measured}, allowed {self.allowed})" if self.allowed else ""
        said = f"{self.severity.value}: {self.where}: {self.text}{figures}"
        return f"{said} [{self.code}; {self.source}]"


def in_imperial(finding: Finding) -> Finding:
    """Return a finding with its measures in feet and inches."""
    return replace(
        finding,
        where=imperial(finding.where),
        text=imperial(finding.text),
        measured=imperial(finding.measured),
        allowed=imperial(finding.allowed),
    )
