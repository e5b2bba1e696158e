"""``floatbowl identify`` over files of enquiries: results in order, codes, faults told, nothing half written."""

from __future__ import annotations

import json
import os
import stat
import subprocess
import sys
from importlib import resources
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from floatbowl.cli.identify import identify
from floatbowl.identify.consult import consult
from floatbowl.identify.weigh import Weigher
from floatbowl.reference.facts import Carburettor, Kit, KitFit, Machine, Maker, Mark, Reference
from floatbowl.reference.observed import Enquiry, Reading
from floatbowl.reference.pack import read_pack, write_pack

SOUND = Reference(
    makers=(Maker(maker="tarnsyke", name="Tarnsyke"),),
    carburettors=tuple(Carburettor(carburettor=key, maker="tarnsyke") for key in ("k36-118", "k36-113")),
    marks=(
        Mark(carburettor="k36-118", text="K36/118", role="identifies", part="tag"),
        Mark(carburettor="k36-113", text="K36/113", role="identifies", part="tag"),
    ),
    kits=(Kit(kit="T-12", name="Twelve"), Kit(kit="T-13", name="Thirteen")),
    kit_fits=(KitFit(kit="T-12", carburettor="k36-118"), KitFit(kit="T-13", carburettor="k36-113")),
    machines=(Machine(machine="lowfold", make="Drumlow", model="Lowfold"),),
)


def enquiry(name: str, text: str = "K36/118", **more: Any) -> str:
    return json.dumps({"enquiry": name, "readings": [{"text": text}], **more})


@pytest.fixture(scope="module")
def pack(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("packs") / "sound"
    write_pack(SOUND, folder)
    return folder


def run(pack: Path, lines: str | bytes, out: Path | str, *more: str) -> Result:
    """The command with the lines on its standard input."""
    words = ["--pack", str(pack), "--enquiries", "-", "--out", str(out), *more]
    return CliRunner().invoke(identify, words, input=lines)


def results(out: Path) -> list[dict[str, Any]]:
    return [json.loads(line) for line in out.read_text(encoding="utf-8").splitlines()]


def test_each_enquiry_has_its_result_in_order(pack: Path, tmp_path: Path) -> None:
    found = run(pack, f"{enquiry('B')}\n{enquiry('A', 'K36/113')}\n", tmp_path / "out.jsonl")
    assert found.exit_code == 0, found.output
    first, second = results(tmp_path / "out.jsonl")
    assert (first["enquiry"], first["carburettors"][0]["carburettor"]) == ("B", "k36-118")
    assert (second["enquiry"], second["carburettors"][0]["carburettor"]) == ("A", "k36-113")


def test_the_figures_are_those_of_the_core(pack: Path, tmp_path: Path) -> None:
    run(pack, enquiry("E1", "K3?/11[83]"), tmp_path / "out.jsonl")
    answer = consult(Weigher(read_pack(pack)), Enquiry("E1", readings=(Reading("K3?/11[83]"),)))
    (result,) = results(tmp_path / "out.jsonl")
    assert result["carburettors"][0]["probability"] == pytest.approx(answer.carburettors[0].probability, abs=1e-6)
    total = sum(c["probability"] for c in result["carburettors"]) + result["not_listed"] + result["mixed"]
    assert total == pytest.approx(1.0, abs=0.01)


def test_a_failed_line_keeps_its_place_and_ends_with_3(pack: Path, tmp_path: Path) -> None:
    lines = f'{enquiry("E1")}\n\n{{"enquiry": "E2", "year": "soon"}}\nnot json\n{enquiry("E3")}\n'
    found = run(pack, lines, tmp_path / "out.jsonl")
    assert found.exit_code == 3
    one, two, three, four = results(tmp_path / "out.jsonl")
    assert (one["enquiry"], four["enquiry"]) == ("E1", "E3")
    assert (two["enquiry"], two["line"]) == ("E2", 3)
    assert two["error"].startswith("year: ")
    assert (three["enquiry"], three["line"]) == (None, 4)
    told = found.stderr.splitlines()
    assert told[0].startswith("standard input:3: year: ")
    assert told[1].startswith("standard input:4: ")
    assert "2 of 4" in told[2]


def test_odd_readings_are_answered_or_told(pack: Path, tmp_path: Path) -> None:
    odd = ["????", "*", "🙂🙂", "К36", "[]", "\\", "K" * 500, "\ud800", "   "]
    lines = "\n".join(enquiry(f"E{number}", text) for number, text in enumerate(odd))
    found = run(pack, lines, tmp_path / "out.jsonl")
    assert found.exit_code in (0, 3)
    told = results(tmp_path / "out.jsonl")
    assert len(told) == len(odd)
    assert all(("advice" in each) != ("error" in each) for each in told)


def test_the_same_name_twice_is_weighed_twice(pack: Path, tmp_path: Path) -> None:
    assert run(pack, f"{enquiry('E1')}\n{enquiry('E1')}", tmp_path / "out.jsonl").exit_code == 0
    one, two = results(tmp_path / "out.jsonl")
    assert one == two


def test_an_empty_file_gives_an_empty_file(pack: Path, tmp_path: Path) -> None:
    assert run(pack, "", tmp_path / "out.jsonl").exit_code == 0
    assert (tmp_path / "out.jsonl").read_text() == ""


def test_results_may_go_to_the_standard_output(pack: Path) -> None:
    found = run(pack, enquiry("E1"), "-")
    assert found.exit_code == 0
    assert json.loads(found.stdout)["enquiry"] == "E1"


def test_results_do_not_depend_on_the_number_of_processes(pack: Path, tmp_path: Path) -> None:
    lines = "\n".join(enquiry(f"E{n}", f"K36/1{n % 10}{n % 7}") for n in range(130)) + '\n{"enquiry": 7}\n[]\n'
    assert run(pack, lines, tmp_path / "one.jsonl", "--jobs", "1").exit_code == 3
    assert run(pack, lines, tmp_path / "three.jsonl", "--jobs", "3").exit_code == 3
    assert (tmp_path / "one.jsonl").read_bytes() == (tmp_path / "three.jsonl").read_bytes()


def test_a_spoilt_pack_ends_with_2_and_leaves_the_old_results(tmp_path: Path) -> None:
    write_pack(SOUND, tmp_path / "spoilt")
    (tmp_path / "spoilt" / "kits.csv").write_text("kit,name,price\nT-12,Twelve,nine\nT-12,Again,\n")
    out = tmp_path / "out.jsonl"
    out.write_text("old\n")
    found = run(tmp_path / "spoilt", enquiry("E1"), out)
    assert found.exit_code == 2
    told = found.stderr.splitlines()
    assert len(told) >= 2
    assert all(line.startswith(("kits.csv:", "kit_fits.csv:")) for line in told)
    assert out.read_text() == "old\n"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["out.jsonl", "spoilt"]


@pytest.mark.parametrize(
    ("words", "names"),
    [
        (("--enquiries", "nowhere.jsonl", "--out", "out.jsonl"), "nowhere.jsonl"),
        (("--enquiries", "-", "--out", "no/such/folder/out.jsonl"), "no/such/folder/out.jsonl"),
        (("--enquiries", "-", "--model", "nowhere.json"), "nowhere.json"),
    ],
)
def test_what_cannot_be_opened_is_named(
    pack: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], names: str
) -> None:
    monkeypatch.chdir(tmp_path)
    found = CliRunner().invoke(identify, ["--pack", str(pack), *words], input=enquiry("E1"))
    assert found.exit_code == 2
    (line,) = found.stderr.splitlines()
    assert line.startswith(f"{names}: ")
    assert list(tmp_path.iterdir()) == []


