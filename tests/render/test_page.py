"""Pages: self-contained, well nested, every section there, every name shown as text."""

from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from glazecalc.files.card import read_recipe_text
from glazecalc.files.materials import built_in_materials
from glazecalc.files.studio import read_studio
from glazecalc.jobs.amount import Wanted
from glazecalc.jobs.materials import pantry
from glazecalc.jobs.page import make_page
from glazecalc.jobs.setup import setup_for
from glazecalc.render.page import index_html, page_html
from glazecalc.values.data import data_root
from glazecalc.values.inputs import Recipe, UnitChoice
from glazecalc.values.results.page import Index, IndexEntry, Page
from tests.render.samples import HOSTILE

VOID = {"meta", "br", "link", "img", "input", "hr"}


class Nesting(HTMLParser):
    """Checks that every element is closed in its turn, and gathers ids, links and visible text."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.ids: list[str] = []
        self.links: list[str] = []
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = dict(attrs)
        self.ids += [found["id"] or ""] if "id" in found else []
        self.links += [v or "" for k, v in attrs if k in ("href", "src")]
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.ids += [v or "" for k, v in attrs if k == "id"]

    def handle_endtag(self, tag: str) -> None:
        assert self.open and self.open[-1] == tag, f"</{tag}> closes {self.open[-3:]}"
        self.open.pop()

    def handle_data(self, data: str) -> None:
        if not {"style", "title", "desc"} & set(self.open):
            self.words.append(data)


def read(html: str) -> Nesting:
    parser = Nesting()
    parser.feed(html)
    assert not parser.open
    return parser


def recipe(text: str) -> Recipe:
    card, problems = read_recipe_text(text)
    assert card is not None, problems
    return card


BATCH = (
    "Frit, high-calcium borosilicate 26\nNepheline syenite 18\nKaolin 22\nSilica 30\nTalc 4\n+ Cobalt carbonate 0.2\n"
)


def page(text: str) -> Page:
    studio, _ = read_studio(data_root() / "recipes")
    shelf = pantry(built_in_materials(), studio.materials)
    card = recipe(text)
    setting = setup_for(studio, card)
    return make_page(card, shelf, setting, studio, wanted=Wanted(dry_g=500.0), today="2026-01-01")


@pytest.fixture(scope="module")
def hostile() -> str:
    return page_html(page(f"name: {HOSTILE}\ncone: 6\nsurface: {HOSTILE}\nsource: {HOSTILE}\n\n{BATCH}"))


def test_a_name_like_markup_shows_as_text_everywhere(hostile: str) -> None:
    assert "<script" not in hostile
    found = read(hostile)
    assert sum("alert(1)" in word for word in found.words) > 5
    assert f"glaze: {HOSTILE}" in "".join(found.words), "in the pictures too"


def test_the_page_needs_nothing_but_itself(hostile: str) -> None:
    found = read(hostile)
    assert all(link.startswith("#") for link in found.links)
    assert {link[1:] for link in found.links} <= set(found.ids)
    assert len(found.ids) == len(set(found.ids))
    outside = [m for m in re.findall(r"(?:https?:)?//[\w.]+", hostile) if m != "http://www.w3.org"]
    assert not outside and "url(" not in hostile and "@import" not in hostile


def test_every_section_is_there(hostile: str) -> None:
    headings = re.findall(r"<h2>([^<]*)", hostile)
    assert headings[0].startswith("Batch sheet"), "it is on the second sheet of the print"
    assert headings[1:4] == ["Formula", "Fit and estimates", "Firing"]
    assert headings[4:] == ["What this rests on", "Figures behind the pictures"]
    assert hostile.index(">Cautions</h2>") < hostile.index("<h2>Batch sheet"), "they are on the first sheet"
    text = "".join(read(hostile).words)
    for wanted in ("2026-01-01", "glazecalc", "Assumptions", "Sources", "Not tested for food"):
        assert wanted in text


def test_the_batch_sheet_has_a_tick_box_per_line_in_order_of_weighing(hostile: str) -> None:
    assert hostile.count('class="tick"') == 6
    grams = [float(g) for g in re.findall(r'<td class="n grams">([\d.]+)', hostile)]
    assert grams[:-1] == sorted(grams[:-1]) and sum(grams) == pytest.approx(500.0, abs=0.3)


def test_weights_stand_in_the_unit_of_the_scale_and_volumes_as_asked() -> None:
    """The demo's scale shows 0.1 g: ounces could not be read off it."""
    asked = replace(page(f"name: a\ncone: 6\n\n{BATCH}"), units=UnitChoice(mass="oz", volume="fl oz"))
    html = page_html(asked)
    assert '<th scope="col" class="n">g</th>' in html and " fl oz of slurry" in html
    assert not re.search(r"\d oz\b", html)


def test_each_picture_has_its_table(hostile: str) -> None:
    found = read(hostile)
    assert hostile.count("<svg") == hostile.count('role="img"') >= 5
    for name in ("expansion", "cones", "pushes", "heating"):
        assert f"{name}-table" in found.ids


@pytest.mark.parametrize(
    "text",
    [
        "name: jar\nkind: bought\ncone: 5-6\n",
        "name: oxides\nkind: composition\nbasis: unity\ncone: 6\n\nSiO2 3\nAl2O3 0.35\nCaO 0.7\nNa2O 0.3\n",
        "name: clay\nkind: body\ncone: 6\n\nKaolin 50\nSilica 25\nPotash feldspar 25\n",
    ],
)
def test_other_kinds_of_card_make_a_page_as_far_as_they_go(text: str) -> None:
    html = page_html(page(text))
    read(html)
    assert "<svg" in html


def test_the_index_links_every_page_and_shows_what_was_left_out() -> None:
    made = page(f"name: {HOSTILE}\ncone: 6\n\n{BATCH}")
    index = Index(
        "a studio", (IndexEntry("one.html", made), IndexEntry("two.html", made)),
        (("broken", f"no material is called {HOSTILE}"),), made.units, made.stamp,
    )  # fmt: skip
    html = index_html(index)
    found = read(html)
    assert "<script" not in html
    assert {"one.html", "two.html"} <= set(found.links)
    assert len(found.ids) == len(set(found.ids))
    assert any("no material is called" in w for w in found.words)
    assert html.count("<svg") == 4
