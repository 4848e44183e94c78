"""The server of the live room: the page and its files, and the line to each page that is open."""

from __future__ import annotations

import mimetypes
from collections.abc import Awaitable, Callable
from importlib.resources import files
from pathlib import Path
from socket import AF_INET, SO_REUSEADDR, SOCK_STREAM, SOL_SOCKET, socket

from aiohttp import WSMsgType, web

from earshed.viewer.live.guard import HOST, Guard
from earshed.viewer.live.host import Host
from earshed.viewer.output import OutputError
from earshed.viewer.pages.assets import text_of

LARGEST_MESSAGE = 64_000
OF_PAGES = ("three.js", "names.js", "stage.js")
"""Files of other pages that this one takes too."""
SCRIPTS = ("live", "link", "made", "room", "table", "chosen", "picture", "saving", "start")
OWN = ("live.css", *(f"{name}.js" for name in SCRIPTS))
GUARD = web.AppKey("guard", Guard)
HOST_KEY = web.AppKey("host", Host)
Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


def listening(port: int) -> socket:
    """A socket that listens on this machine alone; on a port that is free where 0 is asked for. Raises OutputError."""
    found = socket(AF_INET, SOCK_STREAM)
    try:
        found.setsockopt(SOL_SOCKET, SO_REUSEADDR, 1)
        found.bind((HOST, port))
        found.listen(16)
    except OSError as error:
        found.close()
        words = f"port {port} cannot be listened on: {error.strerror or error}"
        raise OutputError(f"{words}; choose another with --port, or leave --port out") from None
    return found


def application(guard: Guard, host: Host) -> web.Application:
    """All that is served, behind the guard."""
    app = web.Application(middlewares=[_guarded], client_max_size=LARGEST_MESSAGE)
    app[GUARD], app[HOST_KEY] = guard, host
    app.router.add_get("/{key}/", _page)
    app.router.add_get("/{key}/files/{name}", _file)
    app.router.add_get("/{key}/line", _line)
    app.on_startup.append(lambda app: app[HOST_KEY].start())
    app.on_shutdown.append(lambda app: app[HOST_KEY].stop())
    return app


@web.middleware
async def _guarded(request: web.Request, handler: Handler) -> web.StreamResponse:
    """Lets nothing out to whoever may not come in, not even that something is here."""
    guard = request.app[GUARD]
    asked = request.match_info.get("key", "")
    if not (guard.lets_in(request.headers.get("Host"), request.headers.get("Origin")) and guard.knows(asked)):
        return web.Response(status=404)
    response = await handler(request)
    if not response.prepared:
        response.headers.update(
            {
                "Content-Security-Policy": guard.policy,
                "Cache-Control": "no-store",
                "Referrer-Policy": "no-referrer",
                "X-Content-Type-Options": "nosniff",
                "Cross-Origin-Opener-Policy": "same-origin",
                "Cross-Origin-Resource-Policy": "same-origin",
            }
        )
    return response


async def _page(request: web.Request) -> web.Response:
    return web.Response(text=_own("live.html"), content_type="text/html")


async def _file(request: web.Request) -> web.Response:
    name = request.match_info["name"]
    kind = mimetypes.types_map.get(Path(name).suffix, "text/plain")
    kind = "text/javascript" if name.endswith(".js") else kind
    if name in OF_PAGES:
        return web.Response(text=text_of(name), content_type=kind)
    if name in OWN:
        return web.Response(text=_own(name), content_type=kind)
    raise web.HTTPNotFound


async def _line(request: web.Request) -> web.WebSocketResponse:
    """The line to one page, for as long as it is open."""
    line = web.WebSocketResponse(heartbeat=20, max_msg_size=LARGEST_MESSAGE)
    await line.prepare(request)
    host = request.app[HOST_KEY]
    talk = await host.join(line)
    try:
        async for message in line:
            if message.type == WSMsgType.TEXT:
                await host.hear(talk, message.data)
    finally:
        host.leave(talk)
    return line


def _own(name: str) -> str:
    return (files("earshed.viewer.live") / "page" / name).read_text(encoding="utf-8")
