"""The files that `earshed compare` writes: a page, or a folder of pictures with the page in it."""

from __future__ import annotations

import importlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from earshed.model.compare.maps import MapChange
from earshed.model.compare.signals import Signal
from earshed.viewer.collecting import free_pages
from earshed.viewer.compare.asked import Compared
from earshed.viewer.compare.plan_views import set_views, signal_views, worst_view
from earshed.viewer.compare.side_by_side import SIGNS, Foot, change_sheet, pair_sheet
from earshed.viewer.compare.views import Difference, ViewPair
from earshed.viewer.gl import trying_gl
from earshed.viewer.output import OutputError, file_names, make_folder, refuse_existing, write_bytes
from earshed.viewer.pages.compare_page import compare_page

PAGE = "compare.html"
PAGES = (".html", ".htm")


@dataclass(frozen=True)
class Wanted:
    """Where files go, a page or a folder, and how: the size of pictures, the date, and whether to replace."""

    out: Path
    size: tuple[int, int]
    date: str
    force: bool

    @property
    def is_page(self) -> bool:
        return self.out.suffix.lower() in PAGES


@dataclass(frozen=True, eq=False)
class Drawn:
    """All pictures of two scenes, the last for a folder alone; `no_rooms` says why there are no views of the rooms."""

    rooms: Sequence[ViewPair]
    plans: Sequence[tuple[ViewPair, Sequence[Difference]]]
    worst: Sequence[Difference]
    no_rooms: str = ""


def need_place(wanted: Wanted) -> None:
    """Raises OutputError for a file that is neither a page nor a folder, and for a page that is there already."""
    if wanted.out.suffix and not wanted.is_page and not wanted.out.is_dir():
        raise OutputError(f"{wanted.out}: a page is written as .html; without an ending it is a folder for pictures")
    refuse_existing([wanted.out if wanted.is_page else wanted.out / PAGE], force=wanted.force)


def draw_all(found: Compared, maps: MapChange, advance: Callable[[], object]) -> Drawn:
    """Every picture of a comparison; `advance` is called as parts are done."""
    with trying_gl() as require_gl:
        return _drawn(found, maps, advance, require_gl)


def _drawn(found: Compared, maps: MapChange, advance: Callable[[], object], require_gl: Callable[[], object]) -> Drawn:
    change = found.change
    plans: list[tuple[ViewPair, Sequence[Difference]]] = []
    both, more = set_views(change, maps)
    plans.append((both, [more]))
    advance()
    shared = [signal for signal in change.changed if signal.in_both]
    for signal, name in zip(shared, _names(shared), strict=True):
        view, changed = signal_views(change, maps, signal, name)
        plans.append((view, [changed]))
        advance()
        free_pages()
    worst = [worst_view(change, maps)] if maps.signals else []
    try:
        require_gl()
    except OutputError as error:
        return Drawn([], plans, worst, f"Views of the room are left out: {error}.")
    rooms = importlib.import_module("earshed.viewer.compare.room_views").room_views(change)  # what needs OpenGL
    advance()
    return Drawn(rooms, plans, worst)


def write_files(found: Compared, drawn: Drawn, wanted: Wanted, areas: str) -> list[Path]:
    """Writes the page, or the pictures and the page; gives their paths. Raises OutputError."""
    page = compare_page(found, drawn.rooms, drawn.plans, wanted.date, areas, drawn.no_rooms)
    if wanted.is_page:
        make_folder(wanted.out.parent)
        write_bytes(wanted.out, page)
        return [wanted.out]
    foot = Foot(found.title, found.before.label, found.after.label, wanted.date)
    pairs = {f"{view.name}.png": view for view in (*drawn.rooms, *(view for view, _ in drawn.plans))}
    changes = {f"{one.name}.png": one for one in (*(one for _, more in drawn.plans for one in more), *drawn.worst)}
    refuse_existing([wanted.out / name for name in (PAGE, *pairs, *changes)], force=wanted.force)
    make_folder(wanted.out)
    write_bytes(wanted.out / PAGE, page)
    for name, view in pairs.items():
        signs = "" if view in drawn.rooms else SIGNS
        write_bytes(wanted.out / name, pair_sheet(view, foot, wanted.size, signs))
    for name, one in changes.items():
        write_bytes(wanted.out / name, change_sheet(one, foot, wanted.size))
    return [wanted.out / name for name in (PAGE, *pairs, *changes)]


def _names(signals: Sequence[Signal]) -> list[str]:
    """A name for each of some signals that is fit for a file, no two alike."""
    called = [one.called for one in signals]
    told = [name if called.count(name) == 1 else f"{name} {number}" for number, name in enumerate(called)]
    stems = file_names(told)
    return [f"speaker-{stems[name]}" for name in told]
