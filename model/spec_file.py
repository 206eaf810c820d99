"""Reading a spec: TOML text in, a validated `Spec` out, or every mistake in it at once."""

from __future__ import annotations

import copy
import difflib
import json
import re
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from .errors import KeyPath, Problem, SpecError
from .layout import gate_problems
from .resolve import Job, resolve
from .rules.rule import RuleFileError, RuleSet, read_rules
from .spec import RUN_TABLES, Spec
from .survey.reading import read_survey
from .survey.values import Survey, SurveyError
from .toml_lines import key_lines

LARGEST_FILE = 4_000_000
"""Bytes; a spec is written by hand, a larger file is something else."""


def read_job(path: Path) -> Job:
    """Return the job in a spec file.

    Raises
    ------
    SpecError
        With every problem in the file: where, on which line, what stands there, what is allowed.
    """
    return parse_job(_text(path), str(path), path.parent)


def read_spec(path: Path) -> tuple[Spec, Survey | None, tuple[RuleSet, ...]]:
    """Return a sound spec itself, with what the files hold that it names. Raises as `read_job`."""
    text = _text(path)
    parse_job(text, str(path), path.parent)
    spec = Spec.model_validate(_merged(tomllib.loads(text)))
    survey, _ = _survey(spec, path.parent)
    return spec, survey, _rules(spec, path.parent)[0]


def _text(path: Path) -> str:
    """Return the text of a spec file, or raise why there is none."""
    try:
        size = path.stat().st_size
        data = path.read_bytes() if size <= LARGEST_FILE else b""
    except OSError as error:
        raise SpecError(str(path), (Problem((), f"cannot be read: {error.strerror}"),)) from None
    if size > LARGEST_FILE:
        message = f"the file is {size} bytes; a spec has at most {LARGEST_FILE}"
        raise SpecError(str(path), (Problem((), message),))
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise SpecError(str(path), (Problem((), "is not UTF-8 text", line=line),)) from None


def parse_job(text: str, file: str = "spec", folder: Path | None = None) -> Job:
    """Return the job in the TOML `text`. Raises as `read_job`.

    file : names it in messages; folder : where the survey it names is, the current one when None.
    """
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        found = re.search(r"at line (\d+)", str(error))
        line = int(found[1]) if found else None
        message = re.sub(r"\s*\(at .*\)$", "", str(error))
        raise SpecError(file, (Problem((), f"is not TOML: {message}", line=line),)) from None
    except RecursionError:
        raise SpecError(file, (Problem((), "is nested too deeply"),)) from None
    lines = key_lines(text)
    problems: list[Problem] = []
    merged = _merged(raw)
    spec: Spec | None = None
    try:
        spec = Spec.model_validate(merged)
    except ValidationError as error:
        problems.extend(_problem(detail, merged) for detail in error.errors() if not _echo(detail))
        spec = _without(merged, [problem.path for problem in problems])
    if spec is not None:
        survey, missing = _survey(spec, folder or Path())
        problems.extend(missing)
        rules, unread = _rules(spec, folder or Path())
        problems.extend(unread)
        job = resolve(spec, survey, rules)
        if missing:  # lines that the survey would have given are no mistakes of their own
            kept = (p for p in job.problems if p.path[-1] not in ("points", "line"))
            job = replace(job, problems=tuple(kept))
        wrong = {_table(problem.path) for problem in problems}
        later = [*job.problems, *(p for run in job.runs for p in gate_problems(run))]
        problems.extend(problem for problem in later if _table(problem.path) not in wrong)
        if not problems:
            return job
    raise SpecError(file, _placed(problems, raw, lines))


def _survey(spec: Spec, folder: Path) -> tuple[Survey | None, list[Problem]]:
    """Return the survey that a spec names, or what is wrong with it."""
    told = spec.survey
    if told is None:
        return None, []
    try:
        place = folder / told.file
        read = read_survey(place, units=told.units, crs=told.crs, tolerance=told.tolerance)
    except SurveyError as error:
        return None, [Problem(("survey", "file"), str(error))]
    return read, []


