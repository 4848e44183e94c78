"""Runs every check over a scene."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from earshed.model.checks.at_ears import ear_findings
from earshed.model.checks.conflicts import conflict_findings
from earshed.model.checks.coverage import coverage_findings
from earshed.model.checks.depth import depth_findings
from earshed.model.checks.elsewhere import places_of
from earshed.model.checks.hanging import hanging_findings
from earshed.model.checks.holes import hole_findings
from earshed.model.checks.layout import layout_findings
from earshed.model.checks.picture import picture_findings
from earshed.model.checks.places import place_findings
from earshed.model.checks.readings import reading_findings
from earshed.model.checks.shadows import shadow_findings
from earshed.model.checks.survey import survey_findings
from earshed.model.checks.windows import window_findings
from earshed.model.checks.wiring import wiring_findings
from earshed.model.finding import SEVERITIES, Finding
from earshed.model.pairs import Pair
from earshed.model.scene import Scene


def find_all(scene: Scene, pairs: Sequence[Pair], asked: Iterable[Finding] = ()) -> list[Finding]:
    """All findings on a scene, the gravest first, those of one subject together; `pairs` are the scene's seat_pairs.

    `asked` are those on what was asked besides, as against a design or within a tolerance.
    """
    return _in_order([*_found(scene, pairs), *wiring_findings(scene), *asked])


def find_but_wiring(scene: Scene, pairs: Sequence[Pair]) -> list[Finding]:
    """The same without those on the wiring, which take longest to find: for a scene that is being changed."""
    return _in_order(_found(scene, pairs))


def _found(scene: Scene, pairs: Sequence[Pair]) -> list[Finding]:
    places = places_of(scene)
    return [
        *survey_findings(scene),
        *place_findings(scene),
        *ear_findings(scene),
        *hole_findings(scene, places),
        *conflict_findings(scene, places),
        *depth_findings(scene, places),
        *hanging_findings(scene, pairs),
        *coverage_findings(scene, pairs),
        *shadow_findings(scene),
        *layout_findings(scene),
        *window_findings(scene),
        *picture_findings(scene),
        *reading_findings(scene),
        *(Finding("note", "reading", scene.title, note) for note in scene.notes),
    ]


def _in_order(found: Sequence[Finding]) -> list[Finding]:
    order = {subject: index for index, subject in enumerate(dict.fromkeys(finding.subject for finding in found))}
    return sorted(found, key=lambda finding: (SEVERITIES.index(finding.severity), order[finding.subject]))
