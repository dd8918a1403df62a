"""A cone that is down and the hottest reading must go together.

Cone 6 bends at 1222 degC at 60 degC/h (cone chart of the trade; from memory); 1215 F is 657 degC.
"""

from __future__ import annotations

import pytest

from glazecalc.jobs.learn_kiln import witness_against_peak
from glazecalc.values.records import Reading, WitnessCone

SIX = (WitnessCone("6", "down"),)


@pytest.mark.parametrize(("degC", "errors", "said"), [(657.0, 1, 1), (1280.0, 0, 1), (1215.0, 0, 0), (1400.0, 1, 1)])
def test_far_apart(degC: float, errors: int, said: int) -> None:
    found = witness_against_peak(SIX, (Reading(7.5, degC),), None)
    assert len(found) == said
    assert sum(p.is_error for p in found) == errors
    if errors:
        assert "F for C" in found[0].hint


def test_nothing_to_compare() -> None:
    assert witness_against_peak(SIX, (), None) == ()
    assert witness_against_peak((WitnessCone("6", "half"),), (Reading(7.5, 657.0),), None) == ()
    assert witness_against_peak(SIX, (Reading(3.0, 657.0),), 1220.0) == ()
    assert witness_against_peak(SIX, (Reading(2.0, 657.0),), None, 7.5) == (), "an early reading is not the peak"
    assert witness_against_peak(SIX, (Reading(7.4, 657.0),), None, 7.5)[0].is_error
