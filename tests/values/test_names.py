"""Names are compared by the letters of any script; different names never fold to one, least of all to nothing."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glazecalc.values.names import fold

DIFFERENT = (
    "石英", "長石", "酸化鉛", "Кварц", "Полевой шпат", "Каолин", "χαλαζίας", "άστριος", "كوارتز", "فلسبار", "क्वार्ट्ज",
    "Quartz", "Kaolin", "!!!", "???", "Frit 1", "Frit 2", "長石 1",
)  # fmt: skip


def test_names_in_other_scripts_stay_apart() -> None:
    folded = [fold(name) for name in DIFFERENT]
    assert len(set(folded)) == len(DIFFERENT)
    assert all(folded)


@pytest.mark.parametrize(("one", "other"), [
    ("КВАРЦ", "кварц"), ("Frit-B", "frit  b"), ("ＫＡＯＬＩＮ", "kaolin"), ("SiO₂", "sio2"), ("Straße", "STRASSE"),
    ("Nepheline_Syenite", "nepheline syenite"),
])  # fmt: skip
def test_case_width_and_signs_between_do_not_matter(one: str, other: str) -> None:
    assert fold(one) == fold(other)


@given(st.text(max_size=40))
def test_folding_twice_is_folding_once(name: str) -> None:
    assert fold(fold(name)) == fold(name)
    assert bool(fold(name)) == bool(name.strip()) or not fold(name)
