"""For every test: an f-string of the package that would lose the parts of a text is an error."""

from __future__ import annotations

import sys

import pytest

from glazecalc.values.texts import Text


def _kept(self: Text, spec: str) -> str:
    """The words of a text, where no figure is lost by it, nor a command before render."""
    caller = sys._getframe(1).f_globals.get("__name__", "")
    if caller.startswith("glazecalc."):
        lost = [p for p in self.parts if p.unit or (p.typed and not caller.startswith("glazecalc.render"))]
        assert not lost, f"{caller} loses {lost} of {self!r}: join with + or word it"
    return str.__format__(self, spec)


@pytest.fixture(autouse=True, scope="session")
def _parts_are_kept() -> None:
    Text.__format__ = _kept  # type: ignore[method-assign]
