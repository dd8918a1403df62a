"""Every code that reading can give is in the table of docs/problems.md, and no other."""

import ast
from pathlib import Path

import glazecalc.files
from tests.files.told_codes import CODES

FOLDER = Path(glazecalc.files.__file__).parent


def codes_in_source() -> set[str]:
    found = set()
    for file in FOLDER.glob("*.py"):
        if file.name.startswith(("journal", "writing")):
            continue  # what the journal and the disk refuse is no finding about a user's text
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and node.args and isinstance(node.args[0], ast.Constant):
                name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
                if name in {"error", "remark"} and isinstance(node.args[0].value, str):
                    found.add(node.args[0].value)
            worded = file.name in {"problems.py", "card_batch.py"} and isinstance(node, ast.Tuple)
            first = node.elts[0] if worded and len(node.elts) == 3 else None  # of code, message, hint
            if isinstance(first, ast.Constant) and isinstance(first.value, str):
                found.add(first.value)
    return found


def test_table_of_codes_is_complete_and_holds_no_other() -> None:
    assert codes_in_source() == set(CODES)


def test_the_table_is_in_order() -> None:
    assert len(CODES) > 100
    assert list(CODES) == sorted(CODES)


def test_codes_are_kebab_case_and_meanings_are_sentences() -> None:
    for code, meaning in CODES.items():
        assert code == code.lower() and code.replace("-", "").isalnum(), code
        assert meaning[0].isupper() and meaning.endswith("."), code
