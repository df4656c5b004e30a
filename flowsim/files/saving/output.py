"""Write what a command makes: all files of it whole, or none at all, and never over another's.

Every command writes by this. Files are prepared under other names in the same folder and brought
onto the disk; then they get their names, one program at a time in a folder, while signals wait.
Where one cannot be put in place, those before it are taken back.
"""

import contextlib
import os
import stat
import tempfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from flowsim.errors import OutputError
from flowsim.files.saving.signals import held_back

Inputs = Sequence[Path | None]


def refuse(
    paths: Iterable[Path], *, force: bool | None, inputs: Inputs = (), new: Path | None = None
) -> None:
    """Find out, before any work is done, whether files may be written.

    Parameters
    ----------
    paths : iterable of Path
        The files.
    force : bool or None
        Whether plain files that are there may be replaced; None where no command line can allow it.
    inputs : sequence of Path or None
        What was read for them, which is never replaced.
    new : Path or None
        Folder of theirs that may be made, in one that is there.

    Raises
    ------
    OutputError
        One of them is there and must stay, is no plain file, is an input, is named twice, or
        cannot be written; says what to do.
    """
    seen: set[str] = set()
    files = tuple(paths)
    for path in files:
        _refuse_odd(path, inputs)
        with _said(path, "choose another name"):
            real = os.path.realpath(path)
        if real in seen:
            raise OutputError(f'"{path}" is named for two outputs; give each its own name')
        seen.add(real)
        if not force and os.path.lexists(path):
            remedy = "choose another name" if force is None else "add --force to replace it"
            raise OutputError(
                f'"{path}" is there already and is left as it is; move it away, or {remedy}'
            )
    for folder in {path.parent for path in files}:
        with _said(folder, "check that its folder is there and can be written to"):
            there = folder.parent if folder == new and not folder.exists() else folder
            with tempfile.TemporaryFile(prefix=".flowsim-", dir=there):
                pass


def write_outputs(
    contents: Mapping[Path, bytes],
    *,
    force: bool | None,
    inputs: Inputs = (),
    new: Path | None = None,
) -> None:
    """Write files, all of them whole or none at all.

    Parameters
    ----------
    contents : mapping of Path to bytes
        By file.
    force : bool or None
    inputs : sequence of Path or None
    new : Path or None
        As for ``refuse``.

    Raises
    ------
    OutputError
        As ``refuse``, and when the disk is full; then everything is as it was.
    """
    refuse(contents, force=force, inputs=inputs, new=new)
    staged: list[tuple[Path, Path]] = []
    with held_back(), contextlib.ExitStack() as taken_back:
        for path, content in contents.items():
            with _said(path, "nothing was written; free some space or choose another folder"):
                if path.parent == new:
                    new.mkdir(exist_ok=True)
                taken_back.enter_context(_gone_afterwards(staged, path))
                _fill(staged[-1][0], content, path)
        with _one_at_a_time({path.parent for path in contents}):
            _put_in_place(staged, force=bool(force))


def written(path: Path, content: bytes | str, *, force: bool | None, inputs: Inputs = ()) -> None:
    """Write one file, as ``write_outputs`` does; text as UTF-8 with plain line feeds.

    Raises
    ------
    OutputError
        As ``write_outputs``.
    """
    with _said(path, "nothing was written"):
        made = content.encode() if isinstance(content, str) else content
    write_outputs({path: made}, force=force, inputs=inputs)


def _refuse_odd(path: Path, inputs: Inputs) -> None:
    """Refuse what no --force allows: an input, a link, and what is no plain file."""
    with _said(path, "choose another name"):
        for given in inputs:
            if given is not None and path.exists() and given.exists() and path.samefile(given):
                raise OutputError(
                    f'"{path}" is what this was read from and is never replaced; choose another '
                    "name for the output"
                )
        if path.is_symlink():
            raise OutputError(
                f'"{path}" is a link to "{os.readlink(path)}", which is left as it is; give the '
                "name of a plain file"
            )
        what = path.lstat().st_mode if os.path.lexists(path) else stat.S_IFREG
        if stat.S_ISDIR(what):
            raise OutputError(f'"{path}" is a folder; choose another name')
        if not stat.S_ISREG(what):
            raise OutputError(f'"{path}" is no plain file; give the name of a plain file')


@contextlib.contextmanager
def _gone_afterwards(staged: list[tuple[Path, Path]], path: Path) -> Iterator[None]:
    """Make a file under another name beside one; what is left of it in the end is removed."""
    handle, name = tempfile.mkstemp(prefix=".flowsim-", dir=path.parent)
    os.close(handle)
    staged.append((Path(name), path))
    try:
        yield
    finally:
        _remove(Path(name))


def _fill(temporary: Path, content: bytes, path: Path) -> None:
    with temporary.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    temporary.chmod(usual_mode(path))


def _put_in_place(staged: list[tuple[Path, Path]], *, force: bool) -> None:
    """Give prepared files their names; where one fails, take back those before it."""
    done: list[tuple[Path, Path | None]] = []
    try:
        for temporary, path in staged:
            with _said(path, "nothing was written; check its folder and try again"):
                old = _kept(path) if force else None
                done.append((path, old))
                try:
                    _name(temporary, path, force=force)
                except BaseException:
                    done.pop()
                    _remove(old)
                    raise
    except BaseException:
        for path, old in reversed(done):
            with contextlib.suppress(OSError):
                path.unlink() if old is None else old.replace(path)
        raise
    for _, old in done:
        _remove(old)
    for folder in {path.parent for _, path in staged}:
        settle(folder)


def _kept(path: Path) -> Path | None:
    """Give the file that is there a second name, so that it can be put back; None if none is."""
    if not os.path.lexists(path):
        return None
    handle, name = tempfile.mkstemp(prefix=".flowsim-", dir=path.parent)
    os.close(handle)
    kept = Path(name)
    kept.unlink()
    try:
        os.link(path, kept)
    except OSError:  # a file system without second names
        kept.write_bytes(path.read_bytes())
    return kept


def _name(temporary: Path, path: Path, *, force: bool) -> None:
    """Give a prepared file its name; one that has come up meanwhile is not replaced."""
    if force:
        _refuse_odd(path, ())
        temporary.replace(path)
        return
    there = f'"{path}" is there already and is left as it is; nothing was written, try again'
    try:
        os.link(temporary, path)
    except FileExistsError as error:
        raise OutputError(there) from error
    except OSError:
        if os.path.lexists(path):
            raise OutputError(there) from None
        temporary.replace(path)


@contextlib.contextmanager
def _one_at_a_time(folders: set[Path]) -> Iterator[None]:
    """Let one program at a time put files in place in a folder, where the system can."""
    with contextlib.ExitStack() as held:
        for folder in sorted(folders):
            with contextlib.suppress(ImportError, OSError):
                import fcntl

                handle = os.open(folder, os.O_RDONLY)
                held.callback(os.close, handle)
                fcntl.flock(handle, fcntl.LOCK_EX)
        yield


@contextlib.contextmanager
def _said(path: Path, remedy: str) -> Iterator[None]:
    """Turn the system's refusals into words."""
    try:
        yield
    except (OSError, ValueError) as error:
        words = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise OutputError(f'"{path}" cannot be written ({words}); {remedy}') from error


def settle(folder: Path) -> None:
    """Bring a folder's entries onto the disk, where the system can."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _remove(path: Path | None) -> None:
    if path is not None:
        with contextlib.suppress(OSError):
            path.unlink()


def usual_mode(path: Path) -> int:
    """Give the permissions of the file that is replaced, or those of any new file."""
    with contextlib.suppress(OSError):
        return path.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
