"""Does a firing just written down go with the studio: its kiln, its circuit, volts, energy and hold?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from glazecalc.models.kiln_draws import can_be_modelled, plate_power_W
from glazecalc.values.inputs import Kiln, Studio
from glazecalc.values.problem import Problem, did_you_mean, remark
from glazecalc.values.records import FiringRecord
from glazecalc.work.kilns.kiln_ceiling import volts_suit

ENERGY_ROOM: Final = 1.25
"""Energy up to this many times the plate's power over all the hours is let pass: volts and plate vary."""


def firing_remarks(studio: Studio, record: FiringRecord) -> tuple[Problem, ...]:
    """Remarks on a firing as it stands in the journal; nothing here keeps it from being written."""
    kiln = next((k for k in studio.kilns if k.name.casefold() == record.kiln.casefold()), None)
    if not record.kiln and len(studio.kilns) == 1:
        kiln = studio.kilns[0]
    found = [*_names(studio, record), *_hold(record)]
    if kiln is not None:
        found += [*_volts(kiln, record), *_energy(kiln, record)]
    return tuple(found)


def _names(studio: Studio, record: FiringRecord) -> Iterator[Problem]:
    if not record.kiln and len(studio.kilns) > 1:
        text = f"no kiln is named, so none of the studio's {len(studio.kilns)} learns from this firing"
        yield remark("no-kiln", text, f"glazecalc record firing --id {record.id} --kiln ...")
    known = [c.name for c in studio.circuits]
    if record.circuit and known and record.circuit.casefold() not in (name.casefold() for name in known):
        hint = did_you_mean(record.circuit, known) or f"there are: {', '.join(known)}"
        yield remark("no-circuit", f"no circuit is called {record.circuit!r}, so its volts are not known", hint)


def _volts(kiln: Kiln, record: FiringRecord) -> Iterator[Problem]:
    if record.volts is not None and not volts_suit(kiln, record.volts):
        text = f"{record.volts:g} V written down, but {kiln.name} is made for {kiln.volts or 0:g} V"
        hint = f"it learns nothing from this firing; correct with --id {record.id} --volts ..."
        yield remark("firing-odd", text, hint)


def _energy(kiln: Kiln, record: FiringRecord) -> Iterator[Problem]:
    if record.energy_kWh is None or record.hours is None or not can_be_modelled(kiln):
        return
    most = plate_power_W(kiln) / 1000.0 * record.hours
    if record.energy_kWh > ENERGY_ROOM * most:
        text = f"{record.energy_kWh:g} kWh in {record.hours:g} h, but {kiln.name} takes at most about {most:.0f} kWh"
        yield remark("firing-odd", text, "check energy and hours; does something else hang on the meter?")


def _hold(record: FiringRecord) -> Iterator[Problem]:
    if record.hold_h is not None and record.hours is not None and record.hold_h >= record.hours:
        text = f"held for {record.hold_h:g} h in a firing of {record.hours:g} h"
        yield remark("firing-odd", text, "hours run from switching on to the end, the hold included")
