"""Rule sets, read from TOML: our own, and the user's in the same form."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field, ValidationError, model_validator

from palewright.model.basis.errors import PalewrightError
from palewright.model.basis.lengths import Table
from palewright.model.basis.source_files import (
    SourceFileError,
    read_source,
    text_of,
    toml_tables,
)

Words = Annotated[str, Field(min_length=1, max_length=600)]
Beside = Literal["road", "other", "unknown"]
Guards = Literal["drop", "children", "pool"]
BUILT_IN = ("planning-england", "guarding-england", "pools-us")
LARGEST_FILE = 1_000_000


class Rule(Table):
    """One limit. Of `most`, `under` and `least` one is given: what is measured may be so much at
    most, must be under it, or at least it. Without conditions it holds for every run.
    """

    code: Annotated[str, Field(min_length=1, max_length=40, pattern=r"^[A-Z][A-Z0-9-]*$")]
    measure: str
    most: float | None = None
    under: float | None = None
    least: float | None = None
    beside: tuple[Beside, ...] = ()
    guards: tuple[Guards, ...] = ()
    rails_apart_under: float | None = None
    severity: Literal["stop", "warn", "note"]
    text: Words = Field(description="what is wrong, and how to mend it")
    source: str = Field("", max_length=400, description="that of the set when left out")

    @model_validator(mode="after")
    def _sound(self) -> Rule:
        given = [limit for limit in (self.most, self.under, self.least) if limit is not None]
        if len(given) != 1:
            raise ValueError("one of most, under and least must be given")
        return self

    def over(self, value: float) -> float:
        """Return by how much a measured value breaks the rule; nothing where it keeps to it."""
        if self.most is not None:
            return value - self.most if value > self.most + 1e-6 else 0.0
        if self.under is not None:
            # what is just at the limit breaks it too
            return max(value - self.under, 1e-6) if value >= self.under - 1e-6 else 0.0
        assert self.least is not None
        return self.least - value if value < self.least - 1e-6 else 0.0

    @property
    def allowed(self) -> str:
        """What is allowed, in words."""
        if self.most is not None:
            return f"{self.most:g}"
        if self.under is not None:
            return f"under {self.under:g}"
        return f"{self.least:g} or more"


class RuleSet(Table):
    """Rules of one source. date : of the edition; not_checked : what the source asks besides."""

    name: Annotated[str, Field(min_length=1, max_length=60)]
    title: Words
    jurisdiction: Words
    date: str = Field("", max_length=40)
    source: Words
    not_checked: str = Field("", max_length=600)
    rule: tuple[Rule, ...] = Field(min_length=1, max_length=200)


class RuleFileError(PalewrightError):
    """A rule file that cannot be used; the message says where and what is allowed."""


def built_in(name: str) -> RuleSet:
    """Return one of our own rule sets. Raises RuleFileError for another name."""
    if name not in BUILT_IN:
        raise RuleFileError(f"no rule set '{name}'; there are: {', '.join(BUILT_IN)}")
    text = (files("palewright.model.rules") / f"{name}.toml").read_text("utf-8")
    return RuleSet.model_validate(toml_tables(text))


def read_rules(path: Path) -> RuleSet:
    """Return the rule set in a file. Raises RuleFileError in one line."""
    try:
        raw = toml_tables(text_of(read_source(path, LARGEST_FILE)))
    except SourceFileError as error:
        place = f"{path}:{error.line}" if error.line else str(path)
        raise RuleFileError(f"{place}: {error}") from None
    try:
        return RuleSet.model_validate(raw)
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"]) or "(whole file)"
        message = first["msg"].removeprefix("Value error, ")
        raise RuleFileError(f"{path}: {where}: {message}") from None
