"""One call of the program in this process, with all that a torture test wants to know of it."""

from __future__ import annotations

import contextlib
import functools
import io
import os
import re
import signal
import sys
import time
import traceback
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType
from typing import Any

from walkthrough import cli
from walkthrough.rulebook.problems import clean

MOST_SECONDS = 5.0
"""Of processor time: what others do on the machine does not count."""
_GIVES_UP = 30.0
LONGEST_LINE = 4000
_WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
_WITHOUT_LINE = re.compile(
    "cannot be read|cannot be written|larger than|is the |not saved|in no folder|there are none"
)
_OPTION = re.compile(r"(--?[a-z][a-z-]*|calc|rules|replay|plan|walk|ruleset|cases)\b[^:]*: ")


_SHIPPED = str(Path(__file__).resolve().parents[2] / "rulesets")


# The parser is the same at every call, and to make it takes a third of a small command's time.
cli._parser = functools.cache(cli._parser)


class TooLong(BaseException):
    """It was given up: no handler of the program may take this for its own."""


@dataclass
class Told:
    """What a command said; `code` is None where it ended by an error that is none of its own."""

    arguments: Sequence[str]
    code: int | None = None
    out: str = ""
    err: str = ""
    seconds: float = 0.0
    trace: str = ""
    touched: list[str] = field(default_factory=list)
    opened: list[str] = field(default_factory=list)


@dataclass
class Tried:
    """One input: what was asked, how it ended, and everything that is wrong with that."""

    kind: str
    data: bytes
    told: list[Told] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)

    @property
    def refused(self) -> bool:
        return any(each.code == 2 for each in self.told)

    @property
    def seconds(self) -> float:
        return max((each.seconds for each in self.told), default=0)


_now: Told | None = None


def _hook(event: str, arguments: tuple[Any, ...]) -> None:
    if _now is None:
        return
    if event == "open":
        path, mode, flags = arguments
        if isinstance(path, int) or path is None:
            return
        path = os.fsdecode(path)
        writes = bool(flags & _WRITES) or any(each in (mode or "") for each in "wax+")
        (_now.touched if writes else _now.opened).append(path)
    elif event in _CHANGES:
        _now.touched.append(f"{event} {arguments[0]!s}")


_CHANGES = {
    *("os.remove", "os.rename", "os.rmdir", "os.mkdir", "os.link", "os.symlink", "os.truncate"),
    *("os.chmod", "os.utime", "os.system", "os.exec", "os.posix_spawn", "subprocess.Popen"),
    *("shutil.rmtree", "shutil.move", "shutil.copyfile", "socket.connect"),
}
_watching: list[bool] = []


def watch() -> None:
    """Look at every file that this process opens, from now on."""
    if not _watching:
        sys.addaudithook(_hook)
        _watching.append(True)


def called(*arguments: str) -> Told:
    """Run one command."""
    global _now
    watch()
    told = Told(arguments)
    out, err = (io.TextIOWrapper(io.BytesIO(), "utf-8", newline="\n") for _ in range(2))
    began = time.process_time()
    _now = told
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err), _no_longer():
            told.code = cli.main(list(arguments))
    except SystemExit as end:
        # Only what argparse prints by itself, such as --help, ends so.
        told.code = end.code if isinstance(end.code, int) else 0
    except (Exception, TooLong, KeyboardInterrupt) as error:
        _now = None
        if isinstance(error, KeyboardInterrupt):
            raise
        told.trace = traceback.format_exc(limit=-6)
    finally:
        _now = None
    told.seconds = time.process_time() - began
    told.out, told.err = (_text(each) for each in (out, err))
    return told


def _text(stream: io.TextIOWrapper) -> str:
    stream.flush()
    buffer = stream.buffer
    assert isinstance(buffer, io.BytesIO)
    return buffer.getvalue().decode()


@contextlib.contextmanager
def _no_longer() -> Iterator[None]:
    def give_up(_: int, __: FrameType | None) -> None:
        raise TooLong

    if not hasattr(signal, "setitimer"):
        yield
        return
    before = signal.signal(signal.SIGVTALRM, give_up)
    signal.setitimer(signal.ITIMER_VIRTUAL, _GIVES_UP)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        signal.signal(signal.SIGVTALRM, before)


def wrongs(told: Told, folder: Path, may_fail: bool = False, out: Path | None = None) -> list[str]:
    """What is wrong with how a command ended, whatever it was given.

    `folder` is where the files are, `out` the only one that it was asked to write.
    """
    if told.trace:
        return [told.trace]
    found = []
    if told.code not in ((0, 1, 2) if may_fail else (0, 2)):
        found.append(f"exit code {told.code}")
    if told.seconds > MOST_SECONDS:
        found.append(f"took {told.seconds:.1f} s")
    lines = told.err.splitlines()
    if (told.code == 2) != bool(lines):
        found.append(f"exit code {told.code} with '{told.err[:200]}' on the error output")
    for line in lines[:50]:
        found += _wrong_line(line, folder, told.arguments)
    is_json = "json" in told.arguments or "--json" in told.arguments
    allowed_ends = "\r\n\f" if "csv" in told.arguments else "\n\f"
    steers = "\x1b\x07\x00" if is_json else None
    for name, text in (("output", told.out), ("error output", told.err)):
        bad = [
            c
            for c in text
            if (c in steers if steers else not (c.isprintable() or c in allowed_ends))
        ]
        if bad:
            at = text.index(bad[0])
            found.append(f"{bad[0]!r} in the {name}: {text[max(0, at - 80) : at + 20]!r}")
    allowed = str(out) if out is not None else None
    found += [f"touched {each}" for each in told.touched if each != allowed]
    return found


def _wrong_line(line: str, folder: Path, arguments: Sequence[str]) -> list[str]:
    found = []
    if len(line) > LONGEST_LINE:
        found.append(f"a message of {len(line)} characters: {line[:200]}")
    if line.startswith((str(folder), _SHIPPED)):
        at = re.search(r":(\d+):(\d+): ", line)
        if at is None and not _WITHOUT_LINE.search(line):
            found.append(f"no line in '{line[:300]}'")
    elif not _OPTION.match(line) and not _names(line, arguments):
        found.append(f"neither file nor option in '{line[:300]}'")
    return found


def _names(line: str, arguments: Sequence[str]) -> bool:
    """Whether a line begins with an argument, or with the id of a ruleset file among them."""
    return any(
        line.startswith((clean(each)[:500] or "\n", f"{Path(each).stem}: ", f"{Path(each)}: "))
        for each in arguments
    )
