import re
from datetime import date

import pytest
from flask.testing import FlaskClient

from tests import make
from tests.make_lines import made_line
from tests.make_shed import TODAY, Shed
from webapp.drying.verdict import State
from webapp.look import Units
from webapp.pages.filters import Choice, choices_of, piece_wanted, wanted_of
from webapp.records import Database, Stack
from webapp.records.batch import open_batch

CHOICES = [
    Choice("species", "Species", "all", {"white oak": "white oak", "Elm": "Elm"}),
    Choice("state", "State", "all", {State.SLOW_SEASON.value: "slow season"}),
    Choice("thickness", "Thickness", "all", {"52.5": "52.5 mm", "27": "27 mm"}),
]
SAWN = date(2024, 5, 4)


@pytest.fixture
def ash(shed: Shed, sqlite_database: Database) -> Stack:
    """A second stack, of other wood at another place."""
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        stack = make.make_stack(session, make.make_place(session, name="Loft"), mark="Ash 2")
        make.make_board(session, stack, species="white ash", thickness_mm=52.5)
        make.make_board(session, stack, species="white ash", thickness_mm=53.0)
    return stack


def test_what_is_asked_for_is_said_again() -> None:
    asked = {"species": " White  OAK", "thickness": "27", "state": "slow season", "page": "3"}
    wanted = wanted_of(asked, CHOICES, Units.METRIC)
    assert wanted.query == {"species": "white oak", "thickness": "27", "state": "slow season"}
    assert wanted.shown == ("white oak", "slow season", "27 mm")
    assert wanted.odd == ()


@pytest.mark.parametrize("value", ["teak", "<b>", "x" * 9000, "white oak; elm"])
def test_what_is_not_here_is_passed_over_with_a_word(value: str) -> None:
    wanted = wanted_of({"species": value, "thickness": "27"}, CHOICES, Units.METRIC)
    assert wanted.query == {"thickness": "27"}
    [word] = wanted.odd
    assert word.startswith("Species “")
    assert len(word) < 60


@pytest.mark.parametrize("value", ["wet", "27", "52.5 ", "nan"])
def test_each_field_has_its_own_values(value: str) -> None:
    assert not wanted_of({"state": value}, CHOICES, Units.METRIC).query


@pytest.mark.parametrize(
    ("query", "shown"),
    [
        ("species=white+oak", "oak"),
        ("species=white+ash", "ash"),
        ("place=Loft", "ash"),
        ("place=Long+shed", "oak"),
        ("thickness=27", "oak"),
        ("thickness=52.5", "ash"),
        ("state=read+again", "ash"),
        ("species=white+ash&place=Loft&thickness=53", "ash"),
    ],
)
def test_the_address_says_what_is_shown(
    client: FlaskClient, shed: Shed, ash: Stack, query: str, shown: str
) -> None:
    text = client.get(f"/?{query}").text
    codes = {"oak": shed.stack.code, "ash": ash.code}
    assert [name for name, code in codes.items() if f"/stacks/{code}" in text] == [shown]
    assert 'class="active"' in text
    assert '<a class="all" href="/">' in text


def test_without_a_filter_everything_is_shown(client: FlaskClient, shed: Shed, ash: Stack) -> None:
    text = client.get("/").text
    assert f"/stacks/{shed.stack.code}" in text
    assert f"/stacks/{ash.code}" in text
    assert 'class="active"' not in text


def test_only_what_is_there_can_be_chosen(client: FlaskClient, shed: Shed, ash: Stack) -> None:
    text = client.get("/?place=Loft").text
    assert '<option value="white ash"' in text
    assert '<option value="white oak"' in text
    assert "teak" not in text
    assert re.search(r'<option value="Loft"\s+selected>', text)
    assert len(re.findall("selected>", text)) == 1


def test_filters_that_go_with_no_stack_say_so(client: FlaskClient, shed: Shed, ash: Stack) -> None:
    text = client.get("/?species=white+oak&place=Loft").text
    assert "No stack is like that." in text
    assert "Show all" in text


def test_an_odd_address_shows_the_yard_with_a_word(
    client: FlaskClient, shed: Shed, ash: Stack
) -> None:
    answer = client.get("/?species=<script>&state=haunted&thickness=-1&place=Loft")
    assert answer.status_code == 200
    assert "Species “&lt;script&gt;”" in answer.text
    assert "State “haunted”" in answer.text
    assert f"/stacks/{shed.stack.code}" not in answer.text
    assert f"/stacks/{ash.code}" in answer.text


def test_fields_left_open_do_not_stay_in_the_address(
    client: FlaskClient, shed: Shed, ash: Stack
) -> None:
    answer = client.get("/?species=&place=Long+shed&state=&thickness=")
    assert answer.status_code == 302
    assert answer.headers["Location"] == "/?place=Long+shed"
    assert client.get("/?species=&place=").headers["Location"] == "/"


def test_an_address_leads_nowhere_else(client: FlaskClient, shed: Shed) -> None:
    answer = client.get("/?_external=1&_scheme=ftp&_anchor=x&species=")
    assert answer.headers["Location"].startswith("/?")


def test_the_way_back_to_the_yard_keeps_the_filter(
    client: FlaskClient, shed: Shed, ash: Stack
) -> None:
    client.get("/?place=Loft")
    assert 'href="/?place=Loft"' in client.get(f"/stacks/{ash.code}").text
    client.get("/")
    assert "place=Loft" not in client.get(f"/stacks/{ash.code}").text


def test_stacks_without_boards_are_found_by_place_alone(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        bare = make.make_stack(session, make.make_place(session, name="Loft"), mark="Bare")
    assert f"/stacks/{bare.code}" in client.get("/?place=Loft").text
    assert f"/stacks/{bare.code}" not in client.get("/?place=Long+shed").text
    assert f"/stacks/{bare.code}" not in client.get("/?species=white+oak").text


def test_wood_of_one_stack_is_filtered_in_what_is_fit(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        place = make.make_place(session, name="Loft")
        stack = make.make_stack(session, place, mark="Mixed", target_pct=30.0)
        for species in ("white ash", "black cherry"):
            board = make.make_board(session, stack, from_on=SAWN, species=species)
            for day in (date(2025, 1, 10), date(2025, 2, 10), TODAY):
                make.make_reading(session, board, read_on=day, shown="15", value=15.0)
    fit = client.get("/?species=white+ash").text.split('id="fit"')[1].split("</section>")[0]
    assert "white ash" in fit
    assert "black cherry" not in fit


def test_a_field_with_one_value_is_not_offered(client: FlaskClient, shed: Shed) -> None:
    assert 'class="filters"' not in client.get("/").text
    assert 'name="species"' in client.get("/?species=white+oak").text


def test_inches_that_read_alike_are_one_choice() -> None:
    oak = made_line([State.DRYING] * 3)
    for piece, mm in zip(oak.pieces, (25.4, 25.5, 50.8), strict=True):
        piece.board.thickness_mm = mm
    [thickness] = [c for c in choices_of([oak], [], Units.INCH) if c.name == "thickness"]
    assert list(thickness.values.values()) == ["1 in", "2 in"]
    inch = wanted_of({"thickness": next(iter(thickness.values))}, [thickness], Units.INCH)
    assert [piece_wanted(piece, inch) for piece in oak.pieces] == [True, True, False]
    exact = choices_of([oak], [], Units.METRIC)[-1]
    assert list(exact.values.values()) == ["25.4 mm", "25.5 mm", "50.8 mm"]
