"""Cautions by stage of a firing. They name the usual dangers; manual, local codes and trained people
decide.
"""

from __future__ import annotations

from typing import Final

from glazecalc.values.firing_report import FiringKind, SafetyNote

_START: Final = SafetyNote(
    "before",
    "Read the maker's manual first. Nothing that burns near the kiln, plug in the wall and cool to the"
    " hand, vent and"
    " detectors on, kiln wash and shelves sound. Ware that is not bone dry can burst.",
)
_DRYING: Final = SafetyNote(
    "to 120 degC", "Steam scalds: keep face and hands away from openings. Do not hurry damp or thick ware."
)
_BURN_OUT: Final = SafetyNote(
    "200 to 700 degC",
    "Plant matter, wax and gum burn off with smoke and carbon monoxide, which cannot be smelt: vent"
    " outside, keep a"
    " carbon monoxide detector on, do not stay in the room longer than a look takes.",
)
_FUMES: Final = SafetyNote(
    "400 to 1100 degC",
    "Sulphur dioxide, and from some clays and glazes fluorine compounds, come off: vent outside, leave the room.",
)
_HOT: Final = SafetyNote(
    "red heat",
    "Look into the kiln only through dark glasses made for it, from the side, gloves on. The case burns skin.",
)
_TOP: Final = SafetyNote(
    "near the peak",
    "Be there. A controller, sitter or timer can stick: see the kiln off yourself, then unplug it or"
    " switch off at"
    " the disconnect as its manual says. A tripped breaker or ground-fault device, a hot plug, a smell"
    " of burning:"
    " off, let cool, and have it looked at before the next firing.",
)
_COOLING: Final = SafetyNote(
    "cooling",
    "Do not open above 100 degC: draught cracks ware and hot air burns. Shelves and ware hold heat for hours.",
)
_DUST: Final = SafetyNote(
    "unloading", "Razor-sharp drips and kiln wash dust: goggles, gloves; clean with a damp cloth, not a brush."
)


def safety_notes(kind: FiringKind | None, peak_degC: float) -> tuple[SafetyNote, ...]:
    """The cautions of a firing to ``peak_degC``; raw ware (bisque, once-fired) and unknown ware get
    them all.
    """
    raw = kind in ("bisque", "once-fired", None)
    notes = [_START, _DRYING] if raw else [_START]
    notes += [_BURN_OUT]
    if peak_degC > 600:
        notes.append(_FUMES)
    return (*notes, _HOT, _TOP, _COOLING, _DUST)
