"""A photograph of a tile: read again and written anew, so that nothing else that was in the file is kept."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Final

from glazecalc.files.writing import write_file
from glazecalc.values.answers import ProblemsError, error

FOLDER: Final = "photos"
LONGEST_SIDE: Final = 1600
"""Photographs are kept no larger than this [px]."""
_MOST_PIXELS: Final = 60_000_000


def keep_photo(folder: Path, tile: str, data: bytes) -> str:
    """Keep a JPEG or PNG of tile ``tile`` in the studio's folder of photographs, without what the camera wrote beside
    it; returns its name. Raises ProblemsError for anything else."""
    from PIL import Image, ImageOps

    try:
        with Image.open(io.BytesIO(data), formats=("JPEG", "PNG")) as picture:
            if picture.width * picture.height > _MOST_PIXELS:
                raise ValueError
            upright = ImageOps.exif_transpose(picture).convert("RGB")
            upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
            kept = io.BytesIO()
            upright.save(kept, "JPEG", quality=85)
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        hint = "send a photograph as JPEG or PNG"
        raise ProblemsError([error("not-a-photo", "that is no photograph that can be read", hint)]) from None
    number = 1
    while (place := folder / FOLDER / f"{tile}-{number}.jpg").exists():
        number += 1
    write_file(place, kept.getvalue(), force=False)
    return place.name


def photo_path(folder: Path, name: str) -> Path | None:
    """A photograph of the studio by its name; None for one that its folder does not list."""
    place = folder / FOLDER
    if not place.is_dir() or name not in {p.name for p in place.glob("*.jpg")}:
        return None
    path = (place / name).resolve()
    return path if path.parent == place.resolve() and path.is_file() else None
