"""The table of what differs from a plain dump names classes, fields and parts that there are."""

from __future__ import annotations

import dataclasses
import importlib
import pkgutil
from typing import Any

import pytest

import glazecalc.values
from glazecalc.render.json import MADE, SHAPES, for_json
from glazecalc.values.answers import Answer, Basis, Estimate, Verdict
from glazecalc.values.cones import Cone


def classes() -> dict[str, Any]:
    names = [m.name for m in pkgutil.walk_packages(glazecalc.values.__path__, "glazecalc.values.")]
    found = [vars(importlib.import_module(name)) for name in names]
    return {key: value for names in found for key, value in names.items() if isinstance(value, type)}


@pytest.mark.parametrize("name", sorted({*SHAPES, *MADE}))
def test_shapes_name_what_there_is(name: str) -> None:
    kind = classes()[name]
    if name == "RecipeLine":
        known = set(kind.model_fields)
    else:
        known = {f.name for f in dataclasses.fields(kind)} | set(vars(kind))
    for word in SHAPES.get(name, "...").split():
        if word != "...":
            key, equals, path = word.removeprefix("-").removesuffix("?").partition("=")
            assert (path.partition(".")[0] or key) in known or (
                equals and not path and name in MADE | {"Option": None, "BucketResult": None}
            )


def test_values_as_json() -> None:
    estimate = Estimate("expansion", 6.0, 5.5, 6.5, "1e-6/K", Basis.MODEL, ("a book",))
    assert for_json({"cone": Cone("06"), "of": (estimate,)}) == {
        "cone": "06",
        "of": [{"name": "expansion", "value": 6.0, "low": 5.5, "high": 6.5, "unit": "1e-6/K", "basis": "model",
                "sources": ["a book"], "caveats": []}],
    }  # fmt: skip
    assert list(for_json(Verdict("fit", Answer.FITS, "It fits.", ("expansion",), because="so"))) == [
        "rule", "answer", "message", "evidence",
    ]  # fmt: skip
