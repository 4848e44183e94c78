"""The code's own shape: imports one way and at the top, packages all named, files short, heavy libraries late."""

from __future__ import annotations

import ast
import json
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
LONGEST_FILE = 400
HEAVY = ("pyvista", "vtk", "trimesh", "matplotlib", "scipy", "trame", "sofar", "netCDF4")


def module_name(path):
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(("earshed", *(part for part in parts if part != "__init__")))


SOURCES = {
    module_name(path): path for top in ("model", "viewer", "scenes") for path in sorted((ROOT / top).rglob("*.py"))
}
TREES = {name: ast.parse(path.read_text(encoding="utf-8")) for name, path in SOURCES.items()}
PACKAGES = {name for name, path in SOURCES.items() if path.name == "__init__.py"}


def imported(name, node):
    """Names of everything an import statement of a module may load, most exact first."""
    if isinstance(node, ast.Import):
        return [alias.name for alias in node.names]
    base = node.module or ""
    if node.level:
        here = name.split(".") if name in PACKAGES else name.split(".")[:-1]
        base = ".".join([*here[: len(here) - node.level + 1], *([node.module] if node.module else [])])
    return [f"{base}.{alias.name}" if f"{base}.{alias.name}" in SOURCES else base for alias in node.names]


def imports(name):
    nodes = [node for node in ast.walk(TREES[name]) if isinstance(node, ast.Import | ast.ImportFrom)]
    return {target for node in nodes for target in imported(name, node)}


GRAPH = {name: {target for target in imports(name) if target in SOURCES} - {name} for name in SOURCES}


def test_the_walk_sees_the_code():
    assert {"earshed.model", "earshed.viewer", "earshed.scenes"} <= set(SOURCES)
    assert "earshed.model.units" in GRAPH["earshed.model.heading"]
    assert sum(len(targets) for targets in GRAPH.values()) > len(SOURCES)


def in_order():
    """Modules, each after what it imports: what imports nothing that is left is taken away; a circle cannot."""
    left = dict(GRAPH)
    while free := [name for name, targets in left.items() if not targets & left.keys()]:
        yield from free
        for name in free:
            del left[name]


def test_imports_make_no_circle():
    assert set(in_order()) == set(GRAPH)


@pytest.mark.parametrize("name", [name for name in SOURCES if name.startswith("earshed.model")])
def test_model_knows_no_viewer_and_no_drawing(name):
    others = {target.split(".")[1] for target in imports(name) if target.startswith("earshed.")}
    assert others <= {"model"}
    assert not {target.split(".")[0] for target in imports(name)} & set(HEAVY)


@pytest.mark.parametrize("name", [name for name in SOURCES if name.startswith("earshed.model")])
def test_only_the_scene_file_knows_its_format(name):
    """Editing writes keys, so it knows them, but neither how their text is read nor how they are checked."""
    if name.startswith("earshed.model.scene_file"):
        assert not any(target.startswith("earshed.model.editing") for target in imports(name))
        return
    assert not {target.split(".")[0] for target in imports(name)} & {"yaml", "pydantic"}
    if not name.startswith("earshed.model.editing"):
        assert not any(target.startswith("earshed.model.scene_file") for target in imports(name))


@pytest.mark.parametrize("name", [name for name in SOURCES if name.startswith("earshed.model")])
def test_model_imports_at_the_top_alone(name):
    top = {id(node) for node in TREES[name].body}
    hidden = [
        n.lineno for n in ast.walk(TREES[name]) if isinstance(n, ast.Import | ast.ImportFrom) and id(n) not in top
    ]
    assert hidden == []


@pytest.mark.parametrize("name", SOURCES)
def test_no_second_copy_under_a_bare_name(name):
    assert not {target.split(".")[0] for target in imports(name)} & {"model", "viewer", "scenes", "tests"}


def test_the_packages_are_all_named():
    """A sub-package left out of the list would silently be missing from the wheel."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert sorted(project["tool"]["setuptools"]["packages"]) == sorted(PACKAGES)


@pytest.mark.parametrize("path", [*SOURCES.values(), *sorted((ROOT / "tests").rglob("*.py"))], ids=lambda p: p.stem)
def test_files_stay_short(path):
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST_FILE


def run(code):
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT.anchor, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


ALONE = """
import importlib, json, sys
import earshed
loaded, needed, failed = {"earshed": earshed}, {}, {}

def in_reach(names):
    for name, module in loaded.items():
        package, _, last = name.rpartition(".")
        if name in names:
            sys.modules[name] = module
            setattr(loaded[package], last, module)
        elif package:
            sys.modules.pop(name, None)
            vars(loaded[package]).pop(last, None)

for name, asked in MODULES:
    above = [package for package in needed if name.startswith(package + ".")]
    needed[name] = {name}.union(*(needed[other] for other in [*asked, *above]))
    in_reach(needed[name])
    try:
        loaded[name] = importlib.import_module(name)
    except Exception as error:
        failed[name] = repr(error)
        break
print(json.dumps([failed, len(needed)]))
"""


def test_every_module_imports_alone():
    """Each one is loaded with no other module of ours in reach but what it asks for, so that none leans on who came
    first. What it asks for is loaded before it, and nothing twice, for that takes most of the time."""
    modules = [(name, sorted(GRAPH[name])) for name in in_order()]
    failed, loaded = json.loads(run(ALONE.replace("MODULES", repr(modules))).splitlines()[-1])
    assert failed == {}
    assert loaded == len(SOURCES)


def test_reading_a_scene_loads_no_drawing_library():
    code = "import sys, earshed.model.scene_file.read; print(*{name.split('.')[0] for name in sys.modules})"
    loaded = set(run(code).split())
    assert "earshed" in loaded
    assert not loaded & set(HEAVY)
