"""What the strength checks find wanting."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis import wind_kinds
from palewright.model.basis.findings import Finding
from palewright.model.fence.fence_model import FenceModel

FASTEST = 35.0
"""Basic velocities are under this nearly everywhere, m/s (from memory)."""


def strength_findings(fence: FenceModel) -> Iterator[Finding]:
    """Yield a finding for each strength check that is used over its resistance, where it is worst
    among the members alike.
    """
    if fence.job.wind is None:
        return
    from palewright.model.strength.assess import assess
    from palewright.model.strength.steps import used_words

    velocity = fence.job.wind.velocity
    if velocity > FASTEST:
        yield wind_kinds.WIND_FAST.at("wind.velocity", f"{velocity:g} m/s", f"{FASTEST:g} m/s")
    for worst in assess(fence).governing:
        check = worst.check
        if worst.over:
            unit = f" {check.unit}" if check.unit else ""
            yield check.kind.at(
                worst.where,
                f"{check.demand:.3g}{unit}",
                f"{check.resistance:.3g}{unit}",
                text=f"in the wind given, {check.name} is {used_words(check.utilisation)} here, "
                f"over what it has at {worst.over} of {worst.count} {worst.members}; "
                f"it takes {check.mend}",
            )
