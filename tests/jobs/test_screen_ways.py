"""However a table is read, written or cut, the answer is one: CSV row by row or by pyarrow, Parquet, pandas frames."""

from __future__ import annotations

import csv
import io
import itertools
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from glazecalc import api
from glazecalc.files.materials import built_in_materials
from glazecalc.jobs.estimates import ARRAY_NAMES
from glazecalc.jobs.materials import pantry
from glazecalc.jobs.screen import Screened, screen
from glazecalc.jobs.screening import arrow
from glazecalc.jobs.screening.text import figure_lines
from glazecalc.values.answers import ProblemsError

SHELF = pantry(built_in_materials())
HEAD = b"id,SiO2,Al2O3,Na2O,CaO\n"
ROW = b"a%d,7%d.25,8,12,10\n"
needs_arrow = pytest.mark.skipif(not arrow.has_arrow(), reason="pyarrow is not installed")


def written(path: Path, **more: Any) -> tuple[str, object]:
    """What is written and found; of a table that cannot be used, only what is said of it."""
    out = io.StringIO()
    try:
        done = screen(path, out, SHELF, **more)
    except ProblemsError as stop:
        return "", tuple(stop.problems)
    return out.getvalue(), done


def lines(n: int) -> bytes:
    return b"".join(ROW % (i, i % 10) for i in range(n))


TABLES = {
    "plain": HEAD + lines(300),
    "no last line's end": HEAD + lines(3).rstrip(b"\n"),
    "lines end as on Windows": (HEAD + lines(40)).replace(b"\n", b"\r\n"),
    "lines end as on old machines": (HEAD + lines(40)).replace(b"\n", b"\r"),
    "a mark of the encoding": b"\xef\xbb\xbf" + HEAD + lines(4),
    "letters beyond ASCII": HEAD + "\u00e9\u4e2d,70,8,12,10\n".encode() + lines(4),
    "no UTF-8": HEAD + lines(4) + b"\xff\xfe,70,8,12,10\n",
    "no UTF-8 where nobody looks": b"id,SiO2,CaO,note\na,60,20,\xff\n",
    "half a letter in the head": b"id,SiO2,CaO,\xff\na,60,20,x\n",
    "quoted": HEAD + b'"a","70","8","12","10"\n"b, c",70,8,12,10\n"",70,8,12,10\n',
    "quotes in quotes": HEAD + b'"a ""b""",70,8,12,10\n' + lines(3),
    "quotes in the midst": HEAD + b'a"b,70,8,12,10\nx" ,"y",8,12,10\n' + lines(3),
    "text behind quotes": HEAD + b'"a"b,70,8,12,10\n' + lines(3),
    "a line's end in quotes": HEAD + lines(20) + b'"a\nb",70,8,12,10\n' + lines(5) + b"x,many,8,12,10\n",
    "a quote without an end": HEAD + lines(20) + b'"a,70,8,12,10\n' + lines(5),
    "a quoted head": b'"id","SiO2","Na\n2O",CaO\n' + b"a,1,2,3\n",
    "rows too short and too long": HEAD + lines(5) + b"a,1\nb,1,2,3,4,5\nc,1,2,3,4,,\n" + lines(5),
    "empty lines": HEAD + b"\n" + lines(2) + b"\n\n" + lines(2) + b"\r\n \n",
    "one column": b"SiO2\n60\n\n70\n",
    "cells with nothing": HEAD + b"a,70,,12,10\nb,70, ,12,\t\nc,,,,\nd,70,\xc2\xa0,12,10\n",
    "cells that are no number": HEAD + b"".join(
        b"a,70,%s,12,10\n" % cell for cell in (b"NA", b"nan", b"inf", b"-inf", b"1_0", b"0x10", b"1e400", b"-1", b"-0", b"1e13",
                                                b"True", b"1,5", b"+1", b" 1", b"1 ", b".5", b"5.", b"1e-400", b"1d2", b"null", b"#N/A")),
    "below nil": HEAD + lines(3) + b"a,-1,8,12,10\n" + lines(3),
    "long figures": HEAD + b"a,70.123456789012345678,8.000000000000001,12.3333333333333333333,0.1e2\n",
    "a very long cell": HEAD + b"x" * 200_000 + b",70,8,12,10\n",
    "nought bytes": HEAD + b"a\0b,70,8,12,10\n",
    "ids that spreadsheets run": HEAD + b"=1+1,70,8,12,10\n-a,70,8,12,10\n",
    "only a head": HEAD,
    "nothing": b"",
    "heads missing": b",SiO2,,CaO\na,60,x,20\n",
    "heads twice": b"id,SiO2,CaO,SiO2\na,60,20,1\n",
    "a slip": b"id,SiO2,K20\na,60,20\n",
    "sixty bad rows": HEAD + b"a,many,8,12,10\n" * 60 + lines(3),
    "the name of an estimate": b"expansion,SiO2,CaO\na,60,20\n",
}  # fmt: skip


