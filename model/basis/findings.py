"""What a check finds: in plain words, with its place, its figures and its source."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

PRACTICE = "common practice, no source"


class Severity(Enum):
    """How much a finding matters: a stop keeps `build` from writing anything."""

    STOP = "stop"
    WARN = "warn"
    NOTE = "note"


@dataclass(frozen=True)
class Finding:
    """One finding.

    code : short and lasting; where : the place on the fence; text : what is wrong and how to
    mend it; measured, allowed : mm or degrees, as text; source : of the limit.
    """

    code: str
    severity: Severity
    where: str
    text: str
    measured: str = ""
    allowed: str = ""
    source: str = PRACTICE

    def line(self) -> str:
        """Return the finding as one line."""
        figures = f" ({self.measured}, allowed {self.allowed})" if self.allowed else ""
        said = f"{self.severity.value}: {self.where}: {self.text}{figures}"
        return f"{said} [{self.code}; {self.source}]"
