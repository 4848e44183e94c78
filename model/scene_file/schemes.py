"""Schemes: named sets of changes, laid over the scene before it is read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from difflib import get_close_matches

from earshed.model.scene_file.fields import unknown_key
from earshed.model.scene_file.problem import Mark, SceneError
from earshed.model.scene_file.schema_places import FROM_END, FROM_SIDE
from earshed.model.scene_file.tree import Entry, Items, Node, Table, Text

BY_NAME_IN_LISTS = (
    "framing", "keep_outs", "existing_holes", "fixtures", "openings", "seats", "risers", "speakers",
)  # fmt: skip
BY_KEY = ("datums", "speaker_types", "fixture_types", "members", "cavities", "materials", "surfaces")
BARE_VALUES = ("members", "surfaces")
"""Of these, those that hold values by name and not tables."""
SINGLE = ("room", "screen", "listening_plane", "clearances", "wiring", "letterhead")
BY_NAME_WITHIN = {"wiring": ("cables", "access", "spares", "links", "routes", "use")}
"""By section, its keys that hold things by name, of which a change names some."""
FROM_DATUM = ("datum", "right", "back")
_TAPED = (*FROM_SIDE, *FROM_END, *FROM_DATUM, "along")
_CENTERED = tuple(f"center_{key}" for key in (*FROM_SIDE, *FROM_END, "along"))
_INSTEAD = (
    (FROM_SIDE, (*FROM_SIDE, *FROM_DATUM, "along", "at")),
    (FROM_END, (*FROM_END, *FROM_DATUM, "along", "at")),
    (FROM_DATUM, (*FROM_SIDE, *FROM_END, "along", "at")),
    (("along", "at"), (*_TAPED, "at", "between")),
    (_CENTERED, _CENTERED),
    (("diagonal", "width"), ("diagonal",)),
    (("diagonal",), ("width",)),
    (("between",), ("runs", *_CENTERED, "spacing", "count", *_TAPED, "at", "diameter", "length")),
    (("runs",), ("between", *_CENTERED)),
    (("diameter",), ("width", "length", "size", "between")),
    (("length",), ("between",)),
    (("first_center",), ("first_edge",)),
    (("first_edge",), ("first_center",)),
    (("size",), ("diameter",)),
    (("ends_at",), (*_TAPED, "at", "wall", "height", "surface")),
    (("at", "wall"), ("ends_at",)),
    (("outline",), ("width", "length", "walk", "diagonals")),
    (("width", "length"), ("outline", "diameter", "walk", "diagonals")),
    (("walk",), ("width", "length", "outline")),
)
"""Keys that, given in a change, leave no room for others of the thing as it was."""
_MOVED = (*_TAPED, *_CENTERED)
"""Distances that mean nothing on another wall."""
_OF_NEW = {
    "framing": ("member",), "keep_outs": ("kind",), "existing_holes": ("cutout",), "fixtures": ("kind", "type"),
    "openings": ("wall",), "seats": ("ear_height",),
    "risers": ("width",), "speakers": ("type",),
}  # fmt: skip
"""By section, keys that no new thing can do without."""
SECTIONS = (*SINGLE, *BY_KEY, *BY_NAME_IN_LISTS)
OF_SCHEME = (*SECTIONS, "remove", "builds_on")
"""What a scheme may say."""


def scheme_names(tree: Table) -> tuple[str, ...]:
    """The schemes of a scene, in file order. Raises SceneError where `schemes` is no table, or one is called base."""
    node = tree.get("schemes")
    if node is None:
        return ()
    schemes = _table(node, "schemes maps names to changes, as in {as found: {speakers: {...}}}")
    for name, entry in schemes.entries.items():
        if name.strip() in ("", "base"):
            raise SceneError("a scheme needs a name, and not base, which is the scene without a scheme", entry.mark)
    return tuple(schemes.entries)


def without_schemes(tree: Table) -> Table:
    return replace(tree, entries={key: entry for key, entry in tree.entries.items() if key != "schemes"})


def apply_scheme(tree: Table, name: str) -> Table:
    """The scene's tree with one scheme's changes made, over those of the schemes that it builds on.

    Raises SceneError for changes that are not of that form.
    """
    laid = without_schemes(tree)
    for one in reversed(_built_on(tree, name)):
        laid = apply_changes(laid, _scheme(tree, one), f'scheme "{one}"')
    return laid


def base_of(tree: Table, name: str) -> str | None:
    """The scheme, or base, that a scheme says it builds on; None where it says none. Raises SceneError."""
    said = _scheme(tree, name).get("builds_on")
    if said is None:
        return None
    source, names = f'scheme "{name}", builds_on', scheme_names(tree)
    if not isinstance(said, Text):
        raise SceneError(f"{source}: needs the name of one scheme, or base", said.mark)
    if said.value == name:
        raise SceneError(f"{source}: a scheme cannot build on itself; name another, or base", said.mark)
    if said.value not in ("base", *names):
        unknown = unknown_scheme(said.value[:60], names, said.mark)
        raise SceneError(f"{source}: {unknown.words}", said.mark)
    return said.value


def _built_on(tree: Table, name: str) -> list[str]:
    """A scheme and those under it, the lowest last. Raises SceneError where they build on one another in a circle."""
    chain = [name]
    while (below := base_of(tree, chain[-1])) not in (None, "base"):
        assert below is not None
        if below in chain:
            circle = " on ".join([*chain[chain.index(below) :], below])
            words = f"builds_on: goes in a circle, {circle}; one of them must build on none of the others"
            said = _scheme(tree, chain[-1]).entries["builds_on"].node
            raise SceneError(f'scheme "{chain[-1]}", {words}', said.mark)
        chain.append(below)
    return chain


def _scheme(tree: Table, name: str) -> Table:
    schemes = tree.get("schemes")
    assert isinstance(schemes, Table)
    empty = f'scheme "{name}" must map sections to changes; where there are none yet, write {{}}'
    return _table(schemes.entries[name].node, empty)


def apply_changes(tree: Table, changes: Table, source: str) -> Table:
    """A scene's tree with changes made to its sections; `source` says in messages whose they are. Raises SceneError."""
    sections = dict(tree.entries)
    for key, entry in changes.entries.items():
        if key in ("remove", "builds_on"):
            continue
        if key == "catalogs":
            raise SceneError(f"{source}: catalogs are named at the top of a scene, for all its schemes", entry.mark)
        if key not in SECTIONS:
            raise SceneError(f"{source}: {unknown_key(key, [*OF_SCHEME])}", entry.mark)
        sections[key] = Entry(entry.mark, _changed_section(key, sections.get(key), entry.node, source))
    for removed in _removals(changes, source):
        _take_out(sections, removed, source)
    return replace(tree, entries=sections)


