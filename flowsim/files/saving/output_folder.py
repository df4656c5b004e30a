"""Write several files into a folder, all of them whole or none at all."""

import contextlib
import os
import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path

from flowsim.errors import OutputError


def check_folder(folder: Path, names: Iterable[str], *, force: bool) -> None:
    """Find out, before any work is done, whether files may be written.

    Parameters
    ----------
    folder : Path
        Made if it is not there; the folder that it lies in must be.
    names : iterable of str
        File names.
    force : bool
        Whether files that are there may be replaced.

    Raises
    ------
    OutputError
        When one of them is there already, or the folder cannot be written to; says what to do.
    """
    try:
        folder.mkdir(exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            pass
    except OSError as error:
        raise OutputError(
            f'"{folder}" cannot be written to ({error.strerror or error}); choose another folder '
            "with --out"
        ) from error
    there = [name for name in names if os.path.lexists(folder / name)]
    folders = [name for name in there if (folder / name).is_dir()]
    if folders:
        raise OutputError(
            f'"{folder / folders[0]}" is a folder; move it away or choose another with --out'
        )
    if there and not force:
        raise OutputError(
            f"{_named(folder, there)} there already and left as it is; add --force to replace, "
            "or choose another folder with --out"
        )


def write_all(folder: Path, contents: Mapping[str, bytes], *, force: bool) -> None:
    """Write files through temporary ones beside them; they get their names when all are whole.

    Parameters
    ----------
    folder : Path
        Where to write.
    contents : mapping of str to bytes
        By file name.
    force : bool
        Whether files that are there may be replaced.

    Raises
    ------
    OutputError
        As ``check_folder``, and when the disk is full; then nothing is left behind.
    """
    check_folder(folder, contents, force=force)
    staged: list[tuple[Path, Path]] = []
    try:
        for name, content in contents.items():
            handle, temporary = tempfile.mkstemp(prefix=".flowsim-", dir=folder)
            staged.append((Path(temporary), folder / name))
            with os.fdopen(handle, "wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            Path(temporary).chmod(_usual_mode())
        for temporary_path, path in staged:
            temporary_path.replace(path)
    except OSError as error:
        raise OutputError(
            f'"{folder}" cannot be written to ({error.strerror or error}); nothing was written'
        ) from error
    finally:
        for temporary_path, _ in staged:
            with contextlib.suppress(OSError):
                temporary_path.unlink()


def _named(folder: Path, names: list[str]) -> str:
    shown = ", ".join(f'"{folder / name}"' for name in names)
    return f"{shown} is" if len(names) == 1 else f"{shown} are"


def _usual_mode() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
