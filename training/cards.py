"""Write the model cards in ``docs/models`` and their parity plots from the numbers the training run kept."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Final

import numpy as np

from glazecalc.models.domain import FITTED, coefficients
from glazecalc.models.filler import stiffened
from glazecalc.models.firing import FORMERS_MOST
from glazecalc.render.words import signed
from training import held_out, report
from training.card_sections import MORE, paragraph, table
from training.card_words import CARDS, Card

FOLDER: Final[Path] = report.RESULTS.parent
_SURFACE: Final = (
    "A quadratic in the sixteen oxides and eight balances between them (alkali over alumina, flux over "
    "alumina, boric oxide made four-fold, mixed alkali), smooth everywhere, so a slope for every oxide can be "
    "shown. Fitted by robust ridge regression in which a paper that disagrees with the rest counts for less; the "
    "penalty was chosen by leaving out whole papers. The half width of the interval is an exponential of the same "
    "terms and of the distance from the data, scaled to hold 90 % of the errors on left-out papers since 1985."
)


def _ranges(key: str) -> str:
    held = coefficients(key)["domain"]
    pairs = zip(FITTED, held["low_mole_percent"], held["high_mole_percent"], strict=True)
    return ", ".join(f"{symbol} {low:.3g} to {high:.3g}" for symbol, low, high in pairs)


def _score(name: str, score: dict[str, Any], unit: str) -> tuple[str, ...]:
    return (
        name,
        str(score["glasses"]),
        f"{score['median']:.3g} {unit}",
        f"{score['p90']:.3g} {unit}",
        f"{score['coverage']:.1%}",
        f"{score['width']:.3g} {unit}",
    )


def _errors(card: Card, found: dict[str, Any]) -> str:
    left, held, unit = found["left_out"][card.key], found["held_out"], card.unit
    rows = [
        ("kept out of the fit", "glasses", "median error", "90th percentile", "interval holds", "its median width"),
        _score("measured after 2009, glaze core", held[card.key], unit),
    ]
    if card.key == "expansion":
        rows.append(_score("papers about real glazes, interval as glaze", held["expansion_glaze"], unit))
    rows.append(
        (
            "whole papers left out in turn, to 2009, glaze core",
            str(left["left_out_core_glasses"]),
            f"{left['left_out_core_median_error']:.3g} {unit}",
            f"{left['left_out_core_p90_error']:.3g} {unit}",
            "",
            "",
        )
    )
    return table(*rows)


def card_text(card: Card, found: dict[str, Any]) -> str:
    """One fitted model's card as Markdown."""
    left = found["left_out"][card.key]
    parts = [
        f"# {card.title}",
        paragraph(
            f"Code: `glazecalc/models/{card.module}.py`. Coefficients: `models/coefficients/{card.key}.json`,",
            "written by `python -m training fit`. This card is written by",
            "`python -m training cards`.",
        ),
        "## Data",
        paragraph(
            f"{left['records']} records of {left['papers']} papers from the SciGlass database, EPAM, open under",
            "the ODbL 1.0, as shipped in the package glasspy 0.3 (only its data files are read). Kept out of fit,",
            "choice and calibration: everything after 2009 and every paper about real glazes and enamels.",
            card.what,
        ),
        "## Form",
        paragraph(card.form or _SURFACE),
        "## Range",
        paragraph(f"Mole %: {_ranges(card.key)}."),
        paragraph(
            "Beyond it, or where the whole mix lies farther from the data than 99 % of the fitted glasses, the",
            "estimate is marked extrapolated, its interval is widened, and no verdict rests on it.",
        ),
        "## Errors",
        _errors(card, found),
        f"![estimated against measured](parity-{card.key}.png)",
        *(more(found) for more in MORE.get(card.key, ())),
        "## What it does not know",
        paragraph(card.limits),
    ]
    return signed("\n\n".join(parts) + "\n")


