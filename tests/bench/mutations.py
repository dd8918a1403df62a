"""A sample of single mutations of the package, each tried against the tests that reach its line.

    python -m tests.bench.mutations --map FOLDER --seed 11 --count 100 --out report.json

Every place of the syntax tree where one of OPERATORS applies is a site; the sample is drawn from all sites alike, without
putting back, by `random.Random(seed)`. Left out: docstrings, annotations, `__repr__`, TYPE_CHECKING blocks, the help and
epilogs of the command line (words of help are no answer), and QUICK and QUICK_NAMES, which only say how fast an answer comes.
A string counts as an answer's where it is a sentence (a blank and a letter in it).

FOLDER holds what `coverage` saw of each test: files `cov.*` (one context a test) with `cov.*.json` (its seconds) beside them, as
`tests.bench.reach_of_tests` writes. A map made on an older tree serves where `--mapped` names that tree: lines are followed
to where they stand now. Each mutant stands in a copy of the tree and never in the tree itself; its tests run in stages (a few, then
more), those first that stay most within its file and one of each file between them, and end with the first that fails, in a
process forked from one that has imported the outside packages and nothing of ours.
"""

from __future__ import annotations

import argparse
import ast
import copy
import difflib
import json
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Collection, Iterator
from itertools import pairwise, zip_longest
from pathlib import Path
from typing import Any, NamedTuple

ROOT = Path(__file__).resolve().parents[2]
COPIED = ("glazecalc", "materials", "recipes", "tests", "docs", "training", "pyproject.toml", "README.md", "DEVELOPERS.md",
          "CHANGELOG.md", "LICENSE", ".ci")  # fmt: skip
OUTSIDE = ("numpy", "pandas", "scipy.optimize", "scipy.special", "pydantic", "typer", "typer.testing", "jinja2", "periodictable",
           "hypothesis", "yaml", "starlette.testclient", "tomlkit", "rapidfuzz", "PIL.Image", "sqlite3", "pytest")  # fmt: skip
#: Keywords that change how fast an answer comes or how much memory it takes and never what it is (a cache's size, a
#: dataclass's slots), and the named numbers that say how many rows or bytes are worked on at a time.
QUICK = {"maxsize", "slots"}
FEW = 12
"""With fewer tests that are seen to reach a line, those of its file are tried as well."""
NONE = "no test reaches it"
HOUSE = ["tests/test_house.py::test_values_that_hold_arrays_are_not_compared", "tests/test_house.py::test_what_is_computed_is_frozen"]
"""What reads how a dataclass is written, and so is reached by no line of it."""
STAGES = (5, 25)
"""So many tests are tried before the rest is even collected."""
QUICK_NAMES = {"CHUNK_ROWS", "CHUNK_CELLS", "PARQUET_ROWS", "BLOCK", "_ROWS"}
NOT_ANSWERS = {"help", "epilog", "short_help", "metavar", "rich_help_panel"}
COMPARED: dict[type, type] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
ADDED: dict[type, type] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Mult, ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
}  # fmt: skip


class Site(NamedTuple):
    """One place where one operator applies: the node's number in `ast.walk` order, and which part of it."""

    file: str
    line: int
    operator: str
    node: int
    part: int


def offered(node: ast.AST) -> Iterator[tuple[str, int]]:
    """The operators that apply to a node, each with the part of it that changes."""
    if isinstance(node, ast.Compare):
        yield from (("comparison swapped", i) for i, op in enumerate(node.ops) if type(op) in COMPARED)
    elif isinstance(node, ast.BinOp) and type(node.op) in ADDED:
        yield "arithmetic swapped", 0
    elif isinstance(node, ast.BoolOp):
        yield "and/or swapped", 0
    elif isinstance(node, ast.Constant):
        if isinstance(node.value, bool):
            yield "boolean negated", 0
        elif isinstance(node.value, (int, float)):
            yield "number changed", 0
        elif isinstance(node.value, str) and " " in node.value.strip() and any(c.isalpha() for c in node.value):
            yield "answer's words changed", 0
    elif isinstance(node, (ast.If, ast.While, ast.IfExp)):
        yield "boolean negated", 0
    elif isinstance(node, ast.Return) and node.value is not None:
        if not (isinstance(node.value, ast.Constant) and node.value.value is None):
            yield "return dropped", 0
    elif isinstance(node, ast.Call):
        yield from (
            ("keyword dropped", i)
            for i, word in enumerate(node.keywords)
            if word.arg not in QUICK | NOT_ANSWERS | {None}
        )
    elif isinstance(node, (ast.List, ast.Tuple, ast.Set, ast.Dict)) and not isinstance(
        getattr(node, "ctx", None), ast.Store
    ):
        many = node.keys if isinstance(node, ast.Dict) else node.elts
        if not any(isinstance(one, ast.Slice) for one in many):
            yield from (("line removed", i) for i in range(len(many)) if len(many) > 1)