def _rules(spec: Spec, folder: Path) -> tuple[tuple[RuleSet, ...], list[Problem]]:
    """Return the rule sets of the files that a spec names, and what is wrong with them."""
    read: list[RuleSet] = []
    problems: list[Problem] = []
    for number, name in enumerate(spec.rules.files):
        try:
            read.append(read_rules(folder / name))
        except RuleFileError as error:
            problems.append(Problem(("rules", "files", number), str(error)))
    return tuple(read), problems


def _table(path: KeyPath) -> KeyPath:
    """Return the table a key stands in, the same for a run's own: ("pales",)."""
    if path[:1] == ("run",):
        return path[2:3] if len(path) > 3 and path[2] in RUN_TABLES else path[:3]
    return path[:1]


def _without(merged: dict[str, Any], paths: list[KeyPath]) -> Spec | None:
    """Return the spec with wrong keys left out, so that mistakes between the others show too."""
    data = copy.deepcopy(merged)
    for path in paths:
        here: Any = data
        for key in path[:-1]:
            here = _look_up(here, (key,))
        if isinstance(here, dict):
            here.pop(path[-1], None)
    try:
        return Spec.model_validate(data)
    except ValidationError:
        return None  # something that cannot be left out


def spec_schema() -> dict[str, Any]:
    """Return the JSON Schema of a spec, for editors."""
    schema = Spec.model_json_schema()
    # a name given alone stands for a head or top with its default sizes
    for table, key in (("Pales", "head"), ("Posts", "top"), ("PostKind", "top")):
        field = schema["$defs"][table]["properties"][key]
        choices = field.pop("oneOf", None) or field.pop("anyOf")
        field.pop("discriminator", None)
        field["anyOf"] = [*choices, {"type": "string", "enum": _shape_names(schema, choices)}]
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "palewright spec",
        **{key: value for key, value in schema.items() if key != "title"},
    }


def _shape_names(schema: dict[str, Any], choices: list[dict[str, Any]]) -> list[str]:
    names = []
    for choice in choices:
        if "$ref" in choice:
            definition = schema["$defs"][choice["$ref"].rsplit("/", 1)[1]]
            names.append(definition["properties"]["shape"]["const"])
        for inner in choice.get("oneOf", []):
            names.extend(_shape_names(schema, [inner]))
    return [name for name in names if name != "free"]


def _merged(raw: dict[str, Any]) -> dict[str, Any]:
    """Complete each run's own tables with the top-level ones."""
    runs = raw.get("run")
    if not isinstance(runs, list):
        return raw
    merged = []
    for run in runs:
        if isinstance(run, dict):
            own = {
                table: _over(raw.get(table, {}), run[table]) for table in RUN_TABLES if table in run
            }
            run = {**run, **own}
        merged.append(run)
    return {**raw, "run": merged}


def _over(base: Any, own: Any) -> Any:
    if not isinstance(base, dict) or not isinstance(own, dict):
        return own
    result = {**base, **own}
    for key in ("end", "corner", "gate"):
        if key in base and key in own:
            result[key] = _over(base[key], own[key])
    return result


def _placed(
    problems: list[Problem], raw: dict[str, Any], lines: dict[KeyPath, int]
) -> tuple[Problem, ...]:
    """Give each problem its line, and say each only once."""
    done: dict[tuple[KeyPath, str], Problem] = {}
    for problem in problems:
        path = problem.path
        if path[:1] == ("run",) and len(path) > 3 and path not in lines and path[2] in RUN_TABLES:
            path = path[2:]  # the run took this from the top-level table
        line = None
        for length in range(len(path), 0, -1):
            if path[:length] in lines:
                line = lines[path[:length]]
                break
        value = problem.value if problem.value is not None else _shown(_look_up(raw, path))
        done.setdefault((path, problem.message), Problem(path, problem.message, value, line))
    return tuple(sorted(done.values(), key=lambda item: (item.line or 0, item.path.__repr__())))


_MISSING = object()


