"""Puts what a name stands for in its place: fixture types under their fixtures, sizes for the names of members."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from earshed.model.scene_file.messages import named
from earshed.model.scene_file.places import catalog_hint, suggest
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.schemes import changed
from earshed.model.scene_file.tree import Entry, Items, Node, Table, Text


def look_up(scene: Table) -> Table:
    """A scene's tree with every named fixture type and member written out. Raises SceneError for unknown types.

    What is of no form to be looked into is left for the schema to refuse.
    """

    def fixture(index: int, node: Table) -> Table:
        return _fixture(node, scene, named(scene, ("fixtures", index)))

    def run(_: int, node: Table) -> Table:
        return _with_size(node, entries_of(scene, "members"))

    return _each(_each(scene, "fixtures", fixture), "framing", run)


def entries_of(scene: Table, section: str) -> dict[str, Entry]:
    """What a section holds by name; nothing where it is not there or is no table."""
    node = scene.get(section)
    return node.entries if isinstance(node, Table) else {}


def _each(scene: Table, section: str, change: Callable[[int, Table], Table]) -> Table:
    """The scene with a change made to every table in a list."""
    entry = scene.entries.get(section)
    if entry is None or not isinstance(entry.node, Items):
        return scene
    nodes: tuple[Node, ...] = tuple(
        change(index, node) if isinstance(node, Table) else node for index, node in enumerate(entry.node.nodes)
    )
    return replace(scene, entries={**scene.entries, section: Entry(entry.mark, replace(entry.node, nodes=nodes))})


def _fixture(fixture: Table, scene: Table, called: str) -> Table:
    """A fixture over the type that it names: its own keys win, and leave no room for others as a change does."""
    said = fixture.get("type")
    if said is None:
        return fixture
    types = entries_of(scene, "fixture_types")
    if not isinstance(said, Text) or not said.value:
        raise SceneError(f"{called}, type: must be the name of a fixture type", said.mark)
    if said.value not in types:
        catalogs = scene.get("catalogs")
        hint = catalog_hint(catalogs.nodes if isinstance(catalogs, Items) else ())
        words = f"there is no fixture type called {said.value[:60]}{suggest(said.value, types)}{hint}"
        raise SceneError(f"{called}, type: {words}", said.mark)
    own = {key: entry for key, entry in fixture.entries.items() if key != "type"}
    template = types[said.value].node
    mine, its = fixture.get("kind"), template.get("kind") if isinstance(template, Table) else None
    if isinstance(mine, Text) and isinstance(its, Text) and mine.value != its.value:
        words = f"{said.value} is a {its.value}, not a {mine.value[:60]}; leave kind out"
        raise SceneError(f"{called}, kind: {words}", mine.mark)
    return changed(template, Table(own, fixture.mark))


def _with_size(run: Table, members: dict[str, Entry]) -> Table:
    """A run of framing with its member's size in place of the name of one."""
    entry = run.entries.get("member")
    if entry is None or not isinstance(entry.node, Text) or entry.node.value not in members:
        return run
    return replace(run, entries={**run.entries, "member": Entry(entry.mark, members[entry.node.value].node)})
