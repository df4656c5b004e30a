"""Save a file so that it holds the old bytes or the new ones, and never what somebody else wrote.

The real file behind links is looked at and must be the one that was read; the new bytes go into a
temporary file beside it, onto the disk; the file is looked at again; one rename puts them in place.
"""

import contextlib
import hashlib
import os
import stat
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from flowsim.errors import OutputError
from flowsim.files.saving.output import settle, usual_mode
from flowsim.files.toml.source import LARGEST_FILE

Told = Callable[[str], None]
STEPS = ("look", "write", "flush", "look again", "rename", "read back")
"""What is told, each before it is done."""


class ChangedOutsideError(OutputError):
    """The file is not the one that was read; nothing was written."""


@dataclass(frozen=True, slots=True)
class SeenFile:
    """A file as it was looked at: its real ``path`` behind links, its bytes, and what it is.

    ``content`` is None where there is no file; ``names`` counts its hard links.
    """

    path: Path
    content: bytes | None
    mode: int = 0
    names: int = 1

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the bytes in hexadecimal; empty where there is no file."""
        return fingerprint(self.content)


def fingerprint(content: bytes | None) -> str:
    """Give SHA-256 of some bytes in hexadecimal; empty for None, that is no file."""
    return "" if content is None else hashlib.sha256(content).hexdigest()


def look(path: Path) -> SeenFile:
    """Look at a file that may be there or not.

    Parameters
    ----------
    path
        The file, or a link to it.

    Returns
    -------
    SeenFile

    Raises
    ------
    OutputError
        It cannot be read, or is no plain file.
    """
    real = Path(os.path.realpath(path))
    try:
        with real.open("rb") as stream:
            what = os.fstat(stream.fileno())
            if not stat.S_ISREG(what.st_mode):
                raise OutputError(f'"{path}" is not a plain file; give a file of text')
            content = stream.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        return SeenFile(real, None)
    except (OSError, ValueError) as error:
        words = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise OutputError(f'"{path}" cannot be read ({words}); check the file') from error
    return SeenFile(real, content, stat.S_IMODE(what.st_mode), what.st_nlink)


def save(path: Path, content: bytes, expected: str, told: Told = lambda _step: None) -> SeenFile:
    """Put bytes in the place of a file that is still the one that was read.

    Parameters
    ----------
    path
        The file, or a link to it, which stays a link.
    content
        What it is to hold.
    expected
        Fingerprint of what was read; empty: there must be no file.
    told
        Called with each of ``STEPS`` before it is done.

    Returns
    -------
    SeenFile
        As it was read back.

    Raises
    ------
    ChangedOutsideError
        The file is another than the one that was read.
    OutputError
        It cannot be written; the old bytes are still there.
    """
    told("look")
    seen = _unchanged(path, expected)
    try:
        temporary = _written(seen, content, told)
    except OSError as error:
        raise _cannot(path, error) from error
    try:
        told("look again")
        _unchanged(path, expected)
        told("rename")
        if seen.content is None:
            _put_new(temporary, seen.path, path)
        else:
            temporary.replace(seen.path)
    except OSError as error:
        raise _cannot(path, error) from error
    finally:
        with contextlib.suppress(OSError):
            temporary.unlink()
    settle(seen.path.parent)
    told("read back")
    found = look(path)
    if found.content != content:
        raise ChangedOutsideError(f'"{path}" was changed right after it was saved; look at it')
    return found


def _unchanged(path: Path, expected: str) -> SeenFile:
    seen = look(path)
    if seen.fingerprint != expected:
        what = "has been deleted" if seen.content is None else "has been changed outside"
        if not expected:
            what = "is there already"
        raise ChangedOutsideError(f'"{path}" {what}; nothing was written')
    return seen


def _written(seen: SeenFile, content: bytes, told: Told) -> Path:
    """Write the bytes beside the file, on the disk, with its mode and owner."""
    told("write")
    handle, name = tempfile.mkstemp(prefix=".flowsim-", dir=seen.path.parent)
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            told("flush")
            stream.flush()
            os.fsync(stream.fileno())
        temporary.chmod(usual_mode(seen.path))
        with contextlib.suppress(OSError, AttributeError):
            what = seen.path.stat()
            os.chown(temporary, what.st_uid, what.st_gid)
    except BaseException:
        with contextlib.suppress(OSError):
            temporary.unlink()
        raise
    return temporary


def _put_new(temporary: Path, real: Path, path: Path) -> None:
    """Give a new file its name; one that has come up meanwhile is not replaced."""
    try:
        os.link(temporary, real)
    except FileExistsError as error:
        raise ChangedOutsideError(f'"{path}" is there already; nothing was written') from error
    except OSError:
        if os.path.lexists(real):
            raise ChangedOutsideError(f'"{path}" is there already; nothing was written') from None
        temporary.replace(real)


def _cannot(path: Path, error: OSError) -> OutputError:
    return OutputError(
        f'"{path}" cannot be written ({error.strerror or error}); the file is as it was. Free some '
        "space or check that its folder can be written to, then save again"
    )
