"""The set-up that asks: plain questions about clay, kiln, outlet, scale and shelf, and the studio their answers make.

A terminal and a page ask the same list::

    for question in QUESTIONS:
        show(question.asks, question.picture, question.choices)
        problem = fault(question, typed)     # "" where the answer can be used
        answers[question.key] = typed        # "" is `I don't know`
    write_studio(folder, answers)            # writes studio.toml (and stock.csv), and may be called again

An answer is always text: what was typed, or the value of the choice that was taken. Nothing that was not answered is
written, so nothing is guessed; a later call changes only what it answers.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal, get_args, get_origin

from glazecalc.files.materials import built_in_materials
from glazecalc.files.numbers import read_cone_range, read_quantity
from glazecalc.files.problems import Findings
from glazecalc.files.studio import kept_as
from glazecalc.files.studio_edit import BLANK, Figure, keep_and_write, set_figures, stock_with
from glazecalc.files.writing import one_writer, taken, write_file
from glazecalc.values.answers import ProblemsError, error
from glazecalc.values.cones import Cone
from glazecalc.values.data import data_root
from glazecalc.values.names import fold
from glazecalc.values.texts import joined, phrase

UNKNOWN: Final = ""
"""The answer `I don't know`."""
_DONT_KNOW: Final = frozenset({"", "?", "-", "no idea", "unknown", "i don't know", "dont know", "don't know", "idk"})


@dataclass(frozen=True, slots=True)
class Offered:
    """One answer that can be picked: the value that is kept, and what it looks like in words."""

    value: str
    words: str


@dataclass(frozen=True, slots=True)
class Question:
    """One question: ``key`` names its answer, ``subject`` the thing it belongs to, ``picture`` says where to look.

    ``sort`` is ``text``, ``choice``, ``cone``, ``cones`` (a range), ``number`` [in ``unit``], ``figure`` (a number,
    or one with its unit, which the reader of studio.toml judges) or ``list`` (commas). ``place`` is the table and the
    key of studio.toml in which its answer stands.
    """

    key: str
    subject: str
    asks: str
    picture: str
    sort: str
    choices: tuple[Offered, ...] = ()
    place: tuple[str, str] = ("", "")
    dimension: str = ""
    unit: str = ""


_EXACT: Final = frozenset({"potential", "current", "power", "mass"})
"""Dimensions of the figures of plates and scales, which are kept as numbers; others are kept as they were typed."""


def _ask(key: str, place: str, asks: str, picture: str, choices: tuple[Offered, ...] = (), sort: str = "") -> Question:
    """A question whose answer stands at ``place`` in studio.toml (``table.key``; empty where it is put elsewhere): how
    it is read, its unit and what can be chosen follow from the field of that name."""
    subject = "clay" if key == "cone" else key.partition(".")[0]
    if not place:
        return Question(key, subject, asks, picture, sort)
    table, _, field = place.partition(".")
    kind, dimension, unit = kept_as(table, field)
    if get_origin(kind) is Literal:
        choices = choices or tuple(Offered(value, value) for value in get_args(kind))
    sort = {str: "text", Cone: "cone"}.get(kind, "number" if dimension in _EXACT else "figure")
    sort = "choice" if choices else sort
    return Question(key, subject, asks, picture, sort, choices, (table, field), dimension, unit)


SUBJECTS: Final = {
    "clay": "the clay", "kiln": "the kiln", "outlet": "the outlet and its breaker", "scale": "the scale",
    "shelf": "the materials on the shelf",
}  # fmt: skip
"""What can be set up, each with its words, in the order of the questions."""

_WARES: Final = (
    Offered("earthenware", "white or buff earthenware: fired low, stays thirsty"),
    Offered("terracotta", "red flowerpot clay, fired low"),
    Offered("stoneware", "stoneware: buff, brown or speckled, fired hot, hard"),
    Offered("porcelain", "porcelain: white, fine, lets light through where thin"),
    Offered("raku", "raku: open and grogged, taken from the kiln hot"),
)
_OUTLETS: Final = (
    Offered("5-15", "two upright slits side by side and a round hole: the usual North American outlet"),
    Offered("5-20", "the same, but one slit is a T lying on its side"),
    Offered("6-20", "a small outlet, one slit upright or a T, the other lying down: 240 volts"),
    Offered("6-30", "a large outlet with a round hole, one straight slit and one bent like an L"),
    Offered("6-50", "a large outlet with a round hole and two straight upright slits, as for a welder"),
    Offered("10-30", "a large outlet with no round hole: two slanting slits and one like an L (old dryers)"),
    Offered("10-50", "a large outlet with no round hole: two slanting slits and a straight one (old ranges)"),
    Offered("14-30", "a large outlet with four holes, one of them like an L (newer dryers)"),
    Offered("14-50", "a large outlet with four holes, three straight slits and a round one (newer ranges)"),
)
"""Faces of the outlets of the table of receptacles, described from memory; the number on the outlet's face decides."""
_CORDS: Final = (
    Offered("none", "straight into the wall"), Offered("extension", "through an extension cord"),
    Offered("adapter", "through an adapter"), Offered("power strip", "through a power strip"),
)  # fmt: skip

