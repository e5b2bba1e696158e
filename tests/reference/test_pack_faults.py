"""What is wrong with a pack is told in one clear line a fault, and nothing of it is loaded."""

from __future__ import annotations

from pathlib import Path

import pytest

from floatbowl.reference.fault import Fault
from floatbowl.reference.pack import PackFaults, read_pack

HEAD_MARKS = "carburettor,text,role,part,form\n"


def faults_of(folder: Path) -> list[str]:
    with pytest.raises(PackFaults) as caught:
        read_pack(folder)
    lines = str(caught.value).splitlines()
    assert len(lines) == len(caught.value.faults) + bool(caught.value.more)
    return lines


def test_a_whole_pack_is_read(make_folder):
    reference = read_pack(make_folder())
    assert [c.carburettor for c in reference.carburettors] == ["k36-118", "k28-205", "ring-206"]
    assert reference.marks[3].with_ == "number"
    assert reference.marks[3].line == 5
    assert reference.currency == "crowns"
    assert (reference.costs.wrong_kit, reference.costs.minute) == (30.0, 0.6)
    assert (reference.kits[0].price, reference.kits[1].price) == (9.5, None)
    assert reference.came_on[0].year_from == 1946


@pytest.mark.parametrize(
    ("name", "text", "line"),
    [
        ("marks.csv", None, "marks.csv: this table is missing"),
        ("marks.csv", "", "marks.csv: is empty"),
        ("marks.csv", "carburettor,text\nk36-118,K36/118\n", "marks.csv:1: role: this column is missing; add it"),
        ("kits.csv", "Kit,name\nT-12,x\n", "kits.csv:1: kit: this column is missing; 'Kit' must be in small letters"),
        ("kits.csv", "kit,name,name\nT-12,x,y\n", "kits.csv:1: name: two columns have this name"),
        ("kits.csv", "kit;name\nT-12;x\n", "kits.csv:1: columns are parted by semicolons"),
        ("kits.csv", "kit,name\nT-12\n", "kits.csv:2: has 1 cells, the first row 2"),
        ("kits.csv", "kit,name,\nT-12,x,y\n", "kits.csv:2: has a cell under a column without a name"),
        ("kits.csv", "kit,name\n,x\n", "kits.csv:2: kit: is empty; fill it in or leave the row out"),
        ("kits.csv", "kit,name,price\nT-12,x,nine\n", "kits.csv:2: price: 'nine' is not a number"),
        (
            "kits.csv",
            'kit,name,price\nT-12,x,"9,5"\n',
            "kits.csv:2: price: '9,5' has a comma: for a decimal comma write 9.5",
        ),
        ("kits.csv", "kit,name,price\nT-12,x,nan\n", "kits.csv:2: price: 'nan' is not a plain number"),
        ("kits.csv", "kit,name,price\nT-12,x,-inf\n", "kits.csv:2: price: '-inf' is not a plain number"),
        ("kits.csv", "kit,name,price\nT-12,x,1_0\n", "kits.csv:2: price: '1_0' is not a plain number"),
        ("kits.csv", "kit,name,price\nT-12,x,-1\n", "kits.csv:2: price: '-1' is below 0"),
        (
            "machines.csv",
            "machine,make,model,cylinders\nlowfold,a,b,2.5\n",
            "machines.csv:2: cylinders: '2.5' is not a whole",
        ),
        ("kits.csv", "kit,name\nT-12,x\nT-12,y\n", "kits.csv:3: kit: 'T-12' is told twice, first on line 2"),
        ("sources.csv", "source,title\nhand,a\nhand,b\n", "sources.csv:3: source: 'hand' is told twice"),
        ("kit_fits.csv", "kit,carburettor\nB-3,ring-206\nB-3,ring-206\n", "kit_fits.csv:3: is the same as line 2"),
        ("kit_fits.csv", "kit,carburettor\nB-9,ring-206\n", "kit_fits.csv:2: kit: 'B-9' is not in kits"),
        ("kit_fits.csv", "kit,carburettor\nB-3,ring\n", "kit_fits.csv:2: carburettor: 'ring' is not in carburettors"),
        (
            "came_on.csv",
            "machine,carburettor\nhighfold,k36-118\n",
            "came_on.csv:2: machine: 'highfold' is not in machines",
        ),
        (
            "carburettors.csv",
            "carburettor,maker\nk36-118,nobody\n",
            "carburettors.csv:2: maker: 'nobody' is not in makers",
        ),
        ("marks.csv", HEAD_MARKS + "k1,K1,identifies,,\n", "marks.csv:2: carburettor: 'k1' is not in carburettors"),
        (
            "marks.csv",
            HEAD_MARKS + "k36-118,K36/118,identifies,tag,stampd\n",
            "marks.csv:2: form: 'stampd' is not one of stamped, cast, printed; write one of these",
        ),
        (
            "marks.csv",
            HEAD_MARKS + "k36-118, -/. ,identifies,,\n",
            "marks.csv:2: text: '-/.' has no letter, digit or device",
        ),
        ("marks.csv", HEAD_MARKS + "k36-118,{RING 2,identifies,,\n", "marks.csv:2: text: '{RING 2' has a brace"),
        (
            "features.csv",
            "carburettor,feature,value\nk36-118,bolts,about 60\n",
            "features.csv:2: value: bolts is a measure, but 'about 60' is not a number",
        ),
        ("features.csv", "carburettor,feature,value\nk36-118,magnet,\n", "features.csv:2: value: is empty"),
        ("kits.csv", "kit,name\nT-12,Gr\xf6sse\n".encode("latin-1"), "kits.csv:2: byte 0xf6 is not UTF-8"),
        ("kits.csv", "kit,name\nT-12,x\n".encode("utf-16"), "kits.csv: is written in UTF-16; save it as UTF-8"),
        ("kits.csv", "kit,name\nT-12,a\0b\n", "kits.csv:2: holds a NUL byte"),
        ("kits.csv", 'kit,name\nT-12,"x\n', "kits.csv:2: a quotation mark is not closed"),
        ("kits.csv", 'kit,name\nT-12,"x"y\n', "kits.csv:2: text follows a closing quotation mark"),
        ("datapackage.json", None, "datapackage.json: is missing"),
        ("datapackage.json", "{", "datapackage.json:1: is not JSON"),
        ("datapackage.json", "[" * 100_000, "datapackage.json: is not JSON (brackets nested too deep)"),
        ("datapackage.json", "[1]", "datapackage.json: is not a JSON object"),
        ("datapackage.json", "{}", "datapackage.json: floatbowl_pack: is missing; write 1"),
        (
            "datapackage.json",
            '{"floatbowl_pack": 2}',
            "datapackage.json: floatbowl_pack: is '2', but this program reads",
        ),
        ("datapackage.json", '{"floatbowl_pack": true}', "datapackage.json: floatbowl_pack: is 'True', but"),
        (
            "datapackage.json",
            '{"floatbowl_pack": 1, "costs": {"minute": -1}}',
            "datapackage.json: costs.minute: '-1' is not a sum of money",
        ),
        ("datapackage.json", '{"floatbowl_pack": 1, "costs": {"bench": NaN}}', "datapackage.json: costs.bench: 'nan'"),
        ("datapackage.json", '{"floatbowl_pack": 1, "costs": 5}', "datapackage.json: costs: is not an object"),
        ("datapackage.json", '{"floatbowl_pack": 1, "currency": 5}', "datapackage.json: currency: '5' is not text"),
        (
            "datapackage.json",
            '{"floatbowl_pack": 1, "resources": [{"name": "kits", "path": "../kits.csv"}]}',
            "datapackage.json: resources: kits: '../kits.csv' is not a file of this pack",
        ),
    ],
)
def test_each_fault_is_one_clear_line(make_folder, name, text, line):
    assert any(told.startswith(line) for told in faults_of(make_folder({name: text})))


