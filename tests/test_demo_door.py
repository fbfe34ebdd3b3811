"""The door into the invented yard: made once, exchanged between requests, never in the way."""

import threading
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from itertools import count
from pathlib import Path

import pytest
from flask import Flask
from sqlalchemy import select

from tests.make import make_place
from webapp import demo_door
from webapp.application import create_app
from webapp.demo_door import DemoDoor, mount
from webapp.problems import Busy, Conflict, Problem
from webapp.records import Database, Place
from webapp.records.batch import open_batch
from webapp.settings import Settings
from webapp.yard.keep_file import hold_for_serving, open_yard

TODAY = date(2026, 5, 31)
NOW = datetime(2026, 5, 31, 9, tzinfo=UTC)
TOMORROW, LATER = TODAY + timedelta(days=1), NOW + timedelta(days=1)
WAIT_S = 10


class Builder:
    """Builds a yard of one place, named after the day, and counts how often."""

    def __init__(self) -> None:
        self.built: list[date] = []
        self.may_go_on = threading.Event()
        self.may_go_on.set()
        self.trouble: Exception | None = None

    def __call__(self, database: Database, today: date, at: datetime) -> None:
        self.built.append(today)
        assert self.may_go_on.wait(WAIT_S)
        with database.writing() as session:
            open_batch(session, "demo", None, at)
            make_place(session, name=f"Shed of {today}")
        if self.trouble:
            raise self.trouble


@pytest.fixture
def builder() -> Builder:
    return Builder()


@pytest.fixture
def demo_url(tmp_path: Path) -> str:
    return f"sqlite:///{tmp_path / 'demo.sqlite'}"


@pytest.fixture
def door(builder: Builder, demo_url: str) -> Iterator[DemoDoor]:
    made = DemoDoor(Settings(demo_url, secret_key="for tests"), builder)  # noqa: S106
    yield made
    made.close()


@pytest.fixture
def own(door: DemoDoor, tmp_path: Path) -> Iterator[Flask]:
    url = f"sqlite:///{tmp_path / 'yard.sqlite'}"
    database = open_yard(url)
    app = create_app(Settings(url, secret_key="for tests"), database)  # noqa: S106
    mount(app, door)
    yield app
    database.close()


def demo_app(door: DemoDoor) -> Flask:
    assert door._opened
    return door._opened[0]


def place_of(app: Flask) -> str:
    with app.extensions["database"].reading() as session:
        name: str = session.scalars(select(Place.name)).one()
    return name


def test_it_is_shut_until_somebody_enters(own: Flask, door: DemoDoor, builder: Builder) -> None:
    client = own.test_client()
    for path in ("/demo/", "/demo/stacks/WXYZ"):
        answer = client.get(path)
        assert (answer.status_code, answer.location) == (303, "/invented-yard")
    assert client.post("/demo/stacks/WXYZ").status_code == 405
    assert builder.built == []
    door.enter(TODAY, NOW)
    assert client.get("/demo/").status_code == 200
    assert builder.built == [TODAY]
    door.close()
    assert client.get("/demo/").status_code == 303


def test_entering_again_on_a_day_makes_nothing_new(
    door: DemoDoor, builder: Builder, demo_url: str
) -> None:
    door.enter(TODAY, NOW)
    opened = demo_app(door)
    door.enter(TODAY, NOW)
    assert demo_app(door) is opened
    door.close()
    another = DemoDoor(Settings(demo_url, secret_key="for tests"), builder)  # noqa: S106
    another.enter(TODAY, NOW)
    assert place_of(demo_app(another)) == f"Shed of {TODAY}"
    assert builder.built == [TODAY]
    another.close()


def test_another_day_or_the_wish_makes_it_anew(door: DemoDoor, builder: Builder) -> None:
    door.enter(TODAY, NOW)
    door.enter(TOMORROW, LATER)
    assert place_of(demo_app(door)) == f"Shed of {TOMORROW}"
    door.enter(TOMORROW, LATER, anew=True)
    assert builder.built == [TODAY, TOMORROW, TOMORROW]


@pytest.mark.parametrize("anew", [False, True])
def test_those_who_enter_at_once_make_it_once(
    door: DemoDoor, builder: Builder, monkeypatch: pytest.MonkeyPatch, *, anew: bool
) -> None:
    moments = count(1)

    def tick() -> int:
        moment = next(moments)
        if moment == 3:
            builder.may_go_on.set()
        return moment

    monkeypatch.setattr(demo_door, "monotonic", tick)
    builder.may_go_on.clear()  # until all three have asked
    entering = [
        threading.Thread(target=door.enter, args=(TODAY, NOW), kwargs={"anew": anew})
        for _ in range(3)
    ]
    for thread in entering:
        thread.start()
    for thread in entering:
        thread.join(WAIT_S)
    assert builder.built == [TODAY]


