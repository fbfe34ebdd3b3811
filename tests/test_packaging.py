"""A built wheel is complete: an installed Flitchbook makes, upgrades and shows a yard by itself."""

import os
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[1]
MAKE_A_YARD = """
import sys
from pathlib import Path

import webapp
from webapp.records.upgrade import migrations_folder
from webapp.yard.keep_file import open_yard

print(Path(webapp.__file__).parent == migrations_folder().parent)
open_yard(sys.argv[1]).close()
"""
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    subprocess.run(command, cwd=ROOT, check=True, capture_output=True)
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def unpacked(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("installed")
    with zipfile.ZipFile(wheel) as packed:
        packed.extractall(folder)
    return folder


def _tracked(top: str) -> set[str]:
    skipped = {"__pycache__", ".mypy_cache"}
    files = (file for file in (ROOT / top).rglob("*") if file.is_file())
    return {file.relative_to(ROOT).as_posix() for file in files if not skipped & set(file.parts)}


def test_wheel_carries_every_file_of_the_packages(unpacked: Path) -> None:
    for name in _tracked("webapp") | _tracked("seed_demo"):
        assert (unpacked / name).is_file(), name


def test_wheel_carries_the_migrations(unpacked: Path) -> None:
    steps = _tracked("migrations")
    assert any("versions/0001_" in name for name in steps)
    for name in steps:
        assert (unpacked / "webapp" / name).is_file(), name


def test_wheel_carries_nothing_else(unpacked: Path) -> None:
    tops = {file.name for file in unpacked.iterdir()}
    assert tops == {"webapp", "seed_demo", f"flitchbook-{PROJECT['version']}.dist-info"}


def test_wheel_names_licence_and_command(unpacked: Path) -> None:
    about = unpacked / f"flitchbook-{PROJECT['version']}.dist-info"
    metadata = (about / "METADATA").read_text("utf-8")
    assert "License-Expression: MIT" in metadata
    assert "Requires-Python: >=3.11" in metadata
    assert (about / "licenses" / "webapp" / "LICENSE.txt").is_file()
    assert "flitchbook = webapp.cli:main" in (about / "entry_points.txt").read_text("utf-8")


def test_unpacked_wheel_makes_a_yard_by_itself(unpacked: Path, tmp_path: Path) -> None:
    file = tmp_path / "yard.sqlite"
    command = [sys.executable, "-c", MAKE_A_YARD, f"sqlite:///{file}"]
    surroundings = os.environ | {"PYTHONPATH": str(unpacked)}
    done = subprocess.run(
        command, cwd=tmp_path, env=surroundings, check=True, capture_output=True, text=True
    )
    assert done.stdout.strip() == "True"
    assert file.stat().st_size > 0


def test_every_pinned_version_meets_what_the_project_asks() -> None:
    text = (ROOT / ".ci" / "constraints.txt").read_text("utf-8")
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    pinned = {canonicalize_name(name): version for name, version in (x.split("==") for x in lines)}
    asked = [*PROJECT["dependencies"]]
    asked += [item for extra in PROJECT["optional-dependencies"].values() for item in extra]
    for item in map(Requirement, asked):
        assert item.specifier.contains(pinned[canonicalize_name(item.name)]), item.name
