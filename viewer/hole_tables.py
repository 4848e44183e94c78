"""What `earshed place --keep-holes` tells of the holes that are there: types each takes, what stays flush, patches."""

from __future__ import annotations

from collections.abc import Sequence

from rich.table import Table
from rich.text import Text

from earshed.model.scene import Scene
from earshed.model.search.kept_holes import Kept, KeptHoles
from earshed.model.search.old_holes import Fit
from earshed.model.speaker_type import Fixed
from earshed.model.units import PrintUnits, format_angle, format_length
from earshed.viewer.tables import PlainConsole


def print_holes(console: PlainConsole, scene: Scene, holes: KeptHoles) -> None:
    """Every hole with the types that it takes and why not the others, what stays flush, and what is left to patch."""
    console.print()
    console.print(Text("Holes that are there", style="bold"))
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="dim")
    for head in ("  hole", "takes", "not"):
        table.add_column(head, overflow="fold")
    for name in dict.fromkeys(fit.hole.name for fit in holes.fits):
        mine = [fit for fit in holes.fits if fit.hole.name == name]
        table.add_row(Text(f"  {name}"), Text(takes_words(mine, scene.print_units)), Text(refused_words(mine)))
    console.print(table)
    for kept in holes.kept:
        console.print(Text(f"  {flush_words(kept)}"))
    console.print(Text(f"  {patch_words(holes)}"))


def takes_words(fits: Sequence[Fit], units: PrintUnits) -> str:
    """The types that a hole takes, each once, and by how much it has to be cut wider for them."""
    told: dict[str, str] = {}
    for fit in fits:
        if fit.fits:
            wider = f" (cut {format_length(fit.larger, units)} wider)" if fit.larger else ""
            told.setdefault(fit.offer.type.name, f"{fit.offer.type.name}{wider}")
    return ", ".join(told.values()) or "none"


def refused_words(fits: Sequence[Fit]) -> str:
    """The types that a hole does not take, by the reason."""
    taken = {fit.offer.type.name for fit in fits if fit.fits}
    reasons: dict[str, dict[str, None]] = {}
    for fit in fits:
        if fit.why_not is not None and fit.offer.type.name not in taken:
            reasons.setdefault(fit.why_not, {})[fit.offer.type.name] = None
    return "; ".join(f"{', '.join(names)}: {why}" for why, names in reasons.items())


def flush_words(kept: Kept) -> str:
    """Whether a hole keeps a flush speaker, or needs one that is aimed."""
    place, flush = kept.place, kept.flush
    start = f"{kept.hole.name}, for {place.speaker.name}: "
    aimed = f"{place.offer.type.name} gives the worst seat {format_angle(place.worst.off_axis)}, {place.worst.verdict}"
    if flush is None:
        return f"{start}no flush type goes in; {aimed}"
    told = f"{flush.type} {format_angle(flush.worst)}, {flush.verdict}"
    if kept.stays_flush:
        more = "" if isinstance(place.offer.type.aiming, Fixed) else f"; {aimed}"
        return f"{start}can stay flush: {told}{more}"
    return f"{start}flush does not reach every seat: {told}; to keep the hole it has to be aimed: {aimed}"


def patch_words(holes: KeptHoles) -> str:
    """How many holes are left to patch, and which."""
    count = len(holes.patches)
    if not count:
        return "nothing to patch"
    names = ", ".join(hole.name for hole in holes.patches)
    return f"{count} {'holes' if count > 1 else 'hole'} to patch: {names}"