@needs_arrow
@pytest.mark.parametrize("block", [64, arrow.BLOCK])
@pytest.mark.parametrize("name", TABLES)
def test_pyarrow_and_the_standard_library_read_alike(
    name: str, block: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The csv module of the standard library is the measure: figures, ids, problems and their lines are the same."""
    path = tmp_path / "table.csv"
    path.write_bytes(TABLES[name])
    monkeypatch.setattr(arrow, "BLOCK", block)
    fast = written(path)
    monkeypatch.setattr(arrow, "has_arrow", lambda: False)
    assert fast == written(path)


@needs_arrow
@settings(deadline=None)
@given(
    st.lists(
        st.lists(st.sampled_from(["a", '"', ",", "\n", "\r\n", "\r", " ", "7", "1e3", "-", "x", ";"]), max_size=12),
        max_size=8,
    )
)
def test_whatever_stands_in_a_table(tmp_path_factory: pytest.TempPathFactory, pieces: list[list[str]]) -> None:
    text = "id,SiO2,CaO\n" + "\n".join("".join(piece) for piece in pieces)
    path = tmp_path_factory.mktemp("any") / "t.csv"
    path.write_bytes(text.encode())
    with pytest.MonkeyPatch.context() as patch:
        fast = written(path)
        patch.setattr(arrow, "has_arrow", lambda: False)
        assert fast == written(path)


@given(
    st.lists(
        st.floats(allow_infinity=False) | st.floats(0.5, 2e6) | st.decimals(1, 2000, places=4).map(float), min_size=1
    )
)
def test_figures_are_written_as_python_formats_them(values: list[float]) -> None:
    """%.6g of Python, which rounds the exact binary value."""
    told = [f"{value:.6g}" if value == value else "" for value in values]
    assert figure_lines(np.array([values])) == ["".join(f"{text}," for text in told)]


def test_figures_near_a_half() -> None:
    halves = np.arange(1, 40_000) / 16
    near = np.concatenate(
        [halves, np.nextafter(halves, 0), halves + 5e-7, [99999.95, 999999.5, 9.999995, 1.0, 999999.0]]
    )
    assert figure_lines(near[:, None]) == [f"{value:.6g}," for value in near.tolist()]


def frame_of(n: int) -> pd.DataFrame:
    rng = np.random.default_rng(n)
    amounts = rng.random((n, 5)) * [20, 10, 10, 14, 6] + [50, 4, 0, 0, 0]
    amounts[::7, 4] = 0.0
    frame = pd.DataFrame(amounts, columns=["SiO2", "Al2O3", "Na2O", "CaO", "CoO"])
    return frame.assign(id=[f"g{i}" for i in range(n)])[["id", *frame.columns]]


@pytest.mark.parametrize("basis", ["mole", "recipe"])
def test_a_row_is_the_same_to_the_last_bit_wherever_a_table_is_cut(basis: Any) -> None:
    frame = frame_of(9001)
    if basis == "recipe":
        frame.columns = ["id", "Silica", "Kaolin", "Soda feldspar", "Whiting", "Cobalt carbonate"]
    whole = api.estimate_table(frame, basis=basis)
    for cuts in ((1, 2, 5), (383, 384, 385), (4000, 8223)):
        edges = [0, *cuts, len(frame)]
        parts = [api.estimate_table(frame.iloc[a:b], basis=basis) for a, b in itertools.pairwise(edges)]
        pd.testing.assert_frame_equal(pd.concat(parts), whole, check_exact=True)


def test_a_frame_answers_as_a_csv_table(tmp_path: Path) -> None:
    frame = frame_of(40)
    frame.loc[3, "SiO2"] = -1.0
    frame.loc[5, "Al2O3"] = np.nan
    frame.loc[7, "SiO2":] = 0.0
    frame["CaO"] = frame["CaO"].astype(object)
    frame.loc[9, "CaO"] = "much"
    frame.to_csv(tmp_path / "t.csv", index=False)
    text, _ = written(tmp_path / "t.csv")
    rows = list(csv.DictReader(io.StringIO(text)))
    found = api.estimate_table(frame)
    assert list(found.columns) == list(rows[0])[1:]
    for name in found.columns:
        cells = found[name].tolist()
        told = ["" if c != c else f"{c:.6g}" for c in cells] if found[name].dtype == float else cells
        assert told == [row[name] for row in rows], name
    assert [i for i, basis in enumerate(found["basis"]) if basis == "error"] == [3, 7, 9]


def test_fewer_estimates_are_the_same_figures() -> None:
    frame = frame_of(50)
    whole = api.estimate_table(frame)
    some = api.estimate_table(frame, columns=["liquidus_temperature", "temperature_at_log_viscosity_4"])
    ends = ("", "_low", "_high", "_basis", "_interval")
    assert set(some.columns) == {
        n + e for n in ("liquidus_temperature", "temperature_at_log_viscosity_4") for e in ends
    }
    pd.testing.assert_frame_equal(some, whole[some.columns], check_exact=True)
    with pytest.raises(ProblemsError, match="no estimate"):
        api.estimate_table(frame, columns=["expansions"])


def test_a_frame_without_rows_has_the_same_columns() -> None:
    frame = frame_of(3)
    whole, empty = api.estimate_table(frame), api.estimate_table(frame.iloc[:0])
    assert len(empty) == 0
    assert dict(empty.dtypes) == dict(whole.dtypes)


@needs_arrow
def test_parquet_goes_in_and_out_unrounded_and_says_what_it_holds(tmp_path: Path) -> None:
    from pyarrow import parquet

    frame = frame_of(500)
    frame["id"] = range(500)
    frame.to_parquet(tmp_path / "t.parquet")
    done = screen(tmp_path / "t.parquet", tmp_path / "o.parquet", SHELF, chunk_rows=77)
    assert (done.rows, done.bad_rows, done.problems) == (500, 0, ())
    back = pd.read_parquet(tmp_path / "o.parquet")
    assert back["id"].tolist() == list(range(500))
    pd.testing.assert_frame_equal(
        back.drop(columns="id"), api.estimate_table(frame), check_exact=True, check_categorical=False, check_dtype=False
    )
    schema = parquet.read_schema(tmp_path / "o.parquet")
    for name in ARRAY_NAMES:
        facts = schema.field(f"{name}_high").metadata
        assert facts[b"interval"] == (b"glaze" if name == "expansion" else b"glass")
        assert facts[b"coverage"] == b"0.90"
    assert schema.field("expansion").metadata[b"unit"] == b"1e-6/K"


@needs_arrow
def test_bad_rows_of_parquet_are_told_by_their_number(tmp_path: Path) -> None:
    frame = pd.DataFrame(
        {"id": list("abcdef"), "SiO2": [70, None, -3.0, np.inf, 0, 60], "Na2O": ["30", "", "1", "1", "0", "x"]}
    )
    frame.to_parquet(tmp_path / "t.parquet")
    text, done = written(tmp_path / "t.parquet", chunk_rows=2)
    assert isinstance(done, Screened)
    assert [p.message.split(":")[0] for p in done.problems] == ["row 2", "row 3", "row 4", "row 5", "row 6"]
    assert [row["basis"] == "error" for row in csv.DictReader(io.StringIO(text))] == [False, *[True] * 5]
    assert "'x'" in done.problems[-1].message


def test_parquet_that_is_none_or_cannot_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "t.parquet"
    path.write_text("id,SiO2\na,60\n", encoding="utf-8")
    if arrow.has_arrow():
        assert [p.code for p in written(path)[1]] == ["parquet"]  # type: ignore[attr-defined]
    monkeypatch.setattr(arrow, "has_arrow", lambda: False)
    assert [p.code for p in written(path)[1]] == ["no-pyarrow"]  # type: ignore[attr-defined]
