"""The corpus read: its cases filled in, put on disk, typed, and held against what must be true."""

from __future__ import annotations

import csv
import math
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from pathlib import Path
from typing import Any

import yaml

from glazecalc.files.journal import Journal
from glazecalc.values.data import data_root
from tests.hostile.typed import Typed, typed

Case = dict[str, Any]
HERE = Path(__file__).parent
LONGEST_S = 10.0
_FILLED = re.compile(r"\{(\d)\}")


class _NoDates(yaml.SafeLoader):
    """A date is a text here, the more so where it is none."""

    yaml_implicit_resolvers = {  # noqa: RUF012
        sign: [(tag, pattern) for tag, pattern in found if not tag.endswith("timestamp")]
        for sign, found in yaml.SafeLoader.yaml_implicit_resolvers.items()
    }


def cases() -> list[Case]:
    """Every case of corpus.yaml, one for each entry of its ``each``."""
    written = yaml.load((HERE / "corpus.yaml").read_text(encoding="utf-8"), Loader=_NoDates)
    found = [case for entry in written for case in _filled_in(entry)]
    for number, case in enumerate(found):
        case["id"] = f"{case['item']}-{number}-{' '.join(case['name'].split())[:60]}"
    return found


def share(found: Sequence[Case], of_each: int) -> list[Case]:
    """The first case of every entry, and ``of_each`` more of each entry, evenly apart."""
    groups: dict[str, list[Case]] = {}
    for case in found:
        groups.setdefault(case["entry"], []).append(case)
    picked = []
    for group in groups.values():
        step = max(1, math.ceil(len(group) / (of_each + 1)))
        picked += group[::step]
    return picked


def _filled_in(entry: Case) -> Iterator[Case]:
    groups = entry.get("each_of") or [entry.get("each") or [[]]]
    for parts in product(*groups):
        fill = [value for part in parts for value in (part if isinstance(part, list) else [part])]
        plain = {key: value for key, value in entry.items() if key not in ("each", "each_of")}
        case: Case = {key: _fill(value, fill) for key, value in plain.items()}
        case["entry"], case["fill"] = f"{entry['item']} {entry['name']}", fill
        yield _poisoned(case) if "poison" in case else case


def _fill(value: Any, fill: list[Any]) -> Any:
    if isinstance(value, str):
        whole = _FILLED.fullmatch(value)
        if whole and int(whole[1]) < len(fill):
            return fill[int(whole[1])]
        return _FILLED.sub(lambda m: str(fill[int(m[1])]) if int(m[1]) < len(fill) else "", value)
    if isinstance(value, list):
        return [x for v in value for x in (fill if v == "{*}" else [_fill(v, fill)])]
    if isinstance(value, dict):
        return {_fill(k, fill): _fill(v, fill) for k, v in value.items()}
    return value


COMMANDS: dict[str, list[str]] = {
    "check": ["check", "a.txt"], "weigh": ["weigh", "a.txt"], "tiles": ["tiles", "a.txt", "--add", "Whiting:0,2"],
    "formula": ["formula", "a.txt"], "kiln": ["kiln", "--recipe", "a.txt"], "compare": ["compare", "a.txt", "shoal-clear"],
    "swap": ["swap", "a.txt", "Kaolin", "Ball clay"], "labels": ["labels", "a.txt", "-o", "l.html"],
    "tile labels": ["labels", "a.txt", "--kind", "tile", "-o", "l.html"],
    "jar labels": ["labels", "a.txt", "--kind", "jar", "-o", "l.html"], "report": ["report", "a.txt", "-o", "l.html"],
    "shopping": ["weigh", "a.txt", "shoal-clear", "--shopping"],
    "bucket": ["weigh", "a.txt", "--bucket", "3L", "--sg", "1.5", "--to-sg", "1.45"],
    "tile": ["record", "tile", "a.txt"], "batch": ["record", "batch", "a.txt", "--dry", "500g"],
}  # fmt: skip
METALS = ("lead", "cadmium", "barium", "arsenic", "antimony", "vanadium", "nickel", "manganese")


