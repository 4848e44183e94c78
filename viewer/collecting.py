"""The garbage of finished pages, taken out so that a Ctrl-C is never lost with it."""

from __future__ import annotations

import gc
import signal
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def collecting_by_hand() -> Iterator[None]:
    """Keeps the garbage collector still between pages: a Ctrl-C that falls into one of its finalizers is lost.

    What is there by then, of libraries above all, is not gone through for each of them.
    """
    gc.disable()
    gc.freeze()
    try:
        yield
    finally:
        gc.unfreeze()
        gc.enable()


def free_pages() -> None:
    """Frees finished pages: each is a web of cycles, hundreds of MB on a fine plane. A Ctrl-C waits meanwhile."""
    mask = getattr(signal, "pthread_sigmask", None)
    if mask is None:
        gc.collect()
        return
    mask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        gc.collect()
    finally:
        mask(signal.SIG_UNBLOCK, {signal.SIGINT})
