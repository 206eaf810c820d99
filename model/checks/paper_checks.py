"""Checks of what the papers say of themselves."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis import finding_register as register
from palewright.model.basis.findings import Finding
from palewright.model.fence.fence_model import FenceModel
from palewright.model.resolved.job import Job
from palewright.model.spec.firm_keys import Offer
from palewright.model.spec.paper_keys import Project

TITLE_FIELDS = ("owner", "reference", "author", "date")
"""Keys of the project whose fields in the title block stand empty when they are not given."""


FIRM_GAPS = {
    "address": "where the firm is",
    "telephone": "how it is reached",
    "not_included": "what is not in the price",
    "deposit": "what is due when the customer accepts",
    "payment": "how the rest is paid",
    "validity": "how long the offer holds",
    "guarantee": "what is guaranteed",
    "care": "how the fence is looked after",
}
"""Keys of a firm's file that an offer wants, and what they say."""


def offer_gaps(job: Job) -> list[str]:
    """Return what an offer wants that nobody gave: each key, and what it would say."""
    gaps = [
        (not job.project.client, "project.client", "whom it is for"),
        (not job.project.site, "project.site", "where the fence is"),
        (not job.offer.number, "offer.number", "its number"),
        (not (job.offer.date or job.project.date), "offer.date", "its date"),
        (not job.offer.stage, "offer.stage", "the days that the work takes"),
    ]
    if job.firm is None:
        gaps.append((True, "firm.file", "who the firm is, and its terms"))
    else:
        told = job.firm.told
        for key, words in FIRM_GAPS.items():
            given = getattr(told, key) not in (None, "", ())
            given |= key == "telephone" and bool(told.email)
            given |= key == "not_included" and bool(job.offer.not_included)
            gaps.append((not given, f"{key} in {job.firm.file}", words))
    return [f"{key} ({words})" for wanted, key, words in gaps if wanted]


def paper_findings(fence: FenceModel) -> Iterator[Finding]:
    """Yield the fields of the title block that stand empty, once the project has a name, and what
    an offer lacks, once there is one.
    """
    project = fence.job.project
    if fence.job.firm is not None or fence.job.offer != Offer():
        gaps = offer_gaps(fence.job)
        if gaps:
            yield register.OFFER_EMPTY.at("the proposal", f"no {', '.join(gaps)}", "")
    if project == Project():
        return
    empty = [name for name in TITLE_FIELDS if not str(getattr(project, name)).strip()]
    if empty:
        keys = ", ".join(f"project.{name}" for name in empty)
        yield register.TITLE_EMPTY.at("the title block", f"no {keys}", "")
