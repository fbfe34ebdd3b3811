import re
from datetime import timedelta

import pytest
from flask.testing import FlaskClient
from sqlalchemy.orm import Session

from tests import make
from tests.make_shed import TODAY, Shed
from webapp.look import Units
from webapp.pages.lots import amount_words
from webapp.pages.stack_lines import wood_words
from webapp.pages.ways import done_of, way_of
from webapp.records import Board, Database
from webapp.records.batch import open_batch


def test_the_yard_shows_each_stack_on_a_line(client: FlaskClient, shed: Shed) -> None:
    answer = client.get("/")
    assert answer.status_code == 200
    assert "10 March 2025" in answer.text
    assert f'href="/stacks/{shed.stack.code}"' in answer.text
    assert "white oak 27\u00a0mm" in answer.text
    assert "read 35 days ago" in answer.text
    assert re.search(r'aria-label="now [\d.]+ %, to reach 16 %"', answer.text)


def test_marks_are_shown_as_typed(client: FlaskClient, shed: Shed) -> None:
    assert "Oak &lt;1&gt;" in client.get("/").text


def test_a_stack_read_long_ago_is_on_the_walk_by_its_place(client: FlaskClient, shed: Shed) -> None:
    walk = client.get("/").text.split("Go and look")[1]
    assert "Long shed" in walk
    assert "Oak &lt;1&gt;" in walk.split("Fit for what")[0]


def test_no_curves_and_no_certainties_on_the_first_page(client: FlaskClient, shed: Shed) -> None:
    text = client.get("/").text
    assert "plotly" not in text
    assert "times in 100" not in text


def test_a_young_stack_tells_its_days_since_sawn(
    client: FlaskClient, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        sawn_on = TODAY - timedelta(days=12)
        stack = make.make_stack(session, from_on=sawn_on)
        make.make_board(session, stack, from_on=sawn_on, sawn_on=sawn_on)
    text = client.get("/").text
    assert "not read yet" in text
    assert "sawn 12 days ago" in text


def test_a_bar_fills_from_wet_to_its_goal() -> None:
    assert done_of(30.0, 10.0) == 0.0
    assert done_of(20.0, 10.0) == 50.0
    assert done_of(10.0, 10.0) == 100.0
    assert done_of(9.0, 10.0) == 100.0
    assert done_of(80.0, 10.0) == 0.0
    assert done_of(34.0, 32.0) == 0.0
    assert done_of(31.0, 32.0) == 100.0


def test_a_bar_names_both_ends(client: FlaskClient, shed: Shed) -> None:
    bar = client.get("/").text.split('class="way"')[1].split("</svg>")
    assert "30\u00a0%" in bar[0]
    assert "16\u00a0%" in bar[1]


def test_there_is_no_bar_where_the_moisture_is_not_known() -> None:
    assert way_of(float("nan"), []) is None
    assert way_of(14.0, []) is None


def test_wood_is_named_by_species_and_thickness(session: Session) -> None:
    oak = make.make_board(session, species="white oak", thickness_mm=27.0)
    ash = make.make_board(session, species="white ash", thickness_mm=52.5)
    elm = make.make_board(session, species="American elm", thickness_mm=40.0)
    metric, inch = Units.METRIC, Units.INCH
    assert wood_words([], metric) == "no boards"
    assert wood_words([oak], metric) == "white oak 27 mm"
    assert wood_words([oak], inch) == "white oak 1 1/16 in"
    assert wood_words([oak, ash], metric) == "white ash, white oak 27–52.5 mm"
    assert wood_words([oak, ash, elm], metric) == "3 species 27–52.5 mm"
    assert wood_words([oak, ash, elm], inch) == "3 species 1 1/16 – 2 1/16 in"


def test_an_amount_tells_volume_only_where_all_sizes_are_known(session: Session) -> None:
    sized = make.make_board(session, thickness_mm=25.4, width_mm=304.8, length_mm=3048.0)
    live_edge = make.make_board(
        session, thickness_mm=25.4, width_mm=254.0, width_end_mm=355.6, length_mm=3048.0
    )
    bare = make.make_board(session)
    assert amount_words([sized, live_edge], Units.METRIC) == "2 boards, 0.047 m³"
    assert amount_words([sized, live_edge], Units.INCH) == "2 boards, 20 bd ft"
    assert amount_words([sized, bare], Units.METRIC) == "2 boards"


def test_fit_boards_are_listed_by_use_with_amount_and_date(
    client: FlaskClient, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        room = make.make_place(session, name="Warm room", kind="heated", air_of="place")
        stack = make.make_stack(
            session, room, mark="Kiln 1", target_pct=20.0, use="kiln", board_count=60
        )
        for _n in range(2):
            board = make.make_board(session, stack, width_mm=200.0, length_mm=2000.0)
            _read(session, board, 14.0)
        own = make.make_board(session, stack, target_pct=25.0)
        _read(session, own, 14.0)
    text = client.get("/").text
    fit = text.split('id="fit"')[1].split("</section>")[0].replace("\u00a0", " ")
    assert "fit for the kiln (20 %)" in fit
    assert "2 boards" in fit
    assert "samples of about 60" in fit
    assert "fit for 25 %" in fit
    assert "last read 10 March 2025" in fit
    assert re.search(r"\b(ready|fit)\b(?! for)", fit) is None


def _read(session: Session, board: Board, value: float) -> None:
    for ago in (90, 60, 30, 0):
        day = TODAY - timedelta(days=ago)
        make.make_reading(session, board, read_on=day, shown=str(value), value=value)


@pytest.mark.parametrize(
    ("count", "why", "step"),
    [
        (None, "no boards yet", "Add boards"),
        (60, "about 60 boards, none marked", "Mark samples"),
    ],
)
def test_a_stack_without_boards_says_what_to_do(
    client: FlaskClient,
    shed: Shed,
    sqlite_database: Database,
    count: int | None,
    why: str,
    step: str,
) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        bare = make.make_stack(session, board_count=count)
    text = client.get("/").text.split("Stacks without boards")[1]
    assert why in text
    assert re.search(rf'href="/stacks/{bare.code}/boards">{step}<', text)


def test_an_emptied_stack_and_one_that_stands_nowhere_are_on_the_page(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        emptied = make.make_stack(session, mark="Emptied")
        board = make.make_board(session, emptied)
        board.stays[0].until_on = TODAY
        later = make.make_stack(session, mark="Later", from_on=TODAY + timedelta(days=3))
    text = client.get("/").text.split("Stacks without boards")[1]
    assert "no boards lie in it today" in text
    assert f'href="/stacks/{emptied.code}"' in text
    assert "stands nowhere yet" in text
    assert f'href="/stacks/{later.code}/move"' in text
