"""Published or fitted estimates: they may be wrong and always say how far.

Second floor. Imports ``values`` and ``chemistry``. Models are array functions; their coefficients are data files
in ``coefficients/``.
"""
