"""The rooms of the bench page as HTML: templates filled in, nothing computed, everything escaped."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

from glazecalc.render import page_parts
from glazecalc.render.figures.kiln import cone_after, outlet_face
from glazecalc.render.page import css, figure_of, filled, laid_out
from glazecalc.render.text.changes import card_text, estimate_rows
from glazecalc.render.text.journal import act_words, after_words, glaze_name, recipe_words, summary
from glazecalc.render.text.kiln import both
from glazecalc.render.text.learn import learned_sentence
from glazecalc.render.words import rounded, worded
from glazecalc.values.answers import percent_words
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.records import FiringRecord
from glazecalc.values.results.adjust import AdjustResult
from glazecalc.values.results.check import CheckResult
from glazecalc.values.results.learn import Lesson
from glazecalc.values.results.page import Page
from glazecalc.values.results.pictures import Picture
from glazecalc.values.texts import begun, untyped
from glazecalc.values.units import clock

_ROOMS = Path(__file__).parent / "templates" / "bench"


def room_html(room: str, **facts: Any) -> str:
    """One room, filled in with what its job found."""
    from markupsafe import Markup

    units = facts.get("units", UnitChoice())
    words = {
        "outlet_face": lambda name: Markup(outlet_face(name)),
        "cone_after": lambda bend: Markup(cone_after(bend)),
        "parts": page_parts,
        "rounded": rounded,
        "glaze_name": glaze_name,
        "recipe_words": recipe_words,
        "summary": summary,
        "act_words": act_words,
        "begun": begun,
        "plainly": lambda text: untyped(worded(text, units)).strip(),
        "after_words": after_words,
        "reading_rows": reading_rows,
    }
    plain = {"said": "", "problems": (), "stopped": False}
    return filled(f"bench/{room}.html", **(words | plain | facts))


def report_facts(page: Page) -> dict[str, Any]:
    """What the report's own parts need of a page, to stand in a room."""
    verdicts = tuple(replace(v, message=untyped(v.message)) for v in page.check.verdicts)
    after = tuple(filter(None, map(untyped, page.check.next_steps)))
    return laid_out(replace(page, check=replace(page.check, verdicts=verdicts, next_steps=after)))


def side_by_side(before: CheckResult, now: CheckResult, units: UnitChoice) -> list[tuple[str, str, str]]:
    """What of an answer differs before and after a change: the answer of each rule, then the figures."""
    rows = [("answer", page_parts.BIG_ANSWER[before.answer], page_parts.BIG_ANSWER[now.answer])]
    then = {rule: answer for rule, answer, _ in page_parts.reasons(before)}
    for rule, answer, _ in page_parts.reasons(now):
        if rule in then:
            rows.append((rule, page_parts.SMALL_ANSWER[then[rule]], page_parts.SMALL_ANSWER[answer]))
    rows += [(title, one, two) for title, one, two in estimate_rows((before, now), units)]
    return [row for row in rows if row[1] != row[2]] or [("all of it", "the same", "the same")]


def option_facts(result: AdjustResult, units: UnitChoice) -> list[dict[str, Any]]:
    """Each change that helps: what to do, what comes of it, amounts and answers before and after, what to mind, the
    changed recipe as a card."""
    return [
        {
            "words": o.sentence, "sentence": untyped(o.after.sentence), "text": card_text(o.recipe),
            "notes": tuple(filter(None, map(untyped, o.notes))),
            "rows": [
                *((c.material, f"{c.before:.5g}", f"{c.after:.5g}") for c in o.changes),
                *side_by_side(result.before, o.after, units),
            ],
        }
        for o in result.options
    ]  # fmt: skip


def lesson_words(lesson: Lesson) -> dict[str, Any]:
    """What the tiles of a clay taught: one sentence, and each tile worth firing next: how it is likely to come
    out, and how it is made."""
    used = sum(tile.weight is not None for tile in lesson.tiles)
    where = f" at cone {lesson.cone}" if lesson.cone else ""
    lines = []
    for tile in lesson.next_tiles[:3]:
        likely = ", ".join(f"{result.value} {percent_words(p)}" for result, p in tile.outcomes)
        card = Path(tile.card).stem.encode("utf-8", "replace").decode()  # a file's name may be no text
        lines.append({"name": tile.name, "likely": likely, "card": card, "add": tile.add})
    return {"sentence": learned_sentence(lesson, used, where), "next": lines, "used": used}


def reading_rows(record: FiringRecord, units: UnitChoice) -> list[tuple[str, str]]:
    """Readings of a firing: hours and minutes, and the temperature in the reader's unit and the other."""
    return [(clock(reading.at_h), both(reading.degC, units)) for reading in record.readings]


def drawn(pictures: list[Picture | None], units: UnitChoice) -> list[Any]:
    """The pictures that there are, drawn."""
    return [figure_of(picture, units) for picture in pictures if picture is not None]


@cache
def look() -> str:
    """The style sheet: the report's, and what rooms add to it."""
    return css() + (_ROOMS / "bench.css").read_text(encoding="utf-8")


@cache
def script() -> str:
    """The little script; every room works without it."""
    return (_ROOMS / "bench.js").read_text(encoding="utf-8")