QUESTIONS: Final = (
    _ask("clay.name", "body.name", "What does the bag say the clay is called?", "any name will do"),
    _ask("clay.class", "body.class", "What sort of clay is it?", "how it looks, how hot it is fired", _WARES),
    _ask("clay.cones", "", "Which cone does the bag say?",
         "a number beside the word cone, a small triangle or ^ ; 06 is far cooler than 6; such as 5-6", sort="cones"),
    _ask("cone", "defaults.cone", "Which cone do you fire glazes to?", "such as 6, or 06"),
    _ask("kiln.name", "kiln.name", "What do you call the kiln?", "any name will do"),
    _ask("kiln.volts", "kiln.volts", "How many volts does its plate say?",
         "a metal plate or sticker on the kiln's side or control box; 120 or 240 beside a V"),
    _ask("kiln.amps", "kiln.amps", "How many amps?", "on the same plate, beside an A"),
    _ask("kiln.watts", "kiln.watts", "How many watts?", "on the same plate, beside W; 1.8 kW is 1800"),
    _ask("kiln.cone", "kiln.cone", "Which cone does the plate say is its hottest?", "such as cone 8 max"),
    _ask("outlet.receptacle", "circuit.receptacle", "What does the outlet look like?",
         "look at the wall, touch nothing; its face often shows the number", _OUTLETS),
    _ask("outlet.breaker", "circuit.breaker_A", "Which number is on the handle of its breaker?",
         "in the breaker box, on the switch that turns this outlet off: 15, 20, 30, 40 or 50"),
    _ask("outlet.cord", "circuit.cord", "How is the kiln plugged in?", "follow the cord", _CORDS),
    _ask("scale.step", "scale.resolution_g", "What is the smallest step your scale shows?",
         "put on something light: does it count 1, 0.1 or 0.01 g?"),
    _ask("scale.most", "scale.capacity_g", "What is the most it weighs?", "printed on it as max or cap.; in g"),
    _ask("shelf", "", "Which glaze materials do you have?",
         "names with commas between, such as silica, kaolin, whiting", sort="list"),
)  # fmt: skip
"""Every question in the order it is asked."""
_SHAPES: Final = (
    Offered("round", "round"), Offered("square", "square"), Offered("octagon", "eight flat walls"),
    Offered("decagon", "ten flat walls"), Offered("dodecagon", "twelve flat walls"),
    Offered("box", "a box with its door in front"),
)  # fmt: skip
MORE: Final = (
    _ask("clay.expansion", "body.expansion", "Does a sheet give its expansion?", "in 1e-6/K, such as 5.5"),
    _ask("clay.colour", "body.colour", "Which colour does it fire to?", "such as buff"),
    _ask("kiln.plug", "kiln.plug", "What is stamped on its plug?",
         "such as 5-20P; take it by its body, never the cord"),
    _ask("kiln.control", "kiln.control", "How is it fired?", ""),
    _ask("kiln.shape", "kiln.interior.shape", "Which shape is it inside?",
         "look down into it, empty and cold", _SHAPES),
    _ask("kiln.across", "kiln.interior.width_mm", "How far is it across inside?",
         "wall to wall, in mm: 290, or 11.5 in"),
    _ask("kiln.deep", "kiln.interior.depth_mm", "How far from its door to its back?", "only where it opens in front"),
    _ask("kiln.high", "kiln.interior.height_mm", "How high is it inside?", "from floor to lid: 230, or 9 in"),
    _ask("kiln.wall", "kiln.wall_mm", "How thick is its wall?", "65, or 2.5 in"),
    _ask("kiln.firings", "kiln.firings_on_elements", "How many firings have its elements had?", "a guess will do"),
    _ask("outlet.name", "circuit.name", "What do you call this outlet?", "such as Garage"),
    _ask("outlet.volts", "circuit.volts", "How many volts has it?", "120, 208 or 240"),
    _ask("outlet.wire", "circuit.wire_awg", "Which gauge is its wire?", "AWG, printed on the cable's jacket: 12"),
    _ask("outlet.length", "circuit.length_m", "How long is the wire to it?", "12, or 40 ft"),
    _ask("outlet.others", "circuit.other_load_A", "How many amps does all else on that breaker draw?",
         "lamps, a wheel, a heater together"),
    _ask("outlet.ground_fault", "circuit.ground_fault", "Has it ground-fault protection?",
         "a test button on outlet or breaker"),
    _ask("room.name", "room.name", "What do you call the room the kiln stands in?", "such as Shed"),
    _ask("room.volume", "room.volume_m3", "How large is it?", "in cubic metres, or 600 cuft"),
    _ask("room.exhaust", "room.exhaust_m3_per_h", "How much air does its fan move?", "m3/h, on the fan's plate"),
    _ask("room.floor", "room.floor", "What is the floor under the kiln made of?", "such as concrete"),
    _ask("room.clearance", "room.clearance_mm", "How much space is left around the kiln?", "460, or 18 in"),
    _ask("scale.least", "scale.minimum_g", "What is the least it weighs well?", "in its manual; in g"),
    _ask("usual.clay", "defaults.body", "Which clay is usually meant?", "its name as above"),
    _ask("usual.kiln", "defaults.kiln", "Which kiln?", "its name as above"),
    _ask("usual.outlet", "defaults.circuit", "Which outlet?", "its name as above"),
    _ask("units.temperature", "units.temperature", "Temperatures in", ""),
    _ask("units.mass", "units.mass", "Weights in", ""),
    _ask("units.length", "units.length", "Lengths in", ""),
    _ask("units.volume", "units.volume", "Volumes in", ""),
)  # fmt: skip
"""What is asked only where there is room to ask it, as on a page."""
_OF: Final = {question.key: question for question in (*QUESTIONS, *MORE)}
_CLAY_CONES: Final = (("body", "cone_low"), ("body", "cone_high"))
_NAMES: Final = {"body": "My clay", "kiln": "My kiln", "circuit": "My outlet", "room": "My room"}
TABLES: Final = {
    "clay": "body", "kiln": "kiln", "outlet": "circuit", "room": "room", "scale": "scale", "usual": "defaults",
    "units": "units",
}  # fmt: skip
"""Subject of a question -> the table of studio.toml its answers stand in."""
_PLATE: Final = re.compile(r"\s?(?:~|\bAC|\bmax(?:imum|\.)?|\bonly)$|(?<=\dV) ?~$", re.IGNORECASE)
"""What plates print behind a figure: 120V~, 120 V AC, cone 6 max."""


