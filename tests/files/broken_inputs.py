"""More than 200 files a potter, a program or an accident could hand in, each broken in a way of its own.

``CORPUS`` is the list; ``place(broken, folder)`` puts one on disk and gives the path to hand to a reader or a command.
"""

from __future__ import annotations

import os
import random
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

Kind = Literal["card", "studio", "materials", "sheet", "stock"]
FILE_NAMES: dict[str, str] = {
    "card": "card.txt", "studio": "studio.toml", "materials": "materials.csv", "sheet": "sheet.csv",
    "stock": "stock.csv",
}  # fmt: skip


@dataclass(frozen=True)
class Broken:
    """One broken input. ``special`` names what stands in for a file; ``remark_only`` if the job may still go on."""

    name: str
    kind: Kind
    data: bytes = b""
    special: str = ""
    remark_only: bool = False


def place(broken: Broken, folder: Path) -> Path:
    """Put a broken input into ``folder``; the path of the file that is meant."""
    path = folder / FILE_NAMES[broken.kind]
    if broken.special == "folder":
        path.mkdir()
    elif broken.special == "missing":
        (folder / "cart.txt").write_text("Whiting 100\n")
    elif broken.special == "missing folder":
        path = folder / "nowhere" / path.name
    elif broken.special == "loop":
        path.symlink_to(path)
    elif broken.special == "dangling":
        path.symlink_to(folder / "gone")
    elif broken.special == "pipe":
        os.mkfifo(path)
    elif broken.special == "endless":
        path.symlink_to("/dev/zero")
    elif broken.special == "long name":
        path = folder / ("x" * 5000)
    elif broken.special == "zero in name":
        path = folder / "card\0.txt"
    elif broken.special == "file as folder":
        (folder / "plain").write_text("x")
        path = folder / "plain" / "card.txt"
    else:
        path.write_bytes(broken.data)
    return path


BAD_AMOUNTS = (
    "1e999", "-1e999", "1e-999x", "nan", "NaN", "inf", "-inf", "Infinity", "-5", "-0.5", "1/0", "5/", "=5+5",
    "=cmd|'/c calc'!A1",
    "@SUM(1)", "#REF!", "#DIV/0!", "1.2.3", "1,2,3", "0x10", "1e", "12..5", "5-10", "2-4%", "1_000",
    "99999999999999", "1e12",
    "1e-30", "5%%", "5 kgg", "null", "3+4", "5e5e5", "--5", "1,,5",
)  # fmt: skip
BAD_CONES = (
    "15", "0", "00", "006", "1222 C", "2232F", "1222", "six", "-6", "6-", "-", "o6", "O6", "1e999", "nan", "06-15",
    "5-6-7", "cone",
    "=06", "6.25", "\u2603", "0.6", "060", "99999999999", "low fire",
)  # fmt: skip
BAD_OXIDES = (
    "Xx2O", "K20", "Al203", "Si02", "SiO", "Si", "SN", "SIO22", "H2O", "Na", "Fe203", "O", "R2O", "KNaO", "CaCO3",
    "\u2603", "=SiO2",
)  # fmt: skip

MAGIC = {
    "pdf": b"%PDF-1.7\n%\xe2\xe3", "zip": b"PK\x03\x04\x14\x00", "old office": b"\xd0\xcf\x11\xe0\xa1\xb1",
    "png": b"\x89PNG\r\n\x1a\n",
    "jpeg": b"\xff\xd8\xff\xe0", "gif": b"GIF89a", "sqlite": b"SQLite format 3\x00", "gzip": b"\x1f\x8b\x08",
    "rtf": b"{\\rtf1 x}",
    "elf": b"\x7fELF\x02\x01\x01\x00\x00", "zeros": b"\x00" * 5000, "one zero": b"Whiting 20\nSil\x00ica 80\n",
}  # fmt: skip


