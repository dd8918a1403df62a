"""Seeded inputs for every command: a studio that somebody may have, and a line typed into it, half of them hostile.

What is true of a studio's clean cards is kept beside them (:class:`Card`), worked out here from the shipped table and
molmass (C. Gohlke), not by the program. Materials, names and figures are invented.
"""

from __future__ import annotations

import csv
import random
import shutil
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from glazecalc.cli.main import program
from glazecalc.files.journal import Journal
from glazecalc.values.data import data_root
from glazecalc.values.records import FiringRecord, TileRecord, TileResult

ATOMS_PER_OXIDE = {
    "Si": ("SiO2", 1), "Al": ("Al2O3", 2), "B": ("B2O3", 2), "Li": ("Li2O", 2), "Na": ("Na2O", 2), "K": ("K2O", 2),
    "Mg": ("MgO", 1), "Ca": ("CaO", 1), "Sr": ("SrO", 1), "Ba": ("BaO", 1), "Zn": ("ZnO", 1), "Ti": ("TiO2", 1),
    "Zr": ("ZrO2", 1), "Hf": ("HfO2", 1), "Fe": ("Fe2O3", 2), "Mn": ("MnO", 1), "P": ("P2O5", 2), "Pb": ("PbO", 1),
    "Cr": ("Cr2O3", 2), "V": ("V2O5", 2), "Sn": ("SnO2", 1), "Co": ("CoO", 1), "Cu": ("CuO", 1), "Cd": ("CdO", 1),
}  # fmt: skip
"""Element: the oxide it is counted as, and its atoms in one."""
BASE = ("Silica", "Kaolin", "Ball clay", "Potash feldspar", "Soda feldspar", "Nepheline syenite", "Whiting", "Dolomite",
        "Talc", "Wollastonite", "Zinc oxide", "Frit, high-calcium borosilicate", "Spodumene", "Strontium carbonate",
        "Bone ash", "Bentonite")  # fmt: skip
ADDED = (
    "Red iron oxide",
    "Cobalt carbonate",
    "Tin oxide",
    "Titania",
    "Zircon",
    "Manganese dioxide",
    "Chrome oxide",
    "Rutile",
)
HARMFUL = ("Barium carbonate", "Red lead", "Own soft frit", "Own yellow stain", "Own barium frit")
OWN: dict[str, dict[str, float]] = {
    "Own soft frit": {"SiO2": 38, "Al2O3": 2, "PbO": 60}, "Own yellow stain": {"SiO2": 60, "ZrO2": 20, "CdO": 20},
    "Own barium frit": {"SiO2": 50, "Al2O3": 10, "BaO": 40}, "石英": {"SiO2": 99, "Al2O3": 1},
    "長石": {"SiO2": 66, "Al2O3": 19, "K2O": 12, "Na2O": 3}, "Кварц": {"SiO2": 97, "Fe2O3": 1},
    "Frit <b>&amp;</b>": {"SiO2": 50, "B2O3": 20, "CaO": 30}, "Frit; =1+1": {"SiO2": 50, "B2O3": 20, "Na2O": 30},
}  # fmt: skip
METALS = {"PbO": "lead", "CdO": "cadmium", "BaO": "barium"}
WORTH_NAMING = 1.0
"""Weight % of the fired glaze from which a metal must be named, whatever the program's own thresholds."""

NUMBERS = ("nan", "inf", "-inf", "-5", "0", "1e999", "9" * 300, "1e-30", "5kgg", "", "=1+1", "½", "٣", "1,5", "0x10", " ",
           "💧", "1/0", "--5", "5;6", "1e5g", "0.0001g", "12 parsecs", "1:2:3:4", "５００ｇ")  # fmt: skip
