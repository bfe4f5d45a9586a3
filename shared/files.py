"""Writing files so that a reader never meets half of one."""

import os
import tempfile
from contextlib import suppress
from pathlib import Path


def write_atomically(path: str | os.PathLike[str], content: str | bytes) -> None:
    """Put `content` (text as UTF-8) at `path`: wholly, or not at all.

    It is written beside the target first and then moved over it, so that a full disk or a pulled
    plug leaves the old file as it was. A link is followed. Raises OSError where it cannot be done.
    """
    target = Path(os.path.realpath(path))
    data = content.encode("utf-8") if isinstance(content, str) else content
    handle, name = tempfile.mkstemp(prefix=f".{target.name}.", suffix=".part", dir=target.parent)
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


def _mode(target: Path) -> int:
    """The rights of the file that is replaced, or those any new file would get here."""
    try:
        return target.stat().st_mode & 0o777
    except FileNotFoundError:
        umask = os.umask(0)
        os.umask(umask)
        return 0o666 & ~umask
