"""Reading a spec: TOML in, a job or a fence out, or every mistake in it at once."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from palewright.model.basis.errors import KeyPath, Problem, SpecError
from palewright.model.basis.source_files import (
    LARGEST_SPEC,
    SourceFileError,
    TomlError,
    read_source,
    text_of,
    toml_tables,
)
from palewright.model.basis.toml_lines import key_lines
from palewright.model.checks.rule_findings import check_measures
from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.as_built import built_job
from palewright.model.layout.fixed_posts import gate_problems
from palewright.model.order.joints import make_fence
from palewright.model.resolved.job import Job
from palewright.model.resolved.leg_sketch import walked_survey
from palewright.model.resolved.resolve import resolve
from palewright.model.rules.rule_sets import RuleFileError, RuleSet, read_rules
from palewright.model.spec.firm_file import Firm, read_firm
from palewright.model.spec.mistakes import (
    is_echo,
    merged_tables,
    placed_problems,
    problem_of,
    table_of_key,
    without_keys,
)
from palewright.model.spec.price_file import read_prices
from palewright.model.spec.price_list import PriceList
from palewright.model.spec.salvage import Salvaged, salvaged
from palewright.model.spec.single_tables import listed_tables
from palewright.model.spec.spec_tables import SpecTables
from palewright.model.spec.tiny_lengths import tiny_lengths
from palewright.model.survey.code_words import FieldCodes
from palewright.model.survey.points_and_lines import Asked, Survey, SurveyError


def read_job(path: Path) -> Job:
    """Return the job in a spec file.

    Raises
    ------
    SpecError
        With every problem in the file: where, on which line, what stands there, what is allowed.
    """
    return parse_job(_text(path), str(path), path.parent)


def read_fence(path: Path) -> FenceModel:
    """Return the fence in a spec file. Raises as `read_job`."""
    return make_fence(read_job(path))


def read_spec(
    path: Path,
) -> tuple[SpecTables, Survey | None, tuple[RuleSet, ...], PriceList | None]:
    """Return a sound spec itself, with what the files hold that it names. Raises as `read_job`."""
    text = _text(path)
    parse_job(text, str(path), path.parent)
    raw, _ = listed_tables(toml_tables(text), {})
    spec = SpecTables.model_validate(merged_tables(raw))
    survey, _ = _survey(spec, path.parent)
    return spec, survey, _rules(spec, path.parent)[0], _prices(spec, path.parent)[0]


def read_walked(path: Path) -> tuple[Survey, str] | None:
    """Return what was measured of a spec's runs that are given by legs, and what the job is called.

    None for a file that is no spec. Raises as `read_job`, and SurveyError where no run has legs.
    """
    if path.suffix.lower() != ".toml":
        return None
    try:
        raw = toml_tables(_text(path))
    except (SourceFileError, SpecError):
        return None  # whoever reads it as a survey says what is wrong
    if "run" not in raw:
        return None
    job = read_job(path)
    walked = walked_survey(str(path), job)
    if walked is None:
        raise SurveyError(f"{path}: is a spec, and none of its runs is given by legs ([[run.leg]])")
    return walked, job.project.name


def _text(path: Path) -> str:
    """Return the text of a spec file, or raise why there is none."""
    try:
        return text_of(read_source(path, LARGEST_SPEC))
    except SourceFileError as error:
        raise error.of(str(path)) from None


def parse_job(text: str, file: str = "spec", folder: Path | None = None) -> Job:
    """Return the job in the TOML `text`. Raises as `read_job`.

    file : names it in messages; folder : where the survey it names is, the current one when None.
    """
    try:
        raw = toml_tables(text)
    except TomlError as error:
        found = salvaged(text)
        if found is None or not found.problems:
            raise error.of(file) from None
        raise SpecError(file, _all_problems(found)) from None
    except SourceFileError as error:
        raise error.of(file) from None
    return job_of(raw, key_lines(text), file, folder or Path())


def _all_problems(found: Salvaged) -> tuple[Problem, ...]:
    """Return what is wrong in a text that is no TOML, and in single keys that could be read of it.

    Nothing between keys: it may hang on one that could not be read.
    """
    raw, lines = listed_tables(found.tables, found.lines)
    told = placed_problems([*tiny_lengths(raw), *_key_problems(merged_tables(raw))[0]], raw, lines)
    slips = {(problem.path, problem.line) for problem in found.problems}

    def its_own(problem: Problem) -> bool:
        if problem.line is None:
            return False  # a key that is missing, perhaps for it could not be read
        return not any(line == problem.line or _within(problem.path, path) for path, line in slips)

    later = (problem for problem in told if its_own(problem))
    return tuple(sorted((*found.problems, *later), key=lambda problem: problem.line or 0))


def _within(path: KeyPath, other: KeyPath) -> bool:
    """Tell whether one of two keys stands in the other; nothing stands in no key."""
    return bool(other) and (other == path[: len(other)] or path == other[: len(path)])


def _key_problems(merged: dict[str, Any]) -> tuple[list[Problem], SpecTables | None]:
    """Return what is wrong with single keys, and the spec, or what is left of it without them."""
    try:
        return [], SpecTables.model_validate(merged)
    except ValidationError as error:
        problems = [problem_of(detail, merged) for detail in error.errors() if not is_echo(detail)]
        return problems, without_keys(merged, [problem.path for problem in problems])


def job_of(raw: dict[str, Any], lines: dict[KeyPath, int], file: str, folder: Path) -> Job:
    """Return the job in the tables of a spec. Raises as `read_job`.

    raw : as TOML gives them; lines : of their keys, as far as they came from a text.
    """
    raw, lines = listed_tables(raw, lines)
    merged = merged_tables(raw)
    tiny = tiny_lengths(raw)
    wrong_keys, spec = _key_problems(merged)
    problems = [*tiny, *wrong_keys]
    if spec is not None:
        survey, missing = _survey(spec, folder)
        problems.extend(missing)
        rules, unread = _rules(spec, folder)
        problems.extend(unread)
        prices, unpriced = _prices(spec, folder)
        problems.extend(unpriced)
        firm, unsigned = _firm(spec, folder)
        problems.extend(unsigned)
        job = resolve(spec, survey, rules, prices, firm)
        unsurveyed = any(problem.path[:1] == ("survey",) for problem in (*missing, *wrong_keys))
        if unsurveyed:  # lines that the survey would have given are no mistakes of their own
            kept = (p for p in job.problems if p.path[-1] not in ("points", "line"))
            job = replace(job, problems=tuple(kept))
        tiny_runs = {problem.path[:2] for problem in tiny if problem.path[:1] == ("run",)}
        wrong = {table_of_key(problem.path) for problem in problems}
        # without its wrong legs a run seems to have no line at all
        wrong |= {(*path[:2], "points") for path in wrong if path[2:] == ("leg",)}
        later = [*job.problems, *(p for run in job.runs for p in gate_problems(run))]
        problems.extend(
            problem
            for problem in later
            if table_of_key(problem.path) not in wrong and problem.path[:2] not in tiny_runs
        )
        if not problems:
            job, problems = built_job(job)
        if not problems:
            return job
    raise SpecError(file, placed_problems(problems, raw, lines))


def _survey(spec: SpecTables, folder: Path) -> tuple[Survey | None, list[Problem]]:
    """Return the survey that a spec names, or what is wrong with it."""
    told = spec.survey
    if told is None:
        return None, []
    from palewright.model.survey.survey_files import read_survey

    try:
        place = folder / told.file
        codes = FieldCodes(**dict(told.codes))
        asked = Asked(
            told.units, told.crs, told.tolerance, told.columns, told.named_by, codes, told.layer
        )
        read = read_survey(place, asked)
    except SurveyError as error:
        return None, [Problem(("survey", "file"), str(error))]
    return read, []


def _prices(spec: SpecTables, folder: Path) -> tuple[PriceList | None, list[Problem]]:
    """Return the prices of the file that a spec names, or what is wrong with it."""
    if spec.prices is None:
        return None, []
    try:
        return read_prices(folder / spec.prices.file), []
    except SpecError as error:
        return None, [Problem(("prices", "file"), line) for line in str(error).splitlines()]


def _firm(spec: SpecTables, folder: Path) -> tuple[Firm | None, list[Problem]]:
    """Return what the firm's file holds that a spec names, or what is wrong with it."""
    if spec.firm is None:
        return None, []
    try:
        return read_firm(folder / spec.firm.file), []
    except SpecError as error:
        return None, [Problem(("firm", "file"), line) for line in str(error).splitlines()]


def _rules(spec: SpecTables, folder: Path) -> tuple[tuple[RuleSet, ...], list[Problem]]:
    """Return the rule sets of the files that a spec names, and what is wrong with them."""
    read: list[RuleSet] = []
    problems: list[Problem] = []
    for number, name in enumerate(spec.rules.files):
        try:
            rules = read_rules(folder / name)
            check_measures(rules, str(folder / name))
            read.append(rules)
        except RuleFileError as error:
            problems.append(Problem(("rules", "files", number), str(error)))
    return tuple(read), problems
