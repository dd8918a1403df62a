"""The journal as CSV: there and back, harmless in a spreadsheet, and rubbish refused."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from glazecalc.files.journal import Journal
from glazecalc.files.journal_csv import guarded, read_csv, unguarded, write_csv
from glazecalc.values.answers import ProblemsError
from glazecalc.values.records import FrozenLine, FrozenRecipe, Reading, TileRecord
from tests.files.samples import BATCH, FIRING, TILE, code_of
from tests.render.test_csv_safe import ATTACKS


def test_export_and_import_round_trip(tmp_path):
    with Journal(tmp_path) as journal:
        tile = journal.record(TileRecord(note='=cmd|" /C calc"!A0', glaze="-5", lot="line\r\ntwo", after_days=3.0))
        journal.record(FIRING), journal.record(BATCH), journal.record(TILE)
        journal.correct("tile", tile.id, coats=2)
        journal.withdraw("firing", "F1")
        before = journal.all_entries()
    out = io.StringIO(newline="")
    assert write_csv(before, out) == len(before)
    (tmp_path / "new").mkdir()
    with Journal(tmp_path / "new") as copy:
        assert copy.add_entries(read_csv(io.StringIO(out.getvalue(), newline=""))) == len(before)
        assert copy.all_entries() == before
        assert copy.add_entries(before) == 0
        assert copy.record(TILE).id == "AAE"


def test_no_cell_acts_as_a_formula(tmp_path):
    out = io.StringIO(newline="")
    with Journal(tmp_path) as journal:
        for start in ("=1+1", "+1", "-1+1", "@SUM(A1)", "\t=1", "\r=1"):
            journal.record(TileRecord(note=start, glaze=start, lot=start))
        write_csv(journal.all_entries(), out)
    for row in csv.reader(io.StringIO(out.getvalue(), newline="")):
        assert not any(cell[:1] in "=+@\t\r" and cell for cell in row)
        assert all(cell.lstrip("-").replace(".", "").isdigit() for cell in row if cell.startswith("-"))


@pytest.mark.parametrize("attack", [a for a in ATTACKS if a != "-1"], ids=repr)  # -1 is a plain number
def test_the_journal_guards_as_every_other_table(attack):
    """OWASP, CSV Injection (from memory)."""
    assert guarded(attack).startswith("'") and unguarded(guarded(attack)) == attack
    assert unguarded(f"'{attack}") == attack


@given(st.text(max_size=12))
def test_guard_there_and_back(text):
    assert unguarded(guarded(text)) == text


@settings(max_examples=40)
@given(st.lists(st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=20), min_size=3, max_size=3))
def test_any_text_survives_export(texts):
    from glazecalc.values.records import Entry

    entry = Entry(
        "tile",
        "AAA",
        1,
        "2026-01-02T03:04:05.000+00:00",
        TileRecord("AAA", glaze=texts[0], note=texts[1], lot=texts[2]),
    )
    out = io.StringIO(newline="")
    write_csv([entry], out)
    assert read_csv(io.StringIO(out.getvalue(), newline="")) == (entry,)


def test_import_of_a_clash_or_rubbish_writes_nothing(tmp_path):
    (tmp_path / "a").mkdir(), (tmp_path / "b").mkdir()
    with Journal(tmp_path / "a") as a, Journal(tmp_path / "b") as b:
        a.record(FIRING), a.record(TILE)
        b.record(TileRecord(glaze="another"))
        with pytest.raises(ProblemsError) as raised:
            b.add_entries(a.all_entries())
        assert code_of(raised) == "journal-clash"
        assert len(b.all_entries()) == 1
    with pytest.raises(ProblemsError) as raised:
        read_csv(io.StringIO("a,b\n1,2\n"))
    assert code_of(raised) == "not-an-export"
    head = "kind,id,revision,recorded_at,withdrawn,results\n"
    with pytest.raises(ProblemsError) as raised:
        read_csv(io.StringIO(head + 'tile,AAA,1,now,,["melted"]\nspoon,AAA,1,now,,\n'), "x.csv")
    assert [(p.code, p.line) for p in raised.value.problems] == [("row", 2), ("row", 3)]


def test_cells_hold_plain_values(tmp_path):
    """A spreadsheet shows words and figures; what a change of units leaves behind a figure is not kept."""
    drawn = replace(FIRING, readings=(Reading(2 + 1 / 3, 426.6666666666667), Reading(3.123456, 500.0)), reached=False)
    batch = replace(BATCH, dry_g=19.999999999999996)
    with Journal(tmp_path) as journal:
        journal.record(TILE), journal.record(drawn), journal.record(batch)
        before = journal.all_entries()
    out = io.StringIO(newline="")
    write_csv(before, out)
    tile, firing, kept = csv.DictReader(io.StringIO(out.getvalue(), newline=""))
    assert not any(sign in cell for row in (tile, firing, kept) for cell in row.values() for sign in "{}[]")
    assert (tile["results"], tile["thickness_mm"], tile["coats"]) == ("sound; pinholed", "0.3", "")
    assert (tile["recipe_lines"], tile["recipe_moles"]) == ("Whiting 16; Red iron oxide 2 added", "SiO2 0.7; CaO 0.3")
    assert (firing["cones"], firing["readings"]) == ("5 down; 6 half", "2:20 = 426.666667; 3.123456 = 500")
    assert (firing["reached"], kept["dry_g"], kept["weighed"], kept["lots"]) == (
        "no",
        "20",
        "Whiting 80",
        "Whiting = A-7",
    )
    assert read_csv(io.StringIO(out.getvalue(), newline="")) == before


def test_a_file_of_an_older_program_is_still_read(tmp_path):
    recipe = '{"name": "x", "kind": "glaze", "cone": "6", "lines": [%s], "moles": []}' % (LINE % 9)
    table = io.StringIO(newline="")
    csv.writer(table).writerows([
        ["kind", "id", "revision", "recorded_at", "withdrawn", "recipe", "results", "reached", "readings", "cones", "hours"],
        ["tile", "AAA", 1, "now", "", recipe, '["sound"]', "", "", "", ""],
        ["firing", "F1", 1, "now", "", "", "", "true", '[{"at_h": 1.0, "degC": 300.0}]', "[]", "8.0"],
    ])  # fmt: skip
    tile, firing = (entry.record for entry in read_csv(io.StringIO(table.getvalue(), newline="")))
    assert tile.recipe.lines == (FrozenLine("Whiting", 9.0),) and tile.results == ("sound",)
    assert (firing.reached, firing.readings, firing.hours) == (True, (Reading(1.0, 300.0),), 8.0)


NAMES = st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=8) | st.sampled_from(
    ["; ", "+ x", " added", "x 3 added", "\\", "[a", "{", " = ", "a ; b 5", "\\; ", "x\n"]
)


@settings(max_examples=200)
@given(st.lists(st.tuples(NAMES, st.floats(0.5, 1e6), st.booleans()), min_size=1, max_size=4), NAMES)
def test_any_recipe_and_lot_survives_export(lines, lot):
    from glazecalc.values.records import BatchRecord, Entry

    rounded = tuple(FrozenLine(name, float(f"{amount:.9g}"), added) for name, amount, added in lines)
    recipe = FrozenRecipe(lot or "x", "glaze", "6", rounded, ())
    pairs = tuple((line.material.replace("=", ""), lot) for line in rounded)
    entry = Entry("batch", "B1", 1, "2026-01-02", BatchRecord("B1", recipe, lots=pairs))
    out = io.StringIO(newline="")
    write_csv([entry], out)
    assert read_csv(io.StringIO(out.getvalue(), newline="")) == (entry,)


RECIPE_CELL = '{"name": "x", "kind": "glaze", "cone": "6", "lines": [%s], "moles": [%s]}'
LINE = '{"material": "Whiting", "amount": %s, "addition": false}'


@pytest.mark.parametrize(
    ("column", "cell"),
    [
        ("coats", '"three"'), ("coats", "2.5"), ("coats", "true"), ("thickness_mm", '{"a": 1}'), ("thickness_mm", "NaN"),
        ("thickness_mm", "[" * 100_000), ("after_days", "1e999"), ("results", "5"), ("results", '"sound"'),
        ("recipe", "3"), ("recipe", RECIPE_CELL % (LINE % '"much"', "")), ("recipe", RECIPE_CELL % (LINE % "1e300", "")),
        ("recipe", RECIPE_CELL % (LINE % 9, '["SiO2", 0.0]')), ("recipe", RECIPE_CELL % (LINE % 0, "")),
        ("recipe", RECIPE_CELL % (f"{LINE % 9}, {LINE % -1}", "")),
        ("recipe", RECIPE_CELL % (LINE % 9, '["Unobtainium", 1.0]')), ("recipe", RECIPE_CELL % (LINE % 9, '["SiO2", -4]')),
    ],
)  # fmt: skip
def test_a_cell_of_another_sort_is_a_row_that_cannot_be_read(column, cell):
    columns = dict.fromkeys(("recipe", "coats", "thickness_mm", "after_days"), "") | {"results": "[]"} | {column: cell}
    table = io.StringIO(newline="")
    csv.writer(table).writerows(
        [
            ["kind", "id", "revision", "recorded_at", "withdrawn", *columns],
            ["tile", "AAA", 1, "now", "", *columns.values()],
        ]
    )
    with pytest.raises(ProblemsError) as raised:
        read_csv(io.StringIO(table.getvalue(), newline=""), "x.csv")
    assert [(p.code, p.line) for p in raised.value.problems] == [("row", 2)]


@pytest.mark.parametrize(
    "revision", ["0", "00", "-1", "1.5", "", "x", "0000000019999999999999999999", "9" * 400, "\u0661"]
)
def test_a_revision_that_cannot_be_is_a_row_that_cannot_be_read(revision):
    with pytest.raises(ProblemsError) as raised:
        read_csv(io.StringIO(f"kind,id,revision,recorded_at,withdrawn,results\ntile,AAA,{revision},now,,[]\n"))
    assert [(p.code, p.line) for p in raised.value.problems] == [("row", 2)]
