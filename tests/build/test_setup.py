"""The set-up script on machines that lack something: pretended programs stand in for the real ones."""

import os
import shutil
import stat
import subprocess
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
REAL_PROGRAMS = ("sh", "cat", "cksum", "rm", "mkdir", "cp", "chmod", "env", "grep", "dirname")

#: Writes down what it is asked, tells its version, and makes a .venv with itself inside.
PYTHON = """#!/bin/sh
here="{machine}"
case "$1 ${{2:-}}" in
"-c import sys"*) echo "{version}" ;;
"-c import venv"*) exit {without_venv} ;;
"-m venv") echo "venv by {version}" >>"$here/log"; mkdir -p .venv/bin; cp "$0" .venv/bin/python
  echo "VIRTUAL_ENV=$PWD/.venv" >.venv/bin/activate ;;
"-m pip") echo "pip $*" >>"$here/log"; exit {pip_exit} ;;
esac
"""


@dataclass(frozen=True)
class Machine:
    """A folder with a checkout, a folder of programs, and a log of what was asked of them."""

    folder: Path

    @property
    def programs(self) -> Path:
        return self.folder / "bin"

    @property
    def checkout(self) -> Path:
        return self.folder / "floatbowl"

    @property
    def log(self) -> list[str]:
        log = self.folder / "log"
        return log.read_text().splitlines() if log.exists() else []

    def has(self, name: str, text: str = "#!/bin/sh\n") -> None:
        program = self.programs / name
        program.write_text(text)
        program.chmod(program.stat().st_mode | stat.S_IXUSR)

    def has_python(self, name: str, version: str, without_venv: bool = False, pip_exit: int = 0) -> None:
        text = PYTHON.format(machine=self.folder, version=version, without_venv=int(without_venv), pip_exit=pip_exit)
        self.has(name, text)

    def set_up(self, *arguments: str) -> subprocess.CompletedProcess[str]:
        command = [str(self.programs / "sh"), str(self.checkout / "setup.sh"), *arguments]
        surroundings = {"PATH": str(self.programs), "HOME": str(self.folder)}
        return subprocess.run(command, env=surroundings, capture_output=True, text=True, timeout=60, check=False)


@pytest.fixture
def machine(tmp_path: Path) -> Machine:
    made = Machine(tmp_path)
    made.programs.mkdir()
    made.checkout.mkdir()
    for name in ("setup.sh", "pyproject.toml", "constraints.txt"):
        shutil.copy(ROOT / name, made.checkout)
    for name in REAL_PROGRAMS:
        real = shutil.which(name)
        assert real is not None
        (made.programs / name).symlink_to(real)
    return made


def one_sentence(run: subprocess.CompletedProcess[str]) -> str:
    assert run.returncode != 0
    assert len(run.stderr.splitlines()) == 1
    return run.stderr


def test_an_older_python_is_told_what_to_install(machine: Machine) -> None:
    machine.has_python("python3", "3.9")
    said = one_sentence(machine.set_up())
    assert "3.11 or newer" in said
    assert "found 3.9" in said
    assert "apt-get install" in said
    assert machine.log == []
    assert not (machine.checkout / ".venv").exists()


def test_no_python_at_all_is_told_the_same(machine: Machine) -> None:
    assert "found none" in one_sentence(machine.set_up())


@pytest.mark.parametrize("version", ["2.7", "3.4", "3.10"])
def test_every_older_version_is_refused(machine: Machine, version: str) -> None:
    machine.has_python("python3", version)
    assert f"found {version}" in one_sentence(machine.set_up())


@pytest.mark.parametrize("version", ["3.11", "3.12", "3.13", "3.20", "4.0"])
def test_every_newer_version_is_taken(machine: Machine, version: str) -> None:
    machine.has_python("python3", version)
    assert machine.set_up().returncode == 0
    assert machine.log[0] == f"venv by {version}"


def test_a_suitable_python_beside_an_older_one_is_found(machine: Machine) -> None:
    machine.has_python("python3", "3.9")
    machine.has("python3.13", "#!/bin/sh\nexit 127\n")
    machine.has_python("python3.12", "3.12")
    assert machine.set_up().returncode == 0
    assert machine.log[0] == "venv by 3.12"


def test_a_python_without_venv_is_told_the_package(machine: Machine) -> None:
    machine.has_python("python3", "3.11", without_venv=True)
    assert "python3.11-venv" in one_sentence(machine.set_up())
    assert machine.log == []