NAMES = ("石英", "'; DROP TABLE entries; --", "<script>alert(1)</script>", "a" * 3000, "\x1b[31mred", "..", "../../etc/passwd",
         "-", "--", "\u202exod", "%s%s%n", "{0}", "${HOME}", "con", "", " ", "!!!", "=cmd|'/c calc'!A1", "café", "🏺", "\n", "/",
         "/dev/null", "~", "*", "\u0000x".strip("\u0000"), "Shoal clear\u200b", "SHOAL CLEAR", "shoal-clear.txt.txt")  # fmt: skip


@dataclass(frozen=True)
class Card:
    """A card of a fuzzed studio; ``lines`` (material, amount, addition) are what it truly says, None where hostile."""

    file: str
    lines: tuple[tuple[str, float, bool], ...] | None = None
    title: str = ""

    @property
    def stem(self) -> str:
        return self.file.removesuffix(".txt")


@dataclass(frozen=True)
class Input:
    """One line typed; ``cards`` are those it names, clean ones only where ``sure`` of what it should do."""

    command: str
    words: tuple[str, ...]
    cards: tuple[Card, ...] = ()
    sure: bool = False
    stdin: bytes | None = b""
    asked_g: float | None = None


@dataclass
class FuzzStudio:
    """A studio on disk, copied for every input."""

    folder: Path
    clean: list[Card] = field(default_factory=list)
    hostile: list[Card] = field(default_factory=list)
    rows: int = 0


@cache
def oxides_of(material: str) -> dict[str, float]:
    """Moles of each oxide in 100 g of a material, from its row and molmass alone."""
    from molmass import Formula

    if material in OWN:
        return {ox: wt / Formula(ox).mass for ox, wt in OWN[material].items()}
    with (data_root() / "materials" / "materials.csv").open(encoding="utf-8", newline="") as stream:
        row = next(r for r in csv.DictReader(stream) if r["name"] == material)
    if row["formula"]:
        mass, found = Formula(row["formula"]).mass, Formula(row["formula"]).composition()
        parts = ((ATOMS_PER_OXIDE[el], item.count) for el, item in found.items() if el in ATOMS_PER_OXIDE)
        return {oxide: 100 / mass * count / atoms for (oxide, atoms), count in parts}
    oxides = [oxide for oxide, _ in ATOMS_PER_OXIDE.values()]
    return {ox: float(row[ox]) / Formula(ox).mass for ox in oxides if row.get(ox)}


def moles_of(card: Card) -> dict[str, float]:
    """Moles of each oxide in the fired glaze of a clean card, in its own parts."""
    moles: dict[str, float] = {}
    for material, amount, _ in card.lines or ():
        for oxide, n in oxides_of(material).items():
            moles[oxide] = moles.get(oxide, 0.0) + amount / 100 * n
    return moles


def metals_in(card: Card) -> set[str]:
    """The metals that an answer about the card must name."""
    from molmass import Formula

    weights = {ox: n * Formula(ox).mass for ox, n in moles_of(card).items()}
    whole = sum(weights.values())
    return {word for ox, word in METALS.items() if whole and 100 * weights.get(ox, 0) / whole >= WORTH_NAMING}


def make_studio(rng: random.Random, folder: Path) -> FuzzStudio:
    """A studio with clean and hostile cards, own materials and a journal."""
    shutil.copytree(data_root() / "recipes", folder)
    made = FuzzStudio(folder)
    symbols = sorted({ox for row in OWN.values() for ox in row})
    with (folder / "materials.csv").open("w", encoding="utf-8", newline="") as stream:
        table = csv.writer(stream)
        table.writerow(["name", *symbols, "hazards"])
        for name, row in OWN.items():
            table.writerow([name, *(row.get(s, "") for s in symbols), rng.choice(["", "none", "silica_dust"])])
    for number in range(6):
        card = _clean_card(rng, number)
        _write_card(folder, card, rng)
        made.clean.append(card)
    for number in range(6):
        name = f"bad{number}.txt"
        (folder / name).write_bytes(_spoilt((folder / rng.choice(made.clean).file).read_bytes(), rng))
        made.hostile.append(Card(name))
    (folder / "oxides.txt").write_text(
        "name: Oxides\nkind: composition\nbasis: mole\ncone: 6\n\nSiO2 60\nPbO 20\nCaO 20\n"
    )
    (folder / "jar.txt").write_text("name: Jar\nkind: bought\ncone: 5-6\n")
    made.hostile += [Card("oxides.txt"), Card("jar.txt"), Card("nothing.txt"), Card("studio.toml"), Card("-")]
    made.rows = _journal(rng, folder)
    return made


