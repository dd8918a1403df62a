"""``python -m training fit | report | extract | cards | tails | lead | grains``."""

from __future__ import annotations

import argparse
import json
import sys
from argparse import Namespace
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Final

from training import report
from training.cards import write_cards
from training.data import DataMissingError, read_glasses
from training.grains import grains_scores
from training.held_out import write_all
from training.lead import lead_as_text
from training.run import fit_again, fit_everything
from training.tails import tails_as_text

KEYS = ("expansion", "transition", "modulus", "liquidus", "viscosity")


def _fit(given: Namespace) -> Iterable[object]:
    glasses = read_glasses(given.data)
    if given.to is not None:
        return fit_again(glasses, given.only or KEYS, given.to)
    fit_everything(glasses)
    return ()


def _report(given: Namespace) -> Iterable[object]:
    report.write(report.results())
    return [report.as_text(json.loads(report.RESULTS.read_text(encoding="utf-8")))]


TASKS: Final[dict[str, Callable[[Namespace], Iterable[object]]]] = {
    "fit": _fit,
    "report": _report,
    "extract": lambda given: write_all(read_glasses(given.data)),
    "cards": lambda given: write_cards(),
    "tails": lambda given: [tails_as_text(read_glasses(given.data))],
    "lead": lambda given: [lead_as_text(read_glasses(given.data))],
    "grains": lambda given: (f"{name} {part}" for name, part in grains_scores().items()),
}
"""Fit everything, print the goal table, cut the held-out extracts, write the cards, or print a measurement."""


def main(arguments: list[str] | None = None) -> int:
    """Do one of the :data:`TASKS` and print what it gives."""
    parser = argparse.ArgumentParser(prog="python -m training", description=__doc__)
    parser.add_argument("task", choices=tuple(TASKS))
    parser.add_argument("--only", choices=KEYS, action="append", help="fit this model alone, into the folder of --to")
    parser.add_argument("--to", type=Path, default=None, help="folder for fitted files, to compare with the shipped")
    parser.add_argument("--data", type=Path, default=None, help="folder with sciglass.csv.xz and sciglass_comp.csv.xz")
    given = parser.parse_args(arguments)
    if (given.only or given.to) and (given.task != "fit" or given.to is None):
        print("--only and --to go with fit; --only needs --to: shipped files are written together", file=sys.stderr)
        return 2
    try:
        for line in TASKS[given.task](given):
            print(line)
    except DataMissingError as problem:
        print(problem, file=sys.stderr)
        return 2
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