def _changed_section(section: str, before: Entry | None, changes: Node, source: str) -> Node:
    if section in SINGLE:
        keys = _table(changes, f"{source}, {section}: needs the keys that change")
        whole = before.node if before else None
        return changed(whole, _with_those_kept(whole, keys, BY_NAME_WITHIN.get(section, ()), source))
    table = _table(changes, f"{source}, {section}: maps names to changes, as in {{NAME: {{...}}}}")
    if section in BY_KEY:
        entries = dict(before.node.entries) if before and isinstance(before.node, Table) else {}
        for name, entry in table.entries.items():
            old = entries.get(name)
            node = entry.node
            if section not in BARE_VALUES:
                change = _table(node, f"{source}, {name}: needs the keys that change")
                node = change if section == "datums" else changed(old.node if old else None, change)
            entries[name] = Entry(entry.mark, node, borrowed=old is not None and old.borrowed)
        return Table(entries, table.mark)
    nodes = list(before.node.nodes) if before and isinstance(before.node, Items) else []
    places = {_name_of(node): index for index, node in enumerate(nodes)}
    for name, entry in table.entries.items():
        change = _table(entry.node, f"{source}, {name}: needs the keys that change")
        if name in places:
            nodes[places[name]] = changed(nodes[places[name]], change)
        else:
            _refuse_misspelt(section, name, entry.mark, change, [place for place in places if place], source)
            called = Entry(entry.mark, Text(name, entry.mark))
            nodes.append(Table({"name": called, **change.entries}, entry.mark))
    return Items(tuple(nodes), before.node.mark if before else table.mark)


def _with_those_kept(before: Node | None, changes: Table, keys: Sequence[str], source: str) -> Table:
    """Changes to a table in which some keys hold things by name: those that are not named stay as they were."""
    entries = dict(changes.entries)
    for key in keys:
        old = before.get(key) if isinstance(before, Table) else None
        if key in entries and isinstance(old, Table):
            table = _table(entries[key].node, f"{source}, {key}: maps names to changes, as in {{NAME: {{...}}}}")
            kept = dict(old.entries)
            for name, entry in table.entries.items():
                was = kept[name].node if name in kept else None
                node = changed(was, entry.node) if isinstance(entry.node, Table) else entry.node
                kept[name] = Entry(entry.mark, node)
            entries[key] = Entry(entries[key].mark, Table(kept, table.mark))
    return Table(entries, changes.mark)


def _refuse_misspelt(section: str, name: str, mark: Mark, change: Table, known: Sequence[str], source: str) -> None:
    """Raises SceneError for a name that nothing has, where what is said of it cannot be all of a new thing."""
    needed = _OF_NEW[section]
    if not any(key in change.entries for key in needed):
        near = get_close_matches(name, known, n=1)
        hint = f"; did you mean {near[0]}?" if near else ", and"
        new = f"a new one must be complete: it needs `{'` or `'.join(needed)}`"
        raise SceneError(f"{source}: nothing under {section} is called {name}{hint} {new}", mark)