def test_all_faults_of_all_files_are_told_at_once(make_folder):
    folder = make_folder(
        {
            "kits.csv": "kit,name,price\nT-12,x,nine\nT-20,x,ten\nB-3,x,\n",
            "marks.csv": HEAD_MARKS + "k36-118,K36/118,identify,tag,stampd\n",
            "kit_fits.csv": "kit,carburettor\nT-99,k36-118\n",
        }
    )
    places = [line.split(": ")[0] for line in faults_of(folder)]
    assert sorted(places) == ["kit_fits.csv:2", "kits.csv:2", "kits.csv:3", "marks.csv:2", "marks.csv:2"]


def test_more_than_200_faults_are_counted(make_folder):
    rows = "".join(f"T-{n},x,bad\n" for n in range(300))
    with pytest.raises(PackFaults) as caught:
        read_pack(make_folder({"kits.csv": "kit,name,price\n" + rows, "kit_fits.csv": "kit,carburettor\n"}))
    assert len(caught.value.faults) == 200
    assert caught.value.more == 100
    assert str(caught.value).endswith("and 100 more")


def test_a_missing_table_does_not_make_every_key_unknown(make_folder):
    assert faults_of(make_folder({"carburettors.csv": None})) == [
        "carburettors.csv: this table is missing; add it, with its first row at least"
    ]


