"""One small spec of a timber picket fence becomes solids, drawings and lists.

    >>> import palewright as pw
    >>> spec = pw.Spec(project={"name": "Kitchen garden"}, run=[{"points": [[0, 0], [5400, 0]]}])
    >>> fence = pw.read(spec)
    >>> fence
    <Fence 'Kitchen garden': 5.40 m, 4 posts, 35 pales, 0 gates>

`read` takes the path of a TOML file just as well; `write` writes any output. Whatever a user can
mend is raised as a PalewrightError, whose text is the whole message. Lengths are in mm, and axes
as everywhere in the project: x east, y north, z up.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from .door import Fence, Spec, outputs, read, write
    from .model.basis.errors import FaultError, OutputError, PalewrightError, SpecError
    from .model.geometry.heads import HeadError
    from .model.order.stock import NoStockError
    from .model.rules.rule_sets import RuleFileError
    from .model.survey.points_and_lines import SurveyError

__all__ = [
    "Fence",
    "Spec",
    "read",
    "write",
    "outputs",
    "PalewrightError",
    "SpecError",
    "FaultError",
    "OutputError",
    "SurveyError",
    "RuleFileError",
    "HeadError",
    "NoStockError",
    "__version__",
]

_HOMES = {
    "PalewrightError": "model.basis.errors",
    "SpecError": "model.basis.errors",
    "FaultError": "model.basis.errors",
    "OutputError": "model.basis.errors",
    "SurveyError": "model.survey.points_and_lines",
    "RuleFileError": "model.rules.rule_sets",
    "HeadError": "model.geometry.heads",
    "NoStockError": "model.order.stock",
}
"""Where names live that are not in the front door itself."""


def __getattr__(name: str) -> Any:
    """Load a public name when it is first asked for: the command line is not to wait for all."""
    if name == "__version__":
        from importlib.metadata import version

        return version("palewright")
    if name not in __all__:
        raise AttributeError(f"module 'palewright' has no attribute '{name}'")
    value = getattr(import_module(f"palewright.{_HOMES.get(name, 'door')}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted(__all__)
