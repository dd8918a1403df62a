"""Every compiled pattern of the program against long hostile texts, with a timer.

Patterns are found two ways: those that modules hold, and those written inside functions, taken from the source text.
Each meets 50,000 characters made of its own alphabet (its letters repeated, its classes, near misses at the end), in
the ways the program asks it (match, search, fullmatch, sub ...), in all of them where the source does not tell. The reader of cards refuses a line of more than
LONGEST_LINE signs before any pattern sees it, that of sheets of its own LONGEST_LINE, so their patterns are timed at
these lengths; every way a text of 50,000 comes in is typed whole in test_long_texts. Run: pytest tests/bench/test_patterns.py -o addopts= --import-mode=importlib -s
"""

from __future__ import annotations

import ast
import importlib
import pkgutil
import re
import string
import time
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

import pytest

import glazecalc
from glazecalc.files.supplier_sheet import LONGEST_LINE as LONGEST_OF_A_SHEET
from glazecalc.files.text import LONGEST_LINE

LENGTH = 50_000
LONGEST_S = 0.5
ROOT = Path(glazecalc.__file__).parent
LINES = (
    "grammar",
    "title",
    "lines",
    "card",
    "card_batch",
    "card_table",
    "card_head",
    "asides",
    "pasted",
    "sorting",
    "numbers",
)
SHEETS = ("supplier_sheet", "sheet_layout", "materials")


def let_through(place: str) -> int:
    """The longest text that a pattern's reader hands it, or LENGTH where nothing caps it."""
    module = place.partition(":")[0].removesuffix(".py").replace("/", ".").removeprefix("glazecalc.")
    names = [part for part in module.split(".") if part in (*LINES, *SHEETS)]
    if not module.startswith("files.") or not names:
        return LENGTH
    return LONGEST_LINE if names[0] in LINES else LONGEST_OF_A_SHEET


def held_by_modules() -> Iterator[tuple[str, re.Pattern[str]]]:
    """Patterns that a module or one of its containers holds."""
    for info in pkgutil.walk_packages(glazecalc.__path__, "glazecalc."):
        if info.name.endswith("__main__"):
            continue
        module = importlib.import_module(info.name)
        for name, value in vars(module).items():
            for pattern in _inside(value):
                yield f"{info.name}.{name}", pattern


def _inside(value: object, depth: int = 0) -> Iterator[re.Pattern[str]]:
    if isinstance(value, re.Pattern) and isinstance(value.pattern, str):
        yield value
    elif isinstance(value, dict) and depth < 3:
        for part in [*value.keys(), *value.values()]:
            yield from _inside(part, depth + 1)
    elif isinstance(value, list | tuple | set | frozenset) and depth < 3:
        for part in value:
            yield from _inside(part, depth + 1)


