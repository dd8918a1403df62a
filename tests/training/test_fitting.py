"""The tools of the fit, on made-up numbers whose answer is known, and the fit itself where the data are installed."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from glazecalc.models.domain import FITTED, coefficients
from training.data import DataMissingError, find_data, first_of_duplicates
from training.robust import fit
from training.split import folds, glaze_core
from training.spread import allowance, fit_spread, weighted_quantile


def test_a_lying_paper_does_not_pull_the_fit() -> None:
    rng = np.random.default_rng(0)
    features = rng.normal(size=(600, 3))
    truth = 2.0 + features @ np.array([1.0, -2.0, 0.5])
    paper = np.repeat(np.arange(30), 20)
    values = truth + 0.1 * rng.normal(size=600) + np.where(paper < 3, 5.0, 0.0)
    found = fit(features, values, np.ones(600), paper, folds(paper), 1e-6)
    assert found.coefficients == pytest.approx([2.0, 1.0, -2.0, 0.5], abs=0.05)
    honest = paper >= 3
    assert np.median(np.abs(values - found.left_out)[honest]) < 0.1


def test_left_out_rows_are_not_seen() -> None:
    """Changing the values of one fold leaves that fold's predictions as they were."""
    rng = np.random.default_rng(1)
    features, paper = rng.normal(size=(200, 2)), np.repeat(np.arange(20), 10)
    values, fold = features.sum(axis=1), folds(paper)
    before = fit(features, values, np.ones(200), paper, fold, 1.0).left_out
    changed = values + np.where(fold == 0, 3.0, 0.0)
    after = fit(features, changed, np.ones(200), paper, fold, 1.0).left_out
    assert after[fold == 0] == pytest.approx(before[fold == 0])


def test_folds_keep_papers_whole() -> None:
    paper = np.repeat(np.arange(57), 3)
    fold = folds(paper)
    assert all(len(set(fold[paper == p])) == 1 for p in range(57))
    assert set(fold) == set(range(10))


def test_spread_holds_ninety_per_cent() -> None:
    rng = np.random.default_rng(2)
    z = rng.uniform(size=(4000, 2))
    errors = rng.normal(size=4000) * np.exp(z[:, 0])
    spread = fit_spread(z, np.zeros(4000), errors, np.ones(4000), 1e-3)
    width = spread.half_width(z, np.zeros(4000))
    assert np.mean(np.abs(errors) <= width) == pytest.approx(0.9, abs=0.01)
    wide = z[:, 0] > 0.5
    assert np.mean(np.abs(errors[wide]) <= width[wide]) == pytest.approx(0.9, abs=0.04)


def test_allowance_makes_up_what_is_missing() -> None:
    rng = np.random.default_rng(3)
    errors = rng.normal(size=2000)
    size = allowance(errors, np.full(2000, 0.5))
    assert np.mean(np.abs(errors) <= np.hypot(0.5, size)) == pytest.approx(0.9, abs=0.01)
    assert allowance(errors, np.full(2000, 10.0)) == pytest.approx(0.0, abs=1e-9)


def test_weighted_quantile_and_duplicates() -> None:
    assert weighted_quantile(np.array([3.0, 1.0, 2.0]), np.array([1.0, 1.0, 8.0]), 0.9) == 2.0
    x = np.array([[0.5, 0.5], [0.5, 0.5], [0.4, 0.6]])
    assert first_of_duplicates(x, np.array([7.0, 7.0, 7.0])).tolist() == [True, False, True]


def test_glaze_core_edges() -> None:
    x = np.zeros((2, 16))
    x[0, [FITTED.index(s) for s in ("SiO2", "Al2O3", "Na2O", "CaO")]] = 0.70, 0.10, 0.08, 0.12
    x[1, [FITTED.index(s) for s in ("SiO2", "Al2O3", "Na2O", "CaO")]] = 0.70, 0.02, 0.12, 0.16
    assert glaze_core(x, np.ones(2)).tolist() == [True, False]
    assert glaze_core(x, np.array([0.99, 1.0])).tolist() == [False, False]


def test_missing_data_say_how_to_get_them(tmp_path: object) -> None:
    with pytest.raises(DataMissingError, match=r"sciglass\.csv\.xz"):
        find_data(tmp_path)


@pytest.mark.parametrize("key", ["expansion", "transition", "modulus", "liquidus", "viscosity"])
def test_coefficient_files_say_where_they_come_from(key: str) -> None:
    held = coefficients(key)
    assert tuple(held["domain"]["oxides"]) == FITTED
    for name in ("data", "kept_out", "records", "papers", "date", "left_out_core_median_error"):
        assert held["provenance"][name]


def installed() -> bool:
    try:
        find_data()
    except DataMissingError:
        return False
    return True


@pytest.mark.skipif(not installed(), reason="the glass data are not installed: pip install --no-deps glasspy==0.3")
def test_the_smallest_fit_can_be_run_again(tmp_path: Path) -> None:
    """Young's modulus refitted into another folder is the shipped file; held-out extracts are cut as shipped."""
    from training.data import read_glasses
    from training.fit import COEFFICIENTS, PROPERTIES
    from training.held_out import cut, read
    from training.run import difference, fit_again
    from training.surface import rows_to_fit

    glasses = read_glasses()
    shipped = (COEFFICIENTS / "modulus.json").read_bytes()
    (line,) = fit_again(glasses, ["modulus"], tmp_path)
    assert line.startswith("modulus: ")
    again = json.loads((tmp_path / "modulus.json").read_text(encoding="utf-8"))
    assert difference(again, coefficients("modulus")) < 1e-6
    assert (COEFFICIENTS / "modulus.json").read_bytes() == shipped
    prop = next(p for p in PROPERTIES if p.key == "modulus")
    rows = rows_to_fit(glasses, prop)
    assert not np.isin(glasses.year[rows.index], np.arange(2010, 2100)).any()
    assert len(cut(glasses, prop).splitlines()) - 1 == len(read("modulus").values)


def test_difference_tells_files_apart() -> None:
    from training.run import difference

    one = {"date": "a", "name": "x", "rows": [[1.0, 2.0], [3.0, 4.0]], "size": 2.0}
    assert difference(one, {**one, "date": "b"}) == 0.0
    assert difference(one, {**one, "size": 2.2}) == pytest.approx(0.1 / 1.1)
    assert difference(one, {**one, "rows": [[1.0, 2.0], [3.0, 5.0]]}) == pytest.approx(0.2)
    assert difference(one, {**one, "name": "y"}) == difference(one, {"date": "a"}) == float("inf")


def test_fitting_over_the_shipped_files_is_all_or_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    from training.__main__ import main

    assert main(["fit", "--only", "modulus"]) == 2
    assert "--to" in capsys.readouterr().err
