"""The example of docs/tables.md on a local cluster of two workers gives what one process gives, to the last bit."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from glazecalc import api

pytest.importorskip("pyarrow", reason="pyarrow is not installed")
pytest.importorskip("dask.dataframe", reason="dask is not installed")
distributed = pytest.importorskip("distributed", reason="dask's distributed is not installed")

PAGE = Path(__file__).resolve().parents[2] / "docs" / "tables.md"


def table(n: int) -> pd.DataFrame:
    rng = np.random.default_rng(18)
    amounts = rng.random((n, 5)) * [20, 10, 10, 14, 6] + [50, 4, 0, 0, 0]
    frame = pd.DataFrame(amounts, columns=["SiO2", "Al2O3", "Na2O", "CaO", "CoO"])
    frame.loc[n // 2, "SiO2"] = -1.0
    frame.insert(0, "id", [f"g{i}" for i in range(n)])
    return frame


def test_the_example_under_two_workers(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    frame = table(2500)
    (tmp_path / "glasses").mkdir()
    for at, (a, b) in enumerate([(0, 1), (1, 900), (900, 1800), (1800, 2500)]):
        frame.iloc[a:b].to_parquet(tmp_path / "glasses" / f"part.{at}.parquet", index=False)
    (code,) = re.findall(r"```python\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)
    monkeypatch.chdir(tmp_path)
    cluster = distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None)
    with cluster, distributed.Client(cluster) as client:
        assert len(client.scheduler_info()["workers"]) == 2
        exec(compile(code, str(PAGE), "exec"), {})
    parts = sorted((tmp_path / "estimates").glob("*.parquet"), key=lambda path: int(path.name.split(".")[1]))
    assert len(parts) == 4
    found = pd.concat([pd.read_parquet(part) for part in parts], ignore_index=True)
    assert found["id"].tolist() == frame["id"].tolist()
    told = api.estimate_table(frame)
    assert list(found.columns) == ["id", *told.columns]
    for name in told.columns:
        if told[name].dtype == float:
            assert found[name].to_numpy().tobytes() == told[name].to_numpy().tobytes(), name
        else:
            assert found[name].tolist() == told[name].tolist(), name
