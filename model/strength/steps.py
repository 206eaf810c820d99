"""Steps of a calculation: each is printed with its formula and valued by that same formula."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from palewright.model.basis.findings import FindingKind

from .formulas import Formula, Values

UNITS = {
    "": 1.0,
    "mm": 1.0,
    "mm3": 1.0,
    "mm4": 1.0,
    "m2": 1e6,
    "m": 1e3,
    "m/s": 1e3,
    "N": 1.0,
    "kN": 1e3,
    "kNm": 1e6,
    "kN/m": 1.0,
    "N/mm2": 1.0,
    "N/m2": 1e-6,
    "kPa": 1e-3,
    "kPa/m": 1e-6,
}
"""What a unit is in N, mm and s, in which values are reckoned; the unit of mass is then 1000 kg."""


@dataclass(frozen=True)
class Step:
    """One line of a calculation. symbol, formula : as written; value, unit : result; source :
    clause; inputs : what a formula that is evaluated was given, by symbol, in N, mm and s; none
    where the formula is words for what is measured, looked up or chosen.
    """

    symbol: str
    formula: str
    value: float
    unit: str
    source: str = ""
    inputs: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class Working:
    """Steps so far, and the values that they and the spec gave, by symbol, in N, mm and s."""

    values: Mapping[str, float] = field(default_factory=dict)
    steps: tuple[Step, ...] = ()

    def __getitem__(self, symbol: str) -> float:
        """Return a value by its symbol, in N, mm and s."""
        return self.values[symbol]

    def knowing(self, values: Values) -> Working:
        """Return it with more values that need no line, in N, mm and s."""
        return Working({**self.values, **values}, self.steps)

    def given(self, symbol: str, words: str, value: float, unit: str, source: str = "") -> Working:
        """Return it with a line for what is measured, looked up or chosen; value : in `unit`."""
        step = Step(symbol, words, value, unit, source)
        return Working({**self.values, symbol: value * UNITS[unit]}, (*self.steps, step))

    def worked(
        self, symbol: str, formula: Formula, unit: str, source: str = "", *, note: str = ""
    ) -> Working:
        """Return it with a line whose value the formula gives. note : printed after it."""
        value = formula.value(self.values)
        inputs = tuple((name, self.values[name]) for name in sorted(formula.symbols))
        step = Step(symbol, formula.text + note, value / UNITS[unit], unit, source, inputs)
        return Working({**self.values, symbol: value}, (*self.steps, step))

    def followed_by(self, other: Working) -> Working:
        """Return it with the lines of another after its own; values stay its own."""
        return Working(self.values, (*self.steps, *other.steps))

    def fresh(self) -> Working:
        """Return its values without its lines, to go on on another sheet."""
        return Working(self.values)


@dataclass(frozen=True)
class StrengthCheck:
    """One check. kind : what it finds when it fails; name : in words; demand, resistance : in
    `unit`; steps : how they come about; mend : what helps; source : of the method.
    """

    kind: FindingKind
    name: str
    demand: float
    resistance: float
    unit: str
    steps: tuple[Step, ...]
    mend: str
    source: str

    @property
    def code(self) -> str:
        """The lasting code of what it finds."""
        return self.kind.code

    @property
    def utilisation(self) -> float:
        """Demand over resistance: over 1 it is not enough."""
        return math.inf if self.resistance <= 0.0 else self.demand / self.resistance


def used_figure(utilisation: float) -> str:
    """Return a utilisation as it is printed: "0.87"; where nothing resists, "none" of it is left.

    >>> used_figure(0.866), used_figure(math.inf)
    ('0.87', 'none')
    """
    return f"{utilisation:.2f}" if math.isfinite(utilisation) else "none"


def used_words(utilisation: float) -> str:
    """Return how much of what resists is used, in words.

    >>> used_words(0.866), used_words(math.inf)
    ('used to 87%', 'without any resistance')
    """
    if not math.isfinite(utilisation):
        return "without any resistance"
    return f"used to {utilisation:.0%}"


@dataclass(frozen=True)
class Assessment:
    """One place with its loads and checks. where : post or rail, and how it is loaded; title : of
    its sheet.
    """

    where: str
    title: str
    loads: tuple[Step, ...]
    checks: tuple[StrengthCheck, ...]