def _look_up(raw: Any, path: KeyPath) -> Any:
    for key in path:
        try:
            raw = raw[key]
        except (KeyError, IndexError, TypeError):
            return _MISSING
    return raw


def _shown(value: Any) -> str | None:
    if value is _MISSING or isinstance(value, dict):
        return None
    text = json.dumps(value, ensure_ascii=False, default=str)
    return text if len(text) <= 60 else text[:57] + "..."


def _echo(detail: ErrorDetails) -> bool:
    """Tell whether a list counts as too short only for its items that have errors of their own."""
    short = detail["type"] == "too_short"
    return short and len(detail["input"]) >= detail["ctx"]["min_length"]


def _problem(detail: ErrorDetails, merged: dict[str, Any]) -> Problem:
    path, model = _path(detail, merged)
    kind, context = detail["type"], detail.get("ctx", {})
    match kind:
        case "extra_forbidden":
            allowed = sorted(model.model_fields)
            near = difflib.get_close_matches(str(path[-1]), allowed, 1)
            hint = f"did you mean '{near[0]}'? " if near else ""
            message = f"unknown key; {hint}allowed here: {', '.join(allowed)}"
            return Problem(path, message, value=_shown(detail["input"]))
        case "missing":
            message = "this key is required"
        case "literal_error":
            message = f"allowed: {context['expected']}"
        case "union_tag_invalid":
            message = f"allowed shapes: {context['expected_tags']}"
        case "union_tag_not_found":
            message = "needs a 'shape'"
        case "greater_than":
            message = f"must be more than {context['gt']:g} mm"
        case "greater_than_equal":
            message = f"must be {context['ge']:g} or more"
        case "less_than_equal":
            message = f"must be {context['le']:g} or less"
        case "value_error":
            message = str(context["error"])
        case "model_type" | "model_attributes_type":
            message = "must be a table of keys"
        case "tuple_type" | "list_type":
            message = "must be a list in [ ]"
        case "too_short":
            message = f"needs {context['min_length']} or more items"
        case "too_long":
            message = f"has more than {context['max_length']} items"
        case "string_too_long":
            message = f"is longer than {context['max_length']} characters"
        case "bool_type" | "bool_parsing":
            message = "must be true or false"
        case "finite_number":
            message = "must be a finite number"
        case _:
            message = detail["msg"][:1].lower() + detail["msg"][1:]
    return Problem(path, message)


def _path(detail: ErrorDetails, merged: dict[str, Any]) -> tuple[KeyPath, type[BaseModel]]:
    """Return where the error is in the user's own text, and the table it is in.

    pydantic puts the names of union members into the path; those are not in the data.
    """
    path: list[str | int] = []
    here: Any = merged
    model: type[BaseModel] = Spec
    location = detail["loc"]
    for number, key in enumerate(location):
        last = number == len(location) - 1
        inner = _look_up(here, (key,))
        if inner is _MISSING:
            chosen = _tagged(model, path, key)
            if chosen is not None and not last:
                model = chosen
                continue
            if not (last and detail["type"] in ("missing",)) and not isinstance(key, int):
                continue
            path.append(key)
            continue
        if isinstance(key, str):
            deeper = _table_of(model, key)
            if deeper is not None and not last:
                model = deeper
        path.append(key)
        here = inner
    return tuple(path), model


def _tables_in(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    found: list[type[BaseModel]] = []
    if get_origin(annotation) is not None:
        for part in get_args(annotation):
            found.extend(_tables_in(part))
    return found


def _table_of(model: type[BaseModel], key: str) -> type[BaseModel] | None:
    field = model.model_fields.get(key)
    found = _tables_in(field.annotation) if field else []
    return found[0] if len(found) == 1 else None


def _tagged(
    model: type[BaseModel], path: list[str | int], tag: str | int
) -> type[BaseModel] | None:
    """Return the member of a tagged union at the end of `path` that `tag` names."""
    field = model.model_fields.get(str(path[-1])) if path else None
    for member in _tables_in(field.annotation) if field else []:
        shape = member.model_fields.get("shape")
        if shape is not None and tag in get_args(shape.annotation):
            return member
    return None
