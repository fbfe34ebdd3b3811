"""Settings: what wins, what is refused, and the key that is made on the first run."""

import stat
from pathlib import Path

import pytest

from webapp.settings import BadSetting, Settings, database_url, file_of


def test_defaults_are_one_file_and_port_8000() -> None:
    settings = Settings.from_environment({})
    assert settings.port == 8000
    assert settings.database_file is not None
    assert settings.database_file.name == "yard.sqlite"
    assert "flitchbook" in settings.database_file.parts


def test_environment_is_read_and_overrides_win() -> None:
    surroundings = {"FLITCHBOOK_DATABASE": "sqlite:///a.sqlite", "FLITCHBOOK_PORT": "8123"}
    assert Settings.from_environment(surroundings).database_file == Path("a.sqlite")
    assert Settings.from_environment(surroundings).port == 8123
    given = Settings.from_environment(surroundings, database_url="b.sqlite", port=9)
    assert (given.database_file, given.port) == (Path("b.sqlite"), 9)


def test_override_of_none_is_no_override() -> None:
    settings = Settings.from_environment({"FLITCHBOOK_PORT": "8123"}, port=None, database_url=None)
    assert settings.port == 8123


@pytest.mark.parametrize("text", ["eighty", "-1", "65536", "80.5", "٣"])
def test_bad_port_is_named(text: str) -> None:
    with pytest.raises(BadSetting, match="FLITCHBOOK_PORT"):
        Settings.from_environment({"FLITCHBOOK_PORT": text})


@pytest.mark.parametrize(
    ("url", "file"),
    [
        ("sqlite:///yard.sqlite", Path("yard.sqlite")),
        ("sqlite:////data/yard.sqlite", Path("/data/yard.sqlite")),
        ("sqlite+pysqlite:///yard.sqlite?timeout=3", Path("yard.sqlite")),
        ("sqlite:///:memory:", None),
        ("sqlite://", None),
        ("postgresql://keeper@host/yard", None),
    ],
)
def test_file_of_an_address(url: str, file: Path | None) -> None:
    assert file_of(url) == file


def test_bare_file_name_is_an_address() -> None:
    assert database_url("yard.sqlite") == "sqlite:///yard.sqlite"
    assert database_url("postgresql://host/yard") == "postgresql://host/yard"


@pytest.mark.parametrize("text", ["sqlite:yard.sqlite", "sqlite:/yard.sqlite", "postgresql:yard"])
def test_half_an_address_is_no_file_name(text: str) -> None:
    with pytest.raises(BadSetting, match="such as sqlite:///yard"):
        database_url(text)


def test_signing_key_is_made_once_and_for_this_user_only(tmp_path: Path) -> None:
    settings = Settings(database_url(str(tmp_path / "new" / "yard.sqlite")))
    key = settings.signing_key()
    kept = tmp_path / "new" / "yard.secret"
    assert len(key) >= 32
    assert kept.read_text(encoding="ascii") == key
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    assert settings.signing_key() == key


def test_secret_file_and_given_key_win(tmp_path: Path) -> None:
    file = tmp_path / "elsewhere"
    surroundings = {"FLITCHBOOK_SECRET_FILE": str(file)}
    key = Settings.from_environment(surroundings).signing_key()
    assert file.read_text(encoding="ascii") == key
    assert Settings.from_environment(surroundings, secret_key="given").signing_key() == "given"  # noqa: S106


def test_a_key_lost_to_a_full_disk_is_made_anew(tmp_path: Path) -> None:
    lost = tmp_path / "yard.secret"
    lost.write_text("")
    settings = Settings.from_environment({"FLITCHBOOK_SECRET_FILE": str(lost)})
    key = settings.signing_key()
    assert len(key) > 30
    assert settings.signing_key() == key == lost.read_text()
