"""earshed check: tables and findings."""

from __future__ import annotations

import importlib
from collections.abc import Callable
from pathlib import Path

import click

from earshed.model.tolerance import Tolerance
from earshed.model.units import MeasureError, parse_angle, parse_length
from earshed.viewer.checking import Question, check
from earshed.viewer.output import OutputError, print_json
from earshed.viewer.session import SceneCommand, end, scene_options, stem_of


def _measure(parse: Callable[[str], float]) -> Callable[[click.Context, click.Parameter, str | None], float | None]:
    """Reads an option as scene files write its value. Raises BadParameter, in the words of the scene's reader."""

    def read(ctx: click.Context, parameter: click.Parameter, text: str | None) -> float | None:
        try:
            value = None if text is None else parse(text)
        except MeasureError as error:
            raise click.BadParameter(str(error)) from None
        if value is not None and value < 0:
            raise click.BadParameter(f"{text} is less than nothing")
        return value

    return read


@click.command("check", cls=SceneCommand)
@scene_options
@click.option("--against", metavar="NAME", help="Say what changed against this scheme of the scene, or base.")
@click.option(
    "--tolerance",
    "length",
    metavar="LENGTH",
    callback=_measure(parse_length),
    help="Say which verdicts could flip where speakers sit as far as this off their places.",
)
@click.option(
    "--angle",
    metavar="ANGLE",
    callback=_measure(parse_angle),
    help="The same for axes that point as far as this from where they should.",
)
@click.option("--watch", "watching", is_flag=True, help="Do it again at every save, with a picture; Ctrl-C ends it.")
@click.option(
    "--picture",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="With --watch: file for the picture.  [default: SCENE-SCHEME-watch.png]",
)
@click.option("--force", is_flag=True, help="With --watch: replace a picture that was there before.")
def command(
    scene: Path,
    scheme: str | None,
    as_json: bool,
    against: str | None,
    length: float | None,
    angle: float | None,
    watching: bool,
    picture: Path | None,
    force: bool,
) -> None:
    """Print what each seat gets from each speaker, and what cannot be built as drawn.

    A scheme that builds on another is held against it: what changed, and whether each verdict still holds.
    Ends with 1 where something cannot be built, 2 where the scene cannot be read.
    """
    if watching and as_json:
        raise OutputError("--watch prints again and again, and --json is one document; leave one of them out")
    if (picture or force) and not watching:
        raise OutputError("--picture and --force go with --watch")
    tolerance = None if length is None and angle is None else Tolerance(length or 0.0, angle or 0.0)
    question = Question(scheme, against, tolerance)
    if watching:
        watch = importlib.import_module("earshed.viewer.watch").watch  # what draws maps, needed for this alone
        watch(scene, question, picture or Path(f"{stem_of(scene, scheme)}-watch.png"), force=force)
    answer = check(scene, question)
    if as_json:
        print_json(answer.document)
    else:
        answer.print()
    end(answer.findings)
