"""The front door for Python: read a spec, then check, order, design for wind, and write."""

from __future__ import annotations

import os
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from palewright.export.models.product import Product
from palewright.model.basis.errors import FaultError, Problem, SpecError
from palewright.model.basis.findings import Finding, Severity
from palewright.model.fence.fence_model import FenceModel
from palewright.model.lists.takeoff import fence_length, gate_count, pale_count, post_count
from palewright.model.order.joints import make_fence
from palewright.model.parts.members import Member
from palewright.model.resolved.job import Job

from .reading import job_of, read_job

if TYPE_CHECKING:
    import cadquery

    from palewright.model.order.order_lines import Order
    from palewright.model.order.prices import Quote
    from palewright.model.strength.steps import Assessment

NO_WIND = "is missing; give its basic velocity, as velocity = 22"

LONGEST_REPR = 60
"""Letters of a name that a short description shows."""


class Spec:
    """A spec given as Python values instead of a file: its tables by name.

    Every table and key is that of the spec file; lists are arrays, and lengths are numbers in mm
    or text with a unit ("6 ft 3 in"). The spec is read at once.

    Parameters
    ----------
    folder : path
        Where the survey and the rule files are that it names; the current folder when left out.
    **tables
        As project={"name": "Kitchen garden"}, run=[{"points": [[0, 0], [5400, 0]]}].

    Raises
    ------
    SpecError
        With every problem that is found.

    Examples
    --------
    >>> Spec(run=[{"points": [[0, 0], [3600, 0]]}], pales={"width": -70})
    Traceback (most recent call last):
    ...
    palewright.model.basis.errors.SpecError: spec: pales.width: must be more than 0 (found -70)
    """

    def __init__(self, *, folder: str | os.PathLike[str] = ".", **tables: Any) -> None:
        self._job = job_of(_as_toml(tables), {}, "spec", Path(folder))

    @property
    def job(self) -> Job:
        """The job that it describes, every default worked out."""
        return self._job

    def __repr__(self) -> str:
        runs = len(self.job.runs)
        name = self.job.project.name[:LONGEST_REPR]
        return f"<Spec {name!r}: {runs} run{'' if runs == 1 else 's'}>"


@dataclass(frozen=True, eq=False, repr=False)
class Fence:
    """A fence, laid out and made into members; `read` makes one.

    model : its job, its layouts run by run, and its members; source : what messages name it by;
    stem : what files of it are named after, where no name is given.
    """

    model: FenceModel
    source: str
    stem: str

    @property
    def name(self) -> str:
        """The name of the project."""
        return self.model.job.project.name

    @property
    def length(self) -> float:
        """Length of all runs, gates included, mm."""
        return fence_length(self.model)

    @property
    def members(self) -> tuple[Member, ...]:
        """Every piece: its kind, mark, name, shape and frame, mm.

        >>> fence = read(Spec(run=[{"points": [[0, 0], [1800, 0]]}]))
        >>> sum(member.kind.name == "post" for member in fence.members)
        2
        """
        return self.model.members

    def check(self) -> tuple[Finding, ...]:
        """Return what is wrong or doubtful, faults that stop the job first.

        >>> fence = read(Spec(run=[{"points": [[0, 0], [1800, 0]]}], posts={"embedment": 200}))
        >>> fence.check()[0].code
        'POST-SHALLOW'
        """
        return self._findings

    def order(self) -> Order:
        """Return what is bought and done for it, timber cut at the least cost by the prices of the
        spec, or with the least waste where it has none.

        >>> order = read(Spec(run=[{"points": [[0, 0], [1800, 0]]}])).order()
        >>> {line.group for line in order.lines} == {"timber", "concrete", "fixings", "work"}
        True

        Raises
        ------
        FaultError
            When faults stop the job.
        """
        self._sound()
        return self.product.order

    def quote(self, prices: str | os.PathLike[str] | None = None) -> Quote:
        """Return it priced by a price file (CSV or TOML), timber cut at the least cost.

        prices : the file; that of the spec when left out.

        Raises
        ------
        SpecError
            With every problem in the price file, or when there is none.
        FaultError
            When faults stop the job.
        """
        from palewright.model.order.order_lines import order
        from palewright.model.order.prices import quote, with_prices
        from palewright.model.spec.price_file import read_prices

        self._sound()
        known = self.model.job.prices if prices is None else read_prices(Path(prices))
        if known is None:
            message = "is missing, and no price file is given"
            raise SpecError(self.source, (Problem(("prices",), message),))
        return quote(order(with_prices(self.model, known)), known)

    def wind(self) -> tuple[Assessment, ...]:
        """Return what the wind does to posts, rails, fixings and footings, step by step.

        Raises
        ------
        SpecError
            When the spec has no [wind] table.
        """
        from palewright.model.strength.assess import assess

        if self.model.job.wind is None:
            raise SpecError(self.source, (Problem(("wind",), NO_WIND),))
        return assess(self.model).places

    def to_assembly(self) -> cadquery.Assembly:
        """Return it as an assembly of CadQuery: runs, bays and gates, members; mm.

        Names and colours are those of the STEP file; members of one mark share one solid, each
        with a location of its own.

        Raises
        ------
        FaultError
            When faults stop the job.
        """
        from palewright.export.models.assembly import assembly_of

        self._sound()
        return assembly_of(self.product)

    @cached_property
    def product(self) -> Product:
        """Its solids and meshes by mark, each made when first asked for."""
        return Product(self.model)

    @cached_property
    def _findings(self) -> tuple[Finding, ...]:
        from palewright.model.checks.building_checks import check

        return check(self.model)

    def _sound(self) -> None:
        """Raise the faults that stop the job."""
        stops = [finding for finding in self._findings if finding.severity is Severity.STOP]
        if stops:
            raise FaultError("\n".join(f"{self.source}: {finding.line()}" for finding in stops))

    def _repr_svg_(self) -> str:
        """Return its front elevation, for notebooks."""
        from palewright.export.drawing.sets.elevation_alone import elevation_svg

        return elevation_svg(self.model)

    def __repr__(self) -> str:
        posts = post_count(self.model)
        gates = gate_count(self.model)
        return (
            f"<Fence {self.name[:LONGEST_REPR]!r}: {self.length / 1000.0:.2f} m, {posts} posts, "
            f"{pale_count(self.model)} pales, {gates} gate{'' if gates == 1 else 's'}>"
        )


