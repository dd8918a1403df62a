"""The verdict on fit agrees with what practice expects of ordinary glazes on clays known by their class.

The glazes and their chances are judgements from memory of the trade (common practice, no source): they hold level and
spread of the verdict, not its order.
"""

import json

import numpy as np
import pytest

from training.practice import CARD, RESULTS, TRIALS, card, judged, predicted, second_set, summary, trials

RESULTS_KEPT = json.loads(RESULTS.read_text(encoding="utf-8"))


SMOOTH = ("cross_entropy", "floor", "bias_of_sound", "correlation")
"""Figures that no single glaze at a level can move."""


def test_the_shipped_figures_give_the_results_of_the_card() -> None:
    data = judged()
    now = summary(data, predicted(data, np.arange(len(data.ids))))
    assert now == pytest.approx(RESULTS_KEPT["inside"], abs=0.08)  # one glaze of thirteen, as the figures are rounded
    assert {k: now[k] for k in SMOOTH} == pytest.approx({k: RESULTS_KEPT["inside"][k] for k in SMOOTH}, abs=0.005)
    assert CARD.read_text(encoding="utf-8") == card(RESULTS_KEPT)


def test_level_and_spread_hold_on_bases_left_out() -> None:
    left_out = RESULTS_KEPT["left_out"]
    assert abs(left_out["bias_of_sound"]) < 0.08
    assert left_out["sound_told_no"] == 0.0
    assert left_out["sound_told_yes"] >= 0.5
    assert left_out["cross_entropy"] <= 0.70
    assert left_out["crazers_told_likely"] >= 0.95
    assert left_out["crazers_told_high_risk"] >= 0.85
    assert left_out["crazers_at_the_level"] >= 0.80


def test_glazes_that_entered_no_fit_are_told_nearly_as_well() -> None:
    kept, now = RESULTS_KEPT["second"]["summary"], second_set()["summary"]
    assert now == pytest.approx(kept, abs=0.10)  # one glaze of eleven, as the figures are rounded
    assert {k: now[k] for k in SMOOTH[:3]} == pytest.approx({k: kept[k] for k in SMOOTH[:3]}, abs=0.005)
    assert now["glazes"] >= 30
    assert now["cross_entropy"] <= now["floor"] + 0.08
    assert abs(now["bias_of_sound"]) < 0.08
    assert now["sound_told_no"] == 0.0
    assert now["sound_told_yes"] >= 0.5
    assert now["crazers_told_likely"] >= 0.95


def test_what_was_tried_gains_little_and_old_crazers_are_told_to_craze() -> None:
    tried = RESULTS_KEPT["tried"]
    assert len(tried) >= 4
    assert min(row["left_out"] for row in tried.values()) > tried["as it is"]["left_out"] - 0.005
    told = trials()
    assert told.keys() == RESULTS_KEPT["trials"].keys()
    crazed = [told[name][1] for name, (_, _, how) in TRIALS.items() if how != "whole"]
    whole = [told[name][1] for name, (_, _, how) in TRIALS.items() if how == "whole"]
    assert min(crazed) >= 0.65
    assert max(whole) < min(crazed)
    for name, row in told.items():
        assert row == pytest.approx(RESULTS_KEPT["trials"][name], abs=0.01)


@pytest.mark.parametrize("ware", ["stoneware-mid", "porcelain-mid", "earthenware"])
def test_no_ware_is_far_off(ware: str) -> None:
    data = judged()
    which = np.array([i for i, w in enumerate(data.ware) if w == ware])
    off = predicted(data, which)[:, 0] - data.chances[which, 0]
    assert abs(float(off.mean())) < 0.08
