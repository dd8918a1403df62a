"""A file whole or not at all, the one way in which a file of the user's is written; what it said before is kept."""

from __future__ import annotations

import errno
import os
import re
import tempfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from glazecalc.values.answers import Problem, ProblemsError, error
from glazecalc.values.texts import phrase

FULL: Final = frozenset({errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC)})
"""What the system answers where a disk, or a user's share of it, is full."""


def _umask() -> int:
    """Which rights new files do not get; the system tells only on changing it."""
    mask = os.umask(0o077)
    os.umask(mask)
    return mask


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
    handle, name = tempfile.mkstemp(prefix=".glazecalc-", suffix=".part", dir=target.parent)  # for nobody else to read
    os.close(handle)
    neighbour = Path(name)
    try:
        yield neighbour
        neighbour.chmod(target.stat().st_mode & 0o777 if target.exists() else 0o666 & ~_umask())
        with neighbour.open("rb+") as stream:
            os.fsync(stream.fileno())
        neighbour.replace(target)
    finally:
        neighbour.unlink(missing_ok=True)


@contextmanager
def one_writer(folder: Path) -> Iterator[None]:
    """Hold a folder while a file of it is read, changed and written: another program that asks for it waits.

    Where the system has no such lock, or refuses it, nothing is held; a file is whole all the same.
    """
    try:
        import fcntl
    except ImportError:
        yield
        return
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        yield
        return
    try:
        with suppress(OSError):
            fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


# Where an output may be written, and a file whole or not at all: one way for every command.


def taken(path: Path) -> bool:
    """Whether something stands at ``path``, be it a link that leads nowhere."""
    return os.path.lexists(path)


def free_place(path: Path, force: bool) -> None:
    """Raise ProblemsError if something is there that may not be replaced."""
    if "\0" in str(path):
        raise ProblemsError([error("cannot-write", "no file can be called that", file=str(path).replace("\0", "?"))])
    try:
        if path.is_dir():
            raise ProblemsError([error("is-a-folder", "that is a folder", "name a file", str(path))])
        if of_a_journal(path):
            what = "a studio's journal is kept there, and never replaced"
            raise ProblemsError([error("journal-kept", what, "write to a file of another name", str(path))])
        if force or not taken(path):
            return
        leads_nowhere = not path.exists()
    except OSError as exc:
        raise ProblemsError([cannot_write(exc, path)]) from None
    what = "a link that leads nowhere stands there" if leads_nowhere else "already there"
    hint = "remove it, or write to where it leads| with --force|" if leads_nowhere else "|--force replaces it|"
    raise ProblemsError([error("exists", what, phrase(hint), str(path))])


def write_file(path: Path, content: str | bytes, force: bool) -> None:
    """Write a file, its folder made where it is missing. Raises ProblemsError if that cannot be."""
    data = content.encode("utf-8", "replace") if isinstance(content, str) else content
    write_by(path, lambda place: place.write_bytes(data), force)


def write_by(path: Path, write: Callable[[Path], object], force: bool) -> None:
    """Let ``write`` make a file at the place it is given, which then becomes ``path``: a whole file or nothing.

    Raises ProblemsError if something is there already, or the system refuses.
    """
    free_place(path, force)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with whole_file(path) as place:
            write(place)
    except OSError as exc:
        raise ProblemsError([cannot_write(exc, path)]) from None


def cannot_write(exc: OSError, path: Path) -> Problem:
    """The system's refusal to write ``path`` as a problem."""
    if isinstance(exc, FileExistsError | NotADirectoryError):
        return error("not-a-folder", "a file stands where its folder should be", "name another folder", str(path))
    if exc.errno in FULL:
        what, hint = "the disk is full: the file was not written", "free some space and try again"
        return error("disk-full", what, hint, str(path))
    return error("cannot-write", exc.strerror or str(exc), file=str(path))


# What a file of the studio said before it was written anew: kept in the folder ``earlier``, put back when asked.

FOLDER: Final = "earlier"
_NONE: Final = ".none"
"""Ends the name of what is kept where there was no file before."""


def keep(path: Path) -> None:
    """Keep what ``path`` says now, or that it is not there, under the next free number."""
    number = max((n for n, _ in _kept(path)), default=0) + 1
    place = path.parent / FOLDER / f"{path.name}.{number}"
    there = path.is_file()
    place = place if there else place.with_name(place.name + _NONE)
    write_file(place, path.read_bytes() if there else b"", force=False)


def can_put_back(path: Path) -> bool:
    """Whether anything is kept of a file."""
    return bool(_kept(path))


def last_kept(paths: Iterable[Path]) -> Path | None:
    """The file of which something was kept last; None where nothing is kept of any."""
    found = [(kept[-1][1].stat().st_mtime_ns, path) for path in paths if (kept := _kept(path))]
    return max(found)[1] if found else None


def put_back(path: Path) -> bool:
    """Undo the last change: the file says again what it said before; whether there was anything to put back.

    A file that was not there before is moved into ``earlier``; nothing is lost.
    """
    with one_writer(path.parent):
        kept = _kept(path)
        if not kept:
            return False
        _, place = kept[-1]
        if not place.name.endswith(_NONE):
            write_file(path, place.read_bytes(), force=True)
        elif path.is_file():
            aside = path.parent / FOLDER / f"{path.name}.taken-back"
            tries = (aside, *(aside.with_name(f"{aside.name}.{number}") for number in range(2, 10_000)))
            path.replace(next(free for free in tries if not free.exists()))
        place.unlink()
    return True


def _kept(path: Path) -> list[tuple[int, Path]]:
    """What is kept of a file, the last one last."""
    folder = path.parent / FOLDER
    if not folder.is_dir():
        return []
    form = re.compile(re.escape(path.name) + r"\.([0-9]{1,9})(?:\.none)?")
    return sorted((int(m[1]), place) for place in folder.iterdir() if (m := form.fullmatch(place.name)))


# Where the studio's journal lies, and which files are journals.

FILE_NAME: Final = "journal.sqlite"
"""The journal's file in a studio folder."""
OWNER: Final = b"glzj"
"""What marks a file as a journal of ours: SQLite's application id, bytes 68 to 71 of its header (sqlite.org, Database
File Format, 1.3)."""
_SQLITE: Final = b"SQLite format 3\0"
_BESIDE: Final = ("-wal", "-shm", "-journal")


def journal_exists(folder: Path) -> bool:
    """Whether the studio has a journal, be it one that cannot be opened; an empty file, as a full disk leaves behind,
    is none yet."""
    path = folder / FILE_NAME
    try:
        return path.stat().st_size > 0 or not path.is_file()
    except (OSError, ValueError):
        return os.path.lexists(path)


def of_a_journal(path: Path) -> bool:
    """Whether ``path`` is a journal, one of SQLite's files beside it, or where a studio's journal would be.

    Links are followed, and a journal under another name is known by its header. Raises OSError where the system
    refuses to say.
    """
    place = os.path.realpath(path)
    main = next((place.removesuffix(end) for end in _BESIDE if place.endswith(end)), place)
    return os.path.basename(main) == FILE_NAME or _is_ours(place) or (main != place and _is_ours(main))


def _is_ours(place: str) -> bool:
    if not os.path.isfile(place):
        return False
    with open(place, "rb") as stream:
        head = stream.read(72)
    return head.startswith(_SQLITE) and head[68:] == OWNER