def _clean_card(rng: random.Random, number: int) -> Card:
    base = (
        rng.sample(BASE, rng.randint(3, 6))
        + rng.sample(HARMFUL, rng.choice([0, 0, 1]))
        + rng.sample(list(OWN), rng.choice([0, 0, 1]))
    )
    lines = [(name, round(rng.uniform(3, 40), 1), False) for name in dict.fromkeys(base)]
    lines += [(name, round(rng.uniform(0.5, 6), 1), True) for name in rng.sample(ADDED, rng.choice([0, 1, 2]))]
    title = rng.choice(["Reef", "<b>Reef</b>", "=Reef", "珊瑚", "Reef; =1+1", "Reef\tx"]) + f" {number}"
    return Card(f"card{number}.txt", tuple(lines), title)


def _write_card(folder: Path, card: Card, rng: random.Random) -> None:
    lines = [f"{'+ ' if added else ''}{name}    {amount:g}" for name, amount, added in card.lines or ()]
    head = f"name: {card.title}\ncone: {rng.choice(['6', '06', '5', '10', '04'])}\n\n"
    (folder / card.file).write_text(head + "\n".join(lines) + "\n", encoding="utf-8")


def _spoilt(data: bytes, rng: random.Random) -> bytes:
    """A card after an accident or with ill will."""
    way = rng.randrange(9)
    at, length = rng.randrange(len(data)), rng.randrange(1, 30)
    if way == 0:
        return data[:at] + data[at + length :]
    if way == 1:
        return data[:at] + rng.randbytes(length) + data[at:]
    if way == 2:
        return data + rng.choice(NAMES).encode() + b" " + rng.choice(NUMBERS).encode() + b"\n"
    if way == 3:
        return data.decode().encode("utf-16")
    if way == 4:
        lines = data.splitlines()
        rng.shuffle(lines)
        return b"\n".join(lines)
    if way == 5:
        return data.replace(b"    ", rng.choice([b",", b";", b"\t", b" - ", b"......", b" = "]))
    if way == 6:
        return data.replace(b".", b",")
    if way == 7:
        return data + data
    return data.replace(b"\n", rng.choice([b"\r", b"\r\n", b"\n\n", b" | "]))


def _journal(rng: random.Random, folder: Path) -> int:
    count = rng.choice([0, 3, 8])
    with Journal(folder) as journal:
        for _ in range(count):
            results = rng.choice([(), (TileResult.SOUND,), (TileResult.CRAZED,), (TileResult.SHIVERED,)])
            journal.record(TileRecord(glaze=rng.choice(["Shoal clear", "Jar", "石", "=1+1"]), body="Harbour stoneware",
                                      cone="6", results=results, note=rng.choice(["", "a;=1+1", "x\n=1"])))  # fmt: skip
        if count:
            journal.record(FiringRecord(kiln="Shed kiln", hours=rng.choice([6.0, 9.5]), date="2026-05-01"))
    return count + bool(count)


# A line for each command.

Make = Callable[[random.Random, FuzzStudio], Input]


def commands() -> list[str]:
    """Every command of the program, those of a group as `record tile`."""
    app = program()
    found = [str(command.name) for command in app.registered_commands]
    for group in app.registered_groups:
        assert group.typer_instance is not None
        found += [f"{group.name} {command.name}" for command in group.typer_instance.registered_commands]
    return found


def _some(rng: random.Random, *options: tuple[str, ...] | str) -> list[str]:
    """Some of the options, each as its words."""
    words: list[str] = []
    for option in rng.sample(options, rng.randint(0, min(3, len(options)))):
        words += [option] if isinstance(option, str) else list(option)
    return words


