"""What an estimate is called where a person reads it, on the terminal and on the page alike."""

from __future__ import annotations

from typing import Final

from glazecalc.values.estimate import Estimate

_NAMES: Final = {
    "expansion": "glaze, 20 to 300 degC",
    "expansion_to_setting": "glaze, 20 degC to setting",
    "body_expansion": "clay expansion",
    "youngs_modulus": "Young's modulus",
    "mature_cone": "firing range, cones",
    "layer_stress": "stress in the glaze",
    "crazing_probability": "likely to craze",
    "shivering_probability": "likely to shiver",
    "kiln_ceiling": "kiln, up to its rating",
}


def estimate_name(estimate: Estimate) -> str:
    """The estimate's name in plain words."""
    return _NAMES.get(estimate.name, estimate.name.replace("_", " "))