def changed(before: Node | None, changes: Table) -> Table:
    """A table with some keys replaced, each whole; a distance from one side replaces one from the other."""
    kept = dict(before.entries) if isinstance(before, Table) else {}
    if "wall" in changes.entries and any(key in changes.entries for key in _MOVED):
        kept = {key: entry for key, entry in kept.items() if key not in _MOVED}
    for keys, instead in _INSTEAD:
        if any(key in changes.entries for key in keys):
            for key in instead:
                kept.pop(key, None)
    return Table({**kept, **changes.entries}, changes.mark)


def stacked(below: Table, above: Table, source: str) -> Table:
    """Two sets of changes as one: those above are made to the things of those below, or stand beside them.

    What is taken out is of neither. Raises SceneError for changes that are not of that form.
    """
    sections = dict(below.entries)
    for section, entry in above.entries.items():
        old = sections.get(section)
        if section in SINGLE:
            node = _changed_section(section, old, entry.node, source)
        else:
            things = _table(entry.node, f"{source}, {section}: maps names to changes, as in {{NAME: {{...}}}}")
            named = dict(old.node.entries) if old and isinstance(old.node, Table) else {}
            for name, thing in things.entries.items():
                was = named.get(name)
                whole = section in BARE_VALUES or section == "datums"
                node = thing.node
                if not whole:
                    change = _table(node, f"{source}, {name}: needs the keys that change")
                    node = changed(was.node if was else None, change)
                named[name] = Entry(thing.mark, node)
            node = Table(named, things.mark)
        sections[section] = Entry(entry.mark, node)
    return Table(sections, above.mark)


def _removals(changes: Table, source: str) -> list[Text]:
    node = changes.get("remove")
    if node is None:
        return []
    names = node.nodes if isinstance(node, Items) else (node,)
    for name in names:
        if not isinstance(name, Text):
            raise SceneError(f"{source}, remove: is a list of names", name.mark)
    return [name for name in names if isinstance(name, Text)]


def _take_out(sections: dict[str, Entry], removed: Text, source: str) -> None:
    """Takes out the scene's own thing of a name, with what is said of its run, or where it has none, what a catalog
    brought."""
    _without(sections, ("routes", "use"), removed.value)
    if _without(sections, ("cables", "spares", "links"), removed.value):
        return
    for key in BY_NAME_IN_LISTS:
        entry = sections.get(key)
        if entry and isinstance(entry.node, Items):
            kept = tuple(node for node in entry.node.nodes if _name_of(node) != removed.value)
            if len(kept) < len(entry.node.nodes):
                sections[key] = Entry(entry.mark, replace(entry.node, nodes=kept))
                return
    tables = [(key, entry, entry.node) for key in BY_KEY if (entry := sections.get(key))]
    found = [(k, e, n) for k, e, n in tables if isinstance(n, Table) and removed.value in n.entries]
    if not found:
        raise SceneError(f"{source}, remove: nothing is called {removed.value}", removed.mark)
    key, entry, table = min(found, key=lambda one: one[2].entries[removed.value].borrowed)
    entries = {name: value for name, value in table.entries.items() if name != removed.value}
    sections[key] = Entry(entry.mark, replace(table, entries=entries))


def _without(sections: dict[str, Entry], keys: Sequence[str], name: str) -> bool:
    """Takes a name out of what the wiring holds by name under some of its keys; whether it was there."""
    found = False
    for key in keys:
        entry = sections.get("wiring")
        held = entry.node.entries.get(key) if entry and isinstance(entry.node, Table) else None
        if entry and isinstance(entry.node, Table) and held and isinstance(held.node, Table):
            kept = {other: value for other, value in held.node.entries.items() if other != name}
            found |= len(kept) < len(held.node.entries)
            inner = Entry(held.mark, replace(held.node, entries=kept))
            sections["wiring"] = Entry(entry.mark, replace(entry.node, entries={**entry.node.entries, key: inner}))
    return found


def _name_of(node: Node) -> str | None:
    name = node.get("name") if isinstance(node, Table) else None
    return name.value if isinstance(name, Text) else None


def _table(node: Node, otherwise: str) -> Table:
    if not isinstance(node, Table):
        raise SceneError(otherwise, node.mark)
    return node


def unknown_scheme(name: str, names: tuple[str, ...], mark: Mark) -> SceneError:
    """What to say of a scheme that the scene does not have."""
    have = f"it has {', '.join(names)}" if names else "it has none"
    return SceneError(f'the scene has no scheme "{name}"; {have} (base is the scene as it stands)', mark)
