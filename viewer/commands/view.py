"""earshed view: the live room in a browser of this machine, where things are moved, turned and aimed."""

from __future__ import annotations

import contextlib
import webbrowser
from pathlib import Path
from threading import Thread

import click
from aiohttp import web

from earshed.viewer.live.desk import Desk
from earshed.viewer.live.guard import Guard
from earshed.viewer.live.host import Host
from earshed.viewer.live.server import application, listening
from earshed.viewer.output import print_json
from earshed.viewer.session import SceneCommand


@click.command("view", cls=SceneCommand)
@click.argument("scene", required=False, type=click.Path(path_type=Path))
@click.option("--scheme", metavar="NAME", help="A scheme of the scene; without it, the scene as it stands.")
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    metavar="NUMBER",
    default=0,
    help="Port to serve on.  [default: one that is free]",
)
@click.option("--no-browser", is_flag=True, help="Only print the address; open it yourself.")
@click.option("--json", "as_json", is_flag=True, help="Print the address as one JSON document.")
def command(scene: Path | None, scheme: str | None, port: int, no_browser: bool, as_json: bool) -> None:
    """Open SCENE in the browser: move, tilt and turn speakers, and see at once what every seat gets.

    Everything stays on this machine. The file that is opened is never written over: changes are saved to a new one.
    Without SCENE one begins with a scene that comes along, or with a first room of one's own.
    """
    if scene is None and scheme is not None:
        raise click.UsageError("--scheme goes with a scene")
    desk = None if scene is None else Desk.open(scene, scheme)
    found = listening(port)
    guard = Guard(found.getsockname()[1])
    host = Host(Path.cwd(), desk)
    if as_json:
        print_json({"scene": desk.answer.scene.title if desk else None, "address": guard.address, "port": guard.port})
    else:
        click.echo(f"The room is at {guard.address}\nIt is for this machine alone; Ctrl-C ends it.")
    if not no_browser:  # beside the server, since some browsers are waited for until they end
        Thread(target=open_browser, args=(guard.address,), daemon=True).start()
    with contextlib.suppress(KeyboardInterrupt):
        web.run_app(application(guard, host), sock=found, print=None, access_log=None, handle_signals=True)


def open_browser(address: str) -> None:
    """Opens the address, or says that it is to be opened by hand."""
    with contextlib.suppress(webbrowser.Error):
        if webbrowser.open(address):
            return
    click.echo("No browser could be opened here: open the address in one yourself.", err=True)
