"""Reading a zip that somebody sent: nothing outside it, nothing hidden in it, and never more than fits in memory."""

from __future__ import annotations

import stat
import zipfile
import zlib
from typing import IO, Final

from floatbowl.reference.descriptor import stays_inside
from floatbowl.reference.fault import refusal, shown

#: A pack of 20,000 carburettors unpacks to about 40 MB.
MOST_BYTES: Final = 512 * 1024 * 1024
MOST_ENTRIES: Final = 2000
#: Tables of a shop shrink 5 to 50 times; deflate itself cannot pass about 1030 times.
MOST_SHRUNK: Final = 200
#: Small files may shrink more: a table of equal rows does.
SMALL_BYTES: Final = 16 * 1024 * 1024
CHUNK: Final = 1024 * 1024


def open_archive(name: str, file: IO[bytes]) -> zipfile.ZipFile:
    """A zip whose list of contents is harmless; PackFaults otherwise. Nothing is unpacked yet."""
    try:
        archive = zipfile.ZipFile(file)
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError, UnicodeDecodeError):
        raise refusal(name, "is not a whole zip file; it may be cut off, send or save it again") from None
    _refuse_bomb(name, archive)
    _refuse_tricks(name, archive)
    return archive


def _refuse_bomb(name: str, archive: zipfile.ZipFile) -> None:
    entries = archive.infolist()
    if len(entries) > MOST_ENTRIES:
        raise refusal(name, f"holds {len(entries):,} files, more than {MOST_ENTRIES:,}; a pack has about twenty")
    unpacked = sum(entry.file_size for entry in entries)
    packed = sum(entry.compress_size for entry in entries)
    if unpacked > MOST_BYTES:
        raise refusal(name, f"would unpack to {unpacked:,} bytes, more than {MOST_BYTES:,}; it is refused unread")
    if unpacked > SMALL_BYTES and unpacked > MOST_SHRUNK * max(packed, 1):
        raise refusal(name, f"would unpack to {unpacked // max(packed, 1):,} times its size; it is refused unread")


def _refuse_tricks(name: str, archive: zipfile.ZipFile) -> None:
    seen: set[str] = set()
    for entry in archive.infolist():
        told = entry.filename
        # zipfile cuts a name at NUL and turns backslashes on some systems; judge what was really written.
        if not stays_inside(entry.orig_filename.removesuffix("/")):
            says = f"holds {shown(entry.orig_filename)}, a path that leads outside; pack plain names only"
            raise refusal(name, says)
        if stat.S_ISLNK(entry.external_attr >> 16):
            raise refusal(name, f"holds {shown(told)}, a link; put the file itself into the zip")
        if told in seen:
            raise refusal(name, f"holds {shown(told)} twice; keep one")
        seen.add(told)


def files_of(archive: zipfile.ZipFile, marker: str) -> dict[str, zipfile.ZipInfo]:
    """Path to entry, counted from the folder that holds ``marker``: the top, or the single folder at the top."""
    entries = {e.filename: e for e in archive.infolist() if not e.is_dir() and not e.filename.startswith("__MACOSX/")}
    tops = {path.split("/", 1)[0] for path in entries}
    if marker not in entries and len(tops) == 1:
        return {path.split("/", 1)[1]: entry for path, entry in entries.items() if "/" in path}
    return entries


def unpack(name: str, archive: zipfile.ZipFile, entry: zipfile.ZipInfo) -> bytes:
    """The bytes of one file; never more than its entry promised."""
    data = bytearray()
    try:
        with archive.open(entry) as opened:
            while chunk := opened.read(CHUNK):
                data += chunk
                if len(data) > entry.file_size:
                    raise refusal(name, f"{shown(entry.filename)} is larger than the zip says; it is refused")
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError):
        raise refusal(name, f"{shown(entry.filename)} is damaged inside the zip; send or save it again") from None
    except (RuntimeError, NotImplementedError):
        says = f"{shown(entry.filename)} is locked or packed in an unknown way; make a plain zip"
        raise refusal(name, says) from None
    return bytes(data)
