"""Which output a file's name asks for."""

from __future__ import annotations

from pathlib import Path

from palewright.export.models.product import Product
from palewright.model.basis.errors import OutputError

from .files import Files
from .registry import OUTPUTS, Output


def files_for(built: Product, target: Path, name: str | None, stem: str) -> tuple[Path, Files]:
    """Return the folder and the files that a target asks for.

    target : a file with the suffix of an output, or a folder for all files of the output `name`,
    which are named after `stem`.

    Raises
    ------
    OutputError
        When no output has that name, or no output or several have that suffix.
    """
    suffix = target.suffix.lower()
    output = _output(target, suffix, name)
    if suffix not in output.suffixes:
        return target, output.make(built, stem)
    files = output.make(built, target.stem)
    ending = output.suffixes[suffix]
    data = files[target.stem + ending]
    beside = {n: d for n, d in files.items() if n.removeprefix(target.stem) in output.beside}
    return target.parent, {target.name: data, **beside}


def _output(target: Path, suffix: str, name: str | None) -> Output:
    if name is not None:
        for output in OUTPUTS:
            if output.name == name:
                return output
        raise OutputError(f"no output '{name}'; there are: {', '.join(o.name for o in OUTPUTS)}")
    sharing = [output for output in OUTPUTS if suffix in output.suffixes]
    # those that are made only when asked for stand back
    fitting = [output for output in sharing if not output.asked] or sharing
    if len(fitting) == 1:
        return fitting[0]
    if fitting:
        names = " or ".join(f"'{output.name}'" for output in fitting)
        raise OutputError(f"{target}: several outputs end in {suffix}; name one: {names}")
    known = ", ".join(sorted({ending for output in OUTPUTS for ending in output.suffixes}))
    raise OutputError(
        f"{target}: no output ends in '{suffix}'; there are {known}; or name one of "
        f"{', '.join(output.name for output in OUTPUTS)}, with a folder"
    )
