"""What running needs is declared: every library that the package imports stands among its dependencies."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "floatbowl"
#: Libraries whose import has another name than the thing that is installed.
IMPORTED_AS = {
    "django-csp": "csp",
    "python-calamine": "python_calamine",
    "pillow": "PIL",
    "pillow-heif": "pillow_heif",
    "opencv-python-headless": "cv2",
}


def _declared(extra: str = "") -> set[str]:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    lines = [*project["dependencies"], *(project["optional-dependencies"][extra] if extra else ())]
    names = (re.split(r"[<>=!~ ;\[]", line)[0].lower() for line in lines)
    return {IMPORTED_AS.get(name, name.replace("-", "_")) for name in names}


def _imported(path: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {name.name.partition(".")[0] for name in node.names}
        elif isinstance(node, ast.ImportFrom) and not node.level and node.module:
            found.add(node.module.partition(".")[0])
    return found - set(sys.stdlib_module_names) - {"floatbowl"}


def test_nothing_is_imported_that_is_not_declared() -> None:
    declared = _declared("photo")
    for path in sorted(PACKAGE.rglob("*.py")):
        assert _imported(path) <= declared, path


def test_without_the_part_for_photographs_only_photographs_are_missing() -> None:
    declared = _declared()
    for path in sorted(PACKAGE.rglob("*.py")):
        if "photo" not in path.relative_to(PACKAGE).as_posix():
            assert _imported(path) <= declared, path
