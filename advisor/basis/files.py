"""Reading and writing the user's files: no read hangs, and a crash leaves the old file or the new one, never half.

It knows nothing of what is in a file; that is the caller's business.
"""

from __future__ import annotations

import errno
import os
import select
import stat
import tempfile
import time
from pathlib import Path

PIPE_WAIT = 10.0  # seconds that a named pipe may stay silent (judgement)


def read_bytes(name: str | Path, most: int) -> bytes:
    """Return the bytes of a file, at most one more than `most`; a pipe that stays silent raises TimeoutError.

    Raises OSError, and ValueError for a name that no file can have.
    """
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    with os.fdopen(os.open(name, flags), "rb", buffering=0) as file:
        if not stat.S_ISFIFO(os.fstat(file.fileno()).st_mode):
            return file.read(most + 1)
        content = b""
        while len(content) <= most:
            if not select.select([file], [], [], PIPE_WAIT)[0]:
                raise TimeoutError(None, f"nothing came through the pipe for {PIPE_WAIT:.0f} seconds")
            piece = file.read(most + 1 - len(content))
            if piece == b"":
                break
            content += piece or b""  # None: another reader was quicker
        return content


def write_whole(path: Path, text: str, newline: str | None = None, private: bool = False) -> None:
    """Write a text file beside its place and move it there, so that nobody ever sees half of it; raises OSError.

    Anything that is not an ordinary file, such as /dev/stdout, is written directly. newline: as for `open`. private:
    only its owner may read the file.
    """
    if path.exists() and not path.is_file():
        opener = _opened_pipe if path.is_fifo() else None
        with open(path, "w", encoding="utf-8", newline=newline, opener=opener) as file:
            file.write(text)
        return
    place = Path(os.path.realpath(path))  # a link goes on pointing to the file
    handle, beside = tempfile.mkstemp(prefix=f".{place.name[:40]}.", suffix=".part", dir=place.parent)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline=newline) as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        if not private:  # a file is made so that only its owner reads it
            Path(beside).chmod(place.stat().st_mode & 0o777 if place.exists() else 0o666 & ~_umask())
        Path(beside).replace(place)
    except BaseException:
        Path(beside).unlink(missing_ok=True)
        raise


def _opened_pipe(path: str, flags: int) -> int:
    """Open a named pipe as soon as somebody reads from it; raises TimeoutError where nobody does."""
    until = time.monotonic() + PIPE_WAIT
    while True:
        try:
            handle = os.open(path, flags | os.O_NONBLOCK)
        except OSError as error:
            if error.errno != errno.ENXIO:
                raise
            if time.monotonic() > until:
                raise TimeoutError(None, f"nobody read from the pipe for {PIPE_WAIT:.0f} seconds") from error
            time.sleep(0.05)
        else:
            os.set_blocking(handle, True)
            return handle


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
