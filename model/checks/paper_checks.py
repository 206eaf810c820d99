"""Checks of what the papers say of themselves."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis import finding_register as register
from palewright.model.basis.findings import Finding
from palewright.model.fence.fence_model import FenceModel
from palewright.model.spec.paper_keys import Project

TITLE_FIELDS = ("owner", "reference", "author", "date")
"""Keys of the project whose fields in the title block stand empty when they are not given."""


def paper_findings(fence: FenceModel) -> Iterator[Finding]:
    """Yield the fields of the title block that stand empty, once the project has a name."""
    project = fence.job.project
    if project == Project():
        return
    empty = [name for name in TITLE_FIELDS if not str(getattr(project, name)).strip()]
    if empty:
        keys = ", ".join(f"project.{name}" for name in empty)
        yield register.TITLE_EMPTY.at("the title block", f"no {keys}", "")
