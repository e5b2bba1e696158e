"""A fault of 1 % in any formula turns a test red: each is put into a copy of the package, and its tests run there."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))

from changes import CHANGES, Change  # noqa: E402

PACKAGE = HERE.parents[1] / "src" / "floatbowl"
#: pytest's exit codes: all passed, and some failed. Anything else is no verdict.
GREEN, RED = 0, 1


@pytest.fixture(scope="module")
def verdicts() -> dict[int, int]:
    """pytest's exit code for each change, and for none (-1)."""
    done = subprocess.run(
        [sys.executable, str(HERE / "run_changed.py")], capture_output=True, text=True, timeout=280, check=False
    )
    lines = [json.loads(line) for line in done.stdout.splitlines() if line.startswith("{")]
    assert done.returncode == 0, done.stderr[-2000:]
    return {line["change"]: line["code"] for line in lines}


def test_there_are_enough_of_them_all_over_the_formulas() -> None:
    assert len(CHANGES) >= 20
    touched = {Path(change.module).stem for change in CHANGES}
    assert touched >= {
        "forward", "wear", "features", "machines", "mixed", "castings", "outlook", "explain", "advice", "weigh",
    }  # fmt: skip


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: change.name)
def test_each_stands_in_the_source_exactly_once(change: Change) -> None:
    source = (PACKAGE / change.module).read_text(encoding="utf-8")
    assert source.count(change.right) == 1
    assert change.wrong not in source
    assert "1.01" in change.wrong or "0.505" in change.wrong or "10.1" in change.wrong


def test_without_a_change_they_are_all_green(verdicts: dict[int, int]) -> None:
    assert verdicts[-1] == GREEN


@pytest.mark.parametrize("at", range(len(CHANGES)), ids=[change.name for change in CHANGES])
def test_a_change_turns_a_test_red(at: int, verdicts: dict[int, int]) -> None:
    assert verdicts[at] == RED
