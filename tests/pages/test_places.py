"""The list of places: their kind, stacks, this month's equilibrium and year."""

from flask.testing import FlaskClient

from tests import make
from tests.make_shed import Shed
from webapp.records import Database
from webapp.records.batch import open_batch


def test_an_empty_yard_says_what_to_do(client: FlaskClient) -> None:
    page = client.get("/places/").text
    assert "No place yet." in page
    assert "/places/new" in page
    assert "small-curve" not in page


def test_places_are_listed_with_their_year(client: FlaskClient, shed: Shed) -> None:
    assert shed.boards
    page = client.get("/places/").text
    assert "Long shed" in page
    assert "open shed" in page
    assert "Oak &lt;1&gt;" in page
    assert "<strong>14.3\u00a0%</strong>" in page
    assert "in March" in page
    assert page.count('class="small-curve"') == 1


def test_places_without_stacks_and_strange_names(
    client: FlaskClient, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        make.make_place(session, name='<b>"Bill\'s" 🌲 سقيفة')
        many = make.make_place(session, name="Barn", kind="unheated")
        for number in range(8):
            make.make_stack(session, many, mark=f"S-{number}")
    page = client.get("/places/").text
    assert "&lt;b&gt;&#34;Bill&#39;s&#34; 🌲 سقيفة" in page
    assert "no stack now" in page
    assert "and 2 more" in page
    assert "unheated building" in page
