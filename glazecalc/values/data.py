"""Where the shipped data are, and the one way to read a shipped table."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path


@cache
def data_root() -> Path:
    """Folder that holds ``materials/`` and ``recipes/``: inside an installed wheel, else the repository.

    Raises
    ------
    FileNotFoundError
        if neither place has the data: the installation is broken.
    """
    package = Path(__file__).resolve().parent.parent
    for root in (package / "_data", package.parent):
        if (root / "materials" / "sources.csv").is_file():
            return root
    raise FileNotFoundError("the data tables of glazecalc are missing; install it again")


@cache
def read_table(name: str) -> tuple[dict[str, str], ...]:
    """Rows of the shipped table ``materials/<name>.csv``, every cell as text (a cone is a name)."""
    with (data_root() / "materials" / f"{name}.csv").open(encoding="utf-8", newline="") as stream:
        return tuple(dict(row) for row in csv.DictReader(stream))


@cache
def sources() -> dict[str, str]:
    """Source id -> one printable line saying where the figure comes from and how it was obtained."""
    return {row["id"]: f"{row['citation']} [{row['how']}]" for row in read_table("sources")}