def written_in_functions() -> Iterator[tuple[str, str, re.Pattern[str]]]:
    """Place, function and pattern of those given as text to a function of ``re`` anywhere in the source."""
    for path in sorted(ROOT.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and _is_re(node.func) and node.args:
                text = _text(node.args[0], path)
                if text is not None:
                    flags = re.IGNORECASE if "IGNORECASE" in ast.unparse(node) else 0
                    yield f"{path.relative_to(ROOT)}:{node.lineno}", node.func.attr, re.compile(text, flags)


def _text(node: ast.expr, path: Path) -> str | None:
    """A pattern's text, written there or held by the module under a name; None for another expression."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.Name):
        name = ".".join(path.relative_to(ROOT.parent).with_suffix("").parts).removesuffix(".__init__")
        held = getattr(importlib.import_module(name), node.id, None)
        return held if isinstance(held, str) else None
    return None


def _is_re(func: ast.Attribute) -> bool:
    return isinstance(func.value, ast.Name) and func.value.id == "re"


WAYS = ("match", "search", "fullmatch")
AS_A_SEARCH = ("sub", "subn", "split", "findall", "finditer")


def every_pattern() -> dict[tuple[str, int], tuple[str, tuple[str, ...]]]:
    """Each pattern once, a place where it stands, and the ways it is asked."""
    source = "\n".join(path.read_text(encoding="utf-8") for path in sorted(ROOT.rglob("*.py")))
    found: dict[tuple[str, int], tuple[str, tuple[str, ...]]] = {}
    for place, pattern in held_by_modules():
        asked = set(re.findall(rf"\b{place.rpartition('.')[2]}\.(\w+)\(", source))
        loose = re.search(rf"\b{place.rpartition('.')[2]}\b(?![.\w]| *[:=])", source)
        _add(found, pattern, place, WAYS if loose or not asked else asked)
    for place, way, pattern in written_in_functions():
        if way != "compile":
            _add(found, pattern, place, {way})
        elif (pattern.pattern, pattern.flags) not in found:
            _add(found, pattern, place, WAYS)
    return found


def _add(
    found: dict[tuple[str, int], tuple[str, tuple[str, ...]]],
    pattern: re.Pattern[str],
    place: str,
    asked: Iterable[str],
) -> None:
    plain = {"search" if way in AS_A_SEARCH else way for way in asked}
    where, before = found.get((pattern.pattern, pattern.flags), (place, ()))
    found[pattern.pattern, pattern.flags] = where, tuple(sorted({*before, *plain} & set(WAYS)))


CLASSES = {r"\s": " \t", r"\d": "0123456789", r"\w": "aZ_9é", ".": "xX. "}


def alphabet(pattern: str) -> list[str]:
    """The signs a pattern speaks of: its own letters, and some of each of its classes."""
    signs = [c for c in dict.fromkeys(pattern) if c.isalnum() or c in " ,;:=<>%/'\"#&-.([{}])+*|~_" or ord(c) > 127]
    signs += [c for name, some in CLASSES.items() if name in pattern for c in some]
    return list(dict.fromkeys([*signs, " ", "0", "a", "(", "\t"]))


def words(pattern: str) -> list[str]:
    """Runs of letters of the pattern, and pairs of its signs: what nearly matches again and again."""
    runs = re.findall(r"[A-Za-z]{2,}", pattern)[:6]
    signs = alphabet(pattern)
    pairs = [a + b for a in signs[:9] for b in signs[:9] if a != b]
    return list(dict.fromkeys([*signs[:16], *runs, *pairs[::5], "1.5 ", "a b ", "0:", string.printable]))


def slowest(pattern: re.Pattern[str], length: int, ways: Sequence[str]) -> tuple[float, str]:
    """The longest time of any hostile text of that length [s], and what it was made of."""
    worst, made = 0.0, ""
    for word in words(pattern.pattern):
        text = (word * (length // len(word) + 1))[:length]
        for way in ways:
            ask = getattr(pattern, way)
            started = time.process_time()
            ask(f"{text}\u2603")
            spent = time.process_time() - started
            if spent > worst:
                worst, made = spent, f"{word!r} by {way}"
            if worst > LONGEST_S:
                return worst, made
    return worst, made


def short_first(pattern: re.Pattern[str], length: int, ways: Sequence[str] = WAYS) -> tuple[float, str]:
    """As :func:`slowest`, from short texts up, so that an endless one is not waited for: 28 signs show the exponential,
    a thirty-second of the length the worst powers."""
    for part in (28, length // 32, length):
        worst, made = slowest(pattern, part, ways)
        if worst > LONGEST_S:
            return worst, f"{part} signs of {made}"
    return worst, made


def test_the_finder_finds_and_the_timer_bites() -> None:
    places = {place for place, _ in every_pattern().values()}
    assert any(place.startswith("glazecalc.files.numbers") for place in places)
    assert any(".py:" in place for place in places), "patterns inside functions are found, too"
    assert short_first(re.compile(r"(a+)+b"), LENGTH)[0] > LONGEST_S
    assert short_first(re.compile(r"\(.*?\).*?x"), LENGTH)[0] > LONGEST_S


@pytest.mark.parametrize(("key", "asked"), sorted(every_pattern().items(), key=lambda item: item[1]))
def test_a_pattern_is_done_in_half_a_second(key: tuple[str, int], asked: tuple[str, tuple[str, ...]]) -> None:
    pattern, (place, ways) = re.compile(*key), asked
    took, made = short_first(pattern, let_through(place), ways)
    assert took <= LONGEST_S, f"{place}: {pattern.pattern!r} took {took:.2f} s: {made}"
