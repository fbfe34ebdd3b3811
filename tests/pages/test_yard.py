import re
from datetime import timedelta

from flask.testing import FlaskClient
from sqlalchemy.orm import Session

from tests import make
from tests.make_shed import TODAY, Shed
from webapp.pages.lots import amount_words
from webapp.pages.stack_lines import way_of, wood_words
from webapp.records import Database
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


def test_an_empty_yard_says_what_to_do(client: FlaskClient) -> None:
    answer = client.get("/")
    assert answer.status_code == 200
    assert "flitchbook import FOLDER" in answer.text
    assert "flitchbook demo" in answer.text


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


def test_a_bar_runs_from_wet_to_dry() -> None:
    way = way_of(26.0, 12.0)
    assert way
    assert (way.now, way.goal) == (40.0, 80.0)
    assert way.label == "now 26 %, to reach 12 %"
    soaked = way_of(80.0, None)
    assert soaked
    assert (soaked.now, soaked.goal) == (0.0, None)
    assert way_of(float("nan"), 12.0) is None


def test_wood_is_named_by_species_and_thickness(session: Session) -> None:
    oak = make.make_board(session, species="white oak", thickness_mm=27.0)
    ash = make.make_board(session, species="white ash", thickness_mm=52.5)
    elm = make.make_board(session, species="American elm", thickness_mm=40.0)
    assert wood_words([]) == "no boards"
    assert wood_words([oak]) == "white oak 27 mm"
    assert wood_words([oak, ash]) == "white ash, white oak 27–52.5 mm"
    assert wood_words([oak, ash, elm]) == "3 species 27–52.5 mm"


def test_an_amount_tells_volume_only_where_all_sizes_are_known(session: Session) -> None:
    sized = make.make_board(session, thickness_mm=25.4, width_mm=304.8, length_mm=3048.0)
    live_edge = make.make_board(
        session, thickness_mm=25.4, width_mm=254.0, width_end_mm=355.6, length_mm=3048.0
    )
    bare = make.make_board(session)
    assert amount_words([sized, live_edge]) == "2 boards, 0.047 m³ (20 bd ft)"
    assert amount_words([sized, bare]) == "2 boards"
