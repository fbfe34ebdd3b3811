"""A yard behind its pages: fixed on one day, with forms sent as a browser sends them."""

import re

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tests.make_shed import NOW, TODAY, Shed, make_shed
from webapp import clock
from webapp.application import create_app
from webapp.records import Database
from webapp.settings import Settings


@pytest.fixture(autouse=True)
def the_day(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hold the clock."""
    monkeypatch.setattr(clock, "today", lambda: TODAY)
    monkeypatch.setattr(clock, "now", lambda: NOW)


@pytest.fixture
def app(sqlite_database: Database) -> Flask:
    """The application over an empty yard."""
    settings = Settings(sqlite_database.url, secret_key="for tests")  # noqa: S106
    return create_app(settings, sqlite_database)


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    """A browser without scripts."""
    return app.test_client()


@pytest.fixture
def shed(sqlite_database: Database) -> Shed:
    """A yard with one stack."""
    return make_shed(sqlite_database)


def send(client: FlaskClient, page: str, to: str, **typed: str) -> TestResponse:
    """Send a form from a page, with the secret that the page carries."""
    found = re.search(r'name="csrf_token" value="([^"]+)"', client.get(page).text)
    assert found, "the page carries no form"
    return client.post(to, data={"csrf_token": found[1]} | typed)
