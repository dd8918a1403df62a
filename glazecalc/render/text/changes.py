"""An `adjust` answer as a person reads it, and a batch made to a formula."""

from __future__ import annotations

from collections.abc import Sequence

from glazecalc.render.words import (
    RULE_WORDS,
    answer_word,
    bullets,
    estimate_parts,
    heading,
    in_units,
    labelled,
    paragraph,
    rounded,
    section,
    table,
    worded,
)
from glazecalc.values.answers import Answer, Estimate, is_known, percent_words
from glazecalc.values.inputs import Recipe, UnitChoice
from glazecalc.values.results.adjust import (
    AdjustResult,
    BatchResult,
    Comparison,
    HandStep,
    Option,
    Proof,
    SwapResult,
)
from glazecalc.values.results.check import CheckResult
from glazecalc.values.texts import begun, tells

# The parts that answers about a changed recipe share: the two recipes, the two formulas, what it costs, the proof.

_ESTIMATES = (
    ("expansion", "glaze expansion, 1e-6/K"), ("crazing_probability", "likely to craze, %"),
    ("shivering_probability", "likely to shiver, %"),
)  # fmt: skip

MOST_SAID = 5
"""Oxides whose change is put into words on the terminal; the JSON has all."""


def recipe_table(before: Recipe | None, options: Sequence[Option]) -> str:
    """The recipe before and after each option, line by line; one option's column is called after, more go by number."""
    shown = [_lines(recipe) for recipe in (before, *(option.recipe for option in options)) if recipe is not None]
    names = sorted(dict.fromkeys(key for amounts in shown for key in amounts), key=lambda key: key[1])
    heads = ["after" if before is not None else "parts"] if len(options) == 1 else _numbers_of(options)
    rows = [["material", *(["before"] if before is not None else []), *heads]]
    for key in names:
        cells = ("-" if key not in amounts else f"{round(amounts[key], 6):g}" for amounts in shown)
        rows.append([f"+ {key[0]}" if key[1] else key[0], *cells])
    if before is not None:
        base = [sum(v for (_, added), v in amounts.items() if not added) for amounts in shown]
        rows.append(["base total", *(f"{round(b, 6):g}" for b in base)])
    return table(rows, "l" + "r" * len(shown), indent=4)


def _lines(recipe: Recipe) -> dict[tuple[str, bool], float]:
    """Amount of each material, base and additions apart."""
    amounts: dict[tuple[str, bool], float] = {}
    for line in recipe.lines:
        key = (line.material, line.addition)
        amounts[key] = amounts.get(key, 0.0) + line.amount
    return amounts


def _numbers_of(options: Sequence[Option]) -> list[str]:
    return [str(number) for number in range(1, len(options) + 1)]


def figures_table(before: CheckResult, after: CheckResult, units: UnitChoice) -> str:
    """Formula, ratios and chances before and after."""
    rows = [["", "before", "after"]]
    a, b = before.formula, after.formula
    if a is not None and b is not None:
        one, two = a.unity(), b.unity()
        order = [line.oxide for line in a.lines] + [line.oxide for line in b.lines if line.oxide not in one]
        for oxide in order:
            unity = one.get(oxide), two.get(oxide)
            if max(moles or 0.0 for moles in unity) >= 0.005:
                rows.append([oxide, *(_cell(moles, 2 if (moles or 0.0) >= 0.095 else 3) for moles in unity)])
        rows.append(["silica per alumina", *(_cell(f.ratios.silica_alumina, 1) for f in (a, b))])
        rows.append(["lost in firing, %", *(_cell(f.loss_on_ignition_percent, 1) for f in (a, b))])
    return table([*rows, *estimate_rows((before, after), units)], "lrr", indent=4)


def estimate_rows(checks: Sequence[CheckResult], units: UnitChoice) -> list[list[str]]:
    """A row for each estimate that any of the checks has: expansion, chances, firing range."""
    rows = []
    for name, title in (*_ESTIMATES, ("firing_range", f"firing range, deg{units.temperature}")):
        found = [c.estimate(name) for c in checks]
        if any(e is not None for e in found):
            rows.append([title, *("-" if e is None else _told(in_units(e, units)) for e in found)])
    return rows


def _told(estimate: Estimate) -> str:
    """One estimate without its unit; the same figures that a check hides are hidden here."""
    if not is_known(estimate):
        return "not known"
    if estimate.unit == "1":
        return percent_words(estimate.value, unit="")
    _, low, high = estimate_parts(estimate)
    return f"{low} to {high}" if estimate.name == "firing_range" else rounded(estimate.value, 1)