def understood(question: Question, typed: str) -> str:
    """An answer as it is kept: the value of a choice picked by number or name, `""` for `I don't know`."""
    bare = " ".join(typed.split())
    if bare.casefold().rstrip(".") in _DONT_KNOW:
        return UNKNOWN
    if question.sort == "choice":
        values = [choice.value for choice in question.choices]
        if bare.isdecimal() and 1 <= int(bare) <= len(values):
            return values[int(bare) - 1]
        return next((value for value in values if value.casefold() == bare.casefold().rstrip("rR")), bare)
    return _PLATE.sub("", bare) if question.sort in ("number", "cone") else bare


def fault(question: Question, typed: str) -> str:
    """What is wrong with an answer, in one sentence; empty where it can be used."""
    answer = understood(question, typed)
    if answer == UNKNOWN:
        return ""
    if question.sort == "choice":
        known = any(answer == choice.value for choice in question.choices)
        return "" if known else f"choose a number from 1 to {len(question.choices)}, or leave it empty"
    found = Findings(None)
    _figure(question, answer, found)
    told = next((p for p in found.problems if p.is_error), None)
    return "" if told is None else joined("; ", filter(None, (told.message, told.hint)))


def _figure(question: Question, answer: str, found: Findings) -> Figure:
    if question.sort == "number":
        value = read_quantity(answer, question.dimension, question.unit, "that", found)
        if value is not None and not 0 < value < 1e6:
            found.error("out-of-range", f"{answer} cannot be right", f"write it in {question.unit}")
        return 0.0 if value is None else int(value) if float(value).is_integer() else value
    if question.sort in ("cone", "cones"):
        cones = read_cone_range(answer, found, None)
        if cones is not None and question.sort == "cone" and cones.low != cones.high:
            found.error("cone-range", "one cone is wanted here", "such as 6")
        return answer if cones is None else str(cones.high)
    if question.sort == "figure":
        plain = answer.replace(",", ".")
        if plain.isascii() and plain.replace(".", "", 1).isdigit():
            return float(plain) if "." in plain else int(plain)
    return answer


