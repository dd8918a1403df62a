from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from tests.page.bench import browser

ROOT = Path(__file__).resolve().parent.parent.parent


@pytest.fixture
def studio(tmp_path: Path) -> Path:
    folder = tmp_path / "studio"
    shutil.copytree(ROOT / "recipes", folder, ignore=shutil.ignore_patterns("journal*"))
    return folder


@pytest.fixture
def client(studio: Path) -> TestClient:
    return browser(studio)