def test_it_is_not_exchanged_under_a_running_request(
    own: Flask, door: DemoDoor, builder: Builder
) -> None:
    door.enter(TODAY, NOW)
    old = demo_app(door)
    begun, may_end = threading.Event(), threading.Event()
    seen: list[str] = []

    def slow() -> str:
        begun.set()
        assert may_end.wait(WAIT_S)
        return place_of(old)

    old.add_url_rule("/slow", "slow", slow)
    visitor = threading.Thread(target=lambda: seen.append(own.test_client().get("/demo/slow").text))
    visitor.start()
    assert begun.wait(WAIT_S)
    entering = threading.Thread(target=door.enter, args=(TOMORROW, LATER))
    entering.start()
    entering.join(0.3)
    assert entering.is_alive()
    assert demo_app(door) is old
    may_end.set()
    visitor.join(WAIT_S)
    entering.join(WAIT_S)
    assert seen == [f"Shed of {TODAY}"]
    assert place_of(demo_app(door)) == f"Shed of {TOMORROW}"
    assert own.test_client().get("/demo/").status_code == 200


def test_a_page_that_never_ends_does_not_block_for_good(
    own: Flask, door: DemoDoor, builder: Builder, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(demo_door, "PATIENCE_S", 0.1)
    door.enter(TODAY, NOW)
    begun, may_end = threading.Event(), threading.Event()

    def slow() -> str:
        begun.set()
        may_end.wait(WAIT_S)
        return ""

    demo_app(door).add_url_rule("/slow", "slow", slow)
    visitor = threading.Thread(target=own.test_client().get, args=("/demo/slow",))
    visitor.start()
    assert begun.wait(WAIT_S)
    with pytest.raises(Busy, match="still being made"):
        door.enter(TOMORROW, LATER)
    assert own.test_client().get("/demo/").status_code == 200
    may_end.set()
    visitor.join(WAIT_S)
    door.enter(TOMORROW, LATER)
    assert place_of(demo_app(door)) == f"Shed of {TOMORROW}"


def test_a_failure_leaves_the_own_yard_and_the_last_demo(
    own: Flask, door: DemoDoor, builder: Builder, demo_url: str
) -> None:
    builder.trouble = Problem("half way")
    with pytest.raises(Problem, match="half way"):
        door.enter(TODAY, NOW)
    assert own.test_client().get("/").status_code == 200
    assert own.test_client().get("/demo/").status_code == 303
    with hold_for_serving(demo_url):  # what is not open is not held either
        pass
    builder.trouble = None
    door.enter(TODAY, NOW)
    builder.trouble = Problem("half way")
    with pytest.raises(Problem, match="half way"):
        door.enter(TOMORROW, LATER)
    assert place_of(demo_app(door)) == f"Shed of {TODAY}"
    assert own.test_client().get("/demo/").status_code == 200


def test_one_that_is_served_elsewhere_is_not_entered(
    door: DemoDoor, builder: Builder, demo_url: str
) -> None:
    with hold_for_serving(demo_url), pytest.raises(Conflict, match="another Flitchbook"):
        door.enter(TODAY, NOW)
    assert builder.built == []
    door.enter(TODAY, NOW)
    with pytest.raises(Conflict, match="served already"), hold_for_serving(demo_url):
        pass


def test_a_real_yard_in_its_place_is_left_alone(
    door: DemoDoor, builder: Builder, tmp_path: Path
) -> None:
    open_yard(f"sqlite:///{tmp_path / 'demo.sqlite'}").close()
    with pytest.raises(Conflict, match="not made by the demo"):
        door.enter(TODAY, NOW)
    assert builder.built == []


def test_no_own_page_hides_behind_the_invented_yard(own: Flask) -> None:
    hidden = {
        rule.endpoint for rule in own.url_map.iter_rules() if rule.rule.startswith(demo_door.MOUNT)
    }
    assert hidden == {"demo.shut"}


@pytest.mark.parametrize("path", ["/demo/", "/demo/static/site.css", "/demo/nowhere"])
def test_the_policy_and_the_names_hold_there_too(own: Flask, door: DemoDoor, path: str) -> None:
    door.enter(TODAY, NOW)
    with own.test_client().get(path, headers={"Host": "yard.example"}) as strange:
        assert strange.status_code == 400
        assert b"does not answer to this name" in strange.data
    with own.test_client().get(path) as answer:
        for name in ("Content-Security-Policy", "X-Frame-Options", "Cross-Origin-Opener-Policy"):
            with own.test_client().get("/") as page:
                assert answer.headers[name] == page.headers[name]
