"""The documents name what there is: commands, settings, modules; and nothing that is not."""

import re
import tomllib
from pathlib import Path

import click
import pytest

from webapp.cli import main

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
CHECKS = (ROOT / "tests" / "all.sh").read_text(encoding="utf-8")
OWN_CODE = [file for top in ("webapp", "seed_demo") for file in (ROOT / top).rglob("*.py")]
OPTION = re.compile(r"--[a-z-]+")
SETTING = re.compile(r"\bFLITCHBOOK_[A-Z_]+")
# In the table every line is `name` | ...; packages are named as folders.
PLACES = [
    *(ROOT / "webapp").glob("*.py"),
    *(file.parent for file in (ROOT / "webapp").glob("*/__init__.py")),
]


@pytest.mark.parametrize("name", sorted(main.commands))
def test_readme_names_the_command(name: str) -> None:
    assert f"`flitchbook {name}" in README


def test_readme_names_no_other_command() -> None:
    named = set(re.findall(r"`flitchbook ([a-z]+)", README))
    assert named == set(main.commands)


@pytest.mark.parametrize("name", sorted(main.commands))
def test_readme_names_the_options_of_the_command(name: str) -> None:
    line = next(line for line in README.splitlines() if line.startswith(f"| `flitchbook {name}"))
    cell = re.split(r"(?<!\\)\|", line)[1]
    options = [option for option in main.commands[name].params if isinstance(option, click.Option)]
    assert {option.opts[0] for option in options} - {"--database"} == set(OPTION.findall(cell))


def test_readme_names_every_setting_and_no_other() -> None:
    in_code = {name for file in OWN_CODE for name in SETTING.findall(file.read_text("utf-8"))}
    in_table = {
        name
        for line in README.splitlines()
        if line.startswith("| `FLITCH")
        for name in SETTING.findall(line.split("|")[1])
    }
    assert in_table == {name for name in in_code if not name.endswith("_")}


@pytest.mark.parametrize("place", PLACES, ids=lambda place: place.name)
def test_developers_names_the_module(place: Path) -> None:
    if place.name == "__init__.py":
        return
    name = place.relative_to(ROOT).as_posix() + ("/" if place.is_dir() else "")
    assert f"`{name}`" in DEVELOPERS


@pytest.mark.parametrize("document", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_documents_name_only_files_that_are_there(document: str) -> None:
    named = re.findall(r"`((?:webapp|migrations|seed_demo|tests|\.ci)/[\w/.-]*)`", document)
    made_by_the_wheel = {"webapp/migrations"}
    missing = [name for name in named if not (ROOT / name).exists()]
    assert set(missing) <= made_by_the_wheel


def test_readme_commands_are_those_of_the_checks() -> None:
    first, second = re.findall(r"```sh\n(python3 -m venv.*|bash tests/.*)\n```", README)
    assert second == "bash tests/all.sh"
    makes, installs, serves = first.split(" && ")
    assert serves == ".venv/bin/flitchbook demo"
    assert makes.replace("python3 -m", '"$python" -m') in CHECKS.replace(" --clear", "")
    without_target = installs.removesuffix(" -e .").replace("python3 -m", '"$python" -m')
    assert without_target in CHECKS.replace(" -q", "")


def test_layers_in_developers_are_those_that_are_checked() -> None:
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    contracts = settings["tool"]["importlinter"]["contracts"]
    layers = next(contract["layers"] for contract in contracts if contract["type"] == "layers")
    shown = DEVELOPERS.split("```\n__main__")[1].split("```")[0]
    lines = [re.split(r"\s{2,}\(", line)[0].strip() for line in f"__main__{shown}".splitlines()]
    assert [line for line in lines if line] == layers