def left_out(tree: ast.Module) -> set[int]:
    """The ids of nodes that are no site: docstrings, annotations, `__repr__`, TYPE_CHECKING, help, QUICK."""
    out: set[int] = set()
    for node in ast.walk(tree):
        gone: list[ast.AST | None] = []
        if (
            isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef))
            and ast.get_docstring(node) is not None
        ):
            gone.append(node.body[0])
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            gone.append(node)
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            gone.append(node.returns)
            gone += [node] if node.name == "__repr__" else []
        if isinstance(node, (ast.arg, ast.AnnAssign)):
            gone.append(node.annotation)
        if isinstance(node, ast.AnnAssign) and ast.unparse(node.target) in QUICK_NAMES:
            gone.append(node)
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
            gone.append(node)
        if isinstance(node, ast.keyword) and node.arg in QUICK | NOT_ANSWERS:
            gone.append(node)
        if isinstance(node, ast.Call) and ast.unparse(node.func).endswith(("lru_cache", "TypeVar", "cast")):
            gone.append(node)
        if isinstance(node, ast.Subscript) and ast.unparse(node.value).endswith(
            ("Literal", "Annotated", "tuple", "dict", "Callable")
        ):
            gone.append(node.slice)
        for top in gone:
            out |= {id(below) for below in ast.walk(top)} if top is not None else set()
    return out


