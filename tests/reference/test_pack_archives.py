"""Zips that somebody sent: whole ones are read, bombs and tricks are refused before anything is unpacked."""

from __future__ import annotations

import contextlib
import io
import stat
import zipfile
from pathlib import Path

import pytest

from floatbowl.reference import archive
from floatbowl.reference.pack import PackFaults, read_pack, write_pack


def zip_of(path: Path, folder: Path, inside: str = "", more: dict[str, bytes] | None = None) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
        for file in sorted(folder.iterdir()):
            made.writestr(inside + file.name, file.read_bytes())
        for name, data in (more or {}).items():
            made.writestr(name, data)
    return path


def refused(path: Path) -> str:
    with pytest.raises(PackFaults) as caught:
        read_pack(path)
    (fault,) = caught.value.faults
    return str(fault)


@pytest.mark.parametrize("inside", ["", "my pack/"])
def test_a_zip_is_read_with_its_files_at_the_top_or_in_one_folder(make_folder, tmp_path, whole, inside):
    folder = make_folder()
    more = {"__MACOSX/._kits.csv": b"\0\1", inside + "photos/one.jpg": b"\xff"}
    assert read_pack(zip_of(tmp_path / "p.zip", folder, inside, more)) == whole


def test_a_zip_with_its_pack_in_one_of_two_folders_is_refused(make_folder, tmp_path):
    path = zip_of(tmp_path / "p.zip", make_folder(), "a/", {"b/other.txt": b"x"})
    assert refused(path).startswith("datapackage.json: is missing")


@pytest.mark.parametrize(
    "name", ["../evil.csv", "/etc/evil.csv", "a/../../evil.csv", "C:\\evil.csv", "..\\evil.csv", "a//b.csv", "./a.csv"]
)
def test_paths_that_lead_outside_are_refused(make_folder, tmp_path, name):
    path = zip_of(tmp_path / "p.zip", make_folder(), more={name: b"x"})
    assert "a path that leads outside" in refused(path)
    assert not (tmp_path.parent / "evil.csv").exists()


def test_links_in_a_zip_are_refused(make_folder, tmp_path):
    path = zip_of(tmp_path / "p.zip", make_folder({"sources.csv": None}))
    with zipfile.ZipFile(path, "a") as made:
        link = zipfile.ZipInfo("sources.csv")
        link.external_attr = (stat.S_IFLNK | 0o777) << 16
        made.writestr(link, "/etc/hostname")
    assert "a link; put the file itself into the zip" in refused(path)


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_a_file_that_is_there_twice_is_refused(make_folder, tmp_path):
    assert "'kits.csv' twice" in refused(zip_of(tmp_path / "p.zip", make_folder(), more={"kits.csv": b"kit,name\n"}))


def test_a_bomb_is_refused_by_its_ratio_before_it_is_unpacked(make_folder, tmp_path, monkeypatch):
    path = zip_of(tmp_path / "p.zip", make_folder({"kits.csv": b"kit,name\n" + b"0" * 40_000_000}))
    monkeypatch.setattr(archive, "unpack", lambda *_: pytest.fail("unpacked"))
    assert "times its size; it is refused unread" in refused(path)


def test_a_pack_that_would_unpack_to_too_much_is_refused(make_folder, tmp_path, monkeypatch):
    monkeypatch.setattr(archive, "MOST_BYTES", 500)
    assert "more than 500; it is refused unread" in refused(zip_of(tmp_path / "p.zip", make_folder()))


def test_too_many_files_are_refused(make_folder, tmp_path):
    path = zip_of(tmp_path / "p.zip", make_folder(), more={f"x{n}": b"" for n in range(archive.MOST_ENTRIES)})
    assert "files, more than" in refused(path)


def test_a_zip_that_lies_about_a_size_is_refused(make_folder, tmp_path):
    path = zip_of(tmp_path / "p.zip", make_folder({"kits.csv": "kit,name\n" + "T-12,x\n" * 1000}))
    data = bytearray(path.read_bytes())
    size = (9 + 7000).to_bytes(4, "little")
    assert data.count(size) == 2
    path.write_bytes(data.replace(size, (100).to_bytes(4, "little")))
    assert "is damaged inside the zip" in refused(path)


def test_every_truncation_of_a_zip_is_refused(make_folder, tmp_path):
    data = zip_of(tmp_path / "p.zip", make_folder()).read_bytes()
    for length in (*range(0, len(data), 97), len(data) - 1):
        (tmp_path / "cut.zip").write_bytes(data[:length])
        assert "is not a whole zip file" in refused(tmp_path / "cut.zip")


def test_every_damaged_byte_gives_the_pack_or_a_fault(make_folder, tmp_path, whole):
    data = zip_of(tmp_path / "p.zip", make_folder()).read_bytes()
    for place in range(0, len(data), 53):
        (tmp_path / "bad.zip").write_bytes(data[:place] + bytes([data[place] ^ 0x55]) + data[place + 1 :])
        with contextlib.suppress(PackFaults):
            assert read_pack(tmp_path / "bad.zip") == whole


@pytest.mark.parametrize("name", ["p.zip", "p.csv", "p.xlsx", "p"])
@pytest.mark.parametrize("data", [b"", b"kit,name\nT-12,x\n", b"\x89PNG\r\n", bytes(1000)])
def test_a_file_that_is_no_zip_is_refused(tmp_path, name, data):
    (tmp_path / name).write_bytes(data)
    assert "is not a whole zip file" in refused(tmp_path / name)


def test_a_locked_zip_is_refused(make_folder, tmp_path):
    path = zip_of(tmp_path / "p.zip", make_folder())
    data = bytearray(path.read_bytes())
    start = 0
    while (start := data.find(b"PK\x01\x02", start)) >= 0:
        data[start + 8] |= 1
        start += 4
    path.write_bytes(data)
    assert "is locked" in refused(path)


def test_equal_packs_are_equal_zips_and_no_scrap_is_left(whole, tmp_path):
    write_pack(whole, tmp_path / "a.zip")
    write_pack(whole, tmp_path / "b.zip")
    assert (tmp_path / "a.zip").read_bytes() == (tmp_path / "b.zip").read_bytes()
    assert {p.name for p in tmp_path.glob("*.zip*")} | {p.name for p in tmp_path.glob(".*")} == {"a.zip", "b.zip"}


def test_the_archive_is_judged_from_an_open_file_too(make_folder, tmp_path):
    data = zip_of(tmp_path / "p.zip", make_folder()).read_bytes()
    assert archive.open_archive("sent.zip", io.BytesIO(data)).namelist()
