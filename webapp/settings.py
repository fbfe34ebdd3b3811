"""What the surroundings decide: which file, which port, which names; read once, at the door."""

from __future__ import annotations

import os
import secrets
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Self

from platformdirs import user_data_path

if TYPE_CHECKING:
    from collections.abc import Mapping

OWN_HOSTS = ("127.0.0.1", "localhost")
SQLITE = "sqlite:///"
_SCHEMES = ("sqlite:", "postgresql:")
DEFAULT_PORT = 8000
LAST_PORT = 65535


class BadSetting(ValueError):
    """A setting that cannot be used; its text says which and why."""


@dataclass(frozen=True)
class Settings:
    """Everything the program takes from outside itself.

    ``hosts`` are the names the pages answer to; ``secret_file`` keeps the key that signs forms
    and cookies; ``secret_key`` given here is used instead of the file.
    """

    database_url: str
    port: int = DEFAULT_PORT
    hosts: tuple[str, ...] = OWN_HOSTS
    secret_file: Path | None = None
    secret_key: str | None = None

    @classmethod
    def from_environment(
        cls,
        environment: Mapping[str, str] | None = None,
        **overrides: Any,
    ) -> Self:
        """Read the FLITCHBOOK_ variables; what is given as an override (not None) wins."""
        found = os.environ if environment is None else environment
        secret = found.get("FLITCHBOOK_SECRET_FILE")
        settings = cls(
            database_url=database_url(found.get("FLITCHBOOK_DATABASE") or _own_file("yard")),
            port=_port(found.get("FLITCHBOOK_PORT") or str(DEFAULT_PORT)),
            secret_file=Path(secret) if secret else None,
        )
        given = {name: value for name, value in overrides.items() if value is not None}
        if "database_url" in given:
            given["database_url"] = database_url(given["database_url"])
        return replace(settings, **given)

    @property
    def database_file(self) -> Path | None:
        """The yard's one file; None when it lives in a database server or in memory."""
        return file_of(self.database_url)

    def signing_key(self) -> str:
        """Return the key that signs forms and cookies, making it on the first run."""
        if self.secret_key:
            return self.secret_key
        path = self.secret_file or _secret_beside(self.database_file)
        return _read_secret(path) or _make_secret(path)


def database_url(text: str) -> str:
    """Take an address like ``sqlite:///yard.sqlite``, or a bare file name, as an address."""
    if text.startswith(_SCHEMES) and "://" not in text:
        sentence = f"{text!r} is not a database address: expected such as sqlite:///yard.sqlite."
        raise BadSetting(sentence)
    return text if "://" in text else SQLITE + text


def file_of(url: str) -> Path | None:
    """Tell which file an address names; None when it names none."""
    scheme, _, rest = url.partition(":///")
    path = rest.partition("?")[0]
    if not scheme.startswith("sqlite") or path in {"", ":memory:"}:
        return None
    return Path(path)


def demo_url() -> str:
    """Name the file of the invented yard, beside the default one of a real yard."""
    return database_url(_own_file("demo"))


def _own_file(name: str) -> str:
    return str(user_data_path("flitchbook", appauthor=False) / f"{name}.sqlite")


def _port(text: str) -> int:
    if not text.isascii() or not text.isdigit() or int(text) > LAST_PORT:
        sentence = f"FLITCHBOOK_PORT is {text!r}: expected a whole number up to {LAST_PORT}."
        raise BadSetting(sentence)
    return int(text)


def _secret_beside(file: Path | None) -> Path:
    return file.with_suffix(".secret") if file else Path(_own_file("server")).with_suffix(".secret")


def _read_secret(path: Path) -> str:
    try:
        return path.read_text(encoding="ascii", errors="replace").strip()
    except FileNotFoundError:
        return ""


def _make_secret(path: Path) -> str:
    """Keep a new key that only this user may read."""
    path.parent.mkdir(parents=True, exist_ok=True)
    key = secrets.token_urlsafe(32)
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:  # another start was quicker: its key is as good, unless it is empty
        there = _read_secret(path)
        if there:
            return there
        handle = os.open(path, os.O_WRONLY | os.O_TRUNC)
    with os.fdopen(handle, "w", encoding="ascii") as file:
        file.write(key)
    return key
