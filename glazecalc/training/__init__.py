"""How the coefficients in ``models/coefficients`` were fitted; rerun with ``python -m glazecalc.training``.

Imported by nothing at run time. Needs the extra ``train`` (scipy, pandas, matplotlib and the data files).
"""
