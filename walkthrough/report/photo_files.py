"""The pictures of a record made small enough to stand in a page."""

from __future__ import annotations

import base64
import io
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from walkthrough.survey.photos import Photo, Refused, file_of

LONGEST = 1200
"""Pixels of the longer side in a page: enough to be read on paper at a hand's width."""
QUALITY = 75
MOST_BYTES_READ = 60_000_000
"""A file that is larger than any camera's is not opened."""
MOST_IN_ALL = 25_000_000
"""Bytes of all pictures in one page: about what still goes with a letter by mail."""


@dataclass(frozen=True)
class Shown:
    """A picture as it stands in a page, or, with no `uri`, why it does not."""

    uri: str = ""
    width: int = 0
    height: int = 0
    why_not: str = ""


def shown(photos: Iterable[Photo], folder: Path) -> dict[str, Shown]:
    """Each picture by its name: turned upright, made smaller, and without what a camera adds.

    What a camera adds may tell where somebody lives. A picture that cannot be shown says why.
    """
    found: dict[str, Shown] = {}
    taken = 0
    for name in dict.fromkeys(each.name for each in photos):
        picture = _shown(name, folder)
        if taken + len(picture.uri) > MOST_IN_ALL:
            picture = Shown(why_not="not shown, as the page would become too large")
        taken += len(picture.uri)
        found[name] = picture
    return found


def _shown(name: str, folder: Path) -> Shown:
    # Imported only here: a report without pictures need not wait for it.
    from PIL import Image, ImageFile, ImageOps, UnidentifiedImageError

    # What makes PDF sets it: half a picture would pass for a whole one.
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    try:
        path = file_of(name, folder)
        if path is None:
            return Shown(why_not="not at hand")
        if path.stat().st_size > MOST_BYTES_READ:
            return Shown(why_not="not shown: the file is too large to be a picture of a camera")
        with Image.open(path) as opened:
            picture = ImageOps.exif_transpose(opened).convert("RGB")
            picture.thumbnail((LONGEST, LONGEST))
            out = io.BytesIO()
            # A new file: nothing of what the camera wrote into the old one comes along.
            picture.save(out, "JPEG", quality=QUALITY, exif=b"")
    except Refused as refused:
        return Shown(why_not=f"not shown: {refused}")
    except UnidentifiedImageError:
        return Shown(why_not="not shown: not a kind of picture that can be shown here")
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        return Shown(why_not="not shown: the file is damaged or cannot be read")
    data = base64.b64encode(out.getvalue()).decode("ascii")
    return Shown(f"data:image/jpeg;base64,{data}", *picture.size)
