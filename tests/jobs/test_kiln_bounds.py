"""What no kiln can be is refused, and however many firings are written down, they are learned from at once."""

from __future__ import annotations

import time
from typing import Any

import numpy as np
import pytest

from glazecalc.jobs.kiln import check_kiln
from glazecalc.jobs.learn_kiln import MOST_FIRINGS, learn_kiln
from glazecalc.jobs.setup import Setup
from glazecalc.models.kiln import run_full_power
from glazecalc.models.kiln_learning import FiringCurve, along_records, log_heat_of
from glazecalc.models.kiln_reach import can_be_modelled, draws_from_plate, oddity
from glazecalc.values.answers import Basis, ProblemsError
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Interior, Kiln
from glazecalc.values.records import FiringRecord, Reading, WitnessCone
from tests.jobs.cases import taught

FIELDS: dict[str, Any] = {
    "name": "Shed kiln", "volts": 120.0, "amps": 15.0, "cone": Cone("8"), "shelves": 1, "firings_on_elements": 20,
    "wall_mm": 64.0, "interior": Interior(shape="octagon", width_mm=290.0, height_mm=230.0),
}  # fmt: skip
DEGC = (20, 120, 400, 680, 900, 1010, 1085, 1135, 1170)
QUICK_S = 6.0
"""Processor time: twice the aim, for slow machines."""


def kiln(**changes: Any) -> Kiln:
    return Kiln(**{**FIELDS, **changes})


def firings(many: int, hours: float) -> list[FiringRecord]:
    """Invented firings, each stretched to ``hours``."""
    return [
        FiringRecord(
            id=f"F{i}", kiln="Shed kiln", hours=hours, volts=118.0, on_elements=20 + i, date=f"2026-01-{i % 28 + 1:02d}",
            readings=tuple(Reading(h * hours / 8, float(t + i % 5)) for h, t in enumerate(DEGC)),
            cones=(WitnessCone("3", "down"), WitnessCone("8", "stands")),
        )
        for i in range(many)
    ]  # fmt: skip


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"watts": 20_000.0, "amps": None},
        {"wall_mm": 26.0},
        {"interior": Interior(shape="square", width_mm=152.0, height_mm=152.0)},
        {"interior": Interior(shape="square", width_mm=2900.0, height_mm=2900.0), "wall_mm": 400.0},
    ],
)
@pytest.mark.parametrize("hours", [8.0, 30.0, 200.0])
def test_thirty_firings_are_learned_from_at_once(changes: dict[str, Any], hours: float) -> None:
    start = time.process_time()
    found = learn_kiln(kiln(**changes), firings(30, hours))
    assert time.process_time() - start < QUICK_S
    assert len(found.used) + len(found.left_out) == 30
    if hours == 200.0:
        assert not found.used, "no small kiln fires for a week"
        assert all("more than the" in why for _, why in found.left_out)


def test_only_the_newest_of_very_many_firings_are_fitted() -> None:
    found = learn_kiln(kiln(), firings(MOST_FIRINGS + 2, 8.0))
    assert len(found.used) == MOST_FIRINGS
    assert all("older than the newest" in why for _, why in found.left_out)


@pytest.mark.parametrize(
    ("changes", "word"),
    [({"watts": 200_000.0}, "check watts"), ({"wall_mm": 6.0}, "check wall_mm"),
     ({"interior": Interior(shape="square", width_mm=25.0, height_mm=25.0)}, "check watts")],
)  # fmt: skip
def test_a_plate_that_cannot_be_is_said_and_its_cone_stands_alone(changes: dict[str, Any], word: str) -> None:
    odd = kiln(**changes)
    assert not can_be_modelled(odd)
    report = check_kiln(Setup(kiln=odd, cone=Cone("6"), bench=taught(firings=firings(30, 30.0))))
    assert report.ceiling is not None
    assert report.ceiling.estimate.basis is Basis.STATED
    assert [p.code for p in report.problems] == ["kiln-plate"]
    assert word in report.problems[0].message
    with pytest.raises(ProblemsError, match=word):
        learn_kiln(odd, firings(1, 8.0))


def test_kilns_that_are_sold_are_none_of_them_odd() -> None:
    """From a bead kiln of two inches and 750 W to a studio kiln of 11.5 kW; sizes as usual, no source."""
    sizes = ((51, 51, 750, 38), (102, 102, 1500, 50), (152, 152, 1800, 64), (290, 230, 1800, 64), (590, 690, 11500, 76))
    for width, height, watts, wall in sizes:
        inside = Interior(shape="square", width_mm=width, height_mm=height)
        assert oddity(kiln(interior=inside, watts=float(watts), amps=None, volts=None, wall_mm=float(wall))) is None


def test_firings_followed_together_go_as_each_does_alone_and_as_full_power_does() -> None:
    models = [draws_from_plate(kiln(wall_mm=wall), 8).model() for wall in (64.0, 90.0)]
    curves = [
        FiringCurve((0.0, 8.0), (20.0, 1100.0), 120.0),
        FiringCurve((0.0, 2.0, 4.0, 10.0), (20.0, 200.0, 500.0, 1100.0), 120.0, flat_out_h=4.0),
    ]
    together = along_records(models, curves)
    for model, curve, (hours, chamber) in zip(models, curves, together, strict=True):
        ((alone_h, alone),) = along_records([model], [curve])
        np.testing.assert_allclose(chamber[-1], alone[-1], atol=0.05)
        heats = [log_heat_of(h, c, (Cone("6"),)) for h, c in ((hours, chamber), (alone_h, alone))]
        np.testing.assert_allclose(heats[0], heats[1], atol=0.01)
    whole = run_full_power(models[0], 8.0)
    np.testing.assert_allclose(together[0][1][-1], whole.chamber_degC[-1], atol=0.05)
