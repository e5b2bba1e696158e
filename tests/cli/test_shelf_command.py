"""``floatbowl shelf``: begin, counts, sales and prices from files, and what is worked out of them."""

from __future__ import annotations

import json
import shlex
import subprocess
import sys
from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from django.utils import timezone
from tests.shop.shelf.conftest import records  # noqa: F401  (a fixture)

from floatbowl.cli import shelf_said
from floatbowl.cli.shelf import shelf
from floatbowl.reference.facts import Reference
from floatbowl.shop.models import Enquiry, InHand, ReadBack, Supplier, SupplierPrice
from floatbowl.shop.models.shelf import Item, LedgerLine

TODAY = timezone.localdate()


@pytest.fixture
def shop(records: Reference, monkeypatch: pytest.MonkeyPatch) -> None:  # noqa: F811
    """The commands work on the test's own database."""
    monkeypatch.setattr(shelf_said, "open_shop", lambda database: None)


def run(*words: str, width: int = 140) -> Result:
    return CliRunner(env={"COLUMNS": str(width)}).invoke(shelf, list(words))


def told(*words: str) -> Any:
    found = run(*words, "--json")
    assert found.exit_code == 0, found.output
    return json.loads(found.stdout)


def file(folder: Path, text: str, name: str = "table.csv") -> str:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_begin_once(shop: None) -> None:
    assert told("begin") == {"items": 3, "pieces": 14, "not_whole": ["cord"]}
    again = run("begin")
    assert "0 items begun" in again.stdout
    assert "cord" in again.stdout


def test_counts_twice_are_counted_once(shop: None, tmp_path: Path) -> None:
    table = file(tmp_path, "Item;Qty;Place\nG-1;6;A1\nW-1;5;\n")
    needs_day = run("count", table)
    assert needs_day.exit_code == 2
    assert "on which day was counted; add a column headed day, or say it with --day" in needs_day.stderr
    assert "2 counts new, 0 known already" in run("count", table, "--day", str(TODAY)).stdout
    assert told("count", table, "--day", str(TODAY))["known"] == 2
    assert Item.objects.get(key="G-1").on_hand == 6


def test_what_a_table_leaves_open_is_asked_with_the_answer_to_type(shop: None, tmp_path: Path) -> None:
    table = file(tmp_path, "Item;Qty;Date\nG-1;1;03/04/2026\n")
    asked = run("sales", table)
    assert asked.exit_code == 2
    assert "--answer 'day order=day first'   03/04/2026 is 03 April 2026" in asked.stderr
    assert "nothing was brought in yet" in asked.stderr
    assert asked.stderr.splitlines()[-1] == "  --answer 'day order=day first'"
    done = told("sales", table, "--answer", "day order=day first")
    assert (done["history"], done["known"]) == (1, 0)
    assert run("sales", table, "--answer", "day order").exit_code == 2


def test_a_refusal_is_one_plain_line_and_ends_with_2(shop: None, tmp_path: Path) -> None:
    found = run("count", file(tmp_path, "Item;Qty\nZ-9;6\n"), "--day", str(TODAY))
    assert found.exit_code == 2
    assert found.stderr.startswith("nothing was brought in. line 2: Z-9: no kit or part")
    assert found.stderr.count("\n") == 1


def test_many_questions_come_at_once_with_one_line_to_paste(shop: None, tmp_path: Path) -> None:
    table = file(tmp_path, "Item;Qty;Date;It's\nG-1;1,000;03/04/2026;a\nG-1;2,000;03/04/2026;b\n")
    asked = run("sales", table)
    last = asked.stderr.splitlines()[-1]
    answers = shlex.split(last)[1::2]
    assert [answer.split("=")[0] for answer in answers] == ["heading It's", "decimal mark", "day order"]
    done = told("sales", table, *shlex.split(last.replace("leave it out", "paper")))
    assert done["history"] == 2
    columns = run("sales", file(tmp_path, "Item;Date;aa;bb\nG-1;2026-03-04;1;2\n"))
    assert columns.stderr.splitlines()[-1] == "  --answer 'heading aa=how many' --answer 'heading bb=leave it out'"


def test_each_fault_of_a_table_has_a_line_of_its_own(shop: None, tmp_path: Path) -> None:
    found = run("count", file(tmp_path, "Item;Qty;Day\nZ-9;6;2026-03-04\nG-1;x;2026-03-04\nG-1;1;2026-02-30\n"))
    assert found.exit_code == 2
    said = found.stderr.splitlines()
    assert said[0] == "nothing was brought in."
    assert [line.split(":")[0] for line in said[1:]] == ["  line 2", "  line 3", "  line 4"]


def test_an_empty_file_is_said_to_be_empty(shop: None, tmp_path: Path) -> None:
    assert run("count", file(tmp_path, "")).stderr == "the file table.csv is empty\n"


