"""The real program on a pseudo-terminal: types keys, and sees what is painted."""

from __future__ import annotations

import os
import re
import select
import signal
import subprocess
import sys
import time

SECONDS = 30.0
"""Nothing that is waited for takes so long, even on a busy machine."""

_STEERING = re.compile(rb"\x1b\[[0-9;?]*[A-Za-z]")


class Terminal:
    """`walkthrough` (or another module) with some arguments on a terminal of 80x24."""

    def __init__(self, *arguments: str, module: str = "walkthrough") -> None:
        import fcntl
        import pty
        import struct
        import termios

        self._ours, theirs = pty.openpty()
        fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        os.set_blocking(self._ours, False)
        self.program = subprocess.Popen(
            [sys.executable, "-m", module, *arguments],
            stdin=theirs,
            stdout=theirs,
            stderr=theirs,
            env={**os.environ, "TERM": "xterm-256color"},
            start_new_session=True,
        )
        os.close(theirs)
        self._painted = b""
        self._is_gone = False

    def type(self, keys: str) -> None:
        os.write(self._ours, keys.encode())

    def wait_for(self, *texts: str) -> None:
        """Until texts were painted since the last wait."""
        seen = self.saw(*texts, until=time.monotonic() + SECONDS)
        assert seen, f"never painted {texts}: {self._painted[-3000:]!r}"

    def saw(self, *texts: str, until: float) -> bool:
        """Whether texts were painted since the last ones seen, waiting for them till then."""
        while not self.has_painted(*texts):
            left = until - time.monotonic()
            if left <= 0 or self._is_gone:
                return False
            self._read(left)
        self._painted = b""
        return True

    def watch(self, until: float) -> None:
        """Let time pass."""
        while (left := until - time.monotonic()) > 0 and not self._is_gone:
            self._read(left)

    def kill(self) -> None:
        """End it in the midst of what it does; what it painted before can still be seen."""
        self.program.send_signal(signal.SIGKILL)
        self.program.wait()
        while self._read(0):
            pass

    def has_painted(self, *texts: str) -> bool:
        """Whether texts were painted since the last ones seen, wherever their lines break."""
        told = self.painted
        return all(text in told for text in texts)

    @property
    def painted(self) -> str:
        """What was painted since the last texts seen, its lines joined."""
        return " ".join(_STEERING.sub(b"", self._painted).decode(errors="replace").split())

    def ended(self) -> int:
        """The exit code, once the program has come to its own end."""
        until = time.monotonic() + SECONDS
        while self.program.poll() is None and time.monotonic() < until:
            self._read(0.05)
        code = self.program.poll()
        assert code is not None, f"it did not end: {self._painted[-3000:]!r}"
        while self._read(0):
            pass
        return code

    def close(self) -> None:
        """Give the terminal back, and end what may still run on it."""
        if self.program.poll() is None:
            self.kill()
        os.close(self._ours)

    def __enter__(self) -> Terminal:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _read(self, seconds: float) -> bool:
        """Take what is painted within that time; False when nothing (more) is."""
        ready, _, _ = select.select([self._ours], [], [], seconds)
        found = b""
        try:
            found = os.read(self._ours, 65536) if ready else b""
            self._is_gone = bool(ready) and not found
        except BlockingIOError:
            # Said to be ready, and yet there is nothing: that happens on a busy machine.
            pass
        except OSError:
            # A terminal whose program has ended is an error to read from.
            self._is_gone = True
        self._painted += found
        return bool(found)