def sites(root: Path) -> list[Site]:
    """Every site of the package, in the order of its files."""
    found = []
    for path in sorted((root / "glazecalc").rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        gone = left_out(tree)
        for number, node in enumerate(ast.walk(tree)):
            if id(node) not in gone:
                for operator, part in offered(node):
                    changed = node.keywords[part].value if operator == "keyword dropped" else node  # type: ignore[attr-defined]
                    found.append(Site(path.relative_to(root).as_posix(), changed.lineno, operator, number, part))
    return found


def change(node: Any, site: Site, rng: random.Random) -> Any:
    """The node as the mutation makes it: the same object changed, or one to stand in its place."""
    if site.operator == "comparison swapped":
        node.ops[site.part] = COMPARED[type(node.ops[site.part])]()
    elif site.operator == "arithmetic swapped":
        node.op = ADDED[type(node.op)]()
    elif site.operator == "and/or swapped":
        node.op = ast.Or() if isinstance(node.op, ast.And) else ast.And()
    elif site.operator == "boolean negated" and isinstance(node, ast.Constant):
        node.value = not node.value
    elif site.operator == "boolean negated":
        node.test = ast.UnaryOp(ast.Not(), node.test)
    elif site.operator == "number changed":
        node.value = node.value * 2 if node.value and rng.random() < 0.5 else node.value + 1
    elif site.operator == "answer's words changed":
        node.value = "mutated words"
    elif site.operator == "return dropped":
        node.value = ast.Constant(rng.choice([None, 0]))
    elif site.operator == "keyword dropped":
        del node.keywords[site.part]
    elif isinstance(node, ast.Dict):
        del node.keys[site.part], node.values[site.part]
    else:
        del node.elts[site.part]
    return node


def mutated(text: str, site: Site, rng: random.Random) -> tuple[str, str, str]:
    """The file's text with the mutation in it, and the changed piece before and after."""
    tree = ast.parse(text)
    parent = {id(below): node for node in ast.walk(tree) for below in ast.iter_child_nodes(node)}
    node = next(n for i, n in enumerate(ast.walk(tree)) if i == site.node)
    top = node.test if isinstance(node, (ast.If, ast.While)) else node
    up: Any = node
    while (
        up := parent.get(id(up))
    ) is not None:  # places inside an f-string are not told by Python 3.11: take the whole
        top = up if isinstance(up, ast.JoinedStr) else top
    before = ast.unparse(top)
    where = copy.copy(top)
    new = change(node, site, rng)
    if isinstance(node, (ast.If, ast.While)):
        top = new.test
    after = ast.unparse(top)
    held = after if isinstance(top, (ast.stmt, ast.JoinedStr, ast.Constant)) else f"({after})"
    lines = text.encode().splitlines(keepends=True)
    start = sum(map(len, lines[: where.lineno - 1])) + where.col_offset
    end = sum(map(len, lines[: where.end_lineno - 1])) + where.end_col_offset
    whole = text.encode()
    made = (whole[:start] + held.encode() + whole[end:]).decode()
    ast.parse(made)
    return made, before, after


def trees_of(root: Path) -> dict[str, list[str]]:
    """The package's files by name, each as its lines."""
    return {
        p.relative_to(root).as_posix(): p.read_text(encoding="utf-8").splitlines()
        for p in sorted((root / "glazecalc").rglob("*.py"))
    }


def followed(
    old: dict[str, list[str]], new: dict[str, list[str]], seen: Collection[tuple[str, int]]
) -> dict[tuple[str, int], tuple[str, int]]:
    """Where each line of the new tree stood in the old: by a comparison of the files, else by its text where that is alone;
    a line that is new goes with the nearest above that was seen to run."""
    places: dict[str, list[tuple[str, int]]] = defaultdict(list)
    for file, lines in old.items():
        for i, line in enumerate(lines, 1):
            places[line.strip()].append((file, i))
    came: dict[tuple[str, int], tuple[str, int]] = {}
    for file, lines in new.items():
        for i, line in enumerate(lines, 1):
            if len(line.strip()) > 20 and len(places[line.strip()]) == 1:
                came[file, i] = places[line.strip()][0]
        if file in old:
            alike = difflib.SequenceMatcher(None, old[file], lines, autojunk=False)
            for block in alike.get_matching_blocks():
                for k in range(block.size):
                    came[file, block.b + k + 1] = (file, block.a + k + 1)
        last: tuple[str, int] | None = None
        for i in range(1, len(lines) + 1):
            last = came[file, i] if came.get((file, i)) in seen else last
            if last is not None:
                came.setdefault((file, i), last)
    return came


def stored(stmt: ast.stmt) -> set[str]:
    """The names that a statement of a module fills: by assigning them, or by calling one of their methods."""
    found = {n.id for n in ast.walk(stmt) if isinstance(n, ast.Name) and isinstance(n.ctx, ast.Store)}
    return found | {
        n.func.value.id
        for n in ast.walk(stmt)
        if isinstance(n, ast.Call) and isinstance(n.func, ast.Attribute) and isinstance(n.func.value, ast.Name)
    } - {"re", "np"}


class Reach:
    """Which tests reach a line, how many seconds [s] each takes and how many lines of the package and of each file it reaches."""

    def __init__(self, maps: Collection[tuple[Path, Path]], root: Path) -> None:
        self.seconds: dict[str, float] = {}
        self.lines: dict[str, dict[int, set[str]]] = defaultdict(lambda: defaultdict(set))
        self.breadth: Counter[str] = Counter()
        self.within: Counter[tuple[str, str]] = Counter()
        self.trees = {file: ast.parse("\n".join(lines)) for file, lines in trees_of(root).items()}
        for folder, mapped in maps:
            seen = self.read(folder)
            for (file, line), was in followed(trees_of(mapped), trees_of(root), seen).items():
                if was in seen:
                    self.lines[file][line] |= seen[was]

    def read(self, folder: Path) -> dict[tuple[str, int], set[str]]:
        """The tests that reach each line of the tree a map was made on; their seconds and lines are counted."""
        from coverage import CoverageData

        seen: dict[tuple[str, int], set[str]] = defaultdict(set)
        for path in sorted(folder.glob("cov.*")):
            if path.suffix == ".json":
                self.seconds |= json.loads(path.read_text())
                continue
            data = CoverageData(str(path))
            data.read()
            for file in data.measured_files():
                name = "glazecalc/" + file.rsplit("/glazecalc/", 1)[1]
                for line, tests in data.contexts_by_lineno(file).items():
                    named = {test for test in tests if test}
                    seen[name, line] |= named
                    self.breadth.update(named)
                    self.within.update((name, test) for test in named)
        return seen

    def of_span(self, file: str, first: int, last: int) -> set[str]:
        """Tests that reach a line of the span."""
        return {test for line in range(first, last + 1) for test in self.lines[file].get(line, ())}

    def of_name(self, name: str) -> set[str]:
        """Tests that reach a line, inside a function, where the name is used."""
        found: set[str] = set()
        for file, tree in self.trees.items():
            for node in ast.walk(tree):
                if (isinstance(node, ast.Name) and node.id == name) or (
                    isinstance(node, ast.Attribute) and node.attr == name
                ):
                    found |= self.of_span(file, node.lineno, node.end_lineno or node.lineno)
        return found

    def made_of(self, names: set[str]) -> set[str]:
        """The names, and those of the tables that are made of them when a module is imported."""
        for _ in range(3):
            for tree in self.trees.values():
                for stmt in tree.body:
                    told = isinstance(stmt, (ast.FunctionDef, ast.ClassDef, ast.Import, ast.ImportFrom))
                    if not told and any(isinstance(n, ast.Name) and n.id in names for n in ast.walk(stmt)):
                        names = names | stored(stmt)
        return names

    def writes_a_class(self, site: Site) -> bool:
        """Whether a site stands in a dataclass's own line, which says how it is made."""
        made = (d for n in ast.walk(self.trees[site.file]) if isinstance(n, ast.ClassDef) for d in n.decorator_list)
        return any(d.lineno <= site.line <= (d.end_lineno or 0) for d in made)

    def near(self, site: Site) -> set[str]:
        """Tests that reach a site; where they are few, as behind threads, also those that reach anything of its file."""
        found = self.of(site)
        if len(found) < FEW:
            bodies = [n for n in ast.walk(self.trees[site.file]) if isinstance(n, (ast.FunctionDef, ast.AsyncFunctionDef))]
            found |= {test for n in bodies for test in self.of_span(site.file, n.body[0].lineno, n.end_lineno or 0)}
        return found

    def of(self, site: Site) -> set[str]:
        """Tests that reach a site: by its line; what runs at import by its function's body or by the uses of its name."""
        nodes = [
            n
            for n in ast.walk(self.trees[site.file])
            if isinstance(n, ast.stmt) and n.lineno <= site.line <= (n.end_lineno or 0)
        ]
        around = [n for n in nodes if isinstance(n, (ast.FunctionDef, ast.AsyncFunctionDef))]
        if around and any(part.lineno <= site.line <= (part.end_lineno or 0) for part in around[-1].body):
            inner = nodes[-1]
            last = site.line if hasattr(inner, "body") else inner.end_lineno or site.line
            return self.of_span(site.file, min(inner.lineno, site.line), last)
        found = self.of_span(site.file, around[-1].body[0].lineno, around[-1].end_lineno or 0) if around else set()
        top = nodes[0] if nodes else None
        names = {top.name} if isinstance(top, (ast.ClassDef, ast.FunctionDef)) else stored(top) if top else set()
        for name in self.made_of(names):
            found |= self.of_name(name)
        if not found:
            bodies = [n for n in ast.walk(self.trees[site.file]) if isinstance(n, ast.FunctionDef)]
            found = {test for n in bodies for test in self.of_span(site.file, n.body[0].lineno, n.end_lineno or 0)}
        return found

    def chosen(self, site: Site, budget_s: float) -> list[str]:
        """The site's tests until their time is spent: in turn the one that stays most in the site's file, and the next file's."""
        within = {test: self.within[site.file, test] / self.breadth[test] for test in self.near(site) & self.seconds.keys()}
        near = sorted(within, key=lambda test: (-within[test], self.seconds[test], test))
        files: dict[str, list[str]] = defaultdict(list)
        for test in near:
            files[test.split("::")[0]].append(test)
        spread = [test for turn in zip_longest(*files.values()) for test in turn if test]
        out, spent = [], 0.0
        for test in dict.fromkeys(test for pair in zip(near, spread, strict=True) for test in pair):
            if not out or spent + self.seconds[test] <= budget_s:
                spent += self.seconds[test]
                out.append(test)
        return out


class Only:
    """Lets pytest run these tests and no other, in this order; says which failed."""

    def __init__(self, tests: list[str], said: Path) -> None:
        self.order, self.said = {test: i for i, test in enumerate(tests)}, said

    def pytest_collection_modifyitems(self, items: list[Any]) -> None:
        """Keep the chosen."""
        items[:] = sorted(
            (item for item in items if item.nodeid in self.order), key=lambda item: self.order[item.nodeid]
        )

    def pytest_collectreport(self, report: Any) -> None:
        """Note a file that cannot even be read."""
        if report.failed and not self.said.exists():
            self.said.write_text(report.nodeid)

    def pytest_runtest_logreport(self, report: Any) -> None:
        """Note the first that failed."""
        if report.failed:
            self.said.write_text(report.nodeid)


def run_tests(tree: Path, tests: list[str], seconds: float) -> tuple[str, str]:
    """Run tests in a fork: ("survived" | "killed" | "out of time", by which test)."""
    said = tree / "said.txt"
    said.unlink(missing_ok=True)
    child = os.fork()
    if child == 0:
        os.setsid()
        null = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1, 2):
            os.dup2(null, stream)
        import pytest

        files = sorted({test.split("::")[0] for test in tests})
        words = [
            "-x",
            "-q",
            "-p",
            "no:cacheprovider",
            "-p",
            "no:xdist",
            "-o",
            "addopts=--import-mode=importlib",
            *files,
        ]
        code = 70
        try:
            code = int(pytest.main(words, plugins=[Only(tests, said)]))
        finally:
            os._exit(code)
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            code = os.waitstatus_to_exitcode(status)
            by = said.read_text() if said.exists() else f"pytest ended with {code}" if code else ""
            return ("survived" if code == 0 else NONE if code in (4, 5) else "killed"), by
        time.sleep(0.05)
    os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return "out of time", ""


