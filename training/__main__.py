"""``python -m training fit | report | extract | cards | tails | lead | grains``."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from training import report
from training.data import DataMissingError, read_glasses

KEYS = ("expansion", "transition", "modulus", "liquidus", "viscosity")


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m training", description=__doc__)
    parser.add_argument("task", choices=("fit", "report", "extract", "cards", "tails", "lead", "grains"))
    parser.add_argument("--only", choices=KEYS, action="append", help="fit this model alone, into the folder of --to")
    parser.add_argument("--to", type=Path, default=None, help="folder for fitted files, to compare with the shipped")
    parser.add_argument("--data", type=Path, default=None, help="folder with sciglass.csv.xz and sciglass_comp.csv.xz")
    return parser


def main(arguments: list[str] | None = None) -> int:
    """Fit everything, print the goal table, cut the held-out extracts, write the cards, or print a measurement."""
    given = _parser().parse_args(arguments)
    if (given.only or given.to) and (given.task != "fit" or given.to is None):
        print("--only and --to go with fit; --only needs --to: shipped files are written together", file=sys.stderr)
        return 2
    try:
        if given.task == "fit" and given.to is not None:
            from training.run import fit_again

            for line in fit_again(read_glasses(given.data), given.only or KEYS, given.to):
                print(line)
        elif given.task == "fit":
            from training.run import fit_everything

            fit_everything(read_glasses(given.data))
        elif given.task == "extract":
            from training.held_out import write_all

            for path in write_all(read_glasses(given.data)):
                print(path)
        elif given.task == "cards":
            from training.cards import write_cards

            for path in write_cards():
                print(path)
        elif given.task == "tails":
            from training.tails import tails_as_text

            print(tails_as_text(read_glasses(given.data)))
        elif given.task == "lead":
            from training.lead import lead_as_text

            print(lead_as_text(read_glasses(given.data)))
        elif given.task == "grains":
            from training.grains import grains_scores

            for name, part in grains_scores().items():
                print(name, part)
        else:
            found = report.results()
            report.write(found)
            import json

            print(report.as_text(json.loads(report.RESULTS.read_text(encoding="utf-8"))))
    except DataMissingError as problem:
        print(problem, file=sys.stderr)
        return 2
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
