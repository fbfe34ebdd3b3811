"""Stacks set up, changed, moved and struck out in the browser."""

from datetime import date

import pytest
from flask.testing import FlaskClient

from tests import make
from tests.make_shed import Shed
from tests.pages.conftest import keys_in, keys_of, send
from webapp.records import Database, Stack
from webapp.records.batch import open_batch
from webapp.records.stack import live_stacks, place_of, stays_of_stack

TYPED = {
    "stack": "Ash “7” <b>🌳</b>",
    "place": "Long shed",
    "stacked_on": "2024-04-01",
    "use": "heated room",
    "stickers_mm": "3/4 in",
    "spacing_mm": "60 cm",
    "board_count": "60",
    "visit_days": "21",
    "note": "first line\nsecond line",
}


@pytest.fixture
def other_place(shed: Shed, sqlite_database: Database) -> str:
    """A second place."""
    assert shed.boards
    with sqlite_database.writing() as session:
        open_batch(session, "form", None, make.A_MOMENT)
        make.make_place(session, name="Warm room", kind="heated")
    return "Warm room"


def test_a_stack_is_set_up_and_leads_on_to_its_boards(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    assert shed.boards
    answer = send(client, "/stacks/new", "/stacks/new", **TYPED)
    assert answer.status_code == 303
    assert answer.location.endswith("/boards")
    assert "is set up. Now add its boards." in client.get(answer.location).text
    with sqlite_database.reading() as session:
        stack = next(s for s in live_stacks(session) if s.mark == TYPED["stack"])
        place = place_of(session, stack, date(2024, 4, 1))
    assert (stack.use, stack.target_pct, stack.visit_days) == ("heated room", 8.0, 21)
    assert stack.stickers_mm == pytest.approx(19.05)
    assert (stack.spacing_mm, stack.board_count) == (600, 60)
    assert stack.note == "first line\nsecond line"
    assert place is not None
    assert place.name == "Long shed"


def test_an_own_percent_wins_over_the_use(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    assert shed.boards
    send(client, "/stacks/new", "/stacks/new", **TYPED | {"target_pct": "9,5"})
    with sqlite_database.reading() as session:
        assert 9.5 in [stack.target_pct for stack in live_stacks(session)]


def test_a_yard_without_places_says_to_set_one_up_first(client: FlaskClient) -> None:
    page = client.get("/stacks/new").text
    assert "Set up the place first." in page
    assert "/places/new" in page


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"stack": ""}, "Mark: This is needed."),
        ({"stack": "x" * 10_000}, "Expected a mark of 1 to 60 signs"),
        ({"place": ""}, "Place: This is needed."),
        ({"place": "Nowhere"}, "There is no place “Nowhere” in the yard."),
        ({"stacked_on": "1.4.2024"}, "Stacked on: Expected a date as year-month-day"),
        ({"stacked_on": "2025-03-11"}, "this day has not come yet"),
        ({"stacked_on": "1925-03-01"}, "is the year 1925 right?"),
        ({"target_pct": "dry"}, "Expected a number of percent from 2 to 60"),
        ({"board_count": "-3"}, "Expected a whole number from 0"),
        ({"stickers_mm": "400"}, "Expected millimetres from 3 to 150"),
        ({"visit_days": "0"}, "Expected a whole number from 1 to 730"),
        ({"stack": "Oak <1>"}, "There is already a stack “Oak &lt;1&gt;” in the yard"),
    ],
)
def test_what_cannot_be_taken_comes_back_as_typed(
    client: FlaskClient, shed: Shed, typed: dict[str, str], said: str
) -> None:
    assert shed.boards
    answer = send(client, "/stacks/new", "/stacks/new", **TYPED | typed)
    assert answer.status_code in {422, 409}
    assert said in answer.text
    assert "second line</textarea>" in answer.text


