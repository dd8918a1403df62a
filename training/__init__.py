"""How the coefficients were fitted; rerunnable, not in the wheel."""