def cards() -> Iterator[Broken]:
    """Broken recipe cards."""

    def card(name: str, data: str | bytes, remark_only: bool = False) -> Broken:
        return Broken(
            f"card: {name}", "card", data if isinstance(data, bytes) else data.encode(), remark_only=remark_only
        )

    for amount in BAD_AMOUNTS:
        yield card(f"amount {amount}", f"name: x\ncone: 6\n\nSilica 80\nWhiting {amount}\n")
        yield card(f"table amount {amount}", f'Material,Amount\nSilica,80\nWhiting,"{amount}"\n')
    for cone in BAD_CONES:
        yield card(f"cone {cone}", f"name: x\ncone: {cone}\n\nWhiting 100\n")
    for oxide in BAD_OXIDES:
        yield card(f"oxide {oxide}", f"name: x\nkind: composition\nbasis: mole\n\nSiO2 70\n{oxide} 30\n")
    for name, magic in MAGIC.items():
        yield card(name, magic + b"\x01\x02\x03" * 20)
    for seed in range(8):
        yield card(f"random bytes {seed}", random.Random(seed).randbytes(3000))
    yield card("batch of 4e9", "name: x\n\nSilica 1e9\nWhiting 1e9\nKaolin 1e9\nTalc 999999999\n")
    yield card("batch of 4e-6", "name: x\n\nSilica 1e-6\nWhiting 1e-6\nKaolin 1e-6\nTalc 1e-6\n")
    yield card("empty", "")
    yield card("blank", " \n\t\n\n")
    yield card("mark only", b"\xef\xbb\xbf")
    yield card("comments only", "# nothing\n# here\n")
    yield card("head only", "name: x\ncone: 6\n")
    yield card("one line of 10 MB", b"a" * 10_000_000)
    yield card("10 MB of digits", b"9" * 10_000_000)
    yield card("10 MB of lines", b"Whiting 20\n" * 1_000_000)
    yield card("line of 900 kB", b"Whiting " + b"9" * 900_000)
    yield card("line of 900 kB of dots", b"Whiting " + b"." * 900_000 + b" 5")
    yield card("line of 900 kB of spaces", b"Whiting" + b" " * 900_000 + b"x")
    yield card("line of 900 kB of tabs", b"\t" * 900_000 + b"5")
    yield card("line of 900 kB of brackets", b"(" * 900_000)
    yield card("line of 900 kB of angle brackets", b"<" * 900_000)
    yield card("line of 900 kB of number signs", b" #" * 450_000 + b"\nx")
    yield card("line of 900 kB of quotes", b'"' * 900_000)
    yield card("300 000 empty lines", b"\n" * 300_000)
    yield card("100 000 short lines", b"a 1\n" * 100_000)
    yield card("lines of fractions", b"1/2 " * 400 + b"\n")
    yield card("lines of plus", b"+" * 1900 + b"\n")
    yield card("lines of bullets", b"- " * 900 + b"\n")
    yield card("emoji", "\U0001f3fa \U0001f525 \U0001f4a7\n\U0001f3fa 20\n")
    yield card("emoji amount", "name: x\nWhiting \U0001f51f\nSilica 80\n")
    yield card("utf-16 cut in half", "name: x\nWhiting 100\n".encode("utf-16")[:-1] + b"\xd8")
    yield card("utf-16 without a mark", "name: x\nWhiting 100\n".encode("utf-16-le"), remark_only=True)
    yield card("latin-1", "name: émail\nWhiting 100\n".encode("latin-1"), remark_only=True)
    yield card("utf-8 cut in half", "name: émail\nWhiting 100\n".encode()[:7] + b"\nWhiting 100\n", remark_only=True)
    yield card("utf-32", "name: x\nFoo\n".encode("utf-32"))
    yield card("escape codes", "name: \x1b[31mred\x1b[0m\nWhiting 100\n", remark_only=True)
    yield card("right to left", "name: \u202ex\nWhiting\u202e\n")
    yield card("json", '{"name": "x", "lines": [{"material": "Whiting", "amount": 20}]}')
    yield card("xml", "<?xml version='1.0'?>\n<recipe><line m='Whiting' a='20'/></recipe>\n")
    yield card("unclosed tag", "<p name: x <br\nWhiting 20 <b\n")
    yield card("only tags", "<html><body></body></html>")
    yield card("only entities", "&nbsp;&nbsp;\n&#0;&#1114112;\n")
    yield card("only additions", "name: x\n+ Rutile 2\n")
    yield card("only a total", "name: x\nTotal 100\n")
    yield card("zero amounts", "name: x\nWhiting 0\nSilica 0.0\n")
    yield card("no amounts", "name: x\n\nWhiting\nSilica\n")
    yield card("amounts without names", "name: x\n20\n30\n50\n")
    yield card("two recipes", "name: x\nWhiting 100\n---\nname: y\nSilica 100\n")
    yield card("percent and grams", "name: x\nWhiting 20 %\nSilica 80 g\n")
    yield card("too many pounds", "name: x\nWhiting 900000000 lb\nSilica 1 lb\n")
    yield card("too many percent", "name: x\nWhiting 900000000 g\n+ Rutile 900000000 %\n")
    yield card("too much of an oxide", "kind: composition\nbasis: mole\nSiO2 900000000\nSiO2 900000000\n")
    yield card("spoons", "name: x\nWhiting 20\n2 tbsp salt\n")
    yield card("misspelt key", "name: x\nconne: 6\nWhiting 100\n")
    yield card("unknown key", "name: x\nflavour: salty\nWhiting 100\n", remark_only=True)
    yield card("bad kind", "name: x\nkind: pizza\nWhiting 100\n")
    yield card("bad basis", "name: x\nkind: composition\nbasis: volume\nSiO2 70\nCaO 30\n")
    yield card("no basis", "name: x\nkind: composition\nSiO2 70\nCaO 30\n")
    yield card("composition of zeros", "name: x\nkind: composition\nbasis: mole\nSiO2 0\n")
    yield card("composition without oxides", "name: x\nkind: composition\nbasis: mole\n")
    yield card("bought with a batch", "name: x\nkind: bought\ncone: 6\nWhiting 20\n")
    yield card("name of 10 000 letters", "name: " + "x" * 1900 + "\nWhiting " + "y" * 300 + "\n")
    yield card("material of 500 letters", "name: x\n" + "y" * 500 + " 20\n")
    yield card("formula for a name", 'Material,Amount\n"=cmd|x",20\n@SUM,30\n')
    yield card("too many cells", "Material,Amount\nWhiting,16,5\n")
    yield card("decimal commas", "name: x\nWhiting 1,000\nSilica 2,000\n", remark_only=True)
    yield card("sum", "name: x\nWhiting 10\nSilica 10\n", remark_only=True)
    yield card("wrong total", "name: x\nWhiting 50\nSilica 50\nTotal 90\n", remark_only=True)
    yield card("twice", "name: x\nWhiting 50\nWhiting 50\n", remark_only=True)
    yield card("earthenware at 6", "name: red earthenware clear\ncone: 6\nWhiting 100\n", remark_only=True)
    for special in (
        "folder", "missing", "missing folder", "loop", "dangling", "pipe", "endless", "long name", "zero in name",
        "file as folder",
    ):  # fmt: skip
        yield Broken(f"card: {special}", "card", special=special)


