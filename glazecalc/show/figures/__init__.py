"""Pictures: a small drawing layer of our own and one module per picture. Imports values and this package only.

A picture's values become a :class:`~glazecalc.show.figures.ink.Figure` (marks and a data table), which
:mod:`svg` and :mod:`png` write. Nothing here computes more than layout.
"""
