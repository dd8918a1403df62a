"""What no studio has is refused where it is given."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from glazecalc.values.cones import Cone
from glazecalc.values.inputs import AtCone, Body, Limits, Scale


@pytest.mark.parametrize("make", [
    lambda: AtCone(cone=Cone("6"), percent=61.0), lambda: Body(name="Clay", wall_mm=101.0),
    lambda: Scale(resolution_g=0.1, capacity_g=2000.0, minimum_g=2001.0), lambda: Scale(resolution_g=0.1, minimum_g=1e6),
    lambda: Limits(sound_percent=99.9),
])  # fmt: skip
def test_what_no_studio_has_is_refused(make):
    with pytest.raises(ValidationError):
        make()