def _cell(value: float | None, decimals: int) -> str:
    return "-" if value is None else rounded(value, decimals)


def _chance(probability: float | None) -> str:
    return "-" if probability is None else percent_words(probability, unit="")


def proof_text(proof: Proof, units: UnitChoice) -> str:
    """The proof tiles as a small table."""
    rows = [["tile", "old : new", "sound, %", "matures, %"]]
    for t in proof.tiles:
        chances = _chance(t.sound_probability), _chance(t.matures_probability)
        rows.append([t.id, f"{t.old_parts} : {t.new_parts}", *chances])
    return "\n".join([paragraph(worded(proof.sentence, units), 4), table(rows, "lrrr", indent=4)])


def option_text(number: int, before: CheckResult | None, option: Option, units: UnitChoice) -> str:
    """One option with everything a potter needs to try it."""
    parts = [paragraph(f"{number}. {option.sentence}", 0, 3)]
    if option.character is not None and before is not None:
        parts.append(labelled("character", option.character.words, 16, 3))
        parts += bullets(option.character.sentences[:MOST_SAID], 5)
    parts += ["", recipe_table(None if before is None else before.recipe, [option])]
    if option.to_bucket:
        parts += ["", paragraph(worded(option.to_bucket, units), 3)]
    if before is not None:
        parts += ["", figures_table(before, option.after, units)]
    parts += bullets(option.notes, 3, "!")
    if option.proof is not None:
        parts += ["", proof_text(option.proof, units)]
    return "\n".join(parts)


NO_PROMISE = (
    "These are chances, not promises. Shock a clean tile hot and cold before you trust it. Nothing here says that ware "
    "is fit for food."
)
PROVE = (
    "Prove it before you change a bucket: -o NEW --pick N writes the card of option N; glazecalc tiles OLD NEW --plan "
    "line --size 4 plans the test tiles."
)
MORE = "--full shows all."
SAID_IN_SHORT = 2
"""Character lines of the first option without ``--full``."""


def adjust_text(result: AdjustResult, units: UnitChoice, full: bool = True) -> str:
    """A whole `adjust` answer at 80 columns."""
    parts = [paragraph(result.sentence), "", labelled("asked for", "; ".join(result.goals.words), 16, 0)]
    if result.shelf and full:
        parts.append(labelled("from the shelf", ", ".join(result.shelf), 16, 0))
    shown = result.options
    nearest = not shown and result.nearest is not None
    if not shown and result.nearest is not None:
        parts += ["", heading("The nearest there is (it does not meet what was asked)")]
        shown = (result.nearest,)
    if not full and shown:
        parts += [] if nearest else [""]
        parts.append(options_in_short(result.before, shown, units, result.sentence))
    for number, option in enumerate(shown if full else (), 1):
        parts += [] if nearest else ["", heading(_TITLES[option.kind.value])]
        parts.append(option_text(number, result.before, option, units))
    parts += [paragraph(f"- {note}") for note in result.notes]
    cautions = section("Cautions", bullets(result.cautions))
    parts += cautions if full else [paragraph(f"! {line}") for line in result.cautions]
    if shown:
        parts += ["", paragraph(NO_PROMISE if full else f"{NO_PROMISE} {MORE}")]
    return "\n".join(parts)


_TITLES = {
    "one_material": "Simplest: one material more or less", "swap": "One material traded for another",
    "resolve": "The whole recipe rebalanced",
}  # fmt: skip


def options_in_short(
    before: CheckResult, options: Sequence[Option], units: UnitChoice, said: str, more: Sequence[Sequence[str]] = ()
) -> str:
    """Every option in one table beside the recipe as it is; ``said`` is the sentence above, ``more`` holds further
    paragraphs of each option."""
    parts: list[str] = []
    for number, option in enumerate(options, 1):
        told = "As above." if tells(said, option.sentence) else option.sentence
        parts.append(paragraph(f"{number}. {told} {begun(option.character.words)}.", 0, 3))
        if number == 1:
            parts += bullets(option.character.sentences[:SAID_IN_SHORT], 5)
        parts += list(more[number - 1]) if more else []
    parts += ["", recipe_table(before.recipe, options)]
    checks = (before, *(option.after for option in options))
    heads = ["after"] if len(options) == 1 else _numbers_of(options)
    rows = [["", "before", *heads], *estimate_rows(checks, units)]
    parts += ["", table(rows, "l" + "r" * len(checks), indent=0), ""]
    bucket = dict.fromkeys(option.to_bucket for option in options if option.to_bucket)
    for text in bucket:
        ways = [str(n) for n, option in enumerate(options, 1) if option.to_bucket == text]
        told = worded(text, units)
        parts.append(paragraph(told if len(ways) == len(options) else f"{' and '.join(ways)}: {told}"))
    parts += bullets(dict.fromkeys(n for option in options for n in option.notes), 0, "!")
    return "\n".join([*parts, "", paragraph(PROVE)])


