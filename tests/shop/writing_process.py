"""A process that forks writers on demand, so that the tests can kill real ones at random moments.

Started with a database's path. Each line on its input names jobs (and their arguments); a child does each job and tells
each step on the output: ``begin N`` before a write, ``done N`` once it is committed. The parent says ``child PID``
before and ``over PID CODE`` after.
"""

from __future__ import annotations

import os
import sys
import traceback
from dataclasses import replace
from itertools import count
from pathlib import Path

from floatbowl.reference.facts import Carburettor, Feature, FeatureKind, Kit, KitFit, Maker, Mark, Reference

CARBURETTORS = 250


def pack(number: int) -> Reference:
    """A middling pack in which every row tells its number."""
    keys = [f"c{i}" for i in range(CARBURETTORS)]
    word = f"load {number}"
    return Reference(
        makers=(Maker(maker="tarnsyke", name="Tarnsyke", note=word),),
        carburettors=tuple(Carburettor(carburettor=key, maker="tarnsyke", note=word) for key in keys),
        marks=tuple(Mark(carburettor=key, text=f"K{key}", role="identifies", with_=word) for key in keys),
        feature_kinds=(FeatureKind(feature="draught", question="Which way?", kind="choice", how=word),),
        features=tuple(Feature(carburettor=key, feature=f"f{i}", value=word) for key in keys for i in range(8)),
        kits=(Kit(kit="T-25", name=word),),
        kit_fits=tuple(KitFit(kit="T-25", carburettor=key, extra_parts=word) for key in keys),
        currency=word,
    )


def say(text: str) -> None:
    os.write(1, f"{text}\n".encode())


def load(first: str) -> None:
    """Load packs of rising numbers for ever."""
    from floatbowl.shop.load import load_reference

    for number in count(int(first)):
        reference = pack(number)
        say(f"begin {number}")
        load_reference(reference, f"loader {number}")
        say(f"done {number}")


def edit(first: str, table: str, row: str, times: str = "1000000") -> None:
    """Write rising numbers into one row."""
    from floatbowl.shop import records

    for number in range(int(first), int(first) + int(times)):
        say(f"begin {number}")
        now = records.stored(table, int(row))
        assert now is not None
        records.change(table, int(row), shown=now.print, after=replace(now.fact, note=f"edit {number}"), who="Wil")
        say(f"done {number}")


def save(first: str, table: str, row: str) -> None:
    """Send the Notebook's form with rising numbers, as a browser does."""
    import re

    from django.test import Client

    browser, address = Client(SERVER_NAME="localhost"), f"/notebook/row/{table}/{row}/"
    for number in count(int(first)):
        page = browser.get(address).content.decode()
        shown = re.search('name="shown" value="([0-9a-f]+)"', page)
        assert shown
        say(f"begin {number}")
        form = {"shown": shown[1], "who": "Ines", "maker": "tarnsyke", "note": f"edit {number}"}
        answer = browser.post(address, form)
        assert answer.status_code == 302, answer.content.decode()
        say(f"done {number}")


def enquire(first: str) -> None:
    """Take enquiries whose callers are rising numbers, each with one carburettor in the hand."""
    from django.db import transaction

    from floatbowl.shop.models import Enquiry, InHand

    for number in count(int(first)):
        say(f"begin {number}")
        with transaction.atomic():
            InHand.objects.create(enquiry=Enquiry.objects.create(caller=f"caller {number}"), label=f"caller {number}")
        say(f"done {number}")


JOBS = {"load": load, "edit": edit, "save": save, "enquire": enquire}


def in_a_child(job: str, arguments: list[str]) -> int:
    child = os.fork()
    if child == 0:
        try:
            JOBS[job](*arguments)
            os._exit(0)
        except BaseException:
            traceback.print_exc()
            os._exit(1)
    return child


def main() -> None:
    from floatbowl.shop.setup import prepare

    prepare(Path(sys.argv[1]))
    from django.db import connection

    import floatbowl.shop.urls  # noqa: F401 - Read in once here, not by every child that sends a page.

    connection.close()  # No child may use a connection that was opened before it was born.
    running: list[int] = []
    for line in sys.stdin:
        jobs = [job.split() for job in line.split(";")]
        running = [in_a_child(job, arguments) for job, *arguments in jobs]
        for child in running:
            say(f"child {child}")
        for _ in running:
            child, status = os.wait()
            say(f"over {child} {status}")


if __name__ == "__main__":
    main()
