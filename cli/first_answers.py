"""Asking for a first fence, and making answers a spec."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from importlib.metadata import version
from importlib.resources import files
from typing import Any, TypeVar

import click

from palewright.model.basis.errors import SpecError, key_text
from palewright.model.spec.first_spec import (
    FirstAnswers,
    first_problems,
    first_spec,
    in_feet,
    said_gate,
    said_leg,
    said_length,
)
from palewright.model.spec.first_words import GROUNDS, HEADS, SCHEMA_FILE, WALLS
from palewright.reading import parse_job

Value = TypeVar("Value")

NO_MORE = ("", "no", "none", "n", "-")
"""Answers that there is none, or no more."""


def starter_text() -> str:
    """Return the commented spec with everything in it."""
    text = (files("palewright.cli") / "starter.toml").read_text("utf-8")
    return f"#:schema {SCHEMA_FILE}\n{text}"


def answers_of(said: Mapping[str, Any], *, schema: bool) -> str:
    """Return the spec of what options or answers said. Raises click.UsageError."""
    legs = [
        _taken("--leg", text, partial(said_leg, first=number == 0))
        for number, text in enumerate(said["legs"])
    ]
    if not legs:
        raise click.UsageError('say the line: --leg "9 m" for each straight, or --ask')
    gates = [_taken("--gate", text, said_gate) for text in said["gates"]]
    height = said["height"] and _taken("--height", said["height"], said_length)
    fall = _taken("--fall", said["fall"], said_length) if said["fall"] else 0.0
    texts = [*said["legs"], *said["gates"], *(said[key] for key in ("height", "fall") if said[key])]
    answers = FirstAnswers(
        said["name"], tuple(legs), height or None, said["head"], tuple(gates), said["ground"], fall,
        in_feet(texts), said["walls"] or "none",
    )  # fmt: skip
    problems = first_problems(answers)
    if problems:
        raise click.UsageError("; ".join(problems))
    text = first_spec(answers, version("palewright"), schema=schema)
    try:
        parse_job(text, "as said")
    except SpecError as error:
        told = (f"{key_text(p.path)}: {p.message}" for p in error.problems)
        raise click.UsageError("; ".join(told)) from None
    return text


def _taken(option: str, text: str, read: Callable[[str], Value]) -> Value:
    try:
        return read(text)
    except ValueError as error:
        raise click.UsageError(f"{option} {text}: {error}") from None


def ask_for(said: Mapping[str, Any]) -> dict[str, Any]:
    """Return what was said, with answers to questions on what was not."""
    click.echo("Enter takes what stands in [ ]. Lengths: 9 m, 450 mm, 4 in, 5 ft 6 in.", err=True)
    answers = dict(said)
    answers["name"] = said["name"] or _asked("What the job is called", str, "")
    answers["legs"] = said["legs"] or _legs()
    usual = "3 ft" if in_feet(answers["legs"]) else "950 mm"
    answers["height"] = said["height"] or _length_asked("Height of the pales' tops", usual)
    answers["head"] = said["head"] or _choice("Head of the pales", HEADS, "pointed")
    answers["walls"] = said["walls"] or _choice("Ends of the line that meet a wall", WALLS, "none")
    answers["gates"] = said["gates"] or _gates(answers)
    answers["ground"] = said["ground"] or _choice(
        "The ground along the line: level, in a slope that the rails go with, or in steps",
        GROUNDS, "level",
    )  # fmt: skip
    if answers["ground"] != "level":
        answers["fall"] = said["fall"] or _length_asked(
            "Fall of the ground from the first point to the last; with - before it where it rises"
        )
    return answers


def _legs() -> tuple[str, ...]:
    legs: list[str] = []
    while True:
        first = not legs
        question = "Length of the line to its first corner or its end" if first else (
            "Next length, with left or right for the turn before it, as in: 5 m left; "
            "Enter when there is no more"
        )  # fmt: skip
        text = _asked(question, partial(_leg_or_none, first=first), None if first else "")
        if not first and text.lower() in NO_MORE:
            return tuple(legs)
        legs.append(text)


def _gates(answers: Mapping[str, Any]) -> tuple[str, ...]:
    """Ask for gates, each tried on the fence as it was said so far."""
    gates: list[str] = []
    while True:
        which = "Another gate" if gates else "A gate"
        text = _asked(f"{which}: how far along the line its middle is; Enter for none",
                      lambda t: t.lower() in NO_MORE or said_gate(t), "")  # fmt: skip
        if text.lower() in NO_MORE:
            return tuple(gates)
        usual = "3 ft" if in_feet([text]) else "1 m"
        width = _length_asked("Its clear width between the posts", usual)
        asked = f"{text} wide {width}"
        try:
            answers_of(
                {**answers, "gates": (*gates, asked), "fall": None, "ground": None}, schema=False
            )
        except click.UsageError as error:
            click.echo(f"  {error.message}", err=True)
            continue
        gates.append(asked)


def _leg_or_none(text: str, *, first: bool) -> None:
    if first or text.lower() not in NO_MORE:
        said_leg(text, first=first)


def _length_asked(question: str, default: str | None = None) -> str:
    return _asked(question, said_length, default)


def _choice(question: str, words: tuple[str, ...], default: str) -> str:
    def read(text: str) -> str:
        if text not in words:
            raise ValueError(f"one of: {', '.join(words)}")
        return text

    return _asked(f"{question} ({', '.join(words)})", read, default)


def _asked(question: str, read: Callable[[str], Any], default: str | None) -> str:
    """Ask until an answer can be read, and return it as it was said."""
    while True:
        text = str(click.prompt(question, default=default, show_default=bool(default), err=True))
        try:
            read(text.strip())
        except ValueError as error:
            click.echo(f"  {error}", err=True)
            continue
        return text.strip()
