"""Tables by pyarrow, where it is installed: plain CSV many times faster than row by row, and Parquet.

The one door to pyarrow. What it would read otherwise than the standard library's reader goes to that reader: the
answers and remarks of a table do not depend on what is installed.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO, Final

import numpy as np

from glazecalc.jobs.screening.estimates import BASES, Estimated
from glazecalc.jobs.screening.rows import (
    LARGEST_AMOUNT,
    TableRows,
    check_head,
    named,
    plain_rows,
    rest_of,
    rows_at_a_time,
    rows_in,
)
from glazecalc.values.answers import ProblemsError, error

if TYPE_CHECKING:
    import pyarrow as pa

BLOCK: Final = 1 << 21
"""How much of a CSV table is read at a time [bytes]."""
LONGEST_CELL: Final = 131_072
"""Longest cell that the standard library reads [characters]."""
_SIMPLE: Final = re.compile(rb'(?:^|,)"[^"\r\n]*"(?=,|\r?\n|\Z)', re.MULTILINE)
"""A cell between quotes that holds neither a quote nor a line's end."""


def has_arrow() -> bool:
    """Whether pyarrow is installed."""
    return find_spec("pyarrow") is not None


def csv_blocks(source: Path, is_amount: Callable[[str], bool], chunk_rows: int) -> Iterator[TableRows]:
    """The rows of a CSV table in pieces, exactly those of the plain way. Raises OSError and UnicodeDecodeError."""
    with source.open("rb") as stream:
        head = stream.readline(BLOCK)
        if not head.endswith(b"\n") or not _is_simple(head):
            yield from plain_rows(source, chunk_rows)
            return
        names = named(next(csv.reader([head.decode("utf-8-sig")])))
        check_head(names, str(source))
        offset, line = len(head), 2
        for block in _whole_lines(stream):
            if block is None or not _is_simple(block):
                yield from rest_of(source, offset, names, chunk_rows, line)
                return
            yield from _rows_of(block, names, is_amount, chunk_rows, line)
            offset += len(block)
            line += block.count(b"\n")


def _whole_lines(stream: BinaryIO) -> Iterator[bytes | None]:
    """Blocks that end with a line; None where a line is longer than a block."""
    rest = b""
    while more := stream.read(BLOCK):
        cut = more.rfind(b"\n") + 1
        if not cut:
            yield None
            return
        yield rest + more[:cut]
        rest = more[cut:]
    if rest:
        yield rest


def _is_simple(block: bytes) -> bool:
    """Whether each line is a row, whose cells both readers tell apart alike."""
    if b"\r" in block and block.count(b"\r") != block.count(b"\r\n"):
        return False
    if b"\0" in block:
        return False
    if b'"' in block and 2 * len(_SIMPLE.findall(block)) != block.count(b'"'):
        return False
    ends = np.flatnonzero(np.frombuffer(block, dtype=np.uint8) == ord("\n"))
    return int(np.diff(ends, prepend=-1, append=len(block)).max()) <= LONGEST_CELL


def _rows_of(
    block: bytes, names: tuple[str, ...], is_amount: Callable[[str], bool], chunk_rows: int, line: int
) -> Iterator[TableRows]:
    """The rows of some whole lines; as text where a cell of an amount is none, which so stays as it is written."""
    amounts = {name for name in names if is_amount(name)}
    table = _parsed(block, names, amounts)
    if table is None or not all(_are_amounts(table[name]) for name in amounts):
        table = _parsed(block, names, set())
    if table is None:
        yield from rows_in(block, names, chunk_rows, line)
        return
    for start in range(0, table.num_rows, chunk_rows):
        rows = table.slice(start, chunk_rows).to_pandas()
        yield TableRows(rows, range(line + start, line + start + len(rows)))


def _are_amounts(column: Any) -> bool:
    """Whether all numbers of a column are amounts."""
    from pyarrow import compute

    numbers = compute.fill_null(column, 0.0).to_numpy()
    return bool(((numbers >= 0.0) & (numbers <= LARGEST_AMOUNT)).all())


