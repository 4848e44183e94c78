"""Who is let in to the live room: this machine, this run's key, and pages that it gave out itself."""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
import webbrowser
from http.client import HTTPConnection
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from earshed.viewer.commands.view import command as view
from earshed.viewer.commands.view import open_browser
from earshed.viewer.live.guard import Guard
from tests.live_rooms import live_room
from tests.live_server import Served, served

GUARD = Guard(8123)


def test_every_run_has_a_key_of_its_own_that_cannot_be_guessed() -> None:
    keys = {Guard(1).key for _ in range(50)}
    assert len(keys) == 50
    assert all(len(key) >= 32 for key in keys)


@given(st.text(max_size=60))
def test_only_its_own_key_is_known(key: str) -> None:
    assert GUARD.knows(key) == (key == GUARD.key)


@pytest.mark.parametrize(
    "host",
    [None, "", "localhost:8123", "example.org:8123", "127.0.0.1", "127.0.0.1:8124", "127.0.0.1.example.org:8123"],
)
def test_a_name_that_leads_here_from_elsewhere_is_refused(host: str | None) -> None:
    """A site whose name is made to lead to this machine still sends its own name as Host (DNS rebinding)."""
    assert not GUARD.lets_in(host, None)


@pytest.mark.parametrize(
    "origin", ["null", "http://example.org", "https://127.0.0.1:8123", "http://127.0.0.1:8124", "file://"]
)
def test_another_sites_page_is_refused(origin: str) -> None:
    assert GUARD.lets_in("127.0.0.1:8123", None)
    assert GUARD.lets_in("127.0.0.1:8123", GUARD.origin)
    assert not GUARD.lets_in("127.0.0.1:8123", origin)


def ask(port: int, path: str, **headers: str) -> tuple[int, bytes, dict[str, str]]:
    """What the server answers: its status, its body, and its headers."""
    line = HTTPConnection("127.0.0.1", port, timeout=20)
    try:
        line.request("GET", path, headers={"Host": f"127.0.0.1:{port}", **headers})
        answer = line.getresponse()
        return answer.status, answer.read(), dict(answer.getheaders())
    finally:
        line.close()


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> object:
    folder = tmp_path_factory.mktemp("guarded")
    live_room(folder)
    with served(folder, "loft.yaml") as running:
        yield running


JOIN = {
    "Upgrade": "websocket",
    "Connection": "Upgrade",
    "Sec-WebSocket-Version": "13",
    "Sec-WebSocket-Key": "dGhlIHNhbXBsZSBub25jZQ==",
}


def test_without_the_key_nothing_shows(server: Served) -> None:
    key = server.address.rstrip("/").rsplit("/", 1)[1]
    for path in (
        "/",
        "/line",
        "/files/live.js",
        f"/{key[:-1]}/",
        f"/{key}x/",
        "/wrong/line",
        f"/{key}/files/../live.html",
    ):
        status, body, _ = ask(server.port, path)
        assert status == 404, path
        assert key.encode() not in body
        assert b"arshed" not in body


def test_with_it_the_page_comes_with_its_policy(server: Served) -> None:
    path = server.address.split(str(server.port), 1)[1]
    status, body, headers = ask(server.port, path)
    assert status == 200
    assert b"files/live.js" in body
    assert "default-src 'none'" in headers["Content-Security-Policy"]
    assert "frame-ancestors 'none'" in headers["Content-Security-Policy"]
    assert headers["Cache-Control"] == "no-store"
    assert headers["Referrer-Policy"] == "no-referrer"


def test_a_foreign_page_and_a_foreign_name_get_no_line(server: Served) -> None:
    path = server.address.split(str(server.port), 1)[1] + "line"
    assert ask(server.port, path, **JOIN, Origin="http://example.org")[0] == 404
    assert ask(server.port, path, **{**JOIN, "Host": f"example.org:{server.port}"})[0] == 404
    assert ask(server.port, path, **{**JOIN, "Host": f"localhost:{server.port}"})[0] == 404


def test_no_other_machine_reaches_it(server: Served) -> None:
    """It listens on the loopback address alone."""
    listening = Path("/proc/net/tcp")
    if not listening.exists():
        pytest.skip("no /proc/net/tcp here to read what is listened on from")
    ports = [line.split()[1] for line in listening.read_text().splitlines()[1:] if line.split()[3] == "0A"]
    assert [place for place in ports if place.endswith(f":{server.port:04X}")] == [f"0100007F:{server.port:04X}"]


def test_a_port_in_use_is_told_in_a_line(server: Served, tmp_path: Path) -> None:
    live_room(tmp_path)
    done = CliRunner().invoke(view, [str(tmp_path / "loft.yaml"), "--no-browser", "--port", str(server.port)])
    assert done.exit_code == 2
    assert f"port {server.port} cannot be listened on" in done.stderr
    assert "--port" in done.stderr


def test_without_a_browser_it_says_what_to_open(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(webbrowser, "open", lambda address: False)
    open_browser("http://127.0.0.1:1/key/")
    assert "open the address in one yourself" in capsys.readouterr().err


def test_ctrl_c_ends_it_and_frees_the_port(tmp_path: Path) -> None:
    live_room(tmp_path)
    with served(tmp_path, "loft.yaml") as running:
        assert running.stop() in (0, 130)
        with socket.socket() as again:
            again.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            again.bind(("127.0.0.1", running.port))


def test_the_address_for_other_programs(tmp_path: Path, server: Served) -> None:
    live_room(tmp_path)
    line = [sys.executable, "-m", "earshed.viewer.cli", "view", "loft.yaml", "--no-browser", "--json"]
    environment = {**os.environ, "EARSHED_STATE": str(tmp_path / "state")}
    with subprocess.Popen(line, cwd=tmp_path, env=environment, stdout=subprocess.PIPE, text=True) as running:
        assert running.stdout is not None
        text = "".join(iter(running.stdout.readline, "}\n")) + "}"
        told = json.loads(text)
        assert ask(told["port"], told["address"].split(str(told["port"]), 1)[1])[0] == 200
        running.kill()
    assert (told["format"], told["scene"]) == (1, "Loft")
    done = subprocess.run(
        [*line, "--port", str(server.port)], cwd=tmp_path, env=environment, capture_output=True, text=True, check=False
    )
    assert done.returncode == 2
    assert f"port {server.port}" in json.loads(done.stdout)["error"]["message"]