def shown(question: Question, row: Mapping[str, object]) -> str:
    """What a table of studio.toml says to a question already, as it could have been typed; empty where it says nothing.

    >>> shown(QUESTIONS[2], {"cone_low": "5", "cone_high": "6"})
    '5-6'
    """
    if question.key == "clay.cones":
        found = [str(row[key]) for _, key in _CLAY_CONES if key in row]
        return "-".join(dict.fromkeys(found))
    table, key = question.place
    said: object = row if table else ""
    for part in key.split("."):
        said = said.get(part, "") if isinstance(said, Mapping) else ""
    if isinstance(said, Mapping):
        said = said.get("value", "")
    typed = ("yes" if said else "no") if isinstance(said, bool) else str(said)
    return typed.rstrip("rR") if question.key == "outlet.receptacle" else typed


def changes(answers: Mapping[str, str], forget: Collection[str] = ()) -> dict[tuple[str, str], Figure | None]:
    """What the answers set in studio.toml; one that is not known sets nothing, one to ``forget`` is taken away.

    Raises
    ------
    ProblemsError
        with every answer that cannot be used.
    """
    given = {key: understood(_OF[key], text) for key, text in answers.items()}
    given = {key: text for key, text in given.items() if text != UNKNOWN}
    wrong = {key: told for key, text in given.items() if (told := fault(_OF[key], text))}
    if wrong:
        raise ProblemsError([error("answer", phrase("{} {}", _OF[key].asks, told)) for key, told in wrong.items()])
    found: dict[tuple[str, str], Figure | None] = dict.fromkeys(_OF[key].place for key in forget)
    if "clay.cones" in forget:
        found |= dict.fromkeys(_CLAY_CONES)
    found |= {_OF[key].place: _figure(_OF[key], text, Findings(None)) for key, text in given.items()}
    found.pop(("", ""), None)
    cones = read_cone_range(given["clay.cones"], Findings(None), None) if "clay.cones" in given else None
    if cones is not None:
        found |= dict(zip(_CLAY_CONES, (str(cones.low), str(cones.high)), strict=True))
    if "outlet.receptacle" in given:
        found[("circuit", "receptacle")] = f"{given['outlet.receptacle']}R"
    return found


def write_studio(
    folder: Path,
    answers: Mapping[str, str],
    *,
    which: Mapping[str, str] | None = None,
    forget: Collection[str] = (),
    seen: str | None = None,
) -> tuple[str, ...]:
    """Write the answers into the studio of ``folder``, made where it is missing; the names of the files written.

    ``answers`` is by :attr:`Question.key`. An old studio.toml keeps its comments and all
    that is not answered, and a copy of it is kept; an old stock.csv keeps its grams, new names are added.

    Parameters
    ----------
    which
        By table, the name of the clay, kiln or outlet that is meant; empty for another one. Without it the usual one.
    forget
        Questions whose answer is not known any more.
    seen
        What studio.toml said when the answers were given; None if it may say what it likes.

    Raises
    ------
    ProblemsError
        if an answer cannot be used, the file says something else than what was ``seen``, or it cannot be read or
        written.
    """
    made = changes(answers, forget)
    with one_writer(folder):
        _write_changes(folder, made, which, seen)
    shelf = _names(understood(_OF["shelf"], answers.get("shelf", "")))
    if shelf:
        stock_with(folder, list(dict.fromkeys(shelf)))
    return ("studio.toml", "stock.csv") if shelf else ("studio.toml",)