def _poisoned(case: Case) -> Case:
    """A case of a metal in an own frit that nobody warned of, or in a card that gives oxides."""
    oxide, word, command = case["fill"]
    materials = f"name,SiO2,Al2O3,CaO,{oxide}\nOwn frit,50,10,15,25\n"
    card = "name: A\ncone: 6\n\nOwn frit 60\nKaolin 20\nSilica 20\n"
    if case["poison"] == "composition":
        card = f"name: A\nkind: composition\nbasis: weight\ncone: 6\n\nSiO2 60\nAl2O3 10\nCaO 15\n{oxide} 15\n"
    words = [f"\\b{word}" + ("\\b" if word == "lead" else "")]
    case |= {"files": {"materials.csv": materials, "a.txt": card}, "run": COMMANDS[command], "code": [0, 1, 3]}
    if case["poison"] == "none":
        case["never_match"] = [f"(?i)\\b{metal}\\b" for metal in METALS]
    else:
        case["says_match"] = [f"(?i){w}" for w in words]
    case["with_file"] = "l.html"
    return case


def _text(made: Any) -> bytes:
    if isinstance(made, str):
        return made.encode()
    if "hex" in made:
        return bytes.fromhex(str(made["hex"]))
    return (made.get("before", "") + _repeated(made) + made.get("after", "")).encode()


def _repeated(made: dict[str, Any]) -> str:
    if "{i}" in made["repeat"]:
        return "".join(made["repeat"].replace("{i}", str(i)) + "\n" for i in range(made["times"]))
    return str(made["repeat"]) * made["times"]


def place(case: Case, folder: Path) -> None:
    """A fresh studio with the case's files."""
    shutil.copytree(data_root() / "recipes", folder)
    for name, made in case.get("files", {}).items():
        path = folder / name.removeprefix("+")
        if isinstance(made, dict) and "fifo" in made:
            os.mkfifo(path)
        elif isinstance(made, dict) and "folder" in made:
            path.mkdir()
        elif isinstance(made, dict) and "link" in made:
            path.symlink_to(made["link"])
        elif name.startswith("+"):
            path.write_bytes(path.read_bytes() + _text(made))
        else:
            path.write_bytes(_text(made))
    if case.get("toml_name"):
        path = folder / "studio.toml"
        written = case["fill"][1].replace("\\n", "\n").replace("\\u202e", "\u202e").replace("\\\\", "\\")
        table = f"[[{case['fill'][0]}]]\nname = "
        path.write_text(f"{table}{_toml(written)}\n\n{table}{_toml('Plain name')}\n", encoding="utf-8")


def _toml(text: str) -> str:
    import json

    return json.dumps(text)


@dataclass(frozen=True)
class Seen:
    """What a case came to: the answer, and the bytes of files that had to stay as they were."""

    told: Typed
    before: dict[str, bytes]


def answer(case: Case, folder: Path) -> Seen:
    """Type the case in its folder."""
    env = {name: str(value) for name, value in case.get("env", {}).items()}
    for words in case.get("first", ()):
        first = typed([str(w) for w in words], folder)
        assert first.code in case.get("first_codes", [0, 1, 3]), f"{words}: {first.all}"
    before = {name: (folder / name).read_bytes() for name in case.get("unchanged", ())}
    if "complete" in case:
        from glazecalc.cli.options import names

        here = os.getcwd()
        os.chdir(folder)
        try:
            offered = names(case["complete"], {"studio": str(folder)}, "")
        finally:
            os.chdir(here)
        return Seen(Typed(("completion",), 0, "\n".join(offered), "", 0.0, 0.0), before)
    if "unread" in case:
        return Seen(_unread([str(w) for w in case["unread"]], folder), before)
    stdin = None if case.get("stdin") == "closed" else b""
    words = [str(w) if not isinstance(w, dict) else _repeated(w) for w in case["run"]]
    return Seen(typed(words, folder, stdin=stdin, env=env), before)


