"""Find and read the open database of measured glasses, and clean it.

The files ``sciglass.csv.xz`` (properties) and ``sciglass_comp.csv.xz`` (mole fractions) come inside the package
``glasspy`` 0.3, whose code is never imported. The data are SciGlass, made open by EPAM under the Open Database
License (ODbL) 1.0; whoever passes on the data or an extract keeps that licence and names the source.
"""

from __future__ import annotations

import csv
import importlib.metadata
import lzma
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from glazecalc.models.cones import KELVIN as KELVIN
from glazecalc.models.domain import FITTED
from glazecalc.values.arrays import Array as Array
from glazecalc.values.oxides import SYMBOLS

Mask = NDArray[np.bool_]

DATA_PACKAGE: Final = "glasspy"
_FILES: Final = ("sciglass.csv.xz", "sciglass_comp.csv.xz")


class DataMissingError(RuntimeError):
    """The data files are not where they were looked for."""


def find_data(folder: Path | None = None) -> Path:
    """Folder that holds the two data files: the one given, else inside the installed data package.

    Raises
    ------
    DataMissingError
        with the command that installs them.
    """
    if folder is None:
        try:
            held = importlib.metadata.files(DATA_PACKAGE) or []
        except importlib.metadata.PackageNotFoundError as exc:
            raise DataMissingError(
                "the glass data are not installed; run: pip install --no-deps glasspy==0.3, or give --data FOLDER"
            ) from exc
        match = next((f for f in held if f.name == _FILES[0]), None)
        folder = Path(str(match.locate())).parent if match is not None else Path("?")
    missing = [name for name in _FILES if not (folder / name).is_file()]
    if missing:
        raise DataMissingError(f"{folder} does not hold {', '.join(missing)}")
    return folder


@dataclass(frozen=True, eq=False)
class Glasses:
    """Measured glasses: ``properties`` as in the file, ``composition`` (n, 16) normalised to the fitted oxides.

    ``share`` is what the sixteen oxides make of the whole composition, ``paper`` numbers author and year, ``other``
    holds mole fractions of the small additions.
    """

    properties: pd.DataFrame
    composition: Array
    share: Array
    paper: NDArray[np.int64]
    year: NDArray[np.int64]
    other: pd.DataFrame

    def __len__(self) -> int:
        return len(self.year)


def _read(path: Path) -> Any:
    with lzma.open(path, "rt", encoding="utf-8") as stream:
        return pd.read_csv(stream, dtype={"ID": str}, low_memory=False)


def read_glasses(folder: Path | None = None) -> Glasses:
    """All records of the database, compositions brought to the sixteen fitted oxides (iron counted as Fe2O3)."""
    where = find_data(folder)
    properties, raw = _read(where / _FILES[0]), _read(where / _FILES[1])
    if not (properties["ID"] == raw["ID"]).all():
        raise DataMissingError("the two data files do not hold the same records in the same order")
    oxides = raw.drop(columns="ID").fillna(0.0)
    sixteen = oxides[list(FITTED)].to_numpy(dtype=float)
    total = sixteen.sum(axis=1)
    composition = sixteen / np.maximum(total, 1e-12)[:, None]
    author = properties["Author"].fillna("?").astype(str)
    paper = pd.factorize(author + "|" + properties["Year"].astype(str))[0]
    return Glasses(
        properties=properties,
        composition=composition,
        share=total,
        paper=paper.astype(np.int64),
        year=properties["Year"].to_numpy(dtype=np.int64),
        other=oxides.drop(columns=list(FITTED)),
    )


def in_fixed_order(fitted: Array) -> Array:
    """Fitted oxides (n, 16) as compositions (n, k) in the fixed order, without any of the other oxides."""
    x = np.zeros((len(fitted), len(SYMBOLS)))
    x[:, : len(FITTED)] = fitted
    return x


def write_csv(path: Path, rows: Sequence[Mapping[str, str]]) -> None:
    """Write a table with the columns of its first row."""
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


def first_of_duplicates(composition: Array, values: Array, paper: NDArray[np.int64] | None = None) -> Mask:
    """Rows to keep when the same composition with the same value is recorded more than once.

    Records repeated word for word by a later paper of the same laboratory would otherwise count twice.
    """
    key = pd.DataFrame(np.round(composition, 4))
    key["value"] = np.array([f"{v:.4g}" for v in values])
    if paper is not None:
        key["paper"] = paper
    keep: Mask = ~key.duplicated().to_numpy()
    return keep
