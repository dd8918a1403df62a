"""The house keeps its shape: floors import downwards, doors are kept, files and functions stay small."""

from __future__ import annotations

import ast
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from glazecalc.cli.main import IN_SHORT, main

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "glazecalc"
FILES = sorted(PACKAGE.rglob("*.py"))

MAY_IMPORT = {
    "values": set(),
    "chemistry": {"values"},
    "models": {"values", "chemistry"},
    "files": {"values"},
    "render": {"values"},
    "jobs": {"values", "chemistry", "models", "files"},
    "page": {"values", "files", "render", "jobs"},
    "cli": {"values", "chemistry", "models", "files", "render", "jobs", "api", "page"},
}
DOORS = {
    "typer": {"cli"},
    "periodictable": {"chemistry/oxides.py"},
    "pydantic": {"values/inputs.py", "files"},
    "pandas": {"jobs/screening"},
    "pyarrow": {"jobs/screening/arrow.py"},
    "scipy": {"jobs"},
    "jinja2": {"render"},
    "sqlite3": {"files"},
    "starlette": {"page"},
    "uvicorn": {"page/server.py"},
    "segno": {"page/server.py"},
    "tomlkit": {"files"},
    "rapidfuzz": {"jobs/materials.py"},
    "PIL": {"files/photos.py", "render/figures/png.py"},
}


def imports(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module


def test_rooms_import_downwards_only() -> None:
    inside = [path for path in FILES if len(path.relative_to(PACKAGE).parts) > 1]
    assert len(inside) > 50
    for path in inside:
        room = path.relative_to(PACKAGE).parts[0]
        for name in imports(path):
            if name.startswith("glazecalc."):
                assert name.split(".")[1] in MAY_IMPORT[room] | {room}, f"{path} imports {name}"
            assert name.split(".")[0] != "training", f"{path} imports {name}"


def test_outside_packages_have_one_door() -> None:
    for path in FILES:
        where = path.relative_to(PACKAGE).as_posix()
        for name in imports(path):
            doors = DOORS.get(name.split(".")[0])
            if doors is not None:
                assert any(where == door or where.startswith(door + "/") for door in doors), f"{where} imports {name}"


@pytest.mark.parametrize("package", DOORS)
def test_every_door_is_used(package: str) -> None:
    for door in DOORS[package]:
        place = PACKAGE / door
        behind = [place] if place.is_file() else sorted(place.rglob("*.py"))
        used = {name.split(".")[0] for path in behind for name in imports(path)}
        assert package in used, f"{door} has no need of {package}"


def test_files_are_short_and_documented() -> None:
    for path in FILES:
        text = path.read_text(encoding="utf-8")
        assert text.count("\n") <= 750, path
        assert ast.get_docstring(ast.parse(text)), f"{path}: a module says what it is for"


def test_functions_are_short() -> None:
    long = []
    for path in FILES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef):
                first = node.body[1] if ast.get_docstring(node) and len(node.body) > 1 else node.body[0]
                lines = (node.end_lineno or 0) - first.lineno + 1  # a command's options and a docstring do not count
                if lines > 50:
                    long.append(f"{path.relative_to(PACKAGE)}:{node.lineno} {node.name} ({lines} lines)")
    assert not long


def test_no_drawers() -> None:
    drawers = {"utils", "util", "helpers", "common", "core", "manager", "misc"}
    assert not [p for p in FILES if p.stem in drawers or set(p.relative_to(PACKAGE).parts) & drawers]