def test_the_same_sales_under_another_paper_are_asked_about(shop: None, tmp_path: Path) -> None:
    rows = f"G-1;1;{TODAY}\nW-1;2;{TODAY}\n"
    assert told("sales", file(tmp_path, "Item;Qty;Date\n" + rows))["history"] == 2
    table = file(tmp_path, "Item;Qty;Date;Beleg\n" + rows.replace("\n", ";B-1\n"))
    asked = run("sales", table)
    assert "2 rows look like sales that are already here" in asked.stderr
    done = told("sales", table, "--answer", "rows that look alike=the same sales")
    assert (done["new"], done["history"], done["known"]) == (0, 0, 2)


def test_prices_from_a_list_are_kept_once(shop: None, tmp_path: Path) -> None:
    table = file(tmp_path, "Part no;Price;Name\nW-1;0.15;Washer\nX-1;2.25;Unknown\n")
    assert "is no supplier here" in run("prices", table, "--supplier", "Ardwath").stderr
    Supplier.objects.create(name="Ardwath")
    assert told("prices", table, "--supplier", "Ardwath")["new"] == 1
    again = told("prices", table, "--supplier", "Ardwath")
    assert (again["new"], again["known"]) == (0, 1)
    assert "X-1" in again["left_out"][0]
    assert SupplierPrice.objects.get().price == Decimal("0.15")


def _history(folder: Path) -> None:
    first = TODAY.replace(day=1)
    rows = [
        f"{part};{n};{first - timedelta(days=10 + 30 * m)}" for m in range(30) for part, n in (("W-1", 4), ("T-25G", 1))
    ]
    assert told("sales", file(folder, "\n".join(["Item;Qty;Date", *rows])))["history"] == 60


def test_what_to_buy_and_build_and_a_backtest(shop: None, tmp_path: Path) -> None:
    assert told("buy") == {"lines": []}
    assert "Nothing to buy." in run("buy").stdout
    assert run("backtest").exit_code == 2
    run("begin")
    _history(tmp_path)
    (line,) = [row for row in told("buy")["lines"] if row["key"] == "W-1"]
    assert line["pieces"] > 0
    assert "120 sold" in line["why"]
    assert "Seat washer" in run("buy").stdout
    plan = told("build", "--months", "3")
    assert plan["proven"]
    assert set(plan["build"]) == {"T-25G"}
    assert plan["gains"] >= plan["simple"]["gains"]
    assert "no plan does better" in run("build").stdout
    found = told("backtest", "--times", "3")
    assert len(found["origins"]) == 3
    assert {"pooled", "sba", "tsb", "bootstrap"} <= set(found["scores"])
    assert "Taken:" in run("backtest", "--times", "3").stdout


def test_what_to_carry(shop: None) -> None:
    assert "read back" in run("carry").stderr
    in_hand = InHand.objects.create(enquiry=Enquiry.objects.create(outcome="lost"))
    ReadBack.objects.create(in_hand=in_hand, carburettor="k36-118", number="-", kit="T-25G", sentence="-")
    Item.objects.create(kind="kit", key="T-25G")
    LedgerLine.objects.bulk_create(
        [LedgerLine(item=Item.objects.get(), quantity=n, why="count", sent=str(n)) for n in (1, -1)]
    )
    found = told("carry")
    assert [one["covered"] for one in found["sets"]] == [1, 1, 1]
    assert len(found["one_more"]) == 2
    assert "1 kit answers 1 of 1" in run("carry").stdout


def test_a_database_that_is_not_there_is_named(tmp_path: Path) -> None:
    found = run("buy", "--database", str(tmp_path / "none.sqlite3"))
    assert found.exit_code == 2
    assert "is not there" in found.stderr


HEAVY = ("numba", "scipy", "numpy", "rich", "typst", "highspy", "PIL", "python_calamine", "floatbowl.shop.urls")


def test_tables_come_in_without_what_only_plans_and_pages_need(tmp_path: Path) -> None:
    file(tmp_path, "Item;Qty;Date\nG-1;1;2026-01-05\n")
    (tmp_path / "shop.sqlite3").touch()
    script = f"""
import sys
from floatbowl.cli import main
for words in (["begin"], ["count", "table.csv"], ["sales", "table.csv"]):
    try:
        main(["shelf", *words, "--database", "shop.sqlite3"], standalone_mode=False)
    except SystemExit:
        pass
print([name for name in {HEAVY!r} if name in sys.modules])
"""
    found = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, timeout=60, cwd=tmp_path, check=True
    )
    assert found.stdout.splitlines() == ["0 items begun with 0 pieces.", "[]"]
    assert found.stderr.count("G-1: no kit or part of this number is in the records") == 2


def test_help_is_quick_because_nothing_heavy_is_imported() -> None:
    asked = (
        "import sys; from floatbowl.cli import main; main(['shelf', '--help'], standalone_mode=False);"
        "print([name for name in ('scipy', 'numpy', 'rich', 'django') if name in sys.modules])"
    )
    found = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True, timeout=60)
    assert found.stdout.splitlines()[-1] == "[]"
