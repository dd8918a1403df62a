"""The title of a pasted recipe: which of the lines above the batch is the name of the glaze."""

from __future__ import annotations

import re
from typing import Final

from glazecalc.files.card_head import ends_in_cone, firing_of, header_of
from glazecalc.files.grammar import by_first, by_last, by_odd_amount, columns_of, has_letters, heading, without_leaders
from glazecalc.files.pasted import GREETING, LETTERHEAD, is_prose, names_material, tells_amount

Line = tuple[int, str]
"""Its number, counted from 1, and its text."""
_FROM: Final = re.compile(r"from\s*:", re.IGNORECASE)
_MARK: Final = re.compile(r"#?\d{1,4}[A-Za-z]")
"""What parts one test from the next in its name: `Test 23B`."""


def title_of(written: list[Line]) -> Line | None:
    """The first line of a pasted recipe if it is its name: nothing a batch could hold, or set apart by a blank line.

    ``written`` are the lines of the card that are neither blank nor a rule.
    """
    keys = [head.key if (head := header_of(line)) else None for _, line in written]
    if "name" in keys:
        return None
    above = next((i for i, key in enumerate(keys) if not key), len(keys))
    written = _below_letterhead(written[above:])
    if len(written) < 2 or (above and written[1][0] == written[0][0] + 1):
        return None
    later = _after_a_greeting(written)
    if later is not None:
        return None if batchlike(later[1]) else later
    number, line = written[0]
    if columns_of(line) or heading(line) is not None or not has_letters(line):
        return None
    bare = re.sub(r"\s*\([^()]*\)\s*$", "", line)
    line = bare if ends_in_cone(bare) else line
    if batchlike(line):
        return None
    if ends_in_cone(line):
        return number, line
    body = without_leaders(line)
    if by_first(body) or by_last(body):
        apart = written[1][0] > number + 1 and len(written) > 2 and written[2][0] == written[1][0] + 1
        return (number, line) if apart and not line.startswith("+") else None
    odd = by_odd_amount(body)
    marked = odd is None or (_MARK.fullmatch(odd.amount) and not names_material(f"{odd.name} 1"))
    return (number, line) if marked else None


def batchlike(line: str) -> bool:
    """Whether a line that could be a title holds a material and an amount."""
    bare = firing_of(line).rest or line
    return names_material(bare) or tells_amount(bare)


def _below_letterhead(written: list[Line]) -> list[Line]:
    """The lines of a letter below its head and its greeting, which name no glaze."""
    ahead = (i for i, (_, line) in enumerate(written) if not (LETTERHEAD.match(line) or _FROM.match(line)))
    first = next(ahead, len(written))
    greeted = first < len(written) and GREETING.match(written[first][1]) and len(written[first][1].split()) <= 4
    return written[first + 1 if greeted else first :]


def _after_a_greeting(written: list[Line]) -> Line | None:
    """The name of a recipe pasted with the letter it came in: where prose comes first, the last line before the batch
    that names a cone, else the last that is short and no sentence."""
    above = next((i for i, (_, line) in enumerate(written) if not _above_batch(line)), len(written))
    if above < 2 or not (is_prose(written[0][1]) or written[0][1].endswith((",", ":"))):
        return None
    short = [(n, line) for n, line in written[1:above] if not is_prose(line) and not line.endswith((",", ":"))]
    with_cone = [(n, line) for n, line in short if ends_in_cone(line) and firing_of(line).rest]
    return next(iter(with_cone[-1:] or short[-1:]), None)


def _above_batch(line: str) -> bool:
    """Whether a line can stand above the batch: no heading, no header, no material with its amount."""
    header = header_of(line)
    if columns_of(line) or heading(line) is not None or not has_letters(line) or (header and header.key):
        return False
    body = without_leaders(line)
    return ends_in_cone(line) or is_prose(line) or not (by_first(body) or by_last(body) or by_odd_amount(body))