def _where(rng: random.Random) -> list[str]:
    return _some(
        rng,
        ("--body", rng.choice(["Harbour stoneware", "Dune earthenware", "gull porcelain"])),
        ("--kiln", rng.choice(["Shed kiln", "Guild kiln"])),
        ("--circuit", rng.choice(["Shed outlet", "Kitchen outlet", "Guild wall"])),
        ("--cone", rng.choice(["6", "06", "10", "022", "14", "04"])),
    )


def _ending(rng: random.Random, *more: str) -> list[str]:
    return rng.choice([[], [], ["--json"], ["--units", "us"], *([m] for m in more)])


def _spoil(rng: random.Random, words: list[str]) -> list[str]:
    """The words with one thing wrong."""
    way, at = rng.randrange(6), rng.randrange(1, len(words)) if len(words) > 1 else 0
    if way == 0 and at:
        return [*words[:at], rng.choice(NUMBERS), *words[at + 1 :]]
    if way == 1 and at:
        return [*words[:at], rng.choice(NAMES), *words[at + 1 :]]
    if way == 2:
        return [*words, rng.choice(["--no-such", "--cone", "--json", "--strict", "--units", "--studio", "-h"])]
    if way == 3:
        return [*words, "--cone", rng.choice(["15", "1222C", "nan", "six", "-6", "06-15", ""])]
    if way == 4:
        return [*words, rng.choice(NAMES)]
    return [*words, "--studio", rng.choice(["nowhere", "card0.txt", "/dev/null", "", "\u202e"])]


def _typed(command: str, rng: random.Random, studio: FuzzStudio, cards: int, options: Callable[[], list[str]], *,
           least: int | None = None) -> Input:  # fmt: skip
    """A line with cards and options; half of the lines are clean."""
    count = rng.randint(least if least is not None else cards, cards)
    if rng.random() < 0.55:
        named = rng.sample(studio.clean, count)
        words = [*command.split(), *(rng.choice([c.file, c.stem]) for c in named), *options()]
        return Input(command, tuple(words), tuple(named), True)
    named = [rng.choice([*studio.clean, *studio.hostile, *studio.hostile]) for _ in range(count)]
    words = [*command.split(), *(c.file for c in named), *options()]
    if rng.random() < 0.6:
        words = [*command.split(), *_spoil(rng, words[len(command.split()) - 1 :])[1:]]
    return Input(
        command, tuple(words), (), False, stdin=rng.choice([b"", b"Silica 50\nWhiting 50\n", b"\xff\xfe", None])
    )


def _check(rng: random.Random, s: FuzzStudio) -> Input:
    return _typed("check", rng, s, 2, lambda: [*_where(rng), *_ending(rng, "--full")], least=1)


def _formula(rng: random.Random, s: FuzzStudio) -> Input:
    def extra() -> list[str]:
        return _some(rng, ("--basis", rng.choice(["unity", "mole", "weight"])), "--explain", "--models")

    return _typed("formula", rng, s, 1, lambda: [*extra(), *rng.choice([["--json"], []])])


def _weigh(rng: random.Random, s: FuzzStudio) -> Input:
    grams = rng.choice([50, 100, 333.3, 500, 2500])
    how = rng.choice(["dry", "dry", "base", "slurry", "pieces", "bucket", "shopping"])
    options = {
        "dry": ["--dry", f"{grams}g"], "base": ["--base", f"{grams}g"], "slurry": ["--slurry", "1L"],
        "pieces": ["--pieces", "mug:4"], "shopping": ["--shopping"],
        "bucket": ["--bucket", "3L", "--sg", "1.5", "--add", rng.choice(["Red iron oxide:2%", "Own soft frit:5%"])],
    }[how]  # fmt: skip
    made = _typed("weigh", rng, s, 1, lambda: [*options, *rng.choice([["--json"], ["--json"], [], ["--csv"]])])
    csv_of_additions = how in ("bucket", "shopping") and "--csv" in made.words
    return Input(
        made.command,
        made.words,
        () if csv_of_additions else made.cards,
        made.sure,
        made.stdin,
        grams if how == "dry" else None,
    )


