"""Make the database ready from the command line: folder, settings, tables."""

from __future__ import annotations

import os
from pathlib import Path

from floatbowl.shop.places import DATABASE_VARIABLE, OWNER_ONLY, database_path


def prepare(database: Path | None = None) -> Path:
    """Point Django at ``database`` (else the usual one), bring its tables up to date, and return its path.

    Call it once in a process, before anything that touches the database.
    Raises OSError where the folder cannot be made or written.
    """
    if database is not None:
        os.environ[DATABASE_VARIABLE] = str(database.expanduser().absolute())
    path = database_path()
    path.parent.mkdir(parents=True, exist_ok=True)
    # Callers' names and numbers are for the shop's own eyes; SQLite's side files take the mode of the database.
    os.close(os.open(path, os.O_RDWR | os.O_CREAT, OWNER_ONLY))
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "floatbowl.shop.settings")
    import django
    from django.core.management import call_command

    django.setup()
    call_command("migrate", verbosity=0, interactive=False)
    return path
