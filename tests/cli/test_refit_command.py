"""``floatbowl refit``: a report, and a model where it is better, which the shop and ``identify`` use."""

from __future__ import annotations

import json
import random
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from floatbowl.cli.identify import identify
from floatbowl.cli.refit import refit
from floatbowl.identify.refit import model_from_json_text
from floatbowl.reference.facts import Carburettor, Kit, KitFit, Maker, Mark, Reference
from floatbowl.reference.pack import write_pack

NUMBERS = [f"K36/1{n}" for n in (13, 18, 31, 38, 68, 83, 86, 88)]


@pytest.fixture(scope="module")
def pack(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("packs") / "numbers"
    write_pack(
        Reference(
            makers=(Maker(maker="tarnsyke", name="Tarnsyke"),),
            carburettors=tuple(Carburettor(carburettor=n.lower(), maker="tarnsyke") for n in NUMBERS),
            marks=tuple(Mark(carburettor=n.lower(), text=n, role="identifies", part="tag") for n in NUMBERS),
            kits=tuple(Kit(kit=f"T-{n[-2:]}", name=n) for n in NUMBERS),
            kit_fits=tuple(KitFit(kit=f"T-{n[-2:]}", carburettor=n.lower()) for n in NUMBERS),
        ),
        folder,
    )
    return folder


def lines(count: int, rate: float) -> str:
    """Confirmed enquiries whose characters are lost at this rate; 8 and 3 are never mixed up."""
    rng = random.Random(8)
    told = []
    for n in range(count):
        number = rng.choice(NUMBERS)
        text = "".join("?" if c not in "K/" and rng.random() < rate else c for c in number)
        told.append({"enquiry": f"E{n}", "confirmed": number.lower(), "readings": [{"text": text, "part": "tag"}]})
    return "".join(json.dumps(each) + "\n" for each in told)


def run(*words: object) -> Result:
    return CliRunner().invoke(refit, [str(word) for word in words])


def test_a_better_model_is_written_and_used_by_identify(pack: Path, tmp_path: Path) -> None:
    (tmp_path / "cases.jsonl").write_text(lines(400, 0.3))
    out = tmp_path / "model.json"
    found = run("--pack", pack, "--cases", tmp_path / "cases.jsonl", "--out", out)
    assert found.exit_code == 0, found.output
    assert "400 confirmed enquiries" in found.stdout
    assert "Log loss on" in found.stdout
    assert f"Written to {out}" in found.stdout
    model, _ = model_from_json_text(out.read_text())
    assert "refitted from" in model.source
    asked = '{"enquiry": "E1", "readings": [{"text": "K36/1?3"}]}\n'
    words = ["--pack", str(pack), "--enquiries", "-"]
    before = CliRunner().invoke(identify, words, input=asked).stdout
    after = CliRunner().invoke(identify, [*words, "--model", str(out)], input=asked).stdout
    assert json.loads(before)["carburettors"] != json.loads(after)["carburettors"]


def test_nothing_is_written_where_too_little_is_known(pack: Path, tmp_path: Path) -> None:
    (tmp_path / "cases.jsonl").write_text(lines(10, 0.3))
    found = run("--pack", pack, "--cases", tmp_path / "cases.jsonl", "--out", tmp_path / "model.json")
    assert found.exit_code == 0
    assert "The old rates stay." in found.stdout
    assert not (tmp_path / "model.json").exists()


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('{"enquiry": "E1"}\n', ":1: confirmed: "),
        ('{"enquiry": "E1", "confirmed": "no-such"}\n', "no-such"),
        ("nothing\n", ":1: "),
    ],
)
def test_spoilt_cases_are_told_and_nothing_is_written(pack: Path, tmp_path: Path, text: str, says: str) -> None:
    (tmp_path / "cases.jsonl").write_text(text)
    found = run("--pack", pack, "--cases", tmp_path / "cases.jsonl", "--out", tmp_path / "model.json")
    assert found.exit_code == 2
    (line,) = found.stderr.splitlines()
    assert says in line
    assert not (tmp_path / "model.json").exists()


def test_it_must_be_told_what_to_learn_from(pack: Path) -> None:
    assert run().exit_code == 2
    assert run("--pack", pack).exit_code == 2
    assert "nowhere.jsonl" in run("--pack", pack, "--cases", "nowhere.jsonl").stderr


def floatbowl(script: str, folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """A process of its own, since Django can be set up once only."""
    return subprocess.run(
        [sys.executable, "-c", script, *words], cwd=folder, capture_output=True, text=True, timeout=240, check=False
    )


SHOP = """
import sys
from pathlib import Path
from floatbowl.shop.setup import prepare
prepare(Path("shop.sqlite3"))
from floatbowl.reference.pack import read_pack
from floatbowl.shop.load import load_reference
from floatbowl.shop.models import Enquiry, Evidence, InHand, ReadBack
load_reference(read_pack(sys.argv[1]), "test")
import json
for line in open("cases.jsonl"):
    told = json.loads(line)
    enquiry = Enquiry.objects.create(outcome="sold")
    in_hand = InHand.objects.create(enquiry=enquiry)
    Evidence.objects.create(in_hand=in_hand, kind="reading", text=told["readings"][0]["text"], part="tag", via="seen")
    ReadBack.objects.create(in_hand=in_hand, carburettor=told["confirmed"], number="", kit="T", sentence="")
lost = InHand.objects.create(enquiry=Enquiry.objects.create(outcome="lost"))
ReadBack.objects.create(in_hand=lost, carburettor="k36/113", number="", kit="T", sentence="")
"""

SHOP_RATES = """
from pathlib import Path
from floatbowl.shop.setup import prepare
prepare(Path("shop.sqlite3"))
from floatbowl.shop.standing import current_weigher
print(current_weigher().error_model.source)
"""


def test_a_shop_learns_from_its_own_sales_and_uses_what_it_learnt(pack: Path, tmp_path: Path) -> None:
    (tmp_path / "cases.jsonl").write_text(lines(400, 0.3))
    made = floatbowl(SHOP, tmp_path, str(pack))
    assert made.returncode == 0, made.stderr
    main = "from floatbowl.cli import main; main()"
    found = floatbowl(main, tmp_path, "refit", "--database", "shop.sqlite3")
    assert found.returncode == 0, found.stderr
    assert "400 confirmed enquiries" in found.stdout
    assert "Written to shop.sqlite3.model.json" in found.stdout
    assert "refitted from" in floatbowl(SHOP_RATES, tmp_path).stdout
    (tmp_path / "shop.sqlite3.model.json").write_text("spoilt")
    spoilt = floatbowl(SHOP_RATES, tmp_path)
    assert "estimate" in spoilt.stdout
    assert "refitted" not in spoilt.stdout
    assert "shop.sqlite3.model.json cannot be used" in spoilt.stderr


def test_a_database_that_is_not_there_is_not_made(tmp_path: Path) -> None:
    found = floatbowl("from floatbowl.cli import main; main()", tmp_path, "refit", "--database", "nowhere.sqlite3")
    assert found.returncode == 2
    assert "nowhere.sqlite3: is not there" in found.stderr
    assert list(tmp_path.iterdir()) == []
