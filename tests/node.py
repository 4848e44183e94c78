"""Where the tests find node and its packages; they are skipped, with the reason, where these are missing."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

NODE = shutil.which("node") or ""
FOLDER = Path(os.environ.get("EARSHED_NODE_MODULES") or Path(__file__).resolve().parents[1] / ".ci/node/node_modules")


def modules(*names: str) -> Path:
    """The folder that holds these packages."""
    if not NODE:
        pytest.skip("no node here")
    for name in names:
        if not (FOLDER / name).is_dir():
            pytest.skip(f"no node package {name} in {FOLDER}: npm ci --prefix .ci/node")
    return FOLDER