def _unread(words: list[str], folder: Path) -> Typed:
    program = f"import sys; from glazecalc.__main__ import run; sys.argv = {['glazecalc', *words]!r}; run()"
    reader, writer = os.pipe()
    os.close(reader)
    done = subprocess.run(
        [sys.executable, "-c", program], stdout=writer, stderr=subprocess.PIPE, cwd=folder, timeout=120, check=False
    )
    os.close(writer)
    return Typed(tuple(words), done.returncode, "", done.stderr.decode(), 0.0, 0.0)


def wrongs(case: Case, seen: Seen, folder: Path) -> list[str]:
    """Everything of the answer that is not as it must be."""
    told = seen.told
    file = folder / case["with_file"] if case.get("with_file") else None
    text = told.all + (" ".join(file.read_text(encoding="utf-8").split()) if file and file.exists() else "")
    found = [f"a traceback: {told.crash[-400:]}"] if told.crash or "Traceback" in text else []
    found += ["exit 70"] if told.code == 70 else []
    found += [f"exit {told.code}, not {case['code']}"] if told.code not in case.get("code", [told.code]) else []
    limit = case.get("under_s", LONGEST_S)
    found += [f"{told.cpu_s:.1f} s, more than {limit}"] if told.cpu_s > limit else []
    found += [f"it does not say {s!r}" for s in map(str, case.get("says", ())) if " ".join(s.split()) not in text]
    found += [f"it says {s!r}" for s in map(str, case.get("never", ())) if s in text]
    found += [f"nothing in it is like {s!r}" for s in case.get("says_match", ()) if not re.search(s, text)]
    found += [f"it says {m[0]!r}" for s in case.get("never_match", ()) if (m := re.search(s, text))]
    if "starts" in case and not re.match(case["starts"], text):
        found.append(f"it begins {text[:80]!r}")
    if any(s in text for s in case.get("if_says", ())):
        found += [f"it does not say {s!r}" for s in case["then_says"] if s not in text]
    return [*found, *_files_wrong(case, seen, folder)]


def _files_wrong(case: Case, seen: Seen, folder: Path) -> list[str]:
    found = [f"{n} was changed" for n, data in seen.before.items() if (folder / n).read_bytes() != data]
    found += [f"{n} was written" for n in case.get("unwritten", ()) if (folder / n).exists()]
    for name, texts in case.get("written", {}).items():
        path = folder / name
        written = re.sub(r"<[^>]*>", " ", path.read_text(encoding="utf-8")) if path.exists() else ""
        written = " ".join(written.split())
        found += [f"{name} does not say {s!r}" for s in texts if s not in written]
    for name in case.get("cells", ()):
        found += [f"{name}: the cell {cell!r} is a formula" for cell in _semicolon_cells(folder / name)]
    for name, windows in case.get("table", {}).items():
        found += _outside(folder / name, windows)
    if "journal" in case:
        with Journal(folder) as journal:
            count = len(journal.all_entries())
        found += [f"{count} rows in the journal, not {case['journal']}"] if count != case["journal"] else []
    return found


def _semicolon_cells(path: Path) -> list[str]:
    """Cells that begin as a formula where a spreadsheet takes the semicolon for the separator."""
    with path.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.reader(stream, delimiter=";"))
    return [cell for row in rows for cell in row if cell.strip()[:1] in "=+-@" and cell.strip()]


def _outside(path: Path, windows: dict[str, list[float]]) -> list[str]:
    found = []
    if path.exists():
        with path.open(encoding="utf-8", newline="") as stream:
            for row in csv.DictReader(stream):
                for name, (low, high) in windows.items():
                    if row[name] and not low <= float(row[name]) <= high:
                        found.append(f"{name} {row[name]} is outside {low} to {high}")
    return found
