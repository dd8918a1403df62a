"""Which drawing belongs to which picture, the section of the page it stands in, and small ones for the index."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Final

from glazecalc.render.figures.drawing import Figure
from glazecalc.render.figures.expansion import Small, blend_figure, expansion_figure, small_figures
from glazecalc.render.figures.heating import heating_figure, hours_figure
from glazecalc.render.figures.learned import learned_figure, pushes_figure
from glazecalc.render.figures.melting import ruler_figure, silica_alumina_figure, viscosity_figure
from glazecalc.render.figures.shelf import shelf_figure
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.results.page import Page
from glazecalc.values.results.pictures import (
    BlendPicture,
    ConeRulerPicture,
    ExpansionPicture,
    HeatingPicture,
    HoursPicture,
    LearnedPicture,
    Picture,
    PushPicture,
    ShelfPicture,
    SilicaAluminaPicture,
    ViscosityPicture,
)

_DRAWINGS: Final[dict[type, tuple[str, Callable[[Any, UnitChoice], Figure]]]] = {
    ExpansionPicture: ("fit", lambda p, units: expansion_figure(p, units)),
    ConeRulerPicture: ("firing", lambda p, units: ruler_figure(p, units)),
    PushPicture: ("formula", lambda p, _: pushes_figure(p)),
    SilicaAluminaPicture: ("formula", lambda p, _: silica_alumina_figure(p)),
    ViscosityPicture: ("firing", lambda p, units: viscosity_figure(p, units)),
    HeatingPicture: ("firing", lambda p, _: heating_figure(p)),
    HoursPicture: ("firing", lambda p, _: hours_figure(p)),
    BlendPicture: ("tiles", lambda p, _: blend_figure(p)),
    ShelfPicture: ("tiles", lambda p, units: shelf_figure(p, units)),
    LearnedPicture: ("fit", lambda p, _: learned_figure(p)),
}


def figure_of(picture: Picture, units: UnitChoice) -> Figure:
    """The picture, drawn."""
    return _DRAWINGS[type(picture)][1](picture, units)


def section_of(picture: Picture) -> str:
    """The section of a page the picture belongs in: formula, fit, firing or tiles."""
    return _DRAWINGS[type(picture)][0]


def thumbnails(pages: Sequence[Page]) -> list[Small]:
    """Small pictures of fit and firing for each page, all on the same axes so that recipes can be compared."""
    return small_figures(pages)
