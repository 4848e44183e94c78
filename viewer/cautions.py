"""What is said wherever a cut or a cable is planned. Common practice, no source; local codes decide."""

from __future__ import annotations

BEFORE_CUTTING = (
    "Before you cut: isolate power; a test hole first, to look for cables, pipes, ducts and wood; never cut framing. "
    "Insulation, a vapor barrier and a fire-rated ceiling need the right box; local codes and licensed trades decide."
)