BAD_VALUES = {
    "text": '"x"',
    "negative": "-5",
    "huge": "1e300",
    "nan": "nan",
    "infinite": "inf",
    "list": "[1, 2]",
    "table": "{a = 1}",
}
NUMBER_KEYS = (
    ("kiln", "volts"), ("kiln", "amps"), ("kiln", "watts"), ("kiln", "wall_mm"), ("circuit", "breaker_A"),
    ("circuit", "length_m"),
    ("room", "volume_m3"), ("scale", "resolution_g"), ("piece", "width_mm"), ("body", "expansion"),
)  # fmt: skip


def studios() -> Iterator[Broken]:
    """Broken studio.toml files."""

    def studio(name: str, data: str | bytes, remark_only: bool = False) -> Broken:
        return Broken(
            f"studio: {name}", "studio", data if isinstance(data, bytes) else data.encode(), remark_only=remark_only
        )

    for table, key in NUMBER_KEYS:
        for name, value in BAD_VALUES.items():
            yield studio(f"{table}.{key} {name}", f'[[{table}]]\nname = "x"\n{key} = {value}\n')
    for name, magic in MAGIC.items():
        yield studio(name, magic)
    for cone in ("06", "15", '"15"', '"6-7"', "true", "0", "1e3", "[6]", "1979-05-27"):
        yield studio(f"cone {cone}", f'[[kiln]]\nname = "x"\ncone = {cone}\n')
    yield studio("deep brackets", "a = " + "[" * 100_000)
    yield studio("deep tables", "a = " + "{b=" * 50_000)
    yield studio("deep closed brackets", "a = " + "[" * 5_000 + "]" * 5_000)
    yield studio("long dotted key", ".".join("a" * 60_000) + " = 1\n")
    yield studio("long dotted table", "[" + ".".join("a" * 60_000) + "]\n")
    yield studio("20 000 unknown keys", "\n".join(f"k{i} = 1" for i in range(20_000)))
    yield studio("2 000 broken kilns", "[[kiln]]\nvolts = -1\n" * 2_000)
    yield studio("4 000 unknown keys", "\n".join(f"k{i} = 1" for i in range(4_000)))
    yield studio("10 MB", b"# x\n" * 2_500_000)
    yield studio("300 kB string", 'a = "' + "x" * 290_000 + '"\n')
    yield studio("giant integer", "[scale]\nresolution_g = " + "9" * 5_000 + "\n")
    yield studio("integer of 4000 digits", "[scale]\nresolution_g = " + "9" * 4_000 + "\n")
    yield studio("bare zeros", "\n".join("cone = 06" for _ in range(4_000)))
    yield studio("no equals", "[kiln]\nvolts 120\n")
    yield studio("no quotes", "[[kiln]]\nname = Little kiln\n")
    yield studio("unit without quotes", '[[kiln]]\nname = "x"\nwall_mm = 3 in\n')
    yield studio("unclosed quote", '[[kiln]]\nname = "x\n')
    yield studio("unclosed table", '[[kiln]\nname = "x"\n')
    yield studio("decimal comma", "[scale]\nresolution_g = 0,1\n")
    yield studio("table twice", '[kiln]\nname = "x"\n[kiln]\nname = "y"\n')
    yield studio("key twice", '[[kiln]]\nname = "x"\nname = "y"\n')
    yield studio("name missing", "[[kiln]]\nvolts = 120\n")
    yield studio("name empty", '[[kiln]]\nname = ""\n')
    yield studio("same name", '[[kiln]]\nname = "x"\n[[kiln]]\nname = "X"\n')
    yield studio("misspelt table", '[[kilns]]\nname = "x"\n')
    yield studio("misspelt key", '[[kiln]]\nname = "x"\nvolt = 120\n')
    yield studio("kiln is a number", "kiln = 5\n")
    yield studio("kilns are numbers", "kiln = [1, 2]\n")
    yield studio("units is a list", "units = []\n")
    yield studio("unknown default", '[defaults]\nkiln = "x"\n')
    yield studio("wrong unit", '[[kiln]]\nname = "x"\nwall_mm = "3 kg"\n')
    yield studio("unknown unit", '[[kiln]]\nname = "x"\nwall_mm = "3 cubits"\n')
    yield studio("two units", '[[kiln]]\nname = "x"\nwall_mm = 60\nwall_in = 2\n')
    yield studio("kilowatts", '[[kiln]]\nname = "x"\nwatts = 1.8\n')
    yield studio("inches for mm", '[[kiln]]\nname = "x"\ninterior = {shape = "round", width_mm = 7, height_mm = 6}\n')
    yield studio("no shape", '[[kiln]]\nname = "x"\ninterior = {width_mm = 200, height_mm = 200}\n')
    yield studio("bad shape", '[[kiln]]\nname = "x"\ninterior = {shape = "blob", width_mm = 200, height_mm = 200}\n')
    yield studio("expansion in 1e-7", '[[body]]\nname = "x"\nexpansion = 65\n')
    yield studio("expansion in 1/K", '[[body]]\nname = "x"\nexpansion = 6.5e-6\n')
    yield studio("expansion ends", '[[body]]\nname = "x"\nexpansion = {value = 6.5, low = 7, high = 8}\n')
    yield studio("expansion span", '[[body]]\nname = "x"\nexpansion = {value = 6.5, from_degC = 500, to_degC = 100}\n')
    yield studio("absorption without a cone", '[[body]]\nname = "x"\nabsorption_percent = 2\n')
    yield studio("absorption at no cone", '[[body]]\nname = "x"\nabsorption_percent = {high = 2}\n')
    yield studio("absorption of 300", '[[body]]\nname = "x"\nabsorption_percent = {"6" = 300}\n')
    yield studio("bad class", '[[body]]\nname = "x"\nclass = "brick"\n')
    yield studio("plate", '[[kiln]]\nname = "x"\nvolts = 120\namps = 15\nwatts = 5000\n', remark_only=True)
    yield studio("unit left out", '[[kiln]]\nname = "x"\nwall = 60\n', remark_only=True)
    yield studio("latin-1", '[[kiln]]\nname = "é"\n'.encode("latin-1"), remark_only=True)
    for special in ("folder", "loop", "dangling", "pipe", "endless"):
        yield Broken(f"studio: {special}", "studio", special=special, remark_only=special == "pipe")