def read(source: str | os.PathLike[str] | Spec) -> Fence:
    """Return the fence of a spec. source : path of a TOML file, or a Spec.

    Raises
    ------
    SpecError
        With every problem in the spec: where, on which line, what stands there, what is allowed.

    Examples
    --------
    >>> read("nowhere.toml")
    Traceback (most recent call last):
    ...
    palewright.model.basis.errors.SpecError: nowhere.toml: (whole file): cannot be read: \
No such file or directory
    """
    if isinstance(source, Spec):
        return Fence(make_fence(source.job), "spec", "fence")
    path = Path(source)
    return Fence(make_fence(read_job(path)), str(path), path.stem)


def outputs() -> dict[str, str]:
    """Return what `write` can make, by name, with a line on each.

    >>> outputs()["step"]
    'solids for CAD, with assembly tree and colours'
    """
    from palewright.export.outputs.registry import OUTPUTS

    return {output.name: output.help for output in OUTPUTS}


def write(
    fence: Fence, target: str | os.PathLike[str], output: str | None = None
) -> tuple[Path, ...]:
    """Write an output of a fence; return the paths of its files.

    Parameters
    ----------
    fence : Fence
        As `read` returns it.
    target : path
        A file whose suffix says what is written, as "garden.step"; or, with the name of an
        output, a folder for its files.
    output : str, optional
        One of `outputs`, where the suffix does not say it or several have the same.

    Raises
    ------
    FaultError
        When faults stop the job.
    OutputError
        When there is no such output, or a file cannot be made or written.

    Examples
    --------
    >>> import tempfile
    >>> folder = Path(tempfile.mkdtemp())
    >>> fence = read(Spec(run=[{"points": [[0, 0], [1800, 0]]}]))
    >>> [path.name for path in write(fence, folder / "short.xlsx")]
    ['short.xlsx']
    >>> sorted(path.name for path in write(fence, folder, "csv"))[:2]
    ['fence-bays.csv', 'fence-boards.csv']
    """
    from palewright.export.outputs.choosing import files_for
    from palewright.export.outputs.files import write_files

    fence._sound()
    folder, files = files_for(fence.product, Path(target), output, fence.stem)
    write_files(folder, files)
    return tuple(folder / name for name in files)


def _as_toml(value: Any) -> Any:
    """Return values as TOML would have given them: tuples as arrays."""
    if isinstance(value, dict):
        return {key: _as_toml(inner) for key, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [_as_toml(inner) for inner in value]
    return value
