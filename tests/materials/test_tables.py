"""Sources, spreads, hazards and cones, tested as data."""

from __future__ import annotations

import pytest

from glazecalc.jobs.labels import DEADLY
from glazecalc.jobs.materials import POISONS_OF, UNINVITED, hazard_lines, metals_in
from glazecalc.values.cones import CONE_NAMES
from glazecalc.values.data import data_root, read_table, sources

HOW = {"seen", "from memory", "common practice", "computed", "invented for the demo"}
WITH_SOURCES = sorted(
    path.stem
    for path in (data_root() / "materials").glob("*.csv")
    if "source" in path.read_text("utf-8").split("\n")[0].split(",")
)


def test_sources_have_unique_ids_and_say_how() -> None:
    rows = read_table("sources")
    ids = [row["id"] for row in rows]
    assert len(ids) == len(set(ids))
    assert {row["how"] for row in rows} <= HOW
    assert all(row["citation"].strip() and not row["citation"].endswith(".") for row in rows)


@pytest.mark.parametrize("table", WITH_SOURCES)
def test_every_row_of_every_table_names_a_source(table: str) -> None:
    known = sources()
    for row in read_table(table):
        assert row["source"] and all(one in known for one in row["source"].split(";")), row


def test_every_kind_has_a_spread() -> None:
    spreads = {row["kind"]: float(row["spread_percent"]) for row in read_table("spreads")}
    assert set(spreads) == {"ideal", "certified", "published", "typical", "supplier"}
    assert 0 < spreads["certified"] <= spreads["ideal"] <= spreads["published"] <= spreads["typical"] <= 15
    assert all(row["reason"] for row in read_table("spreads"))


def test_hazards_say_when_and_what_to_do() -> None:
    rows = read_table("hazards")
    assert len({row["id"] for row in rows}) == len(rows)
    assert {row["when"] for row in rows} == {"dust", "firing", "food", "skin"}
    for row in rows:
        assert row["statement"] and (row["advice"] or row["when"] == "dust"), row["id"]
        assert row["statement"].isascii() and row["advice"].isascii()
        assert (row["label"] == "") is (row["when"] == "firing"), row["id"]
        if row["when"] in ("dust", "skin"):
            told = hazard_lines((row["id"],))
            assert sum("Confirm with the supplier's safety data sheet" in line for line in told) == 1, row["id"]
            assert sum("respirator" in line for line in told) == 1, row["id"]


def test_every_metal_that_is_kept_out_has_its_hazards() -> None:
    of = {row["metal"] for row in read_table("hazards")}
    assert {*UNINVITED, *DEADLY} <= of
    assert all(metals_in(rows) for _, rows in POISONS_OF.values())
    assert metals_in(("cadmium_capsule", "silica_dust")) == {"cadmium"}


def test_no_hazard_promises_safety() -> None:
    for row in read_table("hazards"):
        text = f"{row['statement']} {row['advice']}".casefold()
        assert "food safe" not in text and "food-safe" not in text and "harmless" not in text


CONES = {row["cone"]: row for row in read_table("cones")}
RATES = ("degC_at_15", "degC_at_60", "degC_at_150")


def test_cones_are_names_in_order() -> None:
    assert tuple(CONES) == CONE_NAMES


def test_a_later_cone_and_a_faster_rate_need_more_heat() -> None:
    for rate in RATES:
        column = [float(row[rate]) for row in CONES.values() if row[rate]]
        assert column == sorted(column) and len(set(column)) == len(column)
    for row in CONES.values():
        across = [float(row[rate]) for rate in RATES if row[rate]]
        assert across == sorted(across) and len(across) >= 2


# The same chart in degF, from another public transcription: cone 6 and 10 at 108 and 270 degF/h.
@pytest.mark.parametrize(("cone", "rate", "degF"), [
    ("6", "degC_at_60", 2232), ("6", "degC_at_150", 2269), ("10", "degC_at_60", 2345), ("10", "degC_at_150", 2381),
])  # fmt: skip
def test_cones_agree_with_the_chart_in_fahrenheit(cone: str, rate: str, degF: float) -> None:
    assert float(CONES[cone][rate]) == pytest.approx((degF - 32) / 1.8, abs=0.6)


# H. P. Beerman, Calibration of pyrometric cones, J. Am. Ceram. Soc. 39 (1956) 47-54: large cones, 150 degC/h. An
# independent calibration; it differs from today's chart by 20-odd degC at most.
BEERMAN_150 = {
    "022": 600, "021": 614, "020": 635, "019": 683, "018": 717, "017": 747, "016": 792, "015": 804, "014": 838,
    "013": 852, "012": 884, "011": 894, "09": 923, "08": 955, "07": 984, "06": 999, "05": 1046, "04": 1060,
    "03": 1101, "02": 1120, "01": 1137, "1": 1154, "2": 1162, "3": 1168, "4": 1186, "5": 1196, "6": 1222, "7": 1240,
    "8": 1263, "9": 1280, "10": 1305, "11": 1315, "12": 1326, "13": 1346,
}  # fmt: skip


def test_cones_are_near_an_independent_calibration() -> None:
    off = [float(CONES[cone]["degC_at_150"]) - degC for cone, degC in BEERMAN_150.items()]
    assert max(map(abs, off)) <= 22
    assert abs(sum(off) / len(off)) < 6
