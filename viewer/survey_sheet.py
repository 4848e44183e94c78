"""A blank survey sheet: what to measure, in the order in which one walks a room, which is that of the scene file.

The key of the file stands beside each blank, with a colon, so that a filled sheet can be typed in as it stands.
"""

from __future__ import annotations

from earshed.viewer.survey_behind import BEHIND_PAGES
from earshed.viewer.survey_room import ROOM_PAGES
from earshed.viewer.survey_things import THINGS_PAGES

WIDTH = 80
MOST_LINES = 60
PAGE_BREAK = "\f"
PAGES = (*ROOM_PAGES, *BEHIND_PAGES, *THINGS_PAGES)


def survey_sheet() -> str:
    """The sheet as plain text: pages of at most 60 lines of 80 letters, each with its heading, form feeds between."""
    return PAGE_BREAK.join(
        "\n".join([*_heading(title, number), *lines]) + "\n" for number, (title, lines) in enumerate(PAGES, start=1)
    )


def _heading(title: str, number: int) -> list[str]:
    count = f"page {number} of {len(PAGES)}"
    job = "Job ________________________________   By ________________   Date _____________"
    return [f"{title}{count.rjust(WIDTH - 1 - len(title))}", job, ""]
