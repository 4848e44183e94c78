"""The command `earshed`: names the commands, and turns every ending into one line and an exit code.

Exit codes: 0 fine, 1 findings of severity error, 2 unusable input or output, 130 stopped by Ctrl-C.
"""

from __future__ import annotations

import importlib
import os
import sys
from collections.abc import Sequence

import click

from earshed.viewer import gl
from earshed.viewer.output import ReaderGone, print_json_error

COMMANDS = {
    "new": "A first scene from a few dimensions; a blank survey sheet; the schema for editors.",
    "check": "Tables and findings: what each seat gets, and what cannot be built.",
    "aim": "Each speaker's best axis for the seats against today's, and how to turn it.",
    "place": "Where a speaker could be cut in: the best places, with every type, clear of all that is in the way.",
    "markout": "The tape measurements that place every hole, and sheets of them to carry up the ladder.",
    "reflections": "First reflections at the main seats: off which point of which face, how strong; reverberation.",
    "wire": "The wiring schedule: each cable's way to the rack, its length, loss and spool, what to bore and patch.",
    "pack": "Every sheet that goes up the ladder in one PDF.",
    "levels": "When, how loud and how even each speaker arrives, and what to set in a processor.",
    "map": "Coverage maps: a picture per speaker and one for the set, with the numbers behind them.",
    "compare": "Before and after: what each seat gains, what it takes, and a page of it for the client.",
    "report": "What a client is given: why it is worth it, how it will look, what is to be done; a page or a PDF.",
    "types": "How each speaker type radiates, band by band: beam width, directivity index, polar plots.",
    "plans": "The reflected ceiling plan and the wall elevations, dimensioned and to scale: PDF, SVG, DXF.",
    "view": "The live room in the browser: move, tilt and turn speakers, and see at once what every seat gets.",
    "draw": "A picture of the room in three dimensions.",
}


class MissingLibrary(click.ClickException):
    """A library of the system that a command cannot do without."""

    exit_code = 2


class Commands(click.Group):
    """Commands that are imported when they run, so that help and completion stay quick."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        try:
            command: click.Command = importlib.import_module(f"earshed.viewer.commands.{cmd_name}").command
        except ImportError as error:
            if ".so" in str(error):  # a library of the system's, which some builds of VTK want on import
                raise MissingLibrary(f"{gl.HELP} ({error})") from None
            raise
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


@click.command(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="earshed")
def earshed() -> None:
    """Shows what each seat gets from speakers under any ceiling, before a hole is cut.

    Every command takes a scene file; `earshed COMMAND --help` says more.
    """


def run(arguments: Sequence[str] | None = None) -> int:
    """Runs a command line and returns its exit code."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    if hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(errors="replace")  # a terminal of few letters shows the rest
    try:
        code = _ending(words)
        sys.stdout.flush()
    except (BrokenPipeError, ReaderGone):
        _drop_output()
        code = 0
    except OSError as error:
        _drop_output()
        click.echo(f"cannot print: {error.strerror or error}", err=True)
        code = 2
    return code


def _ending(words: list[str]) -> int:
    """Runs a command line; whatever ends it becomes an exit code, with its words printed."""
    try:
        code = earshed.main(args=words, prog_name="earshed", standalone_mode=False)
    except click.exceptions.Exit as ending:
        code = ending.exit_code
    except click.ClickException as problem:
        code = problem.exit_code
        if "--json" in words:
            scene = next((word for word in words[1:] if not word.startswith("-")), "")
            print_json_error(problem.format_message(), scene)
        else:
            problem.show()
    except (KeyboardInterrupt, click.Abort):
        click.echo("stopped", err=True)
        code = 130
    return code if isinstance(code, int) else 0


def _drop_output() -> None:
    """Sends what is still to be printed nowhere, so that it cannot fail again when Python closes."""
    with open(os.devnull, "w") as nowhere:
        os.dup2(nowhere.fileno(), 1)


def main() -> None:
    sys.exit(run())


if __name__ == "__main__":
    main()