def _parsed(block: bytes, names: tuple[str, ...], numbers: set[str]) -> pa.Table | None:
    """The rows with some columns as numbers and the others as text; None where pyarrow cannot."""
    import pyarrow as pa
    from pyarrow.csv import ConvertOptions, ParseOptions, ReadOptions, read_csv

    types = {name: pa.float64() if name in numbers else pa.string() for name in names}
    try:
        return read_csv(
            io.BytesIO(block),
            read_options=ReadOptions(column_names=list(names), use_threads=False, block_size=len(block) + 1),
            parse_options=ParseOptions(ignore_empty_lines=False),
            convert_options=ConvertOptions(column_types=types, null_values=[""], strings_can_be_null=False),
        )
    except pa.ArrowInvalid:
        return None


# Parquet: columns have kinds, so that a number is one and a missing value is a blank cell.


def parquet_rows(source: Path, chunk_rows: int) -> Iterator[TableRows]:
    """The rows of a Parquet table in pieces. Raises ProblemsError where it is none, and OSError."""
    import pyarrow as pa
    from pyarrow import parquet

    try:
        with parquet.ParquetFile(source) as file:
            names = named(file.schema_arrow.names)
            check_head(names, str(source))
            row = 1
            for batch in file.iter_batches(batch_size=rows_at_a_time(chunk_rows, len(names))):
                table = pa.Table.from_batches([batch]).rename_columns(list(names))
                yield TableRows(table.to_pandas(), first=row, kept=table)
                row += batch.num_rows
    except pa.ArrowException as exc:
        reason = str(exc).splitlines()[0]
        raise ProblemsError([error("parquet", f"not a Parquet table: {reason}", file=str(source))]) from None


def rows_in_parquet(source: Path) -> int:
    """How many rows a Parquet table says it has; 1 where it cannot be asked."""
    import pyarrow as pa
    from pyarrow import parquet

    try:
        return int(parquet.read_metadata(source).num_rows)
    except (pa.ArrowException, OSError):
        return 1


class ParquetOut:
    """A Parquet table of estimates, written chunk by chunk; what each column is stands in the metadata of its field."""

    def __init__(self, place: Path) -> None:
        self.place = place
        self.writer: Any = None

    def write(self, ident: str, ids: Any, found: Estimated) -> None:
        """Write some rows."""
        import pyarrow as pa
        from pyarrow import parquet

        columns: dict[str, Any] = {ident: pa.array(ids) if isinstance(ids, list | range) else ids}
        facts: dict[str, dict[str, str]] = {}
        for at, name in enumerate(found.figure_names):
            figures = np.ascontiguousarray(found.figures[:, at])
            columns[name] = pa.array(figures, mask=np.isnan(figures))
            estimate = found.estimates[at // 3]
            facts[name] = {"unit": found.units[estimate], "interval": found.kinds[estimate], "coverage": "0.90"}
        for name, codes in found.basis_codes().items():
            columns[name] = pa.DictionaryArray.from_arrays(pa.array(codes), pa.array(BASES))
        for name, kind in found.interval_columns().items():
            every = pa.array(np.zeros(len(found), dtype=np.int8))
            columns[name] = pa.DictionaryArray.from_arrays(every, pa.array([kind]))
        fields = [pa.field(name, column.type, metadata=facts.get(name)) for name, column in columns.items()]
        table = pa.Table.from_arrays(list(columns.values()), schema=pa.schema(fields))
        if self.writer is None:
            words = [name for name, column in columns.items() if not pa.types.is_floating(column.type)]
            self.writer = parquet.ParquetWriter(self.place, table.schema, use_dictionary=words)
        self.writer.write_table(table)

    def close(self) -> None:
        """End the file."""
        if self.writer is not None:
            self.writer.close()
