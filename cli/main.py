"""The command line."""

from __future__ import annotations

import gc
import io
import os
import sys
from typing import Any

import click

from palewright.model.basis.errors import OutputError, PalewrightError

from .endings import NO_ROOM, give_up_output, stoppable
from .help_pages import write_commands
from .jobs import coloured
from .judging_commands import check, compare, list_parts, price_file, size, wind
from .making_commands import build, page, sheets, template, watch
from .offering_commands import proposal, quote
from .photo_commands import montage
from .picture_command import picture
from .starting_commands import new, ready, schema, survey

COLLECTION = (50_000, 20, 20)
"""Thresholds of Python's collector of cycles: of a run that makes much and keeps it, the usual ones
look through all again and again; a build takes a quarter less with these.
"""

GROUPS = {
    "To begin": (new, survey, check, ready),
    "To look at": (watch, page, picture, montage),
    "To hand on": (build, sheets, template),
    "To order and to price": (list_parts, price_file, quote, compare, proposal),
    "To stand in the wind": (wind, size),
    "For other programs": (schema,),
}


class _Commands(click.Group):
    """Shows errors that the user can mend as one message, without a traceback."""

    def invoke(self, ctx: click.Context) -> Any:
        for stream in (sys.stdout, sys.stderr):
            # a name of a project or a file may hold letters that the terminal does not know
            if isinstance(stream, io.TextIOWrapper) and stream.errors == "strict":
                stream.reconfigure(errors="backslashreplace")
        try:
            with stoppable():
                result = super().invoke(ctx)
                sys.stdout.flush()
            return result
        except PalewrightError as error:
            for line in str(error).split("\n"):
                click.echo(coloured(line), err=True)
            ctx.exit(error.exit_code)
        except OSError as error:
            if error.errno not in NO_ROOM:
                raise
            give_up_output()
            click.echo(f"output cannot be written: {error.strerror}", err=True)
            ctx.exit(OutputError.exit_code)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        write_commands(formatter, GROUPS)


@click.group(
    cls=_Commands,
    commands=[command for commands in GROUPS.values() for command in commands],
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(package_name="palewright", message="palewright %(version)s")
def main() -> None:
    """Turn one small spec of a timber picket fence into solids, drawings and lists."""
    gc.set_threshold(*COLLECTION)
    # the library that reads specs would look through all that is installed for plug-ins of its own
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