def _tiles(rng: random.Random, s: FuzzStudio) -> Input:
    if rng.random() < 0.5:
        add = rng.choice(["Red iron oxide:0,1,2", "Copper carbonate:0,4", "Rutile:8"])
        plan = ["--plan", "ladder"] if ":8" in add else ["--plan", "additions"]
        return _typed("tiles", rng, s, 1, lambda: [*plan, "--add", add, *_ending(rng, "--csv")])
    return _typed(
        "tiles",
        rng,
        s,
        3,
        lambda: [*_some(rng, ("--size", rng.choice(["3", "4"])), ("--each", "40g")), *_ending(rng)],
        least=2,
    )


def _adjust(rng: random.Random, s: FuzzStudio) -> Input:
    def extra() -> list[str]:
        return _some(
            rng, ("--use", rng.choice(["Talc", "Own soft frit"])), ("--without", "Silica"), ("--max-materials", "6")
        )

    return _typed("adjust", rng, s, 1, lambda: [*extra(), *_where(rng), *_ending(rng)])


def _swap(rng: random.Random, s: FuzzStudio) -> Input:
    card = rng.choice(s.clean)
    old = rng.choice(card.lines or ())[0]
    new = rng.choice([*BASE, *HARMFUL])
    if rng.random() < 0.6:
        return Input("swap", ("swap", card.file, old, new, *_ending(rng)), (card,), True)
    words = _spoil(rng, ["swap", card.file, rng.choice(["Alumina", old]), new, *_where(rng)])
    return Input("swap", tuple(words))


def _compare(rng: random.Random, s: FuzzStudio) -> Input:
    return _typed("compare", rng, s, 3, lambda: [*_where(rng), *_ending(rng)], least=2)


def _start(rng: random.Random, s: FuzzStudio) -> Input:
    place = rng.choice(["new", "new/deep", ".", "card0.txt", "a b", "石", "", "/dev/null/x", "\x1b[31m"])
    return Input(
        "start", ("start", place, *_some(rng, "--demo", "--bare", "--json", "--force")), stdin=rng.choice([b"", None])
    )


def _materials(rng: random.Random, s: FuzzStudio) -> Input:
    name = rng.choice([*BASE, *OWN, *HARMFUL, *NAMES, "quartz", "china clay", "Kaoln"])
    way = rng.choice(["show", "show", "list", "add"])
    words = {
        "show": ["materials", name],
        "list": ["materials"],
        "add": [
            "materials",
            "--add",
            rng.choice(["stock.csv", "bad0.txt", "card0.txt", "nothing.csv", "journal.sqlite"]),
        ],
    }[way]
    return Input("materials", (*words, *_ending(rng)), sure=way == "show")


def _report(rng: random.Random, s: FuzzStudio) -> Input:
    return _typed("report", rng, s, 1, lambda: [*_where(rng), "-o", "out.html", *_ending(rng)])


def _labels(rng: random.Random, s: FuzzStudio) -> Input:
    def extra() -> list[str]:
        return _some(
            rng,
            ("--kind", rng.choice(["bucket", "jar", "tile"])),
            ("--copies", "3"),
            ("--dry", "1kg"),
            ("--density", "1.5"),
        )

    return _typed("labels", rng, s, 1, lambda: [*extra(), "-o", "out.html"])


def _journal_line(rng: random.Random, s: FuzzStudio) -> Input:
    words = [
        "journal",
        *_some(
            rng,
            ("--kind", rng.choice(["tile", "firing", "batch", "spoon"])),
            ("--since", rng.choice(["2026-01-01", "soon"])),
            "--csv",
            "--json",
            ("--glaze", rng.choice(NAMES)),
            ("--export", rng.choice(["out.csv", "studio.toml", "journal.sqlite"])),
            ("--import", rng.choice(["card0.txt", "nothing"])),
        ),
    ]
    return Input("journal", tuple(words))


