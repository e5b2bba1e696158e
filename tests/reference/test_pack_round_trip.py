"""Whatever a shop knows is written and read again without loss, whatever characters it is written in."""

from __future__ import annotations

import json
import os
import time
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from floatbowl.reference.columns import Column, columns_of
from floatbowl.reference.facts import (
    TABLES,
    Carburettor,
    Costs,
    Feature,
    FeatureKind,
    Maker,
    Mark,
    Reference,
    key_fields,
)
from floatbowl.reference.links import LINKS, THINGS
from floatbowl.reference.pack import PackFaults, pack_files, read_files, read_pack, write_pack

ANY = st.characters(exclude_categories=["Cs"], exclude_characters="\0")
SHEET = st.characters(exclude_categories=["Cs", "Cc"], exclude_characters="\ufffe\uffff")


def cells(column: Column, characters: Any) -> st.SearchStrategy[Any]:
    if column.words:
        return st.sampled_from(column.words if column.filled else (*column.words, ""))
    if column.sort == "text":
        text = st.text(characters, max_size=8)
        if column.is_mark:
            return text.map(lambda t: "A" + t.replace("{", "").replace("}", "").rstrip())
        if column.named:
            text = text.map(str.strip)
        return text.filter(bool) if column.filled else text
    low, high = column.low, column.high
    if column.sort == "int":
        numbers: Any = st.integers(
            int(low) if low is not None else -(10**12), int(high) if high is not None else 10**12
        )
    else:
        numbers = st.floats(low, high, allow_nan=False, allow_infinity=False)
    return numbers if column.filled else st.none() | numbers


@st.composite
def references(draw: Any, characters: Any = ANY) -> Reference:
    tables: dict[str, tuple[Any, ...]] = {}
    keys: dict[str, list[str]] = {}
    for name in sorted(TABLES, key=lambda table: table not in THINGS):
        kind = TABLES[name]
        columns = columns_of(kind)
        known = {column.name for column in columns}
        own = (
            st.text(characters, min_size=1, max_size=5)
            .map(str.strip)
            .filter(lambda n, known=known: n and n not in known)
        )
        extra = st.dictionaries(own, st.text(characters, min_size=1, max_size=5), max_size=2)
        rows = []
        for _ in range(draw(st.integers(0, 3))):
            values = {column.field: draw(cells(column, characters)) for column in columns}
            for field, target in LINKS.get(name, {}).items():
                if keys.get(target):
                    values[field] = draw(st.sampled_from(keys[target]))
                elif field == "maker":
                    values[field] = ""
                else:
                    break
            else:
                if name == "features":
                    values["value"] = "7.5"
                rows.append(kind(**values, extra=tuple(sorted(draw(extra).items()))))
        if name in THINGS:
            (key,) = key_fields(kind)
            rows = list({getattr(row, key): row for row in rows}.values())
            keys[name] = [getattr(row, key) for row in rows]
        tables[name] = tuple(dict.fromkeys(rows))
    money = st.floats(0, allow_infinity=False, allow_nan=False)
    costs = Costs(draw(money), draw(money), draw(money))
    return Reference(**tables, currency=draw(st.text(characters, max_size=5)), costs=costs)


SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large]


@settings(deadline=None, max_examples=100, suppress_health_check=SLOW)
@given(references())
def test_the_files_of_a_pack_lose_nothing(reference):
    assert read_files(pack_files(reference).get) == reference


@settings(deadline=None, max_examples=8, suppress_health_check=SLOW)
@given(references(), st.sampled_from(["pack", "pack.zip"]))
def test_a_folder_and_a_zip_lose_nothing(reference, name):
    with TemporaryDirectory() as folder:
        write_pack(reference, Path(folder) / name)
        assert read_pack(Path(folder) / name) == reference


@settings(deadline=None, max_examples=40, suppress_health_check=SLOW)
@given(references(SHEET))
def test_a_workbook_loses_nothing(reference):
    with TemporaryDirectory() as folder:
        write_pack(reference, Path(folder) / "pack.xlsx")
        assert read_pack(Path(folder) / "pack.xlsx") == reference