def test_import_contracts() -> None:
    found = subprocess.run(
        [sys.executable, "-c", "from importlinter.cli import lint_imports_command; lint_imports_command()", "--no-cache"],
        cwd=ROOT, capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert found.returncode == 0, found.stdout + found.stderr


@pytest.fixture(scope="module")
def studio_with_a_journal(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo studio with tiles, a firing and a batch, so that a check learns from all of them."""
    folder = tmp_path_factory.mktemp("house") / "studio"
    shutil.copytree(ROOT / "recipes", folder)
    seen = [w for at in ("1:00=250C", "3:00=640C", "5:00=880C", "8:00=1090C", "9:30=1150C") for w in ("--at", at)]
    for words in (
        ["tile", "shoal-clear", "--result", "sound"], ["tile", "brine-crackle", "--result", "crazed"],
        ["firing", "--kiln", "Shed kiln", "--hours", "9.5", *seen], ["batch", "shoal-clear", "--dry", "500g"],
    ):  # fmt: skip
        assert main(["record", *words, "--studio", str(folder)]) == 0
    return folder


@pytest.mark.parametrize("journal", [False, True], ids=["", "with a journal"])
@pytest.mark.parametrize("command", ["check", "formula", "weigh"])
def test_light_commands_stay_light(command: str, journal: bool, studio_with_a_journal: Path) -> None:
    extra = ["--dry", "500g"] if command == "weigh" else []
    studio = studio_with_a_journal if journal else ROOT / "recipes"
    program = (
        "import sys; from glazecalc.cli.main import main; "
        f"code = main({[command, str(studio / 'shoal-clear.txt'), *extra]!r}); "
        "print(code, [m for m in ('pandas', 'pyarrow', 'scipy', 'PIL', 'jinja2', 'starlette', 'uvicorn', 'tomlkit') if m in sys.modules], file=sys.stderr)"
    )
    found = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, timeout=60, check=False
    )
    code, loaded = found.stderr.strip().splitlines()[-1].split(" ", 1)
    assert code == "0", found.stderr
    assert loaded == "[]"
    assert ("learned" in found.stdout) is (journal and command == "check")


TOLD = {
    "sentence", "sentences", "message", "messages", "reasons", "notes", "steps", "next_steps", "cautions", "caveats",
    "remarks", "warnings", "marks", "differences", "because", "shown", "why", "stage", "to_bucket", "hint", "way_out",
}  # fmt: skip
"""Fields of results and tables that hold finished sentences: they are shown, never read again."""
READS = {
    "startswith", "endswith", "removeprefix", "removesuffix", "replace", "split", "rsplit", "partition", "rpartition",
    "find", "index", "casefold", "lower",
}  # fmt: skip


def _told(node: ast.AST, names: set[str]) -> bool:
    """Whether an expression is such a field, or a name that runs over one."""
    return (isinstance(node, ast.Attribute) and node.attr in TOLD) or (isinstance(node, ast.Name) and node.id in names)


def sentences_read(tree: ast.AST) -> Iterator[int]:
    """Lines where a finished sentence is searched, cut or changed."""
    for scope in (n for n in ast.walk(tree) if isinstance(n, ast.FunctionDef | ast.GeneratorExp | ast.ListComp)):
        loops = [n for n in ast.walk(scope) if isinstance(n, ast.For | ast.comprehension)]
        names = {n.target.id for n in loops if isinstance(n.target, ast.Name) and _told(n.iter, set())}
        for node in ast.walk(scope):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
                cut = node.func.attr in READS and _told(node.func.value, names)
                by_pattern = any(_told(a, names) for a in node.args) and (
                    isinstance(node.func.value, ast.Name)
                    and (node.func.value.id == "re" or node.func.value.id.isupper())
                )
                if cut or by_pattern:
                    yield node.lineno
            elif (
                isinstance(node, ast.Compare)
                and isinstance(node.ops[0], ast.In | ast.NotIn)
                and (isinstance(node.left, ast.Constant | ast.JoinedStr) or _told(node.left, names))
                and _told(node.comparators[0], names)
            ):
                yield node.lineno


def test_no_finished_sentence_is_read_again() -> None:
    found = {(p.relative_to(PACKAGE).as_posix(), n) for p in FILES for n in sentences_read(ast.parse(p.read_text()))}
    assert not found


@pytest.mark.parametrize(
    "code",
    [
        "def f(v): return v.message.startswith('Do not')",
        "def f(e): return [c for c in e.caveats if c.startswith('mean')]",
        "def f(m): return 'soluble' in m.notes",
        "def f(s): return re.sub('a', 'b', s.sentence)",
        "def f(v, s): return v.message not in s.sentence",
    ],
)
def test_a_sentence_read_again_is_found(code: str) -> None:
    assert list(sentences_read(ast.parse(code)))


PATTERNS_IN_RENDER = {"words.py", "page.py", "figures/drawing.py"}
"""Where render may use patterns: for signs a terminal or an XML file cannot hold, and for HTML that is laid out. What
is told in another unit or left out of a room is a part of its text (``values/texts.py``)."""


def test_no_pattern_touches_a_sentence_in_render() -> None:
    render = PACKAGE / "render"
    assert {p.relative_to(render).as_posix() for p in render.rglob("*.py") if "re" in imports(p)} == PATTERNS_IN_RENDER


COMMAND = re.compile(rf"\w.*\bglazecalc (?:{'|'.join(IN_SHORT)})\b|(?<=\S) with --[a-z]")


def unmarked(tree: ast.AST) -> Iterator[int]:
    """Lines of sentences that name a command without marking it as what is typed, and of phrases filled in before."""
    calls = [n for n in ast.walk(tree) if isinstance(n, ast.Call) and isinstance(n.func, ast.Name)]
    marked = {id(a) for n in calls if n.func.id == "typed" for arg in n.args for a in ast.walk(arg)}
    yield from (n.lineno for n in calls if n.func.id == "phrase" and isinstance(n.args[0], ast.JoinedStr | ast.BinOp))
    inside = {id(part) for n in ast.walk(tree) if isinstance(n, ast.JoinedStr) for part in ast.walk(n) if part is not n}
    for node in ast.walk(tree):
        if id(node) in marked | inside or not isinstance(node, ast.JoinedStr | ast.Constant):
            continue
        parts = node.values if isinstance(node, ast.JoinedStr) else [node]
        words = "".join(p.value if isinstance(p, ast.Constant) and isinstance(p.value, str) else "_" for p in parts)
        if "\n" not in words and COMMAND.search("".join(words.split("|")[::2])):
            yield node.lineno


def test_what_is_typed_in_a_terminal_is_marked() -> None:
    """A room of the page leaves it out: by its mark, never by a pattern."""
    rooms = [p for p in FILES if p.relative_to(PACKAGE).parts[0] in ("jobs", "files", "models", "page")]
    assert not {(p.relative_to(PACKAGE).as_posix(), n) for p in rooms for n in unmarked(ast.parse(p.read_text()))}


@pytest.mark.parametrize(
    "code",
    [
        "hint = 'make one with: glazecalc start DIR'",
        "hint = f'see {name} by glazecalc check'",
        "hint = phrase('name one| with --cone|, or see glazecalc kiln')",
        "hint = 'name one with --cone'",
        "hint = phrase(f'for {name}|: glazecalc kiln|')",
    ],
)
def test_an_unmarked_command_is_found(code: str) -> None:
    assert list(unmarked(ast.parse(code)))


#: Python documents these as "Availability: Unix" (docs.python.org/3.11/library/os.html, /signal.html) or as modules of
#: Unix alone (/unix.html): on Windows to name one is an AttributeError or a ModuleNotFoundError.
UNIX_CALLS = {"os": {"geteuid", "getuid", "getegid", "getgid", "fork", "mkfifo", "killpg", "setsid", "getpgid", "uname", "chown"},
              "signal": {"SIGKILL", "SIGXFSZ", "SIGPIPE", "SIGALRM", "SIGUSR1", "setitimer", "alarm"}}  # fmt: skip
UNIX_MODULES = {"fcntl", "resource", "pwd", "grp", "termios", "tty", "pty", "syslog", "posix"}


def run_at_import(node: ast.AST) -> Iterator[ast.AST]:
    """The parts of a module that run when it is imported; a test of hasattr before a call guards it."""
    for below in ast.iter_child_nodes(node):
        if isinstance(below, (ast.FunctionDef, ast.AsyncFunctionDef, ast.Lambda)):
            for part in (*getattr(below, "decorator_list", ()), *below.args.defaults, *below.args.kw_defaults):
                if part is not None:
                    yield part
                    yield from run_at_import(part)
        elif not (isinstance(below, (ast.If, ast.IfExp, ast.BoolOp)) and "hasattr(" in ast.unparse(below)):
            yield below
            yield from run_at_import(below)


def unix_only(text: str) -> list[str]:
    """What a module would fall over on Windows before a test of it could be skipped."""
    found = []
    for node in run_at_import(ast.parse(text)):
        if (
            isinstance(node, ast.Attribute)
            and isinstance(node.value, ast.Name)
            and node.attr in UNIX_CALLS.get(node.value.id, ())
        ):
            found.append(f"{node.lineno}: {node.value.id}.{node.attr}")
        elif isinstance(node, ast.Import):
            found += [f"{node.lineno}: {alias.name}" for alias in node.names if alias.name in UNIX_MODULES]
        elif isinstance(node, ast.ImportFrom) and node.module in UNIX_MODULES:
            found.append(f"{node.lineno}: {node.module}")
    return found


def test_every_module_and_every_test_can_be_imported_on_windows() -> None:
    assert unix_only("import os\nx = os.geteuid() == 0") == ["2: os.geteuid"]
    assert unix_only("import os\n@skipif(os.getuid() == 0)\ndef f(): os.fork()") == ["2: os.getuid"]
    assert not unix_only("import os\nx = hasattr(os, 'geteuid') and os.geteuid() == 0\ndef f():\n    import fcntl")
    paths = [*FILES, *sorted((ROOT / "tests").rglob("*.py")), *sorted((ROOT / "training").rglob("*.py"))]
    assert not {
        str(path.relative_to(ROOT)): found for path in paths if (found := unix_only(path.read_text(encoding="utf-8")))
    }


def test_values_that_hold_arrays_are_not_compared() -> None:
    """numpy: "The truth value of an array with more than one element is ambiguous", so a generated __eq__ would raise."""
    held = 0
    for path in (*FILES, *(ROOT / "training").glob("*.py")):
        for node in (n for n in ast.walk(ast.parse(path.read_text(encoding="utf-8"))) if isinstance(n, ast.ClassDef)):
            made = [ast.unparse(d) for d in node.decorator_list if "dataclass" in ast.unparse(d)]
            types = [ast.unparse(one.annotation) for one in node.body if isinstance(one, ast.AnnAssign)]
            if made and any(re.search(r"\b(Array|NDArray|ndarray|Mask|Parts)\b", one) for one in types):
                held += 1
                assert "eq=False" in made[0], f"{path.relative_to(ROOT)}: {node.name}"
    assert held > 40


MADE_STEP_BY_STEP = {"glazecalc/jobs/screening/rows.py"}
"""Files of values that are filled row by row."""


def test_what_is_computed_is_frozen() -> None:
    """A result that a caller can change is no longer what was computed: so says DEVELOPERS.md."""
    frozen = 0
    for path in FILES:
        name = path.relative_to(ROOT).as_posix()
        if path.relative_to(PACKAGE).parts[0] in ("values", "chemistry", "models", "jobs", "render") and name not in MADE_STEP_BY_STEP:
            for node in (n for n in ast.walk(ast.parse(path.read_text(encoding="utf-8"))) if isinstance(n, ast.ClassDef)):
                for made in (ast.unparse(d) for d in node.decorator_list if "dataclass" in ast.unparse(d)):
                    assert "frozen=True" in made, f"{name}: {node.name}"
                    frozen += 1
    assert frozen > 100
