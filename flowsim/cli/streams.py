"""Standard streams as they must be before any command: open, whole writes, no false success."""

import contextlib
import errno
import io
import os
import sys

LOST = (errno.EBADF, errno.EPIPE, errno.ENOSPC, errno.EIO, errno.EFBIG, errno.EDQUOT)
"""What the system says when standard output can take no more."""


class _Nowhere(io.TextIOBase):
    """Standard output of a process that was started without one."""

    def write(self, _text: str, /) -> int:
        """Refuse, as the system would."""
        raise OSError(errno.EBADF, "it is closed")

    def fileno(self) -> int:
        """Give no number: the descriptor belongs to nobody."""
        raise OSError(errno.EBADF, "it is closed")


def make_ready() -> None:
    """Make standard output and error fit to be written to.

    A stream that is closed gets its place filled, so that no file that is opened later takes it.
    Standard output without a buffer would leave half a text on a full disk and call it success: it
    gets one. A name from a case must not stop a report on a terminal that cannot show it.
    """
    for number in (0, 1, 2):
        try:
            os.fstat(number)
        except OSError:
            with contextlib.suppress(OSError):
                os.open(os.devnull, os.O_RDWR)
    if sys.stdout is None:
        sys.stdout = _Nowhere()
    if sys.stderr is None:
        sys.stderr = io.StringIO()
    raw = getattr(sys.stdout, "buffer", None)
    if isinstance(raw, io.RawIOBase):
        sys.stdout = _buffered(sys.stdout.encoding, raw)
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(AttributeError):
            stream.reconfigure(errors="backslashreplace")  # type: ignore[union-attr]


def _buffered(encoding: str, raw: io.RawIOBase) -> io.TextIOWrapper:
    """Put a buffer between text and descriptor; the stream before keeps nothing back."""
    return io.TextIOWrapper(io.BufferedWriter(raw), encoding=encoding)