def copied(folder: Path) -> Path:
    """A copy of the tree, where mutants stand."""
    for name in COPIED:
        whole = ROOT / name
        if whole.is_dir():
            shutil.copytree(whole, folder / name, dirs_exist_ok=True)
        elif whole.exists():
            shutil.copy2(whole, folder / name)
    return folder


def main() -> None:
    """Draw, try and report."""
    asked = argparse.ArgumentParser(description="A sample of mutations.")
    asked.add_argument("--map", type=Path, action="append", required=True, help="more than one may be given")
    asked.add_argument("--mapped", type=Path, action="append", help="the tree each map was made on; without it this one")
    asked.add_argument("--seed", type=int, default=11)
    asked.add_argument("--count", type=int, default=100)
    asked.add_argument("--first", type=int, default=0, help="of those drawn, begin with this one; so two may share a draw")
    asked.add_argument("--last", type=int, default=None, help="and end before this one")
    asked.add_argument("--budget", type=float, default=150.0, help="seconds of tests a mutant")
    asked.add_argument("--limit", type=float, default=300.0, help="seconds until a mutant is given up")
    asked.add_argument("--out", type=Path, default=Path("mutations.json"))
    asked.add_argument(
        "--again", type=Path, help="a report of this same tree: try again, with this map, those that no test killed"
    )
    got = asked.parse_args()
    if got.again:
        drawn = [
            Site(*(one[field] for field in Site._fields))
            for one in json.loads(got.again.read_text())
            if one["ended"] != "killed"
        ]
    else:
        drawn = random.Random(got.seed).sample(sites(ROOT), got.count)
    drawn = drawn[got.first : got.last]
    out = got.out.resolve()
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        tree = copied(Path(folder))
        mapped = [path.resolve() for path in got.mapped or [ROOT] * len(got.map)]
        reach = Reach([*zip([path.resolve() for path in got.map], mapped, strict=True)], tree)
        os.environ |= {"PYTHONDONTWRITEBYTECODE": "1", "PYTHONPATH": str(tree), "OPENBLAS_NUM_THREADS": "1"}
        sys.dont_write_bytecode = True
        os.chdir(tree)
        sys.path[:] = [str(tree), *(p for p in sys.path if p not in ("", str(ROOT)))]
        for name in [n for n in sys.modules if n == "tests" or n.startswith("tests.")]:
            del sys.modules[name]
        for name in OUTSIDE:
            __import__(name)
        assert not any(name.startswith("glazecalc") for name in sys.modules)
        told: list[dict[str, Any]] = []
        for number, site in enumerate(drawn):
            path = tree / site.file
            text = path.read_text(encoding="utf-8")
            made, before, after = mutated(text, site, random.Random(f"{got.seed} {site}"))
            tests = reach.chosen(site, got.budget) + (HOUSE if reach.writes_a_class(site) else [])
            for stale in path.parent.glob(f"__pycache__/{path.stem}.*.pyc"):
                stale.unlink()
            began = time.monotonic()
            path.write_text(made, encoding="utf-8")
            ended, by = NONE, ""
            for first, last in pairwise((0, *STAGES, len(tests))):
                if tests[first:last] and ended in (NONE, "survived"):
                    rest, by = run_tests(tree, tests[first:last], got.limit)
                    ended = ended if rest == NONE else rest
            path.write_text(text, encoding="utf-8")
            told.append(site._asdict() | {"before": before[:300], "after": after[:300], "tests": len(tests), "ended": ended, "by": by,
                                          "seconds": round(time.monotonic() - began, 1)})  # fmt: skip
            print(number + 1, ended, f"{site.file}:{site.line}", site.operator, told[-1]["seconds"], by, flush=True)
            out.write_text(json.dumps(told, indent=1), encoding="utf-8")
        print(dict(Counter(one["ended"] for one in told)))


if __name__ == "__main__":
    main()
