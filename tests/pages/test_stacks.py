import json
import re

from flask.testing import FlaskClient

from tests import make
from tests.make_shed import Shed
from webapp.records import Database
from webapp.records.batch import open_batch


def test_a_stack_tells_verdict_chart_and_boards(client: FlaskClient, shed: Shed) -> None:
    answer = client.get(f"/stacks/{shed.stack.code}")
    assert answer.status_code == 200
    assert "Long shed" in answer.text
    assert 'class="sentence"' in answer.text
    assert 'class="next"' in answer.text
    for board in shed.boards:
        assert f'href="/boards/{board.code}">{board.mark}</a>' in answer.text


def test_a_code_may_be_typed_small(client: FlaskClient, shed: Shed) -> None:
    assert client.get(f"/stacks/{shed.stack.code.lower()}").status_code == 200


def test_the_chart_lies_on_the_page_as_data_that_no_mark_can_end(
    client: FlaskClient, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        stack = make.make_stack(session)
        board = make.make_board(session, stack, mark="</script><b>")
        make.make_reading(session, board)
    text = client.get(f"/stacks/{stack.code}").text
    data = re.search(r'<script type="application/json" id="chart-data">(.*?)</script>', text)
    assert data
    figure = json.loads(data[1])
    assert {"data", "layout"} <= set(figure)
    assert any(trace.get("meta") == {"board": "</script><b>"} for trace in figure["data"])


def test_the_tables_beside_the_chart_hold_its_numbers(client: FlaskClient, shed: Shed) -> None:
    text = client.get(f"/stacks/{shed.stack.code}").text
    read = text.split("Every reading, corrected</summary>")[1].split("</details>")[0]
    assert read.count('<th scope="row">') == 6
    for mark in ("W1", "W2", "W3", "W4"):
        assert f'class="number">{mark}</th>' in read
    ahead = text.split("What lies ahead, month by month</summary>")[1].split("</details>")[0]
    assert "1 April 2025" in ahead
    assert re.search(r"[\d.]+ – [\d.]+\u00a0%", ahead)


def test_a_board_that_was_not_read_is_not_passed_over(client: FlaskClient, shed: Shed) -> None:
    assert "3 read, 1 not read" in client.get(f"/stacks/{shed.stack.code}").text


def test_a_stack_without_boards_says_so(client: FlaskClient, sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        stack = make.make_stack(session)
    answer = client.get(f"/stacks/{stack.code}")
    assert answer.status_code == 200
    assert "No boards lie in this stack yet." in answer.text


def test_what_is_known_of_a_stack_is_told(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", None, make.A_MOMENT)
        stack = make.make_stack(
            session,
            mark="K",
            stickers_mm=19.0,
            board_count=60,
            held_by="two <straps>",
            visit_days=21,
        )
    page = client.get(f"/stacks/{stack.code}").text
    for said in ("60 boards", "19 mm", "two &lt;straps&gt;", "every 21 days"):
        assert said in page
    assert "About it" not in client.get(f"/stacks/{shed.stack.code}").text
