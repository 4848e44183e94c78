"""Who may come in: only who has this run's key, and only from a page that this server gave out."""

from __future__ import annotations

import hmac
import secrets
from dataclasses import dataclass, field

HOST = "127.0.0.1"
"""The server listens here alone, where no other machine reaches it."""


@dataclass(frozen=True)
class Guard:
    """The port that is listened on, and a key that nobody can guess, new for every run."""

    port: int
    key: str = field(default_factory=lambda: secrets.token_urlsafe(24))

    @property
    def origin(self) -> str:
        return f"http://{HOST}:{self.port}"

    @property
    def address(self) -> str:
        """What is opened in the browser."""
        return f"{self.origin}/{self.key}/"

    def knows(self, key: str) -> bool:
        """Whether a key is this run's, asked in a time that tells nothing of it."""
        return hmac.compare_digest(key.encode("utf-8"), self.key.encode("utf-8"))

    def lets_in(self, host: str | None, origin: str | None) -> bool:
        """Whether a request was made of this address and, where a page made it, by a page from here.

        Another site's page can have a name of its own lead to this machine; its Host gives it away.
        """
        own = self.origin
        return host is not None and f"http://{host}" == own and origin in (None, own)

    @property
    def policy(self) -> str:
        """The Content-Security-Policy of the page: everything comes from here, and nothing else is asked."""
        own = "'self'"
        return (
            f"default-src 'none'; script-src {own}; style-src {own}; img-src {own} data: blob:; "
            f"connect-src {own} ws://{HOST}:{self.port}; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
        )