def _write_changes(
    folder: Path, made: dict[tuple[str, str], Figure | None], which: Mapping[str, str] | None, seen: str | None
) -> None:
    path = folder / "studio.toml"
    try:
        before = path.read_bytes().decode("utf-8") if path.is_file() else ""
        if seen is not None and seen != before:
            raise ProblemsError([error("changed-meanwhile", "studio.toml was changed meanwhile", "look, then save")])
        if ("scale", "resolution_g") not in made and "[scale" not in before:
            made.pop(("scale", "capacity_g"), None)  # what a scale bears says nothing where its step is not known
        text = set_figures(before if before.strip() else _HEAD, made, _NAMES, which)
    except (OSError, ValueError) as exc:
        hint = "mend it by hand, or name a new folder"
        raise ProblemsError([error("cannot-read", f"studio.toml cannot be changed: {exc}", hint, str(path))]) from None
    if text != before:
        keep_and_write(folder, text)


_HEAD: Final = """# Your studio, as you answered. What is not written here was not known, and is never guessed.
# Change a line by hand, or ask for the questions again: glazecalc start and the name of this folder.

"""


def _names(shelf: str) -> list[str]:
    """The names of a list with commas between; a comma within the name of a material, such as of a frit, parts
    nothing."""
    known = {fold(name) for m in built_in_materials() for name in (m.name, *m.aliases) if "," in name}
    parts = [part.strip() for part in shelf.replace(";", ",").split(",") if part.strip()]
    names: list[str] = []
    while parts:
        take = next((n for n in (3, 2) if fold(", ".join(parts[:n])) in known and len(parts) >= n), 1)
        names.append(", ".join(parts[:take]))
        del parts[:take]
    return names


def write_blank(folder: Path, force: bool = False) -> tuple[str, ...]:
    """A studio of commented blanks, with nothing invented in it; the names of the files written."""
    head = (data_root() / "recipes" / "materials.csv").read_text(encoding="utf-8").split("\n", 1)[0]
    write_file(folder / "studio.toml", BLANK, force)
    write_file(folder / "materials.csv", f"{head}\n", force)
    return ("studio.toml", "materials.csv")


# Makes a studio folder to edit, from the shipped demo studio.


def start_studio(folder: Path, *, bare: bool = False, force: bool = False) -> tuple[str, ...]:
    """Copy the demo studio into ``folder``; the names of the files written. ``bare`` leaves the recipe cards out.

    Raises
    ------
    ProblemsError
        if a file would be overwritten without ``force``, or the folder cannot be written.
    """
    source = data_root() / "recipes"
    files = sorted(p for p in source.iterdir() if p.suffix in (".toml", ".csv") or (p.suffix == ".txt" and not bare))
    try:
        if taken(folder) and not folder.is_dir():
            what = "that is a file" if folder.exists() else "a link that leads nowhere stands there"
            raise ProblemsError([error("not-a-folder", what, "name a new folder", str(folder))])
        there = [p.name for p in files if taken(folder / p.name)]
        if there and not force:
            names = ", ".join(there[:4]) + (" ..." if len(there) > 4 else "")
            raise ProblemsError([error("exists", f"already there: {names}", "--force replaces them", str(folder))])
        folder.mkdir(parents=True, exist_ok=True)
        for path in files:
            write_file(folder / path.name, path.read_bytes(), force)
    except (OSError, ValueError) as exc:
        said = exc.strerror if isinstance(exc, OSError) and exc.strerror else str(exc)
        raise ProblemsError([error("cannot-write", said, file=str(folder))]) from None
    return tuple(p.name for p in files)
