"""Formulas that are printed as they are computed: one text, read and evaluated.

The notation is that of a calculation sheet: a space multiplies, `^` raises, `ln`, `sqrt`, `min`
and `max` are functions, `pi` is pi. Products and quotients are taken from left to right. Symbols
may have indices set off by commas, as `fc,90,k`; a comma that parts arguments has a space after
it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache

Values = Mapping[str, float]
Compiled = Callable[[Values], float]

TOKEN = re.compile(
    r"\s*(?:(?P<number>\d+\.?\d*(?:e[+-]?\d+)?)"
    r"|(?P<name>[A-Za-z]\w*(?:,\w+)*)"
    r"|(?P<sign>[-+/^(),]))"
)

FUNCTIONS: dict[str, Callable[..., float]] = {
    "ln": math.log,
    "sqrt": math.sqrt,
    "min": min,
    "max": max,
}


@dataclass(frozen=True)
class Formula:
    """A formula as it is printed.

    >>> Formula("w L^2 / 8").value({"w": 2.0, "L": 4.0})
    4.0
    >>> Formula("min((150 / d)^0.2, 1.3)").value({"d": 38.0})
    1.3
    """

    text: str

    @property
    def symbols(self) -> frozenset[str]:
        """The symbols in it that need a value.

        >>> sorted(Formula("2 pi fc,90,k ln(z / z0)").symbols)
        ['fc,90,k', 'z', 'z0']
        """
        names = {word for kind, word in _tokens(self.text) if kind == "name"}
        return frozenset(names - FUNCTIONS.keys() - {"pi"})

    def value(self, values: Values) -> float:
        """Return its value. Raises KeyError for a symbol without one."""
        return _compiled(self.text)(values)


@cache
def _compiled(text: str) -> Compiled:
    reader = _Reader(_tokens(text))
    compiled = reader.sum()
    if reader.next is not None:
        raise ValueError(f"{text!r}: {reader.next[1]!r} is out of place")
    return compiled


def _tokens(text: str) -> list[tuple[str, str]]:
    tokens = []
    at = 0
    while at < len(text.rstrip()):
        match = TOKEN.match(text, at)
        if match is None or match.lastgroup is None:
            raise ValueError(f"{text!r}: {text[at:]!r} cannot be read")
        tokens.append((match.lastgroup, match[match.lastgroup]))
        at = match.end()
    return tokens


class _Reader:
    """Reads tokens from left to right, by the usual precedence: sums of products of powers."""

    def __init__(self, tokens: list[tuple[str, str]]) -> None:
        self._tokens = tokens
        self._at = 0

    @property
    def next(self) -> tuple[str, str] | None:
        """The token that is read next."""
        return self._tokens[self._at] if self._at < len(self._tokens) else None

    def _take(self, sign: str) -> bool:
        """Skip a sign if it comes next."""
        if self.next != ("sign", sign):
            return False
        self._at += 1
        return True

    def sum(self) -> Compiled:
        """Read terms that are added and taken away."""
        value = self._product()
        while True:
            if self._take("+"):
                value = _plus(value, self._product())
            elif self._take("-"):
                value = _minus(value, self._product())
            else:
                return value

    def _product(self) -> Compiled:
        value = self._power()
        while True:
            if self._take("/"):
                value = _over(value, self._power())
            elif self.next is not None and (self.next[0] != "sign" or self.next[1] == "("):
                value = _times(value, self._power())
            else:
                return value

    def _power(self) -> Compiled:
        base = self._atom()
        return _raised(base, self._atom()) if self._take("^") else base

    def _atom(self) -> Compiled:
        if self._take("("):
            inner = self.sum()
            self._close()
            return inner
        if self.next is None or self.next[0] == "sign":
            raise ValueError("a value is missing")
        kind, word = self.next
        self._at += 1
        if kind == "number":
            return _constant(float(word))
        if word in FUNCTIONS and self._take("("):
            arguments = [self.sum()]
            while self._take(","):
                arguments.append(self.sum())
            self._close()
            return _called(FUNCTIONS[word], arguments)
        return _constant(math.pi) if word == "pi" else _symbol(word)

    def _close(self) -> None:
        if not self._take(")"):
            raise ValueError("a bracket is not closed")


def _constant(value: float) -> Compiled:
    return lambda values: value


def _symbol(name: str) -> Compiled:
    return lambda values: values[name]


def _plus(a: Compiled, b: Compiled) -> Compiled:
    return lambda values: a(values) + b(values)


def _minus(a: Compiled, b: Compiled) -> Compiled:
    return lambda values: a(values) - b(values)


def _times(a: Compiled, b: Compiled) -> Compiled:
    return lambda values: a(values) * b(values)


def _over(a: Compiled, b: Compiled) -> Compiled:
    return lambda values: a(values) / b(values)


def _raised(a: Compiled, b: Compiled) -> Compiled:
    return lambda values: math.pow(a(values), b(values))


def _called(function: Callable[..., float], arguments: list[Compiled]) -> Compiled:
    return lambda values: function(*(argument(values) for argument in arguments))
