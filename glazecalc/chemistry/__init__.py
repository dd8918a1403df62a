"""Arithmetic nobody disputes: oxides, formulas, compositions, batches. Imports ``values`` only."""
