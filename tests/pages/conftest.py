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


def keys_in(page: str) -> dict[str, str]:
    """Read what a page's first form, after any Undo, carries hidden: secret, key, last change."""
    main = page[page.index("<main") :]
    forms = [form for form in main.split("<form ")[1:] if "/history/" not in form[:200]]
    assert forms, "the page carries no form"
    return dict(re.findall(r'<input type="hidden" name="([a-z_]+)" value="([^"]*)"', forms[0]))


def keys_of(client: FlaskClient, page: str) -> dict[str, str]:
    """Open a page and read what its form carries hidden."""
    return keys_in(client.get(page).text)


def send(client: FlaskClient, page: str, to: str, **typed: str) -> TestResponse:
    """Send a form from a page, as the page carries it for that address."""
    return client.post(to, data=keys_of(client, page) | typed)
