"""Colours and line styles of every picture and page, in light, dark and print.

Marks stand out from the paper by at least 3:1 and letters by 4.5:1 in every theme; a test measures it. Colour never
speaks alone: what differs in colour differs in pattern, dash or shape as well.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

Theme = dict[str, str]

LIGHT: Final[Theme] = {
    "paper": "#ffffff", "ink": "#1d2627", "muted": "#525e5f", "rule": "#818c8c", "faint": "#dfe3e1",
    "glaze": "#17646e", "clay": "#9a4a1f", "kiln": "#574a85", "wash": "#eef4f3", "hatch": "#8a8577",
}  # fmt: skip
DARK: Final[Theme] = {
    "paper": "#151b1c", "ink": "#e9edec", "muted": "#aeb8b7", "rule": "#76827f", "faint": "#2d3637",
    "glaze": "#62c4ce", "clay": "#e39b6b", "kiln": "#b8aaea", "wash": "#1d2829", "hatch": "#857f70",
}  # fmt: skip
PRINT: Final[Theme] = {
    "paper": "#ffffff", "ink": "#000000", "muted": "#000000", "rule": "#666666", "faint": "#cccccc",
    "glaze": "#0d454c", "clay": "#6d3413", "kiln": "#3b3160", "wash": "#ffffff", "hatch": "#767676",
}  # fmt: skip
LETTERS: Final = ("ink", "muted", "glaze", "clay", "kiln")
"""Colours that letters are written in."""
MARKS: Final = ("ink", "muted", "rule", "glaze", "clay", "kiln", "hatch")
"""Colours of marks that carry meaning; ``faint`` and ``wash`` only decorate."""


@dataclass(frozen=True, slots=True)
class Style:
    """How a mark is drawn: colours by name or None, line width [px], dash pattern [px], opacity of the fill."""

    line: str | None = None
    fill: str | None = None
    width: float = 1.0
    dash: tuple[float, ...] = ()
    opacity: float = 1.0


STYLES: Final[dict[str, Style]] = {
    "axis": Style("muted", None, 1.0),
    "grid": Style("faint", None, 1.0),
    "edge": Style("rule", None, 1.0, (4, 3)),
    "frame": Style("rule", None, 1.0),
    "wash": Style(None, "wash"),
    "paper": Style(None, "paper"),
    "hatch": Style("hatch", None, 0.8),
    "asked": Style("ink", None, 1.6),
    "notch": Style("paper", None, 2.4, (3, 2)),
    "glaze": Style("glaze", "glaze", 1.0),
    "glaze-line": Style("glaze", None, 2.2),
    "glaze-band": Style("glaze", "glaze", 0.8, (), 0.18),
    "glaze-open": Style("glaze", "paper", 1.8),
    "clay": Style("clay", "clay", 1.0),
    "clay-line": Style("clay", None, 2.0, (7, 4)),
    "clay-open": Style("clay", "paper", 1.8),
    "clay-hatch": Style("clay", None, 1.3),
    "kiln": Style("kiln", "kiln", 1.0),
    "kiln-open": Style("kiln", "paper", 1.8),
    "kiln-line": Style("kiln", None, 1.8, (2, 3)),
    "kiln-hatch": Style("kiln", None, 1.3),
    "kiln-band": Style("kiln", "kiln", 0.6, (), 0.16),
    "kiln-thin": Style("kiln", None, 1.4),
    "clay-band": Style(None, "clay", 0.0, (), 0.22),
    "clay-solid": Style("clay", None, 2.2),
    "handle": Style("clay", None, 5.0),
    "cross": Style("glaze", None, 2.4),
    "cell": Style("rule", None, 1.2),
    "cell-doubt": Style("rule", None, 1.2, (4, 3)),
    "plain": Style("ink", "paper", 1.2),
    "solid": Style("ink", "ink", 1.0),
    "other": Style("muted", "paper", 1.4),
    "leader": Style("rule", None, 0.8),
}  # fmt: skip


def variables(theme: Theme) -> str:
    """The theme as CSS custom properties."""
    return "".join(f"--gc-{name}:{colour};" for name, colour in theme.items())


def themes_css(selector: str = ":root") -> str:
    """The three themes: light by default, dark where the reader asks for it, black on white in print."""
    return (
        f"{selector}{{{variables(LIGHT)}}}"
        f"@media (prefers-color-scheme: dark){{{selector}{{{variables(DARK)}}}}}"
        f"@media print{{{selector}{{{variables(PRINT)}}}}}"
    )


def marks_css(scope: str = ".gc") -> str:
    """A class per style, and the lettering of pictures."""
    rules = [f"{scope} text{{font-family:{FONT};fill:var(--gc-ink);}}"]
    rules += [f"{scope} .t-{name}{{fill:var(--gc-{name});}}" for name in LETTERS]
    rules.append(f"{scope} .halo{{paint-order:stroke;stroke:var(--gc-paper);stroke-width:3px;stroke-linejoin:round;}}")
    for name, style in STYLES.items():
        line = f"stroke:var(--gc-{style.line});stroke-width:{style.width:g};" if style.line else "stroke:none;"
        fill = f"fill:var(--gc-{style.fill});" if style.fill else "fill:none;"
        dash = f"stroke-dasharray:{' '.join(f'{d:g}' for d in style.dash)};" if style.dash else ""
        faint = f"fill-opacity:{style.opacity:g};" if style.opacity < 1 else ""
        rules.append(f"{scope} .m-{name}{{{line}{fill}{dash}{faint}}}")
    return "".join(rules)


FONT: Final = "'Helvetica Neue',Helvetica,Arial,'Liberation Sans',sans-serif"