def batch_result_text(result: BatchResult, units: UnitChoice, full: bool = True) -> str:
    """A formula made into batches, at 80 columns."""
    asked = "  ".join(f"{oxide} {rounded(moles, 2 if moles >= 0.1 else 3)}" for oxide, moles in result.target_unity)
    parts = [paragraph(result.sentence), "", labelled("asked for", asked, 12, 0)]
    for number, option in enumerate(result.options, 1):
        off = [f"{s.oxide} {s.before:.3f} comes out {s.after:.3f}" for s in option.not_matched]
        parts += ["", option_text(number, None, option, units)]
        parts += _shifts(off, [f"{s.oxide} {s.after:.3f}" for s in option.came_along])
        if option.steps and full:
            parts += ["", hand_table(option.steps)]
    return "\n".join([*parts, *section("Cautions", bullets(result.cautions))])


def _shifts(not_matched: Sequence[str], came_along: Sequence[str]) -> list[str]:
    named = (("not matched", not_matched), ("came along", came_along))
    return [labelled(name, ", ".join(shifts), 14, 3) for name, shifts in named if shifts]


def hand_table(steps: tuple[HandStep, ...]) -> str:
    """The hand method's table: each material, the oxide it is brought in for, all it brings, its parts by weight."""
    rows = [["material", "for", "equivalents", "brings", "parts"]]
    for s in steps:
        brings = " ".join(f"{oxide} {rounded(n, 3)}" for oxide, n in s.brings if n >= 0.0005)
        rows.append([s.material, s.oxide, rounded(s.equivalents, 3), brings, rounded(s.weight, 2)])
    return "\n".join(["   By hand, for one mole of fluxes:", table(rows, "llrlr", indent=4)])


# A `swap` answer as a person reads it.


def swap_text(result: SwapResult, units: UnitChoice, full: bool = True) -> str:
    """A whole `swap` answer at 80 columns."""
    parts = [paragraph(result.sentence), *(paragraph(f"- {note}") for note in result.notes)]
    extra = [_beside(result, option) for option in result.options]
    if not full and result.options:
        heads = [[labelled(_place(n, o), _exchange(result, o), 14, 3)] for n, o in enumerate(result.options, 1)]
        more = [[*head, *lines] for head, lines in zip(heads, extra, strict=True)]
        short = options_in_short(result.before, result.options, units, result.sentence, more)
        parts += ["", short, *bullets(result.cautions, 0, "!"), "", paragraph(MORE)]
        return "\n".join(parts)
    for number, option in enumerate(result.options, 1):
        lead = "Not asked for, " if option.besides else ""
        place = _place(number, option).lower() if lead else _place(number, option)
        parts += ["", heading(f"{lead}{place}: {_exchange(result, option)}")]
        parts += [option_text(number, result.before, option, units), *(["", *extra[number - 1]] if extra else [])]
    return "\n".join([*parts, *section("Cautions", bullets(result.cautions))])


def _place(number: int, option: Option) -> str:
    return "Exact" if option.exact else "Nearest" if number == 1 or option.besides else "Further off"


def _exchange(result: SwapResult, option: Option) -> str:
    if option.besides:
        return f"{result.old} out, {' and '.join(option.besides)} in as well"
    return f"{result.old} out, {' and '.join(result.new)} in"


def _beside(result: SwapResult, option: Option) -> list[str]:
    """What comes out otherwise, and what becomes of the clay that keeps the slip in suspension."""
    off, more = (
        [f"{s.oxide} {s.before:.3f} becomes {s.after:.3f}" for s in shifts]
        for shifts in (option.not_matched, option.came_along)
    )
    before, after = result.clay_percent, option.clay_percent
    if before is None or after is None or abs(after - before) < 1.0:
        return _shifts(off, more)
    return [*_shifts(off, more), labelled("clay", f"{before:.0f} % becomes {after:.0f} %", 14, 3)]


