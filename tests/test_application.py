"""The application as a whole: its own names, its headers, its keys."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask, url_for

from webapp.application import create_app
from webapp.records.database import Database
from webapp.settings import Settings
from webapp.yard.keep_file import open_yard

OWN_NAMES = ("127.0.0.1", "127.0.0.1:8000", "localhost:8123")
STRANGE_NAMES = (
    "yard.example",
    "127.0.0.1.example",
    "localhost.example:8000",
    "10.0.0.7:8000",
    "[::1]:8000",
)


@pytest.fixture
def database(tmp_path: Path) -> Iterator[Database]:
    opened = open_yard(f"sqlite:///{tmp_path / 'yard.sqlite'}")
    yield opened
    opened.close()


@pytest.fixture
def app(database: Database, tmp_path: Path) -> Flask:
    settings = Settings(f"sqlite:///{tmp_path / 'yard.sqlite'}", secret_key="for tests")  # noqa: S106
    return create_app(settings, database)


@pytest.mark.parametrize("host", OWN_NAMES)
def test_own_names_are_answered(app: Flask, host: str) -> None:
    assert app.test_client().get("/", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize("host", STRANGE_NAMES)
@pytest.mark.parametrize("path", ["/", "/static/site.css", "/nowhere"])
def test_other_names_are_refused_with_a_clear_page(app: Flask, host: str, path: str) -> None:
    answer = app.test_client().get(path, headers={"Host": host})
    assert answer.status_code == 400
    assert "does not answer to this name" in answer.text
    assert "127.0.0.1" in answer.text
    assert "Content-Security-Policy" in answer.headers


def test_every_answer_carries_the_policy(app: Flask) -> None:
    for path, status in (("/", 200), ("/nowhere", 404), ("/static/site.css", 200)):
        answer = app.test_client().get(path)
        policy = answer.headers["Content-Security-Policy"]
        assert answer.status_code == status
        assert "default-src 'none'" in policy
        assert "script-src 'self';" in policy
        assert "frame-ancestors 'none'" in policy
        assert "unsafe" not in policy
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Referrer-Policy"] == "same-origin"
        answer.close()


def test_a_post_without_its_token_is_refused(app: Flask) -> None:
    rules = [rule for rule in app.url_map.iter_rules() if "POST" in (rule.methods or ())]
    assert rules
    any_uid = "01890a5d-ac96-774b-bcce-b302099a8057"
    for rule in rules:
        with app.test_request_context():
            values: dict[str, Any] = dict.fromkeys(rule.arguments, any_uid)
            address = url_for(rule.endpoint, **values)
        answer = app.test_client().post(address, data={"reading": "12"})
        assert answer.status_code == 400
        assert "Nothing was changed" in answer.text


def test_two_applications_share_nothing(tmp_path: Path) -> None:
    apps = []
    for name in ("one", "two"):
        settings = Settings(f"sqlite:///{tmp_path / name}.sqlite")
        apps.append(create_app(settings))
    one, two = apps
    assert one.extensions["database"] is not two.extensions["database"]
    assert one.secret_key != two.secret_key
    for made in apps:
        made.extensions["database"].close()
