"""How names are compared: letters and digits of any script, whatever their case, width or the signs between them."""

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
