"""The three.js that is shipped is the one that `.ci/node/package.json` asks for, with its license."""

from __future__ import annotations

import json
import re
import subprocess
from pathlib import Path

import pytest

from tests.node import NODE, modules

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = json.loads((ROOT / ".ci" / "node" / "package.json").read_text(encoding="utf-8"))
LOCK = json.loads((ROOT / ".ci" / "node" / "package-lock.json").read_text(encoding="utf-8"))
BUNDLE = ROOT / "viewer" / "pages" / "three.js"
TEXT = BUNDLE.read_text(encoding="utf-8")
AGAIN = "run .ci/bundle"


def test_the_bundle_names_its_version_and_its_license() -> None:
    version = PACKAGE["dependencies"]["three"]
    assert TEXT.startswith(f"/*! three.js {version}\n"), AGAIN
    assert "The MIT License" in TEXT[:500]
    assert "THE SOFTWARE IS PROVIDED" in TEXT[:2000]
    release = version.split(".")[1]
    assert re.search(rf'revision:\s*\w+|"{release}"', TEXT)
    assert f'"{release}"' in TEXT, AGAIN


def test_versions_are_exact_and_the_lock_names_no_host() -> None:
    asked = {**PACKAGE["dependencies"], **PACKAGE["devDependencies"]}
    assert all(re.fullmatch(r"[0-9][0-9a-z.-]+", version) for version in asked.values())
    for name, version in asked.items():
        assert LOCK["packages"][f"node_modules/{name}"]["version"] == version
    assert not any("resolved" in package for package in LOCK["packages"].values())
    assert "://" not in json.dumps({name: {**kept, "funding": None} for name, kept in LOCK["packages"].items()})


def test_the_program_takes_only_what_is_bundled() -> None:
    program = (ROOT / "viewer" / "pages" / "stage.js").read_text(encoding="utf-8")
    entry = (ROOT / ".ci" / "node" / "three.js").read_text(encoding="utf-8")
    assert set(re.findall(r"\bT\.(\w+)", program)) <= set(re.findall(r"\b[A-Z]\w+\b", entry))


def test_the_bundle_is_what_its_sources_give(tmp_path: Path) -> None:
    folder = modules("three", "esbuild")
    assert folder == ROOT / ".ci" / "node" / "node_modules"
    made = tmp_path / "three.js"
    script = ROOT / ".ci" / "node" / "bundle.mjs"
    done = subprocess.run([NODE, script, made], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert made.read_bytes() == BUNDLE.read_bytes(), AGAIN


@pytest.mark.parametrize("name", ["names.js", "stage.js", "room_view.js", "page.css", "room_view.css"])
def test_our_own_files_are_plain_text(name: str) -> None:
    """No carriage returns: the hash of a script would not survive an editor that adds or takes them."""
    assert b"\r" not in (ROOT / "viewer" / "pages" / name).read_bytes()
