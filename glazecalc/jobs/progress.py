"""How far a long job has come, told to whoever waits for it; nobody is told where nobody asked."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar

Told = Callable[[str, int, int], None]
"""Takes what is being done, in a few words, how many parts of the job are done, and of how many."""
_TOLD: ContextVar[Told | None] = ContextVar("told", default=None)


@contextmanager
def telling(told: Told) -> Iterator[None]:
    """Within this, every :func:`tell` of a job reaches ``told``.

    >>> heard = []
    >>> with telling(lambda *said: heard.append(said)):
    ...     tell("trying", 1, 3)
    >>> tell("nobody hears this", 2, 3)
    >>> heard
    [('trying', 1, 3)]
    """
    token = _TOLD.set(told)
    try:
        yield
    finally:
        _TOLD.reset(token)


def tell(doing: str, done: int, of: int) -> None:
    """Say what is being done now, with ``done`` parts of the job behind it."""
    told = _TOLD.get()
    if told is not None:
        told(doing, done, of)
