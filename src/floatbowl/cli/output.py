"""Where results go: a file that is whole or not there, or the standard output."""

from __future__ import annotations

import io
import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, BinaryIO

STANDARD = "-"


@contextmanager
def whole_or_nothing(out: str) -> Iterator[IO[str]]:
    """A text file of JSON lines to write to, put in place under ``out`` when the block ends well.

    An old file stays until then. Half a character (a lone surrogate) is written as JSON escapes it. Raises OSError
    where it cannot be written.
    """
    target = Path(os.path.realpath(out))
    if out == STANDARD or (target.exists() and not target.is_file()):
        with _through(out) as file:
            yield file
        return
    handle, name = tempfile.mkstemp(prefix=f".{target.name}.", suffix=".part", dir=target.parent)
    aside = Path(name)
    try:
        with open(handle, "wb") as raw:
            with _text(raw) as file:
                yield file
            os.fsync(raw.fileno())
        aside.chmod(target.stat().st_mode & 0o777 if target.exists() else 0o666 & ~_umask())
        aside.replace(target)
    finally:
        aside.unlink(missing_ok=True)


@contextmanager
def _through(out: str) -> Iterator[IO[str]]:
    """Devices, pipes and the standard output cannot be replaced: all is gathered first, then passed on."""
    with tempfile.TemporaryFile("w+b") as raw:
        with _text(raw) as file:
            yield file
        raw.seek(0)
        if out == STANDARD:
            shutil.copyfileobj(raw, sys.stdout.buffer)
            sys.stdout.buffer.flush()
        else:
            with open(out, "wb") as device:
                shutil.copyfileobj(raw, device)


@contextmanager
def _text(raw: BinaryIO | IO[bytes]) -> Iterator[IO[str]]:
    file = io.TextIOWrapper(raw, encoding="utf-8", errors="backslashreplace", newline="\n")
    yield file
    file.flush()
    file.detach()


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
