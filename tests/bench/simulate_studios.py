"""Three hundred studios with a known clay and noisy tiles: does `learn` keep its word?

Run: ``python -m tests.bench.simulate_studios [--studios 300] [--seed 20] [--write]``. Prints the figures; ``--write``
puts them into docs/models/learn.md, with the seed and a line that a test recomputes. The studios are made in
:mod:`tests.bench.studios`."""

from __future__ import annotations

import argparse
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from glazecalc.jobs.learn import family_likelihoods, ground_of
from glazecalc.jobs.lesson import information_bits, result_chances
from glazecalc.jobs.tiled import Taught
from glazecalc.models.body import known_body
from glazecalc.values.answers import NINETY
from tests.bench.studios import (
    GLAZES,
    KINDS,
    ROOT,
    WHERE,
    Said,
    Studio,
    checked,
    error_papers,
    fired_tile,
    make_studio,
    note,
    real_errors,
    width,
)

CARD = ROOT / "docs" / "models" / "learn.md"
MARKS = ("<!-- simulated: begin -->", "<!-- simulated: end -->")
TILES = 8
FIRST = 12


@dataclass
class Found:
    """The simulation's figures: by studio, and by piece for the reliability."""

    in90: np.ndarray
    ratio: np.ndarray
    best5: np.ndarray
    random5: np.ndarray
    pieces: dict[str, Said]


def run(studios: int, seed: int, figured: bool = False) -> Found:
    rows: dict[str, list[float]] = {name: [] for name in ("in90", "ratio", "best5", "random5")}
    pieces = {where: Said() for where in WHERE}
    for s in range(studios):
        studio = make_studio(np.random.default_rng([seed, s]), figured)
        for name, value in one_studio(studio, seed, s, pieces).items():
            rows[name].append(value)
    return Found(**{name: np.array(values) for name, values in rows.items()}, pieces=pieces)


def one_studio(studio: Studio, seed: int, s: int, pieces: dict[str, Said]) -> dict[str, float]:
    """Eight well-chosen tiles one after the other, and five drawn by lot from the same firings."""
    ground = ground_of(known_body(studio.body))
    tables = [result_chances(ground, glaze.stated) for glaze in studio.glazes]
    records = [fired_tile(np.random.default_rng([seed, s, i]), studio, i) for i in range(GLAZES)]
    likelihoods = family_likelihoods(ground, records)
    names = [glaze.stated.family for glaze in studio.glazes]

    def after(tiles: Sequence[int]) -> Taught:
        return Taught(ground, {names[i]: likelihoods[names[i]] for i in tiles}, len(tiles))

    tiles: list[int] = []
    widths = []
    for step in range(TILES):
        joint = after(tiles).posterior
        left = [i for i in range(GLAZES) if i not in tiles]
        tiles.append(max(left, key=lambda i: information_bits(joint, tables[i])))
        left.remove(tiles[-1])
        clay = after(tiles)
        widths.append(width(clay.estimate))
        rng = np.random.default_rng([seed, s, 1000 + step])
        for i in {1: left, 4: left, TILES - 1: (*left, *tiles[::2])}.get(step, ()):
            note(rng, studio, i, checked(studio, i, clay), s, pieces[WHERE[i in tiles]])
    lot = np.random.default_rng([seed, s, 999]).permutation(GLAZES)[:5]
    truth, _ = studio.true_clay.at_reference()
    return {
        "in90": float(clay.estimate.low <= truth <= clay.estimate.high),
        "ratio": widths[-1] / width(after(()).estimate),
        "best5": widths[4],
        "random5": width(after(lot).estimate),
    }


@dataclass
class Bin:
    """One bin of the reliability table: mean said and share that happened.

    ``error`` is the deviation of their difference when studios are drawn again, ``wider`` when the papers that the
    errors are of are drawn again as well.
    """

    edge: float
    said: float
    happened: float
    error: float
    wider: float
    pieces: int

    @property
    def mark(self) -> str:
        """A star where further off than two deviations, two stars where that holds with other papers too."""
        off = abs(self.happened - self.said) / 2.0
        return " **" if off > self.wider else " *" if off > self.error else ""


def bins(pieces: Said, kind: str, studios: int, draws: int = 400) -> list[Bin]:
    """Ten bins with a bootstrap by studio, and by studio and paper.

    The pieces of a studio share its clay and its glazes, and the errors are of a dozen papers, which share theirs.
    """
    said, happened = np.array(pieces.said[kind]), np.array(pieces.happened[kind])
    place = np.minimum((said * 10).astype(int), 9)
    papers = int(error_papers().max()) + 1
    where = np.array(pieces.studio) * papers + np.array(pieces.paper)
    rng = np.random.default_rng(0)
    studios_anew, papers_anew = (
        np.array([np.bincount(row, minlength=n) for row in rng.integers(0, n, (draws, n))]) for n in (studios, papers)
    )
    found = []
    for b in range(10):
        here = place == b
        if not here.any():
            continue
        count, excess = (
            studios_anew @ np.bincount(where[here], w, minlength=studios * papers).reshape(studios, papers)
            for w in (np.ones(here.sum()), (happened - said)[here])
        )
        plain = math.sqrt(float((said * (1 - said))[here].sum())) / here.sum()
        drawn = (
            (excess * times).sum(axis=1) / np.maximum((count * times).sum(axis=1), 1) for times in (1, papers_anew)
        )
        error, wider = (max(float(ratio.std()), plain) for ratio in drawn)
        found.append(
            Bin(b / 10, float(said[here].mean()), float(happened[here].mean()), error, max(wider, error), here.sum())
        )
    return found


