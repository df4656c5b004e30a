"""``NAME.draft`` beside a case: changes that are not saved yet, kept against a crash.

Its first line says what it belongs to, as a remark; the rest is the text as it stands, so that it
can be read, checked and copied by hand too.
"""

import contextlib
import json
import os
import tempfile
from dataclasses import dataclass
from pathlib import Path

from flowsim.errors import OutputError
from flowsim.files.toml.source import LARGEST_FILE

_LEAD = b"# flowsim draft, not saved: "
SUFFIX = ".draft"


@dataclass(frozen=True, slots=True)
class KeptDraft:
    """A draft: ``text`` bytes, ``base`` the fingerprint of the file that it began from.

    ``owner`` is the program that keeps it (any word), ``process`` its number, ``changes`` what was
    changed, in words.
    """

    content: bytes
    base: str
    owner: str
    process: int
    changes: tuple[str, ...]


def draft_path(case: Path) -> Path:
    """Give the place of a case's draft."""
    return case.with_name(case.name + SUFFIX)


def keep(case: Path, kept: KeptDraft) -> None:
    """Write the draft whole or not at all.

    Raises
    ------
    OutputError
        It cannot be written.
    """
    about = {"base": kept.base, "owner": kept.owner, "process": kept.process,
             "changes": kept.changes}  # fmt: skip
    head = _LEAD + json.dumps(about, ensure_ascii=True).encode() + b"\n"
    path = draft_path(case)
    try:
        handle, name = tempfile.mkstemp(prefix=".flowsim-", dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(head + kept.content)
            Path(name).replace(path)
        except BaseException:
            with contextlib.suppress(OSError):
                Path(name).unlink()
            raise
    except OSError as error:
        raise OutputError(
            f'"{path.name}" cannot be written ({error.strerror or error}): what is not saved is '
            "kept only as long as this program runs"
        ) from error


def kept(case: Path) -> KeptDraft | None:
    """Read the draft of a case.

    Returns
    -------
    KeptDraft or None
        None where there is none, or it is not one of ours.
    """
    try:
        with draft_path(case).open("rb") as stream:
            content = stream.read(2 * LARGEST_FILE)
    except OSError:
        return None
    head, _, rest = content.partition(b"\n")
    if not head.startswith(_LEAD):
        return None
    try:
        about = json.loads(head[len(_LEAD) :])
        return KeptDraft(
            content=rest,
            base=str(about["base"]),
            owner=str(about["owner"]),
            process=int(about["process"]),
            changes=tuple(str(words) for words in about["changes"]),
        )
    except (ValueError, LookupError, TypeError):
        return None


def drop(case: Path) -> None:
    """Take the draft away; nothing happens where there is none."""
    with contextlib.suppress(OSError):
        draft_path(case).unlink()


def is_running(process: int) -> bool:
    """Tell whether a process of this computer is still there, as far as one can tell.

    Where nobody can ask without disturbing it (not a POSIX system), it counts as gone.
    """
    if os.name != "posix" or process <= 0:
        return False
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True
