"""What a form sends, as short plain texts; nothing of it is trusted."""

from __future__ import annotations

from starlette.requests import Request

LONGEST: int = 60_000


class Asked:
    """The fields of one form."""

    def __init__(self, fields: dict[str, list[str]]) -> None:
        self._fields = fields

    def text(self, name: str, usual: str = "", longest: int = 200) -> str:
        """One field without control signs, cut at ``longest``; ``usual`` where it is empty or not there."""
        given = (self._fields.get(name) or [""])[0][:longest]
        return "".join(c for c in given if c.isprintable()).strip() or usual

    def block(self, name: str) -> str:
        """A field of several lines, its line ends made plain."""
        return (self._fields.get(name) or [""])[0][:LONGEST].replace("\r\n", "\n").replace("\r", "\n")

    def all(self, name: str) -> list[str]:
        """Every value of a field, such as ticked boxes."""
        return [value[:200] for value in self._fields.get(name, ())][:50]

    def names(self) -> list[str]:
        """The names of the fields."""
        return list(self._fields)


async def asked(request: Request) -> Asked:
    """The fields of a request's form; no more of them than any room has."""
    fields: dict[str, list[str]] = {}
    async with request.form(max_files=1, max_fields=400) as form:
        for name, value in form.multi_items():
            if isinstance(value, str):
                fields.setdefault(name[:80], []).append(value)
    return Asked(fields)
