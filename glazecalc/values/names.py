"""How names are compared, whatever their case, width or the signs between them, and how they stand in a command."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

_BETWEEN: Final = re.compile(r"[\W_]+")


def fold(name: str) -> str:
    """A name as it is compared: compatible forms made one (Unicode NFKC), lower case, words apart by one space.

    A name without a letter or a digit is compared as it stands.

    >>> fold(" Nepheline-Syenite "), fold("SiO\u2082"), fold("\u77f3\u82f1") == fold("\u9577\u77f3")
    ('nepheline syenite', 'sio2', False)
    """
    plain = unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", name).casefold())
    return _BETWEEN.sub(" ", plain).strip() or plain.strip()


# Commands in a message as they can be typed: names with spaces quoted, the studio named where it is elsewhere.


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
