"""Write files whole or not at all."""

import contextlib
import os
import tempfile
from pathlib import Path

from flowsim.errors import OutputError


def write_text(path: Path, text: str, *, overwrite: bool = True) -> None:
    """Write text to a file through a temporary file in the same folder.

    A reader sees the old file or the whole new one, never half of one.

    Parameters
    ----------
    path : Path
        Where to write; its folder must exist.
    text : str
        What to write, as UTF-8 with plain line feeds.
    overwrite : bool
        Whether a file that is there already may be replaced.

    Raises
    ------
    OutputError
        When the file is there and must not be replaced, or cannot be written; says what to do.
    """
    try:
        if not overwrite and os.path.lexists(path):
            raise OutputError(
                f'"{path}" is there already and is left as it is; move it away or choose another '
                "name"
            )
        _replace(path, text)
    except (OSError, ValueError) as error:
        words = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise OutputError(
            f'"{path}" cannot be written ({words}); check that its folder is there and can be '
            "written to"
        ) from error


def make_folder(path: Path) -> None:
    """Make a folder if it is not there yet.

    Parameters
    ----------
    path : Path
        The folder.

    Raises
    ------
    OutputError
        When it cannot be made; says what to do.
    """
    try:
        path.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as error:
        words = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise OutputError(
            f'the folder "{path}" cannot be made ({words}); choose another one'
        ) from error


def _replace(path: Path, text: str) -> None:
    handle, name = tempfile.mkstemp(prefix=".flowsim-", dir=path.parent)
    temporary = Path(name)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        temporary.chmod(_usual_mode(path))
        temporary.replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            temporary.unlink()
        raise


def _usual_mode(path: Path) -> int:
    """Give the permissions of the file that is replaced, or those of any new file."""
    with contextlib.suppress(OSError):
        return path.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
