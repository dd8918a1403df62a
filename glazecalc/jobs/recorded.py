"""What cannot be so in an entry of the journal, or is odd: one set of rules for what is typed and what is taken in."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from typing import Final

from glazecalc.jobs.learn_kiln import witness_against_peak
from glazecalc.values.answers import Problem, error, remark
from glazecalc.values.cones import Cone
from glazecalc.values.records import BENDS, BatchRecord, FiringRecord, Record, TileRecord, WitnessCone

FIRST_DAY: Final = date(1950, 1, 1)
"""No entry is older."""
ABOVE_PEAK_K: Final = 5.0
"""A reading this far above the peak is said to be odd [K]: two looks at one pyrometer differ by less."""
MOST_WATER: Final = 5.0
"""Water in so many times the dry weight is no glaze slurry: its specific gravity is under 1.12 (arithmetic, with solids
of 2.6)."""
AFTER_END_H: Final = 1.0
"""A look at the pyrometer this long after the end of a firing is said to be odd [h]."""


def record_faults(record: Record) -> tuple[Problem, ...]:
    """Errors where a record contradicts itself, remarks where it is odd; numbers out of range are the record's own."""
    found = [*_date(record.date)]
    if isinstance(record, FiringRecord):
        found += [*_witnesses(record.cones), *_late(record), *_hotter_than_peak(record), *_stalled_yet_there(record)]
        found += witness_against_peak(record.cones, record.readings, record.peak_degC, record.hours)
    if isinstance(record, BatchRecord):
        found += [*_weights(record), *_twice(record), *_water(record)]
    if isinstance(record, TileRecord):
        found += _time_as_test(record.after_test)
    return tuple(found)


def _date(text: str) -> Iterator[Problem]:
    if not text:
        return
    try:
        day = date.fromisoformat(text)
    except ValueError:
        yield error("not-a-date", f"{text[:40]!a} is not a date", "write it as 2026-03-31")
        return
    if not FIRST_DAY <= day <= date.today() + timedelta(days=1):
        yield error("not-a-date", f"{text[:40]!a} is in the future or long past", "give the day of the firing")


def _witnesses(cones: Sequence[WitnessCone]) -> Iterator[Problem]:
    """One cone cannot end both ways, and a hotter cone does not go down before a cooler one beside it."""
    ends: dict[str, str] = {}
    for cone in cones:
        if ends.setdefault(cone.cone, cone.bend) != cone.bend:
            text = f"cone {cone.cone} cannot be both {ends[cone.cone]} and {cone.bend}"
            yield error("witness-contradiction", text, "write what it looked like when cold")
    standing = [Cone(cone.cone) for cone in cones if cone.bend == BENDS[-1]]
    down = [Cone(cone.cone) for cone in cones if cone.bend == BENDS[0]]
    if standing and down and min(standing) < max(down):
        text = f"cone {min(standing)} stands though the hotter cone {max(down)} is down"
        yield remark("witness-contradiction", text, "check which cone is which")


def _late(record: FiringRecord) -> Iterator[Problem]:
    hours = record.hours
    late = [r for r in record.readings if hours is not None and r.at_h > hours + AFTER_END_H]
    if late:
        text = f"a reading at {late[0].at_h:g} h is after the end of the firing at {hours:g} h"
        yield remark("reading-after-end", text, "--hours counts from switching on to the end")


def _hotter_than_peak(record: FiringRecord) -> Iterator[Problem]:
    peak = record.peak_degC
    hotter = [r for r in record.readings if peak is not None and r.degC > peak + ABOVE_PEAK_K]
    if hotter:
        text = f"a reading of {hotter[0].degC:.0f} degC is above the peak of {peak:.0f} degC"
        yield remark("firing-odd", text, "--peak is the highest temperature seen")


def _stalled_yet_there(record: FiringRecord) -> Iterator[Problem]:
    """A firing that did not get to its cone, with that cone or a hotter one down."""
    down = [Cone(cone.cone) for cone in record.cones if cone.bend == BENDS[0]]
    if record.reached is False and record.target_cone and down and max(down) >= Cone(record.target_cone):
        text = f"the firing did not get to cone {record.target_cone}, yet cone {max(down)} is down"
        yield remark("witness-contradiction", text, "leave --stalled out where the cone went down")


def _twice(record: BatchRecord) -> Iterator[Problem]:
    named = [name for name, _ in record.weighed]
    for name in dict.fromkeys(n for n in named if named.count(n) > 1):
        yield error("batch-contradiction", f"{name} is weighed twice", "give one weight for each line, or their sum")


def _water(record: BatchRecord) -> Iterator[Problem]:
    dry, water = record.dry_g, record.water_g
    if dry is not None and water is not None and water > MOST_WATER * dry:
        text = f"{water:g} g of water in {dry:g} g of dry glaze is thinner than any slurry"
        yield remark("batch-odd", text, "check the figure and its unit")


def _time_as_test(test: str) -> Iterator[Problem]:
    """A text that begins like a span of time, and was kept as the name of a test."""
    if re.match(r"\s*[\d.,]", test):
        yield remark("not-a-time", f"{test[:40]!a} is no time that is known, and was kept as the name of a test",
                     'write a time as "3 days", in hours, days, weeks, months or years')  # fmt: skip


def _weights(record: BatchRecord) -> Iterator[Problem]:
    for name, grams in record.weighed:
        if record.dry_g is not None and grams > record.dry_g:
            text = f"{name} at {grams:g} g is more than the whole batch of {record.dry_g:g} g"
            yield error("batch-contradiction", text, "check the figure and its unit")
