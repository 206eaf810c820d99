"""What the strength checks find wanting."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis.findings import Finding
from palewright.model.fence.fence_model import FenceModel


def strength_findings(fence: FenceModel) -> Iterator[Finding]:
    """Yield a finding for each strength check that is used over its resistance."""
    if fence.job.wind is None:
        return
    from palewright.model.strength.assess import assess

    for place in assess(fence):
        for check in place.checks:
            if check.utilisation > 1.0 + 1e-9:
                unit = f" {check.unit}" if check.unit else ""
                yield check.kind.at(
                    place.where,
                    f"{check.demand:.3g}{unit}",
                    f"{check.resistance:.3g}{unit}",
                    text=f"in the wind given, {check.name} is used to {check.utilisation:.0%}; "
                    f"it takes {check.mend}",
                )