def test_a_cell_of_100_megabytes_is_refused_with_its_line(make_folder):
    big = b'kit,name\nT-12,"' + b"x" * 100_000_000 + b'"\n'
    (line,) = faults_of(make_folder({"kits.csv": big}))
    assert line.startswith("kits.csv:2: a cell is longer than")


def test_a_wrong_cell_is_cut_and_stays_on_one_line(make_folder):
    (line,) = faults_of(make_folder({"kits.csv": 'kit,name,price\nT-12,x,"a\nb' + "c" * 9000 + '"\nT-20,x,\nB-3,x,\n'}))
    assert len(line) < 160


@pytest.mark.parametrize("start", ["\ufeff", "\ufeff\r\n", ""])
def test_a_byte_order_mark_blank_lines_and_either_line_end_are_accepted(make_folder, start):
    text = "kit,name\r\nT-12,x\r\n\r\n,\r\nT-20,y\r\nB-3,z\r\n"
    if start.endswith("\n"):
        start = start.rstrip()
    reference = read_pack(make_folder({"kits.csv": start + text}))
    assert [(kit.kit, kit.line) for kit in reference.kits] == [("T-12", 2), ("T-20", 5), ("B-3", 6)]


def test_a_cell_of_two_lines_keeps_the_line_its_row_begins_on(make_folder):
    reference = read_pack(make_folder({"kits.csv": 'kit,name\nT-12,"a\nb"\nT-20,y\nB-3,z\n'}))
    assert [(kit.name, kit.line) for kit in reference.kits] == [("a\nb", 2), ("y", 4), ("z", 5)]


def test_keys_lose_blanks_around_them_and_unknown_columns_are_kept(make_folder):
    reference = read_pack(make_folder({"kits.csv": "kit,name,shelf,bin\n T-12 , x ,7,\nT-20,y,,b\nB-3,z,,\n"}))
    assert [(kit.kit, kit.name, kit.extra) for kit in reference.kits] == [
        ("T-12", " x ", (("shelf", "7"),)),
        ("T-20", "y", (("bin", "b"),)),
        ("B-3", "z", ()),
    ]


def test_rows_with_one_key_may_disagree(make_folder):
    text = "carburettor,feature,value,source\nk36-118,bolts,60.5,hand\nk36-118,bolts,61,other\nk36-118,bolts,61,third\n"
    assert [row.value for row in read_pack(make_folder({"features.csv": text})).features] == ["60.5", "61", "61"]


def test_a_resource_may_have_another_path_inside_the_pack(make_folder):
    descriptor = '{"floatbowl_pack": 1, "resources": [{"name": "kits", "path": "data/k.csv"}, 5, {"name": "photos"}]}'
    folder = make_folder({"kits.csv": None, "datapackage.json": descriptor})
    (folder / "data").mkdir()
    (folder / "data" / "k.csv").write_text("kit,name\nT-12,x\nT-20,y\nB-3,z\n")
    assert len(read_pack(folder).kits) == 3


def test_a_table_that_is_a_link_leading_outside_is_refused(make_folder, tmp_path):
    folder = make_folder({"kits.csv": None})
    (tmp_path / "elsewhere.csv").write_text("kit,name\nT-12,x\n")
    (folder / "kits.csv").symlink_to(tmp_path / "elsewhere.csv")
    assert faults_of(folder) == ["kits.csv: is a link that leads outside the pack; put the file itself there"]


def test_nothing_there(tmp_path):
    assert "is not there" in faults_of(tmp_path / "nothing")[0]


def test_a_fault_without_line_or_column_prints_plainly():
    assert str(Fault("kits.csv", 0, "", "is empty")) == "kits.csv: is empty"