def test_a_stack_set_up_twice_by_the_back_button_is_there_once(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    assert shed.boards
    keys = keys_of(client, "/stacks/new")
    first, second = (client.post("/stacks/new", data=keys | TYPED) for _turn in range(2))
    assert first.location == second.location
    assert "This was saved already." in client.get("/").text
    with sqlite_database.reading() as session:
        assert len(live_stacks(session)) == 2


def test_a_stack_is_changed_and_its_use_sets_the_percent(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    address = f"/stacks/{shed.stack.code}/edit"
    typed = _typed(shed) | {"use": "kiln", "target_pct": "", "name": "The wide ones"}
    assert send(client, address, address, **typed).status_code == 303
    page = client.get(address).text
    assert 'value="The wide ones"' in page
    with sqlite_database.reading() as session:
        (stack,) = live_stacks(session)
    assert (stack.use, stack.target_pct) == ("kiln", 20.0)


def test_the_first_day_can_be_mended_but_not_past_its_readings(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    address = f"/stacks/{shed.stack.code}/edit"
    earlier = _typed(shed) | {"stacked_on": "2024-04-20"}
    assert send(client, address, address, **earlier).status_code == 303
    with sqlite_database.reading() as session:
        assert stays_of_stack(session, shed.stack)[0].from_on == date(2024, 4, 20)
    late = send(client, address, address, **_typed(shed) | {"stacked_on": "2024-09-01"})
    assert late.status_code == 409
    assert 'value="2024-09-01"' in late.text
    with sqlite_database.reading() as session:
        assert stays_of_stack(session, shed.stack)[0].from_on == date(2024, 4, 20)


def test_two_people_change_a_stack_and_the_second_is_told(client: FlaskClient, shed: Shed) -> None:
    address = f"/stacks/{shed.stack.code}/edit"
    keys = keys_of(client, address)
    send(client, address, address, **_typed(shed) | {"held_by": "two straps", "name": "Ann's"})
    second = client.post(address, data=keys | _typed(shed) | {"name": "Bo's"})
    assert second.status_code == 409
    assert "you typed this." in second.text
    assert 'value="Bo&#39;s"' in second.text
    assert 'value="two straps"' in second.text
    again = _typed(shed) | {"name": "Bo's", "held_by": "two straps"}
    assert client.post(address, data=keys_in(second.text) | again).status_code == 303


def test_a_stack_is_moved(
    client: FlaskClient, shed: Shed, other_place: str, sqlite_database: Database
) -> None:
    address = f"/stacks/{shed.stack.code}/move"
    assert "It stands at Long shed now." in client.get(address).text
    answer = send(client, address, address, place=other_place, moved_on="2025-02-10")
    assert answer.status_code == 303
    assert "moved to Warm room." in client.get(answer.location).text
    with sqlite_database.reading() as session:
        assert [s.place.name for s in stays_of_stack(session, shed.stack)] == [
            "Long shed",
            "Warm room",
        ]


@pytest.mark.parametrize(
    ("place", "day", "said"),
    [
        ("Warm room", "2024-05-01", "it cannot move on"),
        ("Warm room", "2025-03-11", "this day has not come yet"),
        ("Long shed", "2025-02-10", "already stands at “Long shed”"),
        ("", "2025-02-10", "To: This is needed."),
        ("Warm room", "", "Moved on: This is needed."),
        ("<script>", "2025-02-10", "There is no place “&lt;script&gt;” in the yard."),
    ],
)
def test_a_move_that_cannot_be_is_refused_with_what_was_typed(
    client: FlaskClient, shed: Shed, other_place: str, place: str, day: str, said: str
) -> None:
    assert other_place
    address = f"/stacks/{shed.stack.code}/move"
    answer = send(client, address, address, place=place, moved_on=day)
    assert answer.status_code == 422
    assert said in answer.text
    assert f'value="{day}"' in answer.text


def test_a_stack_with_boards_is_not_struck_out(client: FlaskClient, shed: Shed) -> None:
    edit = f"/stacks/{shed.stack.code}/edit"
    answer = send(client, edit, f"/stacks/{shed.stack.code}/strike", why="by mistake")
    assert answer.location == edit
    assert client.get(f"/stacks/{shed.stack.code}").status_code == 200


def test_a_stack_entered_by_mistake_is_struck_out_and_undone(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    assert shed.boards
    send(client, "/stacks/new", "/stacks/new", **TYPED)
    with sqlite_database.reading() as session:
        stack: Stack = next(s for s in live_stacks(session) if s.mark == TYPED["stack"])
    edit = f"/stacks/{stack.code}/edit"
    answer = send(client, edit, f"/stacks/{stack.code}/strike")
    page = client.get(answer.location).text
    assert "The stack is struck out." in page
    assert client.get(edit).status_code == 404


def _typed(shed: Shed) -> dict[str, str]:
    return {
        "stack": shed.stack.mark,
        "place": "Long shed",
        "stacked_on": make.A_DAY.isoformat(),
        "target_pct": "16",
    }
