"""Where the shop's database lies, and the secret key beside it. Knows no Django, so that settings may use it."""

from __future__ import annotations

import os
import secrets
from pathlib import Path
from zoneinfo import available_timezones

DATABASE_VARIABLE = "FLOATBOWL_DATABASE"
PHOTOGRAPHS_VARIABLE = "FLOATBOWL_PHOTOGRAPHS"
OWNER_ONLY = 0o600


def database_path() -> Path:
    """The database named by ``FLOATBOWL_DATABASE``, else one in the user's data folder (XDG base directories)."""
    named = os.environ.get(DATABASE_VARIABLE)
    if named:
        return Path(named).expanduser().absolute()
    data_home = os.environ.get("XDG_DATA_HOME") or "~/.local/share"
    return Path(data_home).expanduser() / "floatbowl" / "floatbowl.sqlite3"


def time_zone() -> str:
    """The time zone named by ``FLOATBOWL_TIME_ZONE`` or ``TZ``, else this machine's, else UTC."""
    named = os.environ.get("FLOATBOWL_TIME_ZONE") or os.environ.get("TZ", "")
    own = os.path.realpath("/etc/localtime").partition("zoneinfo/")[2]
    return next((zone for zone in (named, own) if zone and zone in available_timezones()), "UTC")


def key_path(database: Path) -> Path:
    """The file that holds the secret key of this database's pages."""
    return database.with_name(database.name + ".secret")


def model_path(database: Path) -> Path:
    """The file of this shop's own rates, which ``floatbowl refit`` writes."""
    return database.with_name(database.name + ".model.json")


def photographs_path(database: Path) -> Path:
    """The folder of this database's photographs: named by ``FLOATBOWL_PHOTOGRAPHS``, else beside the database."""
    named = os.environ.get(PHOTOGRAPHS_VARIABLE)
    return Path(named).expanduser().absolute() if named else database.with_name(database.name + ".photographs")


def secret_key(database: Path) -> str:
    """The key that signs cookies: made once and kept beside the database, readable by its owner only.

    Before the database's folder exists there is nobody to keep recognising, so the key then lasts one process.
    """
    if not database.parent.is_dir():
        return secrets.token_urlsafe(50)
    path = key_path(database)
    try:
        return path.read_text(encoding="ascii")
    except FileNotFoundError:
        return _write_once(path, secrets.token_urlsafe(50))


def _write_once(path: Path, text: str) -> str:
    """Write ``text`` under ``path`` whole, or return what another process wrote there first."""
    draft = path.with_name(f"{path.name}.{os.getpid()}.{secrets.token_hex(4)}")
    descriptor = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, OWNER_ONLY)
    with os.fdopen(descriptor, "w", encoding="ascii") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())
    try:
        os.link(draft, path)
        return text
    except FileExistsError:
        return path.read_text(encoding="ascii")
    finally:
        draft.unlink()
