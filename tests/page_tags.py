"""The tags of a page, for tests of what it is made of."""

from __future__ import annotations

from html.parser import HTMLParser


class Tags(HTMLParser):
    """Every tag of a page with what it says of itself."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.found.append((tag, dict(attrs)))