def _learn(rng: random.Random, s: FuzzStudio) -> Input:
    words = ["learn", *_where(rng), *_ending(rng)]
    return Input("learn", tuple(words if rng.random() < 0.6 else _spoil(rng, words)))


def _body(rng: random.Random, s: FuzzStudio) -> Input:
    words = [
        "body",
        rng.choice(["Harbour stoneware", "Gull porcelain", "Dune earthenware", *NAMES]),
        *_some(rng, ("--cone", rng.choice(["6", "14", "022"])), ("--fired", rng.choice(["100mm", *NUMBERS]))),
        *_ending(rng),
    ]
    return Input("body", tuple(words))


def _kiln(rng: random.Random, s: FuzzStudio) -> Input:
    if rng.random() < 0.4:
        card = rng.choice(s.clean)
        return Input("kiln", ("kiln", "--recipe", card.file, *_ending(rng)), (card,), True)
    words = [
        "kiln",
        rng.choice(["Shed kiln", "Guild kiln", *NAMES[:6]]),
        *_some(
            rng,
            ("--cone", rng.choice(["6", "14", "nan"])),
            ("--circuit", rng.choice(["Kitchen outlet", "Nowhere"])),
            ("--room", rng.choice(["Shed", "Attic"])),
        ),
        *_ending(rng),
    ]
    return Input("kiln", tuple(words))


def _firing(rng: random.Random, s: FuzzStudio) -> Input:
    words = [
        "firing",
        "--cone",
        rng.choice(["6", "06", "04", "10", "14", "022", "nan"]),
        *_some(
            rng,
            ("--kind", rng.choice(["bisque", "glaze", "slow-cooled", "once-fired", "raku"])),
            ("--hold", rng.choice(["10min", "0min", *NUMBERS])),
            ("--wall", rng.choice(["6mm", "40mm", "-1mm"])),
            "--damp",
            ("--schedule", rng.choice(["card0.txt", "-", "stock.csv"])),
        ),
        *_ending(rng),
    ]
    return Input(
        "firing",
        tuple(words),
        stdin=rng.choice([b"rate,to,hold\n100,600,0\n9999,1222,0\n", b"rate,to,hold\n-5,nan,x\n", b"", None]),
    )


def _screen(rng: random.Random, s: FuzzStudio) -> Input:
    head = rng.choice(["id,SiO2,Al2O3,CaO,Na2O", "SiO2,CaO", "id,SiO2,sio2", "id,石英", "a;b", "id,SiO2,PbO,CdO"])
    wide = head.count(",") + 1
    rows = [
        ",".join(
            [
                f"r{i}",
                *(f"{rng.uniform(0, 70):.2f}" if rng.random() < 0.9 else rng.choice(NUMBERS) for _ in range(wide - 1)),
            ]
        )
        for i in range(rng.randint(0, 12))
    ]
    words = [
        "screen",
        "table.csv",
        *_some(
            rng,
            ("--basis", rng.choice(["mole", "weight", "unity", "recipe", "volume"])),
            ("--as", rng.choice(["glaze", "glass", "mud"])),
            "--strict",
            "--json",
            ("-o", rng.choice(["out.csv", "table.csv"])),
        ),
    ]
    return Input("screen", tuple(words), stdin=("\n".join([head, *rows]) + "\n").encode("utf-8", "replace"))


def _first(rng: random.Random, s: FuzzStudio) -> Input:
    words = [
        "first",
        *_where(rng),
        *_some(rng, ("-o", rng.choice(["out.txt", "card0.txt", "/dev/null/x"]))),
        *_ending(rng),
    ]
    return Input("first", tuple(words if rng.random() < 0.6 else _spoil(rng, words)))


