"""How the commands show their help: whole sentences, in groups, with examples and exit codes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import click

EXIT_CODES = (
    ("0", "all is well"),
    ("1", "the checks found faults that stop the job"),
    ("2", "something given cannot be used, or a file cannot be written"),
    ("130, 143", "stopped by Ctrl-C, by SIGTERM"),
)


def write_commands(
    formatter: click.HelpFormatter,
    groups: Mapping[str, Sequence[click.Command]],
) -> None:
    """Write the commands in their groups, each with the whole first sentence of its help."""
    for heading, commands in groups.items():
        with formatter.section(heading):
            formatter.write_dl([(command.name or "", first_words(command)) for command in commands])
    with formatter.section("Exit codes"):
        formatter.write_dl(EXIT_CODES)
    formatter.write_paragraph()
    formatter.write_text(
        "Every mistake in a spec is told at once, with its line. 'palewright COMMAND --help' has "
        "each command's options and examples."
    )


def first_words(command: click.Command) -> str:
    """Return the first paragraph of a command's help on one line."""
    return " ".join((command.help or "").split("\n\n")[0].split())


class Told(click.Command):
    """A command whose help ends in examples, and in what its words may be.

    examples : command lines; words : returns names and what they are, looked up only when shown.
    """

    def __init__(
        self, *arguments: object, examples: Sequence[str] = (), **settings: object
    ) -> None:
        super().__init__(*arguments, **settings)  # type: ignore[arg-type]
        self.examples = examples

    def words(self) -> tuple[str, Sequence[tuple[str, str]]] | None:
        """Return a heading and the names below it; none here."""
        return None

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write what the words may be, and the examples."""
        told = self.words()
        if told is not None:
            with formatter.section(told[0]):
                formatter.write_dl(told[1])
        if self.examples:
            with formatter.section("Examples"):
                for example in self.examples:
                    formatter.write(f"{' ' * formatter.current_indent}{example}\n")


class ToldOutputs(Told):
    """The command that makes outputs: its help names them."""

    def words(self) -> tuple[str, Sequence[tuple[str, str]]]:
        """Return the outputs, those apart that are made only when asked for."""
        from palewright.export.outputs.registry import OUTPUTS

        asked = {True: " (only with --only)", False: ""}
        return "Outputs, for --only", [
            (output.name, output.help + asked[output.asked]) for output in OUTPUTS
        ]
