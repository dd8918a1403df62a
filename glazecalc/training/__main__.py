"""``python -m glazecalc.training fit | report | extract | cards``."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from glazecalc.training import report
from glazecalc.training.data import DataMissingError, read_glasses


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m glazecalc.training", description=__doc__)
    parser.add_argument("task", choices=("fit", "report", "extract", "cards"))
    parser.add_argument("--data", type=Path, default=None, help="folder with sciglass.csv.xz and sciglass_comp.csv.xz")
    return parser


def main(arguments: list[str] | None = None) -> int:
    """Fit everything, print the goal table, cut the held-out extracts, or write the model cards."""
    given = _parser().parse_args(arguments)
    try:
        if given.task == "fit":
            from glazecalc.training.run import fit_everything

            fit_everything(read_glasses(given.data))
        elif given.task == "extract":
            from glazecalc.training.held_out import write_all

            for path in write_all(read_glasses(given.data)):
                print(path)
        elif given.task == "cards":
            from glazecalc.training.cards import write_cards

            for path in write_cards():
                print(path)
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
