"""The jobs: check, weigh, tiles, adjust, swap, learn, screen. The only floor that knows the order of the steps.

Third floor. Imports ``values``, ``chemistry``, ``models`` and ``judge``; is given what ``read`` has read.
"""
