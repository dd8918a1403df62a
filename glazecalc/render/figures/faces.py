"""Small drawings beside a question: the faces of outlets, and how a witness cone stands after the firing.

The faces are drawn from memory of how such outlets look, as plain shapes; the number on the outlet's own face decides.
"""

from __future__ import annotations

from typing import Final

_UPRIGHT_LEFT: Final = '<rect class="m-solid" x="19" y="20" width="4" height="15"/>'
_UPRIGHT_RIGHT: Final = '<rect class="m-solid" x="41" y="20" width="4" height="15"/>'
_T_LEFT: Final = _UPRIGHT_LEFT + '<rect class="m-solid" x="12" y="25.5" width="8" height="4"/>'
_LYING_RIGHT: Final = '<rect class="m-solid" x="38" y="25.5" width="13" height="4"/>'
_HOLE: Final = '<circle class="m-solid" cx="32" cy="46" r="4.5"/>'
_HOLE_ABOVE: Final = '<circle class="m-solid" cx="32" cy="14" r="4.5"/>'
_L_LEFT: Final = '<path class="m-solid" d="M17 20h10v4h-6v12h-4z"/>'
_L_BELOW: Final = '<path class="m-solid" d="M26 40h4v8h8v4H26z"/>'
_STRAIGHT_BELOW: Final = '<rect class="m-solid" x="30" y="40" width="4" height="14"/>'
_SLANTING: Final = (
    '<path class="m-solid" d="M16 30l8-13 3.4 2.1-8 13z"/><path class="m-solid" d="M48 30l-8-13-3.4 2.1 8 13z"/>'
)
_TALL_SIDES: Final = (
    '<rect class="m-solid" x="14" y="25" width="4" height="15"/>'
    '<rect class="m-solid" x="46" y="25" width="4" height="15"/>'
)
_FACES: Final = {
    "5-15": _UPRIGHT_LEFT + _UPRIGHT_RIGHT + _HOLE,
    "5-20": _T_LEFT + _UPRIGHT_RIGHT + _HOLE,
    "6-20": _T_LEFT + _LYING_RIGHT + _HOLE,
    "6-30": _L_LEFT + _UPRIGHT_RIGHT + _HOLE,
    "6-50": _UPRIGHT_LEFT + _UPRIGHT_RIGHT + _HOLE,
    "10-30": _SLANTING + _L_BELOW,
    "10-50": _SLANTING + _STRAIGHT_BELOW,
    "14-30": _TALL_SIDES + _HOLE_ABOVE + _L_BELOW,
    "14-50": _TALL_SIDES + _HOLE_ABOVE + _STRAIGHT_BELOW,
}
_LARGE: Final = frozenset({"6-30", "6-50", "10-30", "10-50", "14-30", "14-50"})
_CONES: Final = {
    "stands": "M20 56L26 8l6 48z",
    "soft": "M20 56C21 34 24 22 38 12C33 24 31 38 32 56z",
    "half": "M20 56C20 26 30 14 54 26C38 25 32 36 32 56z",
    "down": "M20 56C18 16 44 0 58 54C46 24 33 26 32 56z",
}


def outlet_face(name: str) -> str:
    """The face of an outlet as SVG; empty where none is drawn. A large one has a ring inside its rim."""
    if name not in _FACES:
        return ""
    ring = '<circle class="m-frame" cx="32" cy="32" r="26"/>' if name in _LARGE else ""
    return _svg(f'<circle class="m-plain" cx="32" cy="32" r="30"/>{ring}{_FACES[name]}')


def cone_after(bend: str) -> str:
    """A witness cone on its shelf as SVG: standing, soft at its tip, half down or down; empty for another word."""
    if bend not in _CONES:
        return ""
    return _svg(f'<path class="m-axis" d="M4 57h56"/><path class="m-clay-band" d="{_CONES[bend]}"/>'
                f'<path class="m-clay-solid" d="{_CONES[bend]}"/>')  # fmt: skip


def _svg(inside: str) -> str:
    frame = 'class="gc face" viewBox="0 0 64 64" width="64" height="64" aria-hidden="true" focusable="false"'
    return f"<svg {frame}>{inside}</svg>"
