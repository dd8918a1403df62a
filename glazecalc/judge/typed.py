"""Commands in a message as they can be typed: names with spaces quoted, the studio named where it is elsewhere."""

from __future__ import annotations


def quoted(word: str) -> str:
    """A word of a command, in quotes where a shell would split it.

    >>> quoted("Shed kiln")
    '"Shed kiln"'
    """
    return f'"{word}"' if not word or any(c in word for c in " '&;()|<>*?#~`!") else word


def studio_option(folder: str) -> str:
    """The option that names a studio, with a leading space; nothing where it is the current folder."""
    return "" if folder in ("", ".") else f" --studio {quoted(folder)}"


def kiln_command(kiln: str, folder: str) -> str:
    """The command that judges outlet, reach and room of a kiln."""
    return f"glazecalc kiln {quoted(kiln)}{studio_option(folder)}"
