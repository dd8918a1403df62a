"""The whole corpus of hostile inputs. Run: pytest tests/bench/test_corpus_whole.py -o addopts= -s"""

from __future__ import annotations

from pathlib import Path

from tests.hostile.corpus import answer, cases, place, wrongs


def test_the_whole_corpus(tmp_path: Path) -> None:
    found: dict[str, list[str]] = {}
    counts: dict[int, int] = {}
    for number, case in enumerate(cases()):
        folder = tmp_path / str(number)
        place(case, folder)
        wrong = wrongs(case, answer(case, folder), folder)
        counts[case["item"]] = counts.get(case["item"], 0) + 1
        if wrong:
            found[case["id"]] = wrong
    print("\nfamily  cases  wrong")
    for item, count in sorted(counts.items()):
        print(f"{item:6d} {count:6d} {sum(name.startswith(f'{item}-') for name in found):6d}")
    print("\n".join(f"{name}: {'; '.join(wrong)}" for name, wrong in found.items()))
    assert found == {}
