"""Where pages are filled in, and what every page with a room in it brings along: styles, three.js, and the program that
turns the room."""

from __future__ import annotations

import base64
import hashlib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from earshed.viewer.wording import undirected

SCRIPTS = ("three.js", "names.js", "stage.js", "room_view.js")
STYLES = ("page.css", "room_view.css")


@dataclass(frozen=True)
class Assets:
    """`style` and `scripts` go on a page once, however many rooms it shows. `policy` is its Content-Security-Policy:
    nothing is fetched, and nothing runs but these scripts."""

    style: Markup
    scripts: tuple[Markup, ...]
    policy: str


def assets(scripts: tuple[str, ...] = SCRIPTS, styles: tuple[str, ...] = STYLES, rules: tuple[str, ...] = ()) -> Assets:
    """Some files of the package, and rules that a page adds to its style; without a word those of a room to turn."""
    texts = [text_of(name) for name in scripts]
    style = Markup("\n".join([*map(text_of, styles), *rules]))
    return Assets(style, tuple(map(Markup, texts)), policy_of(*texts))


@cache
def templates() -> Environment:
    """Where pages are filled in; whatever is put in is escaped, and turns the direction of nothing beside it."""
    return Environment(
        loader=PackageLoader("earshed.viewer.pages"), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True, finalize=_finished,
    )  # fmt: skip


def _finished(value: object) -> object:
    return undirected(value) if isinstance(value, str) and not isinstance(value, Markup) else value


@cache
def text_of(name: str) -> str:
    """A file of the package."""
    return (files("earshed.viewer.pages") / name).read_text(encoding="utf-8")


def policy_of(*scripts: str) -> str:
    """The Content-Security-Policy of a page: nothing is fetched, and nothing runs but these scripts."""
    hashes = " ".join(f"'sha256-{_digest(script)}'" for script in scripts)
    shut = "default-src 'none'; base-uri 'none'; form-action 'none'"
    return f"{shut}; img-src data: blob:; style-src 'unsafe-inline'; script-src {hashes}"


def _digest(script: str) -> str:
    return base64.b64encode(hashlib.sha256(script.encode("utf-8")).digest()).decode("ascii")
