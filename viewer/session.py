"""What every command shares: its options, reading the scene, and its endings."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import Any, TypeVar

import click

from earshed.model.finding import Finding
from earshed.model.scene import Scene
from earshed.model.scene_file.problem import SceneError
from earshed.model.speaker import Speaker
from earshed.viewer.output import OutputError, ReaderGone, file_name, print_json_error

F = TypeVar("F", bound=Callable[..., Any])


class SceneCommand(click.Command):
    """A command on a scene: says what is wrong with it, in words or as JSON, and ends with the code for it."""

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except SceneError as error:
            _report(error, ctx)
        except OutputError as error:
            _report_output(error, ctx)
        except BrokenPipeError:  # click would end with 1, which means findings
            raise ReaderGone from None
        ctx.exit(2)


def scene_options(command: F) -> F:
    """The arguments and options of every command on a scene."""
    for option in (
        click.option("--json", "as_json", is_flag=True, help="Print one JSON document instead of tables."),
        click.option("--scheme", metavar="NAME", help="A scheme of the scene; without it, the scene as it stands."),
        click.argument("scene", type=click.Path(path_type=Path)),
    ):
        command = option(command)
    return command


def date_option(command: F) -> F:
    return click.option("--date", "on", type=click.DateTime(["%Y-%m-%d"]), help="Date to print; today without it.")(
        command
    )


def force_option(command: F) -> F:
    return click.option("--force", is_flag=True, help="Replace files that exist.")(command)


def size_option(command: F) -> F:
    return click.option(
        "--size",
        metavar="WxH",
        default="1400x1000",
        show_default=True,
        callback=_read_size,
        help="Width and height in pixels.",
    )(command)


def picture_options(command: F) -> F:
    """The options of every command that makes pictures."""
    for option in (
        date_option,
        force_option,
        size_option,
        click.option("--speaker", "names", metavar="NAME", multiple=True, help="Only this speaker; may be repeated."),
    ):
        command = option(command)
    return command


def chosen_speakers(scene: Scene, names: Sequence[str], path: Path) -> list[Speaker]:
    """The speakers with a verdict that were asked for, or all. Raises OutputError for unknown ones and for none."""
    known = {speaker.name: speaker for speaker in scene.judged}
    for name in names:
        if name not in known:
            raise OutputError(
                f"{path} has no speaker {name} with a coverage angle; it has {', '.join(known) or 'none'}"
            )
    if not known:
        raise OutputError(f"{path} has no speakers with a coverage angle; add some under speakers:")
    return [known[name] for name in dict.fromkeys(names)] if names else list(known.values())


def end(findings: Sequence[Finding]) -> None:
    """Ends the command with the exit code that its findings ask for."""
    click.get_current_context().exit(1 if any(finding.severity == "error" for finding in findings) else 0)


def stem_of(path: Path, scheme: str | None) -> str:
    """What files made from a scene are called by themselves: its file's name and the scheme's."""
    return "-".join(part for part in (path.stem, file_name(scheme) if scheme and scheme != "base" else "") if part)


def printed_date(on: Any) -> str:
    return (on.date() if on else date.today()).isoformat()


def _read_size(ctx: click.Context, parameter: click.Parameter, value: str) -> tuple[int, int]:
    width, _, height = value.lower().partition("x")
    if not (_number(width) and _number(height) and 400 <= int(width) <= 8000 and 300 <= int(height) <= 8000):
        raise click.BadParameter(f"{value} must be WIDTHxHEIGHT in pixels, from 400x300 to 8000x8000")
    return int(width), int(height)


def _number(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) < 6


def _report(error: SceneError, ctx: click.Context) -> None:
    if ctx.params.get("as_json"):
        print_json_error(error.message, error.mark.file, error.mark.line, error.mark.column)
        return
    for problem in (error, *error.others):
        click.echo(str(problem), err=True)


def _report_output(error: OutputError, ctx: click.Context) -> None:
    if ctx.params.get("as_json"):
        print_json_error(str(error), str(ctx.params.get("scene")))
    else:
        click.echo(str(error), err=True)
