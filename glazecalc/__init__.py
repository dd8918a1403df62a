"""glazecalc: will this glaze fit my clay, melt in my kiln, and how do I weigh it.

The command line lives in :mod:`glazecalc.cli`, the promised library names in :mod:`glazecalc.api`. The floors
below them are folders: ``values``, ``chemistry``, ``models``, ``work``; the edges are ``read``, ``keep``, ``show``;
verdicts come from ``judge``. DEVELOPERS.md explains the house.
"""

__version__ = "0.1.0"