def firing_text(found: dict[str, Any]) -> str:
    """The card of the firing window."""
    firing, cones = found["firing"], found["cones"]
    of = firing["found"]
    gaps = ", ".join(f"cone {name} {gap:+.0f}" for name, gap in cones["gaps_K"].items())
    most = float(stiffened(np.asarray(firing["crystals"] * FORMERS_MOST)))
    kinds = [(name, str(of), str(inside)) for name, (of, inside) in firing["range"]["by_surface"].items()]
    levels = [(k, f"{v:.2f}") for k, v in sorted(firing["levels"].items(), key=lambda pair: pair[1])]
    parts = [
        "# Where a glaze matures",
        paragraph(
            "Code: `glazecalc/models/firing.py`. Coefficients: `models/coefficients/firing.json`, written by `python",
            "-m training fit` from `training/fired_glazes.csv` and the column `matures` of",
            "`training/practice_outcomes.csv`; this card by `... training cards`.",
        ),
        "## Form",
        paragraph(
            f"A glaze levels where its melt is more fluid than log10 viscosity {firing['stiff_end']:.2f} (Pa.s) at",
            f"the peak, and begins to run below {firing['fluid_end']:.2f}. Each end is doubted by",
            f"{firing['doubt']:.2f} (one standard deviation), beside the viscosity model's own interval. A coat of",
            f"feldspar alone, which has no grains to dissolve, may be stiffer by {firing['feldspathic']:.2f}; in",
            "between it goes by how much of the glaze is feldspar and whether its only flux is alkali. No glaze",
            "levels below the cool end of the interval of its liquidus by more than was found of sound glazes",
            f"({firing['below_liquidus']:.0f} K). Mattes, iron and lithia glazes have a window of their own: what",
            "runs is melt and crystals together. Each mole fraction of lime, magnesia, strontia, baryta, lithia and",
            "twice iron oxide and phosphate above 0.15 (to 0.35) is taken to bind a volume share of",
            f"{firing['crystals']:.2f} in crystals (wollastonite and diopside hold 2 moles of oxides for each of",
            "lime or magnesia, anorthite 4), the number with which sound glazes rich and poor in them are as stiff;",
            "a suspension is stiffened by (1 - share / 0.6)^-2.5 (Roscoe 1952). So the richest melt may be",
            f"{most:.1f} more fluid. A matte need not level, so its stiff end goes by the melt alone. That crystals",
            "hold nothing above the warm end of the liquidus was tried: one more judged glaze fell out of its",
            "range, and a lithia matte at the cone potters fire it to. Grains of zircon and tin oxide stiffen the",
            "melt by the same law at both ends. Zinc glazes made to grow large crystals are meant to run. A cone",
            "stands for its temperature at 60 degC/h. A state is said when its probability is 65 % or more, else",
            "the answer is cannot_say.",
        ),
        "## Data",
        paragraph(
            f"{of['sound']} glazes found sound, {of['stiff']} found stiff, {of['fluid']} fluid, and {firing['judged']}",
            "generic glazes (P..) judged from memory of the trade by their chance of being well melted at their cone",
            "(common practice, no source), at the estimated log10 viscosity of their peak. One in twenty of the sound",
            "ones lies beyond each end, and the doubt is half the width of the middle 68 % of them. Of the",
            f"{firing['range']['glazes']} sound glazes (found, or judged 60 % likely) the cone lies in the range for",
            f"{firing['range']['inside']:.0%}, and for {firing['range']['inside_left_out']:.0%} where the ends are set",
            "without the glaze and those of the same base. Rows memory-* are customary compositions from memory; the",
            "others were read in their sources, named in the file.",
        ),
        table(("sound, by surface as composition makes it", "glazes", "cone in the range, left out"), *kinds),
        table(("glaze", "log10 viscosity at peak"), *levels),
        "## Check",
        paragraph(
            "Seger's cones 4 to 12 (formulas of 1886) against the charted cone temperatures at 60 degC/h, all at one",
            f"log10 viscosity of {cones['log_viscosity']:.2f}; estimated minus charted, K: {gaps}. The bending",
            "viscosity and the choice among equally good penalties of the viscosity fit were made with these in sight.",
        ),
        "## What it does not know",
        paragraph(
            "Mattes are meant not to level and may be sound while stiffer. How many crystals are there at the peak,",
            "and how many come later; undissolved quartz, which stiffens a melt and takes silica out of it: raw",
            "glazes of lime and feldspar with much quartz need more than their viscosity says. Six glazes found",
            "stiff count for little: with them the likeliest boundary lies no lower. Thick coats run sooner; a hold",
            "does the work of a higher peak. Few runny glazes are on record: the fluid end rests on ash, lithia and",
            "lime glazes judged well melted. A tile tells more.",
        ),
    ]
    return signed("\n\n".join(parts) + "\n")


def write_cards(folder: Path = FOLDER) -> list[Path]:
    """Write all cards and plots; returns the paths of the cards."""
    found = json.loads(report.RESULTS.read_text(encoding="utf-8"))
    paths = []
    for card in CARDS:
        path = folder / f"{card.key}.md"
        path.write_text(card_text(card, found), encoding="utf-8")
        plot_parity(card, folder / f"parity-{card.key}.png")
        paths.append(path)
    path = folder / "firing.md"
    path.write_text(firing_text(found), encoding="utf-8")
    return [*paths, path]


def plot_parity(card: Card, path: Path) -> None:
    """Estimated against measured on the held-out glasses."""
    import matplotlib

    matplotlib.use("Agg")
    from matplotlib import pyplot

    held = held_out.read(card.key)
    answer = held_out.MODELS[card.key](held.composition, practice="glass")
    figure, axes = pyplot.subplots(figsize=(4.2, 4.2), dpi=100)
    after = held.after
    axes.scatter(held.values[after], answer.value[after], s=3, alpha=0.25, color="#1f5f8b", label="after 2009")
    if held.glaze.any():
        axes.scatter(held.values[held.glaze], answer.value[held.glaze], s=9, color="#b3541e", label="glaze papers")
    ends = [float(min(held.values.min(), answer.value.min())), float(max(held.values.max(), answer.value.max()))]
    axes.plot(ends, ends, color="black", linewidth=0.8)
    unit = "degC" if card.unit == "K" else card.unit
    axes.set_xlabel(f"measured [{unit}]")
    axes.set_ylabel(f"estimated [{unit}]")
    axes.legend(frameon=False, fontsize=8)
    figure.tight_layout()
    figure.savefig(path, metadata={"Software": None})
    pyplot.close(figure)
