"""Outputs that are kept and compared."""

import pytest

pytest.register_assert_rewrite("tests.golden.kept")
