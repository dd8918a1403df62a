"""One file a job, with its verdict. Imports ``values``, ``chemistry``, ``models`` and ``files``."""
