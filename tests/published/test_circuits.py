"""Circuit rules, plug and outlet configurations, and voltage drop against the published tables."""

from __future__ import annotations

import pytest

from glazecalc.jobs.circuit import circuit_result
from glazecalc.models.kiln import loop_resistance_ohm, volts_at_load_V
from glazecalc.values.answers import Answer
from glazecalc.values.data import read_table
from glazecalc.values.inputs import Circuit, Kiln
from glazecalc.values.mains import FEET_PER_KM, CircuitResult, mains_tables

TABLES = mains_tables()

# NEMA WD 6, as publicly described: which plug goes into which outlet; typed apart from the shipped table.
FITS = {
    ("5-15", "5-15"), ("5-15", "5-20"), ("5-20", "5-20"), ("6-15", "6-15"), ("6-15", "6-20"), ("6-20", "6-20"),
    ("6-30", "6-30"), ("6-50", "6-50"), ("10-30", "10-30"), ("10-50", "10-50"), ("14-30", "14-30"),
    ("14-50", "14-50"), ("TT-30", "TT-30"), ("5-30", "5-30"), ("L5-30", "L5-30"), ("L6-30", "L6-30"),
}  # fmt: skip
NAMES = (
    "5-15",
    "5-20",
    "6-15",
    "6-20",
    "6-30",
    "6-50",
    "10-30",
    "10-50",
    "14-30",
    "14-50",
    "TT-30",
    "5-30",
    "L5-30",
    "L6-30",
)

# NEC chapter 9 table 8, uncoated copper, 75 degC, metric columns [ohm/km]: stranded from memory, solid as seen
# in a public transcription. The shipped table holds the columns in ohm per 1000 ft.
OHM_PER_KM = {14: 10.3, 12: 6.50, 10: 4.07, 8: 2.551, 6: 1.608, 4: 1.010, 3: 0.802, 2: 0.634}
SOLID_OHM_PER_KM = {14: 10.072, 12: 6.332, 10: 3.970, 8: 2.507}


def place(kiln: Kiln, volts: float, breaker_A: float, receptacle: str, awg: int) -> CircuitResult:
    circuit = Circuit(
        name="c", volts=volts, breaker_A=breaker_A, receptacle=receptacle, wire_awg=awg, other_load_A=0.0,
        cord="none", ground_fault="no",
    )  # fmt: skip
    return circuit_result(kiln, circuit)


def codes(result: CircuitResult) -> set[str]:
    return {r.code for r in result.reasons}


@pytest.mark.parametrize("outlet", NAMES)
@pytest.mark.parametrize("plug", NAMES)
def test_plug_and_outlet_matrix(plug: str, outlet: str) -> None:
    found = TABLES.receptacle(outlet)
    assert found is not None
    assert (plug in found.takes) == ((plug, outlet) in FITS)
    kiln = Kiln(name="k", volts=120.0, amps=5.0, plug=plug + "P")
    told = codes(place(kiln, 120.0, found.amps, outlet + "R", 6))
    assert ("plug_does_not_fit" in told) == ((plug, outlet) not in FITS)


def test_outlets_carry_the_published_volts_and_amps() -> None:
    """NEMA WD 6: the number after the dash is the current; series 5 and TT are 125 V, 6 250 V, 10 has no
    ground.
    """
    for name in NAMES:
        outlet = TABLES.receptacle(name)
        assert outlet is not None
        assert outlet.amps == float(name.split("-")[1])
        assert outlet.volts == (125.0 if name.split("-")[0] in ("5", "L5", "TT") else 250.0)
        assert outlet.ground == (not name.startswith("10-"))


@pytest.mark.parametrize(("awg", "ohm"), OHM_PER_KM.items())
def test_voltage_drop_to_one_percent_of_the_table(awg: int, ohm: float) -> None:
    wire = TABLES.conductor(awg)
    assert wire is not None
    assert 15.0 * loop_resistance_ohm(wire, 20.0) == pytest.approx(2 * 0.020 * 15.0 * ohm, rel=0.01)


@pytest.mark.parametrize(("awg", "ohm"), SOLID_OHM_PER_KM.items())
def test_solid_column_in_metric(awg: int, ohm: float) -> None:
    row = next(r for r in read_table("conductors") if r["awg"] == str(awg))
    assert float(row["solid_ohm_per_1000ft"]) * FEET_PER_KM / 1000 == pytest.approx(ohm, rel=0.001)


def test_resistance_follows_the_wire_gauge_rule() -> None:
    """ASTM B258: the diameter halves in six gauges, so the resistance of ten gauges is about tenfold."""
    resistance = {c.awg: c.stranded_ohm_per_km for c in TABLES.conductors}
    for awg, ohm in resistance.items():
        if awg + 6 in resistance:
            assert resistance[awg + 6] / ohm == pytest.approx(92 ** (12 / 39), rel=0.02)


def test_drop_of_a_worked_run() -> None:
    """12 AWG stranded, 1.98 ohm per 1000 ft: 16 A over 50 ft one way loses 2 x 50 x 16 x 1.98 / 1000 = 3.2 V."""
    wire = TABLES.conductor(12)
    assert wire is not None
    assert 16.0 * loop_resistance_ohm(wire, 50 * 0.3048) == pytest.approx(2 * 50 * 16 * 1.98 / 1000, rel=1e-9)


