"""The set-up script, run where every program that it calls is a stand-in that notes how it was called."""

import os
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.paths import ROOT

SCRIPT = ROOT / ".ci" / "set-up"
USED = ("bash", "dirname", "env", "grep", "cp", "mkdir")
MERGERS = "poppler-utils qpdf pdftk-java mupdf-tools ghostscript"
DEV = f"libzbar0 chromium chromium-driver {MERGERS} openssl libreoffice-calc"
INSTALL = "apt-get install -y -qq --no-install-recommends"
PIP = "python -m pip install --quiet --disable-pip-version-check -e"


class Machine:
    """A machine with nothing on it but Python and a shell; programs may be added."""

    def __init__(self, folder: Path) -> None:
        self.bin = folder / "bin"
        self.log = folder / "log"
        self.venv = folder / "venv"
        self.bin.mkdir()
        self.log.write_text("", encoding="utf-8")
        for name in USED:
            (self.bin / name).symlink_to(str(shutil.which(name)))
        self.has("python3", f'[ "$2" != venv ] || {{ mkdir -p "$3/bin"; cp "{self.bin}/python" "$3/bin/"; }}')
        self.has("python")
        self.has("ldconfig", "echo")
        self.has("id", "echo 0")

    def has(self, name: str, does: str = ":") -> None:
        """Put a stand-in there that notes its call, then does this."""
        path = self.bin / name
        path.write_text(f'#!/bin/bash\necho "{name} $*" >> "{self.log}"\n{does}\n', encoding="utf-8")
        path.chmod(0o755)

    def set_up(self, *words: str) -> subprocess.CompletedProcess[str]:
        """Run the script."""
        environment = {"PATH": str(self.bin), "TAGMAKER_VENV": str(self.venv)}
        command = [str(self.bin / "bash"), str(SCRIPT), *words]
        return subprocess.run(command, capture_output=True, text=True, check=False, env=environment)

    def calls(self, *programs: str) -> list[str]:
        """How these programs were called, in order."""
        lines = self.log.read_text(encoding="utf-8").splitlines()
        return [line for line in lines if line.split()[0] in programs]


@pytest.fixture
def machine(tmp_path: Path) -> Machine:
    """A bare machine, its user root, without sudo."""
    return Machine(tmp_path)


def test_the_program_alone_needs_no_package(machine: Machine) -> None:
    """Python is there: an environment, and the package in it."""
    done = machine.set_up()
    assert (done.returncode, done.stderr) == (0, "")
    assert machine.calls("python3", "python")[-2:] == [f"python3 -m venv {machine.venv}", f"{PIP} ."]


def test_dev_installs_what_is_missing_as_root_without_sudo(machine: Machine) -> None:
    """All four packages, without what they recommend; then the package with its tests' needs."""
    machine.has("apt-get")
    assert machine.set_up("dev").returncode == 0
    assert machine.calls("apt-get") == ["apt-get update -qq", f"{INSTALL} {DEV}"]
    assert machine.calls("python")[-1] == f"{PIP} .[dev]"


def test_what_is_there_is_not_installed_again(machine: Machine) -> None:
    """Each package by itself; with all of them apt-get is not called."""
    machine.has("apt-get")
    machine.has("chromium")
    machine.has("ldconfig", "echo libzbar.so.0")
    assert machine.set_up("dev").returncode == 0
    assert machine.calls("apt-get")[-1] == f"{INSTALL} chromium-driver {MERGERS} openssl libreoffice-calc"
    machine.has("chromedriver")
    for program in ("soffice", "openssl", "pdfunite", "qpdf", "pdftk", "mutool", "gs"):
        machine.has(program)
    assert machine.set_up("dev").returncode == 0
    assert len(machine.calls("apt-get")) == 2


def test_another_user_than_root_goes_by_sudo(machine: Machine) -> None:
    """Or is told what root has to do."""
    machine.has("apt-get")
    machine.has("id", "echo 1000")
    done = machine.set_up("dev")
    assert done.returncode == 1
    assert f"as root run: apt-get install {DEV}" in done.stderr
    machine.has("sudo", '"$@"')
    assert machine.set_up("dev").returncode == 0
    assert [call.split()[1] for call in machine.calls("sudo")] == ["apt-get", "env"]


def test_without_apt_get_the_message_names_the_packages(machine: Machine) -> None:
    """Nothing is made then."""
    done = machine.set_up("dev")
    assert done.returncode == 1
    assert done.stderr == f"set-up: no apt-get here; install by hand what these Debian packages hold: {DEV}\n"
    assert not machine.venv.exists()


def test_python_without_environments_is_completed(machine: Machine) -> None:
    """As Debian ships it."""
    machine.has("apt-get")
    machine.has("python3", '[ "$1" != -c ] || [[ "$2" != *ensurepip* ]]')
    machine.set_up()
    assert machine.calls("apt-get")[-1] == f"{INSTALL} python3 python3-venv"


def test_an_old_python_is_refused(machine: Machine) -> None:
    """With the version that is needed."""
    machine.has("python3", '[ "$1" != --version ] || echo Python 3.9.2\n[[ "$2" != *version_info* ]]')
    done = machine.set_up()
    assert done.returncode == 1
    assert done.stderr == "set-up: Python 3.11 or newer is needed; this is Python 3.9.2\n"


def test_another_word_is_wrong_usage(machine: Machine) -> None:
    """One word, or none."""
    done = machine.set_up("tests")
    assert (done.returncode, done.stderr) == (2, "usage: .ci/set-up [dev]\n")


def test_the_script_may_be_run() -> None:
    """As a command, by its own name."""
    assert os.access(SCRIPT, os.X_OK)
