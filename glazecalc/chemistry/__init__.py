"""Arithmetic nobody disputes: molar masses, compositions, the unity molecular formula, weights.

First floor. Imports ``values`` only. ``periodictable`` is used in ``oxides.py`` and nowhere else.
"""
