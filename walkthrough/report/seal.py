"""The last line of a report, by which one knows whether it was changed since it was written."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

_SEAL = re.compile(rb"(?:<!--|%) walkthrough sha256:([0-9a-f]{64})(?: -->)?\n\Z")


def sealed(page: str) -> str:
    """The page with its seal below it."""
    page = page.rstrip() + "\n"
    return f"{page}<!-- walkthrough sha256:{_sum(page.encode('utf-8'))} -->\n"


def sealed_pdf(data: bytes) -> bytes:
    """The PDF with its seal as a comment behind its end, where no reader minds it."""
    data = data.rstrip() + b"\n"
    return data + f"% walkthrough sha256:{_sum(data)}\n".encode()


def is_as_written(path: Path) -> bool:
    """Whether a file is a report of this program that nobody changed; raises OSError."""
    data = path.read_bytes()
    # A page may have got other line ends on its way; a PDF must not.
    return _is_whole(data) or _is_whole(data.replace(b"\r\n", b"\n"))


def _is_whole(data: bytes) -> bool:
    seal = _SEAL.search(data)
    return seal is not None and seal[1].decode() == _sum(data[: seal.start()])


def _sum(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
