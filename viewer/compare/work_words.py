"""What it takes to get from before to after, in words: holes, speakers, cables, and what moved."""

from __future__ import annotations

from dataclasses import dataclass

from earshed.model.compare.cables import RunChange
from earshed.model.compare.compare import BeforeAfter
from earshed.model.compare.holes import HoleChange, Opened
from earshed.model.compare.parts import PartChange
from earshed.model.scene import Scene
from earshed.model.taped_words import point_words
from earshed.model.units import format_length
from earshed.viewer.compare.speaker_words import speaker_words
from earshed.viewer.compare.words import LONGEST_NAME, listed
from earshed.viewer.hole_words import size_words
from earshed.viewer.wording import counted, shortened


@dataclass(frozen=True)
class Work:
    """A kind of things to do, and each of them in words; `rest` is what needs no doing."""

    title: str
    lines: tuple[str, ...]
    rest: str = ""


def work_list(change: BeforeAfter) -> list[Work]:
    """All that has to be done to get from the one to the other, kinds without anything to say left out."""
    kinds = (_holes(change), _parts(change), _fitted(change), _cables(change), _moved(change))
    return [work for work in kinds if work.lines or work.rest]


def _holes(change: BeforeAfter) -> Work:
    lines, stay = [], []
    for hole in change.holes:
        if hole.work == "stays" and hole.before and hole.after and hole.before.filled:
            stay.append(hole.after.name)
        else:
            lines.append(_hole_line(hole, change))
    where = "stays in its hole" if len(stay) == 1 else "stay in their holes"
    rest = f"{counted(len(stay), 'speaker')} {where}: {listed(stay)}" if stay else ""
    return Work("Holes", tuple(lines), rest)


def _hole_line(hole: HoleChange, change: BeforeAfter) -> str:
    units = change.after.print_units
    old = _opened_words(hole.before, change.before) if hole.before else ""
    new = _opened_words(hole.after, change.after) if hole.after else ""
    name = _owner(hole.after, change.after) if hole.after else ""
    match hole.work:
        case "cut":
            return f"cut a hole for {new}"
        case "patch":
            return f"patch the hole of {old}"
        case "open":
            return f"{new or old}: an old hole that no speaker fills, to patch"
        case "widen":
            return f"cut the hole {format_length(hole.wider, units)} wider for {new}"
        case "shrink":
            return f"{name}: the hole that is there ({old}) is too large; patch it and cut a smaller one for {new}"
        case "recut":
            return f"{name}: runs into the hole that is there ({old}); patch it and cut one for {new}"
        case "stays":
            return f"{name} goes into the old hole {old}"


def _opened_words(hole: Opened, scene: Scene) -> str:
    """A hole of a scene by whose it is, its size and its place."""
    size = size_words(hole.cut, scene.print_units)
    return f"{_owner(hole, scene)}, {size}, in {hole.surface.called}, {point_words(scene, hole.position, hole.surface)}"


def _owner(hole: Opened, scene: Scene) -> str:
    """Whose a hole is: a speaker by its channel in plain words, and its name where that is another."""
    channel = next((one.channel for one in scene.speakers if hole.filled and one.name == hole.name), None)
    name = shortened(hole.name, LONGEST_NAME)
    return name if channel is None or channel.words == hole.name else f"{channel.words} ({name})"


def _parts(change: BeforeAfter) -> Work:
    buy = [f"buy {part.to_buy} x {_type(part)}" for part in change.parts if part.to_buy]
    spare = [f"left over: {part.left_over} x {_type(part)}" for part in change.parts if part.left_over]
    both = [(min(part.before, part.after), _type(part)) for part in change.parts]
    kept = ", ".join(f"{count} x {name}" for count, name in both if count)
    return Work("Speakers", (*buy, *spare), f"as they are: {kept}" if kept else "")


def _type(part: PartChange) -> str:
    return shortened(part.type.name, LONGEST_NAME)


def _fitted(change: BeforeAfter) -> Work:
    """What becomes of each speaker where it is: another in its place, moved, turned."""
    units = change.after.print_units
    told = [(one, speaker_words(one, units)) for one in change.speakers if not one.same]
    return Work("Fitting", tuple(f"{shortened(one.name, LONGEST_NAME)}: {words}" for one, words in told if words))


def _cables(change: BeforeAfter) -> Work:
    lines = [_cable_line(run, change) for run in change.runs if run.change != "same"]
    same = sum(run.change == "same" for run in change.runs)
    return Work("Cables", tuple(lines), f"{counted(same, 'run')} as before" if same else "")


def _cable_line(run: RunChange, change: BeforeAfter) -> str:
    units = change.after.print_units
    one = run.after or run.before
    assert one is not None
    cut = "no way found" if one.cut is None else f"{format_length(one.cut, units)} of {one.cable.name}"
    name = shortened(run.name, LONGEST_NAME)
    match run.change:
        case "new":
            return f"{name}: new run, {cut}"
        case "gone":
            return f"{name}: no longer needed ({cut})"
        case "longer" | "shorter":
            return f"{name}: {format_length(abs(run.longer), units)} {run.change}, {cut}"
    return f"{name}: {cut}"


def _moved(change: BeforeAfter) -> Work:
    units = change.after.print_units
    lines = [f"{shortened(thing.name, LONGEST_NAME)}: {thing.words(units)}" for thing in change.things]
    return Work("Moved, added or taken out", tuple(lines))
