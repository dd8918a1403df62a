"""A file whole or not at all: the one way in which the program writes a file of the user's."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """A neighbour to write into, which takes the place of ``path`` at the end; a device is written as it is.

    The neighbour is on the disk before it takes the place, and gone where the block ends in an exception. A link is
    written through, and a file that is replaced hands on who may read it.

    Raises
    ------
    OSError
        if the system refuses.
    """
    if path.exists() and not path.is_file():
        yield path
        return
    target = Path(os.path.realpath(path))
    neighbour = target.with_name(f".glazecalc-{os.getpid()}.part")
    neighbour.unlink(missing_ok=True)
    try:
        yield neighbour
        if target.exists():
            neighbour.chmod(target.stat().st_mode & 0o777)
        with neighbour.open("rb+") as stream:
            os.fsync(stream.fileno())
        neighbour.replace(target)
    finally:
        neighbour.unlink(missing_ok=True)