def tables() -> Iterator[Broken]:
    """Broken materials.csv, suppliers' sheets and stock.csv."""

    def own(name: str, data: str | bytes, remark_only: bool = False) -> Broken:
        return Broken(
            f"materials: {name}",
            "materials",
            data if isinstance(data, bytes) else data.encode(),
            remark_only=remark_only,
        )

    def sheet(name: str, data: str | bytes, remark_only: bool = False) -> Broken:
        return Broken(
            f"sheet: {name}", "sheet", data if isinstance(data, bytes) else data.encode(), remark_only=remark_only
        )

    for cell in ("=cmd|x", "-5", "nan", "1e999", "12.5.5", "abc", "=1+1", "\u2603"):
        yield own(f"cell {cell}", f'name,SiO2,Al2O3,loi\nx,"{cell}",30,10\n')
        yield sheet(f"cell {cell}", f'name,x\nSiO2,"{cell}"\nAl2O3,30\nLOI,10\n')
    for oxide in ("K20", "Al203", "Fe", "K2O+Na2O"):
        yield own(f"column {oxide}", f"name,SiO2,{oxide},loi\nx,60,30,10\n")
        yield sheet(f"row {oxide}", f"name,x\nSiO2,60\n{oxide},30\nLOI,10\n")
    for name, magic in MAGIC.items():
        yield own(name, magic)
    yield own("empty", "", remark_only=True)
    yield own("no name column", "SiO2,Al2O3\n60,40\n")
    yield own("no name", "name,SiO2,Al2O3,loi\n,60,30,10\n")
    yield own("formula name", "name,formula\n=cmd|x,SiO2\n")
    yield own("formula cell", "name,formula\nx,=A1\n")
    yield own("formula signs", "name,formula\nx,SiO2;DROP\n")
    yield own("both", "name,formula,SiO2\nx,SiO2,100\n")
    yield own("neither", "name,formula,SiO2\nx,,\n")
    yield own("sum 500", "name,SiO2,Al2O3,loi\nx,400,90,10\n")
    yield own("sum 20", "name,SiO2,Al2O3,loi\nx,10,5,5\n")
    yield own("column twice", "name,SiO2,sio2\nx,50,50\n")
    yield own("same name", "name,formula\nx,SiO2\nX,CaO\n")
    yield own("too many cells", "name,SiO2,loi\nx,48,5,10\n")
    yield own("density", "name,formula,density\nx,SiO2,2650\n")
    yield own("bad kind", "name,formula,kind\nx,SiO2,guess\n")
    yield own("unclosed quote", 'name,formula\n"x,SiO2\n' + "y,CaO\n" * 40_000)
    yield own("500 columns", "name," + ",".join(f"c{i}" for i in range(2000)) + "\nx," + ",".join("1" * 2000) + "\n")
    yield own("unknown column", "name,formula,sparkle\nx,SiO2,5\n", remark_only=True)
    yield own("4 MB of rows", b"name,formula\n" + b"x,SiO2\n" * 570_000)
    yield own("4 000 broken rows", b"name,SiO2\n" + b"x,=1\n" * 4_000)
    yield own("30 MB", b"x,1\n" * 7_500_000)
    for special in ("folder", "loop", "pipe", "endless"):
        yield Broken(f"materials: {special}", "materials", special=special, remark_only=special == "pipe")
    yield sheet("empty", "")
    yield sheet("prose", "Thank you for your order.\nWe ship on Mondays.\n")
    yield sheet("head only", "SiO2,Al2O3,LOI\n")
    yield sheet("sum 20", "name,x\nSiO2,10\nLOI,10\n")
    yield sheet("twice", "name,x\nSiO2,60\nSiO2,30\nLOI,10\n")
    yield sheet("grams", "name,x\nSiO2,60 g\nAl2O3,30\nLOI,10\n")
    yield sheet("json", '{"SiO2": 60, "Al2O3": 40}')
    yield sheet("10 MB", b"SiO2,60\n" * 1_300_000)
    for special in ("folder", "missing", "pipe", "endless", "zero in name"):
        yield Broken(f"sheet: {special}", "sheet", special=special)
    for cell in ("-5", "nan", "=1", "lots", ""):
        yield Broken(f"stock: cell {cell}", "stock", f"name,grams\nWhiting,{cell}\n".encode(), remark_only=not cell)
    yield Broken("stock: no name", "stock", b"name,grams\n,500\n")
    yield Broken("stock: picture", "stock", MAGIC["png"])


CORPUS: tuple[Broken, ...] = (*cards(), *studios(), *tables())