def _reading(rng: random.Random, s: FuzzStudio) -> Input:
    which = rng.choice(["F1", "f1", "F1@2:30", "F1@nan", "F9", "AAA", *NAMES[:8]])
    at = ("--at", rng.choice(["2:30=600C", "2.5=1112F", "2:99=9C", *NUMBERS]))
    return Input("record reading", ("record", "reading", which, *_some(rng, at, "--withdraw", "--restore", "--json")))


def _open(rng: random.Random, s: FuzzStudio) -> Input:
    """Only what does not serve: the page's own tests serve it, and a folder that is not there is made."""
    bad = [["--port", port] for port in ("99999", "-1", "nan", "70000", "1e5", "")]
    more = [["card0.txt"], ["--help"], ["/dev/null/x"], ["--studio", "card0.txt"], ["--no-such"], ["a", "b"]]
    return Input("open", ("open", "--no-browser", *rng.choice([*bad, *more])))


def _record(kind: str) -> Make:
    choices: dict[str, list[tuple[str, ...]]] = {
        "tile": [("--result", "sound"), ("--result", "crazed"), ("--after", "3 days"), ("--after", "-3 days"), ("--cone", "6"), ("--coats", "2"), ("--coats", "-1"),
                 ("--thickness", "0.4mm"), ("--thickness", "9m"), ("--date", "2026-05-01"), ("--date", "2999-01-01"), ("--note", "a;=1+1"), ("--body", "Gull porcelain"), ("--firing", "F1"), ("--result", "splendid")],
        "firing": [("--hours", "8"), ("--hours", "nan"), ("--witness", "6=down"), ("--witness", "6=stands"), ("--witness", "5=half"), ("--at", "2:00=600C"), ("--at", "99=9C"), ("--peak", "1222C"),
                   ("--peak", "90000C"), ("--volts", "117"), ("--volts", "nan"), ("--date", "2026-13-99"), ("--load", "4kg"), ("--stalled",), ("--on-elements", "35"), ("--note", "x\n=1")],
        "batch": [("--dry", "500g"), ("--dry", "-5g"), ("--water", "400g"), ("--gravity", "1.47"), ("--gravity", "nan"), ("--weighed", "Silica=100g"), ("--weighed", "Silica=9000g"), ("--lot", "Whiting=bag 7"), ("--note", "=1+1"), ("--date", "soon")],
    }  # fmt: skip

    def make(rng: random.Random, s: FuzzStudio) -> Input:
        options = [w for pair in rng.sample(choices[kind], rng.randint(0, 4)) for w in pair]
        if kind == "firing":
            return Input("record firing", ("record", "firing", "--kiln", "Shed kiln", *options))
        if rng.random() < 0.3:
            return Input(f"record {kind}", ("record", kind, "--glaze", rng.choice(NAMES), *options))
        card = rng.choice([*s.clean, *s.clean, *s.hostile])
        cards = (card,) if card.lines is not None else ()
        return Input(f"record {kind}", ("record", kind, card.file, *options), cards, bool(cards))

    return make


GENERATORS: dict[str, Make] = {
    "check": _check, "formula": _formula, "weigh": _weigh, "tiles": _tiles, "adjust": _adjust, "swap": _swap,
    "compare": _compare, "start": _start, "materials": _materials, "report": _report, "labels": _labels,
    "journal": _journal_line, "learn": _learn, "body": _body, "kiln": _kiln, "firing": _firing, "screen": _screen,
    "first": _first, "record reading": _reading, "open": _open, "record tile": _record("tile"), "record firing": _record("firing"), "record batch": _record("batch"),
}  # fmt: skip
"""One for each command; a command without one fails the test."""


def fresh_copy(studio: FuzzStudio, folder: Path, given: Input) -> None:
    """The studio as it was, with the table that ``screen`` reads."""
    shutil.copytree(studio.folder, folder)
    if given.command == "screen" and given.stdin is not None:
        (folder / "table.csv").write_bytes(given.stdin)