def test_a_pack_that_is_not_there_is_named(tmp_path: Path) -> None:
    found = run(tmp_path / "nowhere", enquiry("E1"), tmp_path / "out.jsonl")
    assert found.exit_code == 2
    assert "nowhere" in found.stderr
    assert not (tmp_path / "out.jsonl").exists()


def test_results_keep_the_rights_of_the_file_they_replace(pack: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.jsonl"
    out.write_text("old\n")
    out.chmod(0o640)
    assert run(pack, enquiry("E1"), out).exit_code == 0
    assert stat.S_IMODE(out.stat().st_mode) == 0o640


def test_a_link_stays_a_link(pack: Path, tmp_path: Path) -> None:
    (tmp_path / "link").symlink_to(tmp_path / "real.jsonl")
    assert run(pack, enquiry("E1"), tmp_path / "link").exit_code == 0
    assert (tmp_path / "link").is_symlink()
    assert results(tmp_path / "real.jsonl")[0]["enquiry"] == "E1"


def test_a_device_is_not_replaced(pack: Path) -> None:
    assert run(pack, enquiry("E1"), os.devnull).exit_code == 0
    assert not Path(os.devnull).is_file()


def test_evidence_comes_from_the_file_or_the_options_not_both(pack: Path) -> None:
    found = CliRunner().invoke(identify, ["--pack", str(pack), "--enquiries", "-", "--reading", "K36"], input="")
    assert found.exit_code == 2
    assert "--reading" in found.stderr


def test_the_demo_enquiries_run_as_a_real_command(tmp_path: Path) -> None:
    demo = resources.files("floatbowl.demo")
    with resources.as_file(demo.joinpath("pack")) as pack, resources.as_file(demo.joinpath("enquiries.jsonl")) as file:
        command = [sys.executable, "-c", "from floatbowl.cli import main; main()", "identify"]
        words = ["--pack", str(pack), "--enquiries", str(file), "--out", str(tmp_path / "out.jsonl")]
        found = subprocess.run([*command, *words], capture_output=True, text=True, timeout=120, check=False)
        asked = [json.loads(line)["enquiry"] for line in file.read_text(encoding="utf-8").splitlines()]
    assert (found.returncode, found.stdout, found.stderr) == (0, "", "")
    assert [each["enquiry"] for each in results(tmp_path / "out.jsonl")] == asked
