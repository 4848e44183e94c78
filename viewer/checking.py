"""A scene checked: all that `earshed check` was asked for, found at once, printed or made a document."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from earshed.model.as_built import Comparison, compare
from earshed.model.checks.as_built import as_built_findings
from earshed.model.checks.run import find_all
from earshed.model.checks.tolerance import tolerance_findings
from earshed.model.finding import Finding
from earshed.model.pairs import Pair, seat_pairs
from earshed.model.scene import Scene
from earshed.model.scene_file.read import read_design, read_scene
from earshed.model.tolerance import Spread, Tolerance, spreads
from earshed.viewer.documents import check_document
from earshed.viewer.documents_asked import against_document, tolerance_document
from earshed.viewer.tables import print_check
from earshed.viewer.tables_asked import print_comparison, print_tolerance


@dataclass(frozen=True)
class Question:
    """What is asked of a scene: under which scheme, against which, and within what tolerance."""

    scheme: str | None = None
    against: str | None = None
    tolerance: Tolerance | None = None


@dataclass(frozen=True, eq=False)
class Answer:
    """A scene as it was read, and all that was found in it."""

    scene: Scene
    pairs: list[Pair]
    findings: list[Finding]
    comparison: Comparison | None
    spreads: list[Spread]
    tolerance: Tolerance | None

    def print(self) -> None:
        """For people."""
        print_check(self.scene, self.pairs, self.findings)
        if self.tolerance:
            print_tolerance(self.scene, self.spreads, self.tolerance)
        if self.comparison:
            print_comparison(self.comparison)

    @property
    def document(self) -> dict[str, Any]:
        """For --json."""
        asked: dict[str, Any] = {}
        if self.comparison:
            asked["against"] = against_document(self.comparison)
        if self.tolerance:
            asked["tolerance"] = tolerance_document(self.spreads, self.tolerance)
        return {**check_document(self.scene, self.pairs, self.findings), **asked}


def check(path: Path, question: Question) -> Answer:
    """Reads a scene and finds what is asked. One that builds on a scheme is held against it. Raises SceneError."""
    scene = read_scene(path, question.scheme)
    pairs = seat_pairs(scene)
    asked: list[Finding] = []
    comparison, possible = None, []
    against = scene.builds_on if question.against is None else question.against
    if against is not None:
        comparison = compare(read_design(path, against), scene, pairs)
        asked += as_built_findings(comparison)
    if question.tolerance:
        possible = spreads(pairs, question.tolerance)
        asked += tolerance_findings(scene, possible, question.tolerance)
    return Answer(scene, pairs, find_all(scene, pairs, asked), comparison, possible, question.tolerance)