# Recipes side by side as a person reads them.

COLUMN = 16
SIDE_BY_SIDE = 3
"""Most recipes beside one another at 80 columns; more stand in further tables."""


def compare_text(result: Comparison, units: UnitChoice, full: bool = True) -> str:
    """A whole `compare` answer at 80 columns."""
    checks = [e.check for e in result.entries]
    parts = [paragraph("Compared: " + ", ".join(c.recipe.name for c in checks)), ""]
    told = result.differences if full else result.told_apart
    if told:
        parts += [heading("What sets them apart"), *bullets(told), ""]
    for start in range(0, len(checks), SIDE_BY_SIDE):
        part = slice(start, start + SIDE_BY_SIDE)
        names = [_short(c.recipe.name) for c in checks[part]]
        parts += [heading("Materials, % of base"), _numbers(names, [(n, v[part]) for n, v in result.materials], 1), ""]
        if full:
            oxides = [(n, v[part]) for n, v in result.oxides]
            parts += [heading("Unity molecular formula"), _numbers(names, oxides, 3), ""]
        title = "Ratios, estimates, answers" if full else "Estimates and answers (--full: formula, ratios, relatives)"
        parts += [heading(title), _figures(names, checks[part], units, full), ""]
    related = [(e.check.recipe.name, e.relatives) for e in result.entries if e.relatives and full]
    if related:
        parts.append(heading("Nearest relatives in the studio"))
        for name, relatives in related:
            parts.append(labelled(name, "; ".join(f"{r.name} ({r.words})" for r in relatives), 28))
    parts += ["", *(paragraph(line) for line in result.cautions)]
    return "\n".join(parts).strip().replace("\n\n\n", "\n\n")


def _short(name: str) -> str:
    return name if len(name) <= COLUMN else name[: COLUMN - 1] + "."


def _numbers(names: list[str], rows: list[tuple[str, tuple[float | None, ...]]], decimals: int) -> str:
    known = [(name, values) for name, values in rows if any(v is not None for v in values)]
    shown = [[name, *(_cell(v, decimals) for v in values)] for name, values in known]
    return table([["", *names], *shown], "l" + "r" * len(names))


_RATIOS = (
    ("boron_unity", "boron", 1, 2), ("alkali_fraction", "alkalis, % of the flux", 100, 0),
    ("silica_alumina", "silica per alumina", 1, 1),
)  # fmt: skip


def _figures(names: list[str], checks: list[CheckResult], units: UnitChoice, full: bool) -> str:
    rows = [["", *names]]
    ratios = [c.formula.ratios if c.formula else None for c in checks]
    for key, title, times, decimals in _RATIOS if full else ():
        values = [None if r is None else getattr(r, key) for r in ratios]
        rows.append([title, *(_cell(None if v is None else times * v, decimals) for v in values)])
    rows += estimate_rows(checks, units)
    for rule, title in RULE_WORDS.items():
        rows.append([title, *(_answer(c, rule) for c in checks)])
    return table(rows, "l" + "r" * len(names))


def _answer(check: CheckResult, rule: str) -> str:
    found = next((v.answer for v in check.verdicts if v.rule == rule), Answer.NOT_ASKED)
    return "-" if found is Answer.NOT_ASKED else answer_word(found)


# A recipe as a card that can be read again.


def card_text(recipe: Recipe) -> str:
    """The card of a recipe: header lines, a blank line, a material a line, additions with a ``+``."""
    cones = () if recipe.cone is None else dict.fromkeys((recipe.cone.low.name, recipe.cone.high.name))
    header = [("name", recipe.name), ("kind", "" if recipe.kind == "glaze" else recipe.kind),
              ("cone", "-".join(cones)),
              ("surface", recipe.surface), ("atmosphere", recipe.atmosphere), ("source", recipe.source),
              ("proven", recipe.proven), ("notes", recipe.notes)]  # fmt: skip
    head = [f"{key}: {' '.join(value.split())}" for key, value in header if value.strip()]
    width = max((len(line.material) for line in recipe.lines), default=0) + 3
    body = [f"{'+ ' if line.addition else ''}{line.material:<{width}}{line.amount:g}" for line in recipe.lines]
    return "\n".join([*head, "", *body]) + "\n"
