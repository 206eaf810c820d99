"""Rules held against a fence."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis.findings import Finding, FindingKind, Severity
from palewright.model.fence.fence_model import FenceModel
from palewright.model.rules.rule_sets import BUILT_IN, Rule, RuleFileError, RuleSet

from .measures import MEASURES, rails_apart


def rule_findings(fence: FenceModel) -> Iterator[Finding]:
    """Yield what breaks a rule of the job's sets; of rules with one code the one that is broken
    furthest at a place.
    """
    for rules in fence.job.rules:
        broken: dict[tuple[str, str], tuple[float, Rule, float]] = {}
        for rule in rules.rule:
            for run in range(len(fence.layouts)):
                if not applies(rule, fence, run):
                    continue
                for where, value in MEASURES[rule.measure](fence, run):
                    over, key = rule.over(value), (rule.code, where)
                    if over > (broken[key][0] if key in broken else 0.0):
                        broken[key] = over, rule, value
        for (_, where), (_, rule, value) in broken.items():
            unit = unit_of(rule)
            kind = rule_kind(rule, rules)
            yield kind.at(where, f"{round(value, 1):g}{unit}", f"{rule.allowed}{unit}")


def unit_of(rule: Rule) -> str:
    """Return what follows the figures of a rule: its unit, or nothing for a count."""
    return "" if rule.measure == "footholds" else " mm"


def rule_kind(rule: Rule, rules: RuleSet) -> FindingKind:
    """Return the kind of finding that a rule brings with it: its set registers it."""
    return FindingKind(
        code=rule.code,
        severity=Severity(rule.severity),
        means=rule.text,
        matters=f"{rules.title}, {rules.jurisdiction}",
        helps="",
        source=rule.source or rules.source,
    )


def check_measures(rules: RuleSet, file: str) -> None:
    """Raise RuleFileError where a rule of a file measures what nothing here can."""
    for number, rule in enumerate(rules.rule):
        if rule.measure not in MEASURES:
            allowed = ", ".join(MEASURES)
            message = f"measure '{rule.measure}': allowed are {allowed}"
            raise RuleFileError(f"{file}: rule.{number}: {message}")


def applies(rule: Rule, fence: FenceModel, run: int) -> bool:
    """Tell whether a rule is about a run."""
    job = fence.layouts[run].run
    if rule.beside and job.beside not in rule.beside:
        return False
    if rule.guards and not set(rule.guards) & set(job.guards):
        return False
    apart = rule.rails_apart_under
    return apart is None or rails_apart(fence, run) < apart


def report(fence: FenceModel) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return which rules were checked, and what was not, a line each."""
    checked, missed = [], []
    runs = range(len(fence.layouts))
    for rules in fence.job.rules:
        codes: dict[str, None] = {}
        idle: dict[str, None] = {}
        for rule in rules.rule:
            held = any(applies(rule, fence, run) for run in runs)
            (codes if held else idle)[rule.code] = None
        head = f"{rules.title}, {rules.jurisdiction}, {rules.date} ({rules.source})"
        if codes:
            checked.append(f"{head}: {', '.join(codes)}")
        rest = [code for code in idle if code not in codes]
        if rest:
            missed.append(f"{head}: {', '.join(rest)}, as no run is said to need it (run.guards)")
        if rules.not_checked:
            missed.append(f"{rules.title}, {rules.jurisdiction}: {rules.not_checked}")
    names = {rules.name for rules in fence.job.rules}
    missed += [f"rule set {name} (rules.sets)" for name in BUILT_IN if name not in names]
    if fence.job.wind is None:
        missed.append("wind on posts, rails, bolts, nails and footings (give [wind])")
    else:
        checked.append("wind, timber and footing depth (EN 1991-1-4, EN 1995-1-1, IBC 1807.3)")
    if any(panel.plan.between for panel in fence.panels):
        missed.append("what brackets that panels hang on hold: their maker says")
    if fence.job.wind is not None and any(run.guests for run in fence.job.runs):
        missed.append(
            "pull on posts along their own fence by runs that end at them; screws of plates"
        )
    if any(plan.cast for run in fence.job.runs for plan in run.posts.kinds):
        missed.append(
            "concrete posts in the wind: their strength, and how deep they stand; ask their maker"
        )
    missed.append(
        "snow, people leaning or climbing, vehicles, earth behind the fence, what is buried"
    )
    return tuple(checked), tuple(missed)