def test_kiln_and_wire_share_the_volts() -> None:
    wire = TABLES.conductor(14)
    assert wire is not None
    loop = loop_resistance_ohm(wire, 25.0)
    volts = volts_at_load_V(120.0, loop, 120.0, 15.0)
    current = volts / (120.0 / 15.0)
    assert volts + current * loop == pytest.approx(120.0, rel=1e-12)


@pytest.mark.parametrize(("breaker", "limit"), [(15, 12), (20, 16), (30, 24), (40, 32), (50, 40), (60, 48)])
def test_eighty_percent_rule(breaker: float, limit: float) -> None:
    """US code 210.19/210.20: the continuous load is at most 80 % of the breaker, the breaker 125 % of the
    load.
    """
    result = place(Kiln(name="k", volts=240.0, amps=float(limit), plug="6-50P"), 240.0, float(breaker), "6-50R", 6)
    assert result.continuous_limit_A == pytest.approx(limit)
    assert result.minimum_breaker_A == breaker
    assert "breaker_too_small" not in codes(result)
    over = place(Kiln(name="k", volts=240.0, amps=limit + 0.1, plug="6-50P"), 240.0, float(breaker), "6-50R", 6)
    assert "breaker_too_small" in codes(over)


def test_a_sixteen_amp_kiln_needs_a_twenty_amp_breaker() -> None:
    """Common practice, no source."""
    kiln = Kiln(name="k", volts=120.0, amps=16.0, plug="5-20P")
    assert place(kiln, 120.0, 20.0, "5-20R", 12).answer is Answer.FITS
    small = place(kiln, 120.0, 15.0, "5-15R", 14)
    assert small.minimum_breaker_A == 20
    assert small.answer is Answer.DOES_NOT_FIT


def test_a_fifteen_amp_plug_on_a_kiln_that_needs_twenty() -> None:
    """Common practice, no source: the plug goes into a 15 A outlet, the kiln must not."""
    kiln = Kiln(name="k", volts=120.0, amps=15.0, plug="5-15P")
    bad = place(kiln, 120.0, 15.0, "5-15R", 14)
    assert bad.answer is Answer.DOES_NOT_FIT
    assert "breaker_too_small" in codes(bad)
    assert "plug_does_not_fit" not in codes(bad)
    good = place(kiln, 120.0, 20.0, "5-20R", 12)
    assert good.answer is Answer.CANNOT_SAY
    assert "plug_over_hours" in codes(good)


def test_a_twenty_amp_plug_needs_outlet_and_breaker_of_twenty() -> None:
    """Common practice, no source."""
    kiln = Kiln(name="k", volts=120.0, amps=11.0, plug="5-20P")
    assert place(kiln, 120.0, 20.0, "5-20R", 12).answer is Answer.FITS
    assert "plug_does_not_fit" in codes(place(kiln, 120.0, 20.0, "5-15R", 12))
    assert "plug_asks_for_more" in codes(place(kiln, 120.0, 15.0, "5-20R", 12))


def test_wire_against_breaker() -> None:
    """US code 240.4(D) and table 210.24: 14 AWG 15 A, 12 AWG 20 A, 10 AWG 30 A, 8 AWG 40 A, 6 AWG 50 A
    copper.
    """
    for awg, largest in ((14, 15), (12, 20), (10, 30), (8, 40), (6, 50)):
        wire = TABLES.conductor(awg)
        assert wire is not None
        assert wire.largest_breaker_A == largest


def test_a_240_volt_kiln_on_208() -> None:
    """Power goes with the square of the volts: 208 / 240 leaves 75.1 % (ANSI C84.1 nominal voltages)."""
    kiln = Kiln(name="k", volts=240.0, amps=24.0, plug="6-30P")
    circuit = Circuit(
        name="c", volts=208.0, breaker_A=30.0, receptacle="6-30R", wire_awg=10, length_m=0.0, other_load_A=0.0
    )
    result = circuit_result(kiln, circuit)
    assert result.answer is Answer.DOES_NOT_FIT
    assert result.power_fraction == pytest.approx(0.751, abs=0.001)
    assert any("75 %" in r.message for r in result.reasons if r.code == "voltage_208")


def test_a_trailer_outlet_is_120_volts() -> None:
    """NEMA WD 6: TT-30 is 125 V, though some pages wrongly say 240."""
    kiln = Kiln(name="k", volts=240.0, amps=20.0, plug="TT-30P")
    assert "receptacle_voltage" in codes(place(kiln, 240.0, 30.0, "TT-30R", 10))


def test_a_fifty_amp_plug_on_a_forty_amp_circuit() -> None:
    """US code table 210.24: a 40 A circuit may have 40 or 50 A receptacles; 27 A needs at least 33.75 A."""
    result = place(Kiln(name="k", volts=240.0, amps=27.0, plug="6-50P"), 240.0, 40.0, "6-50R", 8)
    assert result.answer is Answer.FITS
