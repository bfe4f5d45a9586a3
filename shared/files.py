"""Writing files so that a reader never meets half of one."""

import os
import stat
import tempfile
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

from shared.errors import Fault, InputError, reason


def write_atomically(path: str | os.PathLike[str], content: str | bytes) -> None:
    """Put `content` (text as UTF-8) at `path`: wholly, or not at all.

    It is written beside the target first and then moved over it, so that a full disk or a pulled
    plug leaves the old file as it was. A link is followed. Raises OSError where it cannot be done.
    """
    target = Path(os.path.realpath(path))
    data = content.encode("utf-8") if isinstance(content, str) else content
    # of the name only a beginning: with all of a long one the name would be too long
    begins = f".{target.name[:20]}."
    handle, name = tempfile.mkstemp(prefix=begins, suffix=".part", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(name, _mode(target))
        os.replace(name, target)
    except BaseException:
        with suppress(FileNotFoundError):
            os.unlink(name)
        raise


def check_target(
    path: str | os.PathLike[str],
    *,
    read: Iterable[str | os.PathLike[str]] = (),
    replace: bool = True,
    force: bool = False,
) -> None:
    """Whether a file can, and may, be written at `path`: to be called before the work is done.

    It may not where it is one of the files that are `read`, where it is a link (`force` writes through
    it), and where it is there already unless `replace` or `force`. Raises InputError.
    """
    name = os.fspath(path)
    message = (
        _in_the_way(Path(path), read, replace=replace, force=force)
        if name
        else "an empty name; expected that of a file"
    )
    if message:
        raise InputError(name or "''", [Fault("", message)])


def _in_the_way(
    target: Path, read: Iterable[str | os.PathLike[str]], *, replace: bool, force: bool
) -> str:
    """What keeps a file from being written; "" if nothing does."""
    folder = target.parent
    try:
        if not target.name:
            return "is a folder"
        if not folder.is_dir():
            return f"there is no folder '{folder}'"
        if not os.access(folder, os.W_OK | os.X_OK):
            return f"no permission to write into the folder '{folder}'"
        if target.is_symlink() and not force:
            return (
                f"is a link to '{target.readlink()}' and was left alone; --force writes through it"
            )
        there = target.stat()
    except FileNotFoundError:
        return ""
    except (OSError, ValueError) as problem:  # a null sign in the name is a ValueError
        return f"cannot be written: {reason(problem)}"
    if stat.S_ISDIR(there.st_mode):
        return "is a folder"
    if not stat.S_ISREG(there.st_mode):
        return "is no plain file and was left alone"
    if any(_same(target, other) for other in read):
        return "is the file that is read, and was left alone"
    if not replace and not force:
        return "is there already and was left alone; --force writes over it"
    return ""


def _same(target: Path, other: str | os.PathLike[str]) -> bool:
    with suppress(OSError, ValueError):
        return target.samefile(other)
    return False


def _mode(target: Path) -> int:
    """The rights of the file that is replaced, or those any new file would get here."""
    try:
        return target.stat().st_mode & 0o777
    except FileNotFoundError:
        umask = os.umask(0)
        os.umask(umask)
        return 0o666 & ~umask