def test_a_second_run_installs_nothing_until_the_versions_change(machine: Machine) -> None:
    machine.has_python("python3", "3.11")
    machine.set_up()
    first = machine.log
    assert [line.split()[0] for line in first] == ["venv", "pip"]
    assert "-c constraints.txt" in first[1]
    machine.set_up()
    assert machine.log == first
    with (machine.checkout / "constraints.txt").open("a") as constraints:
        constraints.write("click==8.0\n")
    machine.set_up()
    assert [line.split()[0] for line in machine.log] == ["venv", "pip", "pip"]


def test_what_the_tests_need_serves_running_too(machine: Machine) -> None:
    machine.has_python("python3", "3.11")
    machine.has("chromium")
    assert machine.set_up("test").returncode == 0
    assert ".[photo,test]" in machine.log[-1]
    first = machine.log
    assert machine.set_up().returncode == 0
    assert machine.log == first


def test_a_failed_install_is_tried_again(machine: Machine) -> None:
    machine.has_python("python3", "3.11", pip_exit=1)
    run = machine.set_up()
    assert run.returncode != 0
    assert "Installing failed" in run.stderr
    machine.has_python(str(machine.checkout / ".venv/bin/python"), "3.11")
    assert machine.set_up().returncode == 0
    assert [line.split()[0] for line in machine.log] == ["venv", "pip", "pip"]


def test_a_venv_whose_python_is_too_old_or_gone_is_made_anew(machine: Machine) -> None:
    machine.has_python("python3", "3.11")
    machine.set_up()
    machine.has_python(str(machine.checkout / ".venv/bin/python"), "3.10")
    machine.set_up()
    (machine.checkout / ".venv/bin/python").unlink()
    machine.set_up()
    assert [line.split()[0] for line in machine.log] == ["venv", "pip"] * 3


def test_a_checkout_that_was_moved_gets_a_new_venv(machine: Machine) -> None:
    machine.has_python("python3", "3.11")
    machine.set_up()
    moved = Machine(machine.folder / "elsewhere")
    moved.folder.mkdir()
    machine.checkout.rename(moved.checkout)
    moved.programs.symlink_to(machine.programs)
    moved.set_up()
    assert [line.split()[0] for line in machine.log] == ["venv", "pip", "venv", "pip"]


def test_without_chromium_and_without_root_it_says_what_to_install(machine: Machine) -> None:
    machine.has_python("python3", "3.11")
    machine.has("id", "#!/bin/sh\necho 1000\n")
    machine.has("apt-get", f"#!/bin/sh\necho apt-get $* >>{machine.folder}/log\n")
    machine.has("sudo", "#!/bin/sh\nexit 1\n")
    assert "apt-get install chromium" in one_sentence(machine.set_up("test"))
    assert not [line for line in machine.log if line.startswith("apt-get")]


@pytest.mark.parametrize("user", [0, 1000])
def test_chromium_is_installed_by_root_or_through_sudo(machine: Machine, user: int) -> None:
    machine.has_python("python3", "3.11")
    machine.has("id", f"#!/bin/sh\necho {user}\n")
    machine.has("apt-get", f"#!/bin/sh\necho apt-get $* >>{machine.folder}/log\n")
    machine.has("sudo", '#!/bin/sh\nshift\nexec "$@"\n')
    machine.has("true")
    assert machine.set_up("test").returncode == 0
    asked = [line for line in machine.log if line.startswith("apt-get")]
    assert [line.split()[1] for line in asked] == ["update", "install"]
    assert asked[-1].endswith(" chromium")


def test_an_unknown_word_is_refused(machine: Machine) -> None:
    machine.has_python("python3", "3.11")
    assert "'tets' is not known" in machine.set_up("tets").stderr


@pytest.mark.parametrize("script", ["setup.sh", ".ci/run"])
def test_scripts_can_be_run_and_parse(script: str) -> None:
    path = ROOT / script
    assert os.access(path, os.X_OK)
    shell = "bash" if script == ".ci/run" else "sh"
    assert subprocess.run([shell, "-n", str(path)], check=False).returncode == 0


def test_pinned_versions_name_no_place() -> None:
    pins = [line for line in (ROOT / "constraints.txt").read_text().splitlines() if line and not line.startswith("#")]
    assert pins
    for pin in pins:
        name, equals, version = pin.partition("==")
        assert (equals, name.strip(), version.strip()) == ("==", name, version)
        assert not {"/", "@", ":"} & set(pin)
