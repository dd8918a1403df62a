"""A report as one self-contained HTML page: no script, no request, light or dark on screen, black on white in print."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from glazecalc.render import page_parts
from glazecalc.render.figures.drawing import Figure, inline_svg, marks_css, themes_css
from glazecalc.render.figures.expansion import (
    blend_figure,
    expansion_figure,
    learned_figure,
    pushes_figure,
    small_figures,
)
from glazecalc.render.figures.kiln import heating_figure, hours_figure, shelf_figure
from glazecalc.render.figures.melting import ruler_figure, silica_alumina_figure, viscosity_figure
from glazecalc.render.words import at_the_scale, poison_line, signed
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.results import pictures
from glazecalc.values.results.page import Index, Page

if TYPE_CHECKING:
    from jinja2 import Environment

_TEMPLATES = Path(__file__).parent / "templates"
_OPTION = re.compile(r"--[a-z-]+")
"""An option of a command, which no line breaks in two."""
_UNREAD = re.compile(r"(<(?:textarea|option|style|script)\b.*?</(?:textarea|option|style|script)>|<[^<>]*>)", re.DOTALL)
"""Markup, and texts that are sent back or run."""
_OXIDE = re.compile(r"(?<=[A-Za-z)])(\d)(?=[A-Z]|\b|$)")


def page_html(page: Page) -> str:
    """The whole page of one recipe."""
    return filled("page.html", parts=page_parts, css=css(), **laid_out(page))


def laid_out(page: Page) -> dict[str, Any]:
    """What the parts of a page need of it; what is weighed stands in the unit of the scale."""
    page = replace(page, units=at_the_scale(page.units, _steps_g(page)))
    placed = [(section_of(picture), figure) for picture, figure in zip(page.pictures, figures_of(page), strict=True)]
    return {"page": page, "check": page.check, "figures": placed, "sections": [name for name, _ in placed]}


def _steps_g(page: Page) -> list[float]:
    """Steps of the scales the page is weighed on [g]."""
    sheets = [] if page.weigh is None else [page.weigh]
    sheets += [] if page.tiles is None else [corner.sheet for corner in page.tiles.corners]
    return [line.resolution_g for sheet in sheets for line in sheet.lines]


def index_html(index: Index) -> str:
    """The page over all recipes of a studio, with small pictures that share their axes."""
    small = small_figures([entry.page for entry in index.entries])
    rows = [(entry, *figures) for entry, figures in zip(index.entries, small, strict=True)]
    return filled("index.html", index=index, rows=rows, parts=page_parts, css=css())


def filled(template: str, **facts: Any) -> str:
    """A template filled in, with degree signs where a reader sees text; what a form sends back stays as it was."""
    text = environment().get_template(template).render(**facts)
    return "".join(part if part.startswith("<") else signed(part) for part in _UNREAD.split(text))


def figures_of(page: Page) -> list[Figure]:
    """The page's pictures, drawn, in their order."""
    return [figure_of(picture, page.units) for picture in page.pictures]


def css() -> str:
    """The one style sheet of every page, inlined."""
    text = (_TEMPLATES / "page.css").read_text(encoding="utf-8")
    text = re.sub(r"/\*.*?\*/", "", text, flags=re.DOTALL)
    return themes_css() + marks_css() + re.sub(r"\s+", " ", text).strip()


@cache
def environment() -> Environment:
    """Jinja2 with escaping always on."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from markupsafe import Markup

    def svg(figure: Figure, prefix: str = "") -> Markup:
        return Markup(inline_svg(figure, prefix))

    found = Environment(
        loader=FileSystemLoader(_TEMPLATES), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True,
    )  # fmt: skip
    found.filters.update(
        svg=svg, poison_line=poison_line,
        oxides=lambda text: Markup(_OXIDE.sub(r"<sub>\1</sub>", str(Markup.escape(str(text))))),
        options=lambda text: Markup(_OPTION.sub(r'<span class="option">\g<0></span>', str(Markup.escape(text)))),
    )  # fmt: skip
    return found


# Which drawing belongs to which picture, the section of the page it stands in, and small ones for the index.

_DRAWINGS: Final[dict[type, tuple[str, Callable[[Any, UnitChoice], Figure]]]] = {
    pictures.ExpansionPicture: ("fit", expansion_figure),
    pictures.ConeRulerPicture: ("firing", ruler_figure),
    pictures.PushPicture: ("formula", lambda picture, _: pushes_figure(picture)),
    pictures.SilicaAluminaPicture: ("formula", lambda picture, _: silica_alumina_figure(picture)),
    pictures.ViscosityPicture: ("firing", viscosity_figure),
    pictures.HeatingPicture: ("firing", lambda picture, _: heating_figure(picture)),
    pictures.HoursPicture: ("firing", lambda picture, _: hours_figure(picture)),
    pictures.BlendPicture: ("tiles", lambda picture, _: blend_figure(picture)),
    pictures.ShelfPicture: ("tiles", shelf_figure),
    pictures.LearnedPicture: ("fit", lambda picture, _: learned_figure(picture)),
}


def figure_of(picture: pictures.Picture, units: UnitChoice) -> Figure:
    """The picture, drawn."""
    return _DRAWINGS[type(picture)][1](picture, units)


def section_of(picture: pictures.Picture) -> str:
    """The section of a page the picture belongs in: formula, fit, firing or tiles."""
    return _DRAWINGS[type(picture)][0]
