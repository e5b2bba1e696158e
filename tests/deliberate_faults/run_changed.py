"""Run by the test beside it in a process of its own: every change in a copy of the package, its tests against the copy.

Everything heavy but floatbowl is imported once; then each change gets a child that imports the changed floatbowl and
runs pytest. One JSON line a change goes to standard output: its place in the list (-1: no change) and the exit code.
"""

from __future__ import annotations

import compileall
import importlib
import json
import os
import shutil
import sys
import tempfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
NEEDED = ("__init__.py", "units.py", "reference", "identify")
HEAVY = ("hypothesis", "numba", "rapidfuzz.fuzz", "rapidfuzz.process", "scipy.special", "scipy.stats")


def copy_package(to: Path) -> None:
    (to / "floatbowl").mkdir()
    for name in NEEDED:
        source = ROOT / "src" / "floatbowl" / name
        if source.is_dir():
            shutil.copytree(source, to / "floatbowl" / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy2(source, to / "floatbowl" / name)
    compileall.compile_dir(to, quiet=2)


def run_tests(copy: Path, nodes: tuple[str, ...]) -> int:
    """In a child: pytest against the copy, quietly. Its exit code."""
    child = os.fork()
    if child:
        _, status = os.waitpid(child, 0)
        return os.waitstatus_to_exitcode(status)
    code = 70
    try:
        os.chdir(ROOT)
        quiet = os.open(os.environ.get("SHOW_CHANGED", os.devnull), os.O_WRONLY)
        os.dup2(quiet, 1)
        os.dup2(quiet, 2)
        sys.path.insert(0, str(copy))
        import floatbowl

        if not Path(floatbowl.__file__).is_relative_to(copy):
            os._exit(71)
        (copy / "pytest.ini").write_text("[pytest]\n")
        code = int(
            pytest.main(
                ["-c", str(copy / "pytest.ini"), "--rootdir", str(ROOT), "--import-mode=importlib", "-q", "-x",
                 "--tb=short", "-p", "no:django", "-p", "no:cacheprovider", "-p", "no:xdist", *nodes]
            )
        )  # fmt: skip
    finally:
        os._exit(code)


def main() -> None:
    # The kernels run as plain Python: a changed one need not be compiled.
    os.environ["NUMBA_DISABLE_JIT"] = "1"
    sys.dont_write_bytecode = True
    for name in HEAVY:
        importlib.import_module(name)
    sys.path.insert(0, str(Path(__file__).resolve().parent))
    from changes import CHANGES

    everything = tuple(dict.fromkeys(node for change in CHANGES for node in change.caught_by))
    with tempfile.TemporaryDirectory() as folder:
        original = Path(folder) / "original"
        original.mkdir()
        copy_package(original)
        for at in range(-1, len(CHANGES)):
            copy = Path(folder) / str(at + 1)
            shutil.copytree(original, copy)
            nodes = everything
            if at >= 0:
                change = CHANGES[at]
                nodes = change.caught_by
                module = copy / "floatbowl" / change.module
                module.write_text(
                    module.read_text(encoding="utf-8").replace(change.right, change.wrong), encoding="utf-8"
                )
            print(json.dumps({"change": at, "code": run_tests(copy, nodes)}), flush=True)
            shutil.rmtree(copy)


if __name__ == "__main__":
    main()
