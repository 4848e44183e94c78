"""Findings: what is wrong, short or worth knowing about a scene."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Severity = Literal["error", "warning", "note"]
SEVERITIES: tuple[Severity, ...] = ("error", "warning", "note")


@dataclass(frozen=True)
class Finding:
    """`rule` is a stable short name, `subject` the thing it is about, `message` a sentence with the numbers; `other` is
    another thing that it is as much about, empty where there is none.

    error: it cannot be built as drawn; warning: it can, but a main seat or a clearance suffers; note: worth knowing.
    """

    severity: Severity
    rule: str
    subject: str
    message: str
    other: str = ""