def together(pieces: dict[str, Said]) -> Said:
    """All pieces, whichever way the check came by its answer."""
    whole = Said()
    for part in pieces.values():
        whole.studio += part.studio
        whole.paper += part.paper
        for kind in KINDS:
            whole.said[kind] += part.said[kind]
            whole.happened[kind] += part.happened[kind]
    return whole


def of_the_first(found: Found) -> str:
    """The first studios alone, which a test runs again: the card's figures are those of the code as it stands."""
    few = slice(FIRST)
    widths = [f"{w[few].mean():.3f}" for w in (found.ratio, found.best5, found.random5)]
    return (
        f"The first {FIRST} alone, which a test runs again: {found.in90[few].sum():.0f} of {FIRST} hold the truth, mean "
        f"width {widths[0]} of the class's, after 5 tiles {widths[1]} and {widths[2]}."
    )


def headline(found: Found) -> list[tuple[str, str, str]]:
    """What, goal, reached."""
    n, cover = len(found.in90), float(found.in90.mean())
    gain = found.random5 - found.best5
    error, slack = 1.96 * gain.std(ddof=1) / math.sqrt(n), 196 * math.sqrt(cover * (1 - cover) / n)
    return [
        ("90 % interval holds the truth", "86 to 95 %", f"{100 * cover:.1f} % (+- {slack:.1f})"),
        (
            "width after 8 well-chosen tiles, against the class's", "under half",
            f"mean {found.ratio.mean():.2f}, median {np.median(found.ratio):.2f}",
        ),
        (
            "width after 5 tiles, 1e-6/K", "suggested beats random",
            f"suggested {found.best5.mean():.2f}, random {found.random5.mean():.2f}, difference {gain.mean():.2f} "
            f"+- {error:.2f} (paired)",
        ),
    ]  # fmt: skip


def as_text(found: Found, seed: int) -> str:
    """The block of the model card."""
    n = len(found.in90)
    errors, sigmas = real_errors()
    median, ninety = np.quantile(np.abs(errors), [0.5, 0.9])
    lines = [
        f"{n} studios, seed {seed} (`python -m tests.bench.simulate_studios`). Errors drawn: half within {median:.2f}, nine in ten "
        f"within {ninety:.2f} x 1e-6/K;",
        f"median stated deviation {np.median(sigmas):.2f}; {100 * np.mean(np.abs(errors) < NINETY * sigmas):.1f} % "
        f"inside the stated interval ({len(errors)} glazes).",
        of_the_first(found),
        "", "| | goal | reached |", "| --- | --- | --- |", *(f"| {a} | {b} | {c} |" for a, b, c in headline(found)),
    ]  # fmt: skip
    return "\n".join([*lines, *reliability(found)])


def reliability(found: Found) -> list[str]:
    """The tables of what was said and what happened, for all glazes and for those with and without tiles."""
    lines, n = [], len(found.in90)
    parts = [("all glazes", together(found.pieces)), *((f"glazes with {w}", found.pieces[w]) for w in WHERE)]
    for title, pieces in parts:
        table = {kind: {round(b.edge * 10): b for b in bins(pieces, kind, n)} for kind in KINDS}
        lines += [
            "",
            f"Reliability, {title}: said, happened (+- one deviation, studios drawn again), pieces.",
            "",
        ]
        lines += ["| said | " + " | ".join(KINDS) + " |", "| --- | --- | --- | --- |"]
        for b in range(10):
            cells = [_cell(table[kind].get(b)) for kind in KINDS]
            lines.append(f"| {10 * b}-{10 * b + 10} % | " + " | ".join(cells) + " |")
        lines += ["", how_many_off(table)]
    return lines


def how_many_off(table: dict[str, dict[int, Bin]]) -> str:
    """How many bins are further off than two deviations, by studios alone and with other papers."""
    marks = [b.mark for kind in KINDS for b in table[kind].values()]
    starred, doubly = sum(bool(m) for m in marks), sum(m == " **" for m in marks)
    return (
        f"Further off than two deviations (*): {starred} of {len(marks)} bins; with the papers that the errors are of "
        f"drawn again as well (**): {doubly}."
    )


def figured_text(found: Found, seed: int) -> str:
    """The same in short for clays with a supplier's figure."""
    n, cover, whole = len(found.in90), float(found.in90.mean()), together(found.pieces)
    table = {kind: {round(b.edge * 10): b for b in bins(whole, kind, n)} for kind in KINDS}
    return (
        f"{n} studios whose clay has a supplier's figure from 20 to 500 degC instead, seed {seed}: the interval holds "
        f"{100 * cover:.1f} % (+- {196 * math.sqrt(cover * (1 - cover) / n):.1f}), mean width {found.ratio.mean():.2f} of "
        f"what the figure tells. {how_many_off(table)}"
    )


def _cell(found: Bin | None) -> str:
    if found is None:
        return "-"
    return f"{100 * found.said:.1f}, {100 * found.happened:.1f} +- {100 * found.error:.1f} ({found.pieces}){found.mark}"


def write(text: str) -> None:
    """Put the block into the model card."""
    card = CARD.read_text(encoding="utf-8")
    before, after = card.split(MARKS[0])[0], card.split(MARKS[1])[1]
    CARD.write_text(f"{before}{MARKS[0]}\n\n{text}\n\n{MARKS[1]}{after}", encoding="utf-8")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--studios", type=int, default=300)
    parser.add_argument("--seed", type=int, default=20)
    parser.add_argument("--write", action="store_true", help="put the figures into docs/models/learn.md")
    options = parser.parse_args()
    text = as_text(run(options.studios, options.seed), options.seed)
    text += "\n\n" + figured_text(run(options.studios // 3, options.seed, figured=True), options.seed)
    print(text)
    if options.write:
        write(text)


if __name__ == "__main__":
    main()
