"""Which post, depth or bay would do: one change at a time, tried on the fence itself."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from palewright.model.basis.finding_register import (
    WIND_CLAY,
    WIND_DEPTH,
    WIND_POST,
    WIND_SHEAR,
    WIND_SWAY,
)
from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.fixed_posts import gate_problems
from palewright.model.order.joints import make_fence
from palewright.model.resolved.resolve import resolve
from palewright.model.rules.rule_sets import RuleSet
from palewright.model.spec.post_keys import Posts
from palewright.model.spec.spec_tables import SpecTables
from palewright.model.survey.points_and_lines import Survey

from .assess import assess

SECTIONS = (75.0, 90.0, 100.0, 125.0, 150.0, 175.0, 200.0)
"""Square posts sold, mm (common practice, no source)."""

DEPTH_STEP, DEEPEST = 50.0, 2000.0
BAY_STEP, SHORTEST = 100.0, 600.0

POST = (WIND_POST.code, WIND_SHEAR.code, WIND_SWAY.code)
DEPTH = (WIND_DEPTH.code, WIND_CLAY.code)


@dataclass(frozen=True)
class Suggestion:
    """change : what is changed; now : as it is; needed : the smallest that does; used : the
    largest utilisation then.
    """

    change: str
    now: str
    needed: str
    used: str


def suggestions(
    spec: SpecTables, survey: Survey | None = None, rules: tuple[RuleSet, ...] = ()
) -> Iterator[Suggestion]:
    """Yield the smallest post section, depth and the largest bay that pass, each by itself.

    The section is judged by the posts' own checks, the depth by the footings', the bay by all.
    """
    posts = spec.posts

    def worst(changed: SpecTables, codes: tuple[str, ...]) -> float | None:
        fence = _built(changed, survey, rules)
        if fence is None:
            return None
        checks = [one.check for one in assess(fence).governing]
        return max((c.utilisation for c in checks if not codes or c.code in codes), default=0.0)

    def first(
        change: str, now: str, tries: list[tuple[str, Posts]], codes: tuple[str, ...]
    ) -> Suggestion:
        for words, made in tries:
            used = worst(_with(spec, made), codes)
            if used is not None and used <= 1.0 + 1e-9:
                return Suggestion(change, now, words, f"{used:.2f}")
        return Suggestion(change, now, "none that was tried", "")

    width, depth = posts.section
    yield first(
        "post section",
        f"{mm(width)} x {mm(depth)}",
        [
            (f"{mm(size)} x {mm(size)}", posts.model_copy(update={"section": (size, size)}))
            for size in SECTIONS
        ],
        POST,
    )
    steps = int(DEEPEST / DEPTH_STEP)
    yield first(
        "post below ground",
        mm(posts.embedment),
        [
            (mm(n * DEPTH_STEP), posts.model_copy(update={"embedment": n * DEPTH_STEP}))
            for n in range(4, steps + 1)
        ],
        DEPTH,
    )
    bays = [posts.bay - n * BAY_STEP for n in range(int((posts.bay - SHORTEST) / BAY_STEP) + 1)]
    yield first(
        "bay",
        mm(posts.bay),
        [(mm(bay), posts.model_copy(update={"bay": bay})) for bay in bays],
        (),
    )


def _with(spec: SpecTables, posts: Posts) -> SpecTables:
    """Return the spec with other posts, for runs with posts of their own too."""
    sizes = {"section": posts.section, "embedment": posts.embedment, "bay": posts.bay}
    posts = _deeper(posts, posts.embedment - spec.posts.embedment)
    runs = []
    for run in spec.run:
        own = None
        if run.posts is not None:
            own = _deeper(run.posts, posts.embedment - run.posts.embedment)
            own = own.model_copy(update=sizes)
        runs.append(run.model_copy(update={"posts": own}))
    return spec.model_copy(update={"posts": posts, "run": tuple(runs)})


def _deeper(posts: Posts, by: float) -> Posts:
    """Return posts whose ends, corners and gates go as much deeper as the others."""
    kinds = {}
    for name in ("end", "corner", "gate"):
        kind = getattr(posts, name)
        if kind.embedment is not None:
            kinds[name] = kind.model_copy(update={"embedment": kind.embedment + by})
    return posts.model_copy(update=kinds)


def _built(
    spec: SpecTables, survey: Survey | None, rules: tuple[RuleSet, ...]
) -> FenceModel | None:
    """Return the fence of a changed spec, None where it cannot be built."""
    job = resolve(spec, survey, rules)
    if job.problems or any(True for run in job.runs for _ in gate_problems(run)):
        return None
    return make_fence(job)