def test_a_pack_can_be_written_over_and_its_other_files_stay(whole, tmp_path):
    write_pack(whole, tmp_path / "p")
    (tmp_path / "p" / "photo.jpg").write_bytes(b"x")
    write_pack(Reference(currency="marks"), tmp_path / "p")
    assert read_pack(tmp_path / "p") == Reference(currency="marks")
    assert (tmp_path / "p" / "photo.jpg").exists()


def test_a_pack_half_written_is_refused_and_not_mixed(whole, tmp_path, monkeypatch):
    write_pack(Reference(), tmp_path / "p")
    calls = []

    def fails_in_the_middle(descriptor: int) -> None:
        calls.append(descriptor)
        if len(calls) == 5:
            raise OSError("disk full")

    monkeypatch.setattr(os, "fsync", fails_in_the_middle)
    with pytest.raises(OSError, match="disk full"):
        write_pack(whole, tmp_path / "p")
    with pytest.raises(PackFaults, match=r"datapackage\.json: is missing"):
        read_pack(tmp_path / "p")


def test_a_file_half_written_leaves_the_old_one(whole, tmp_path, monkeypatch):
    write_pack(whole, tmp_path / "p.zip")

    def fails(descriptor: int) -> None:
        raise OSError("disk full")

    monkeypatch.setattr(os, "fsync", fails)
    with pytest.raises(OSError, match="disk full"):
        write_pack(Reference(), tmp_path / "p.zip")
    assert read_pack(tmp_path / "p.zip") == whole
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".")] == []


@pytest.mark.parametrize("bad", ["a\0b", "a\ud800b"])
def test_what_no_text_file_can_hold_is_refused_before_anything_is_written(tmp_path, bad):
    reference = Reference(makers=(Maker(maker="m", name=bad),))
    with pytest.raises(PackFaults, match=r"makers\.csv:2"):
        write_pack(reference, tmp_path / "p")
    assert not (tmp_path / "p" / "makers.csv").exists()


def test_a_written_pack_describes_every_column_of_every_table(whole, tmp_path):
    write_pack(whole, tmp_path / "p")
    told = json.loads((tmp_path / "p" / "datapackage.json").read_text())
    assert {resource["name"] for resource in told["resources"]} == set(TABLES)
    for resource in told["resources"]:
        header = (tmp_path / "p" / resource["path"]).read_text().splitlines()[0].split(",")
        assert [field["name"] for field in resource["schema"]["fields"]] == header
    marks = next(resource for resource in told["resources"] if resource["name"] == "marks")
    role = next(field for field in marks["schema"]["fields"] if field["name"] == "role")
    assert role["constraints"] == {"required": True, "enum": ["identifies", "family", "casting", "cross"]}
    assert marks["schema"]["foreignKeys"][0]["reference"] == {"resource": "carburettors", "fields": ["carburettor"]}


def test_a_quarter_of_a_large_shop_is_read_quickly(tmp_path):
    """Allows five times what an idle core takes for 5,000 carburettors, 15,000 marks and 100,000 features."""
    count = 5_000
    reference = Reference(
        makers=(Maker(maker="m", name="M"),),
        carburettors=tuple(Carburettor(carburettor=f"c{n}", maker="m") for n in range(count)),
        marks=tuple(
            Mark(carburettor=f"c{n // 3}", text=f"K{n}", role="identifies", source="s") for n in range(3 * count)
        ),
        feature_kinds=tuple(FeatureKind(feature=f"f{n}", question="?", kind="measure") for n in range(20)),
        features=tuple(
            Feature(carburettor=f"c{n // 20}", feature=f"f{n % 20}", value=str(n % 97), source="s", page=str(n % 99))
            for n in range(20 * count)
        ),
    )
    write_pack(reference, tmp_path / "p")
    began = time.process_time()
    assert read_pack(tmp_path / "p") == reference
    assert time.process_time() - began < 4.0
