import logging
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp.problems import Busy, Conflict, YardFileProblem


def test_a_page_that_is_not_there(client: FlaskClient) -> None:
    answer = client.get("/nowhere")
    assert answer.status_code == 404
    assert "Nothing here by that name" in answer.text
    assert 'href="/"' in answer.text


def test_an_unknown_code_is_named(client: FlaskClient) -> None:
    answer = client.get("/stacks/<b>X")
    assert answer.status_code == 404
    assert "No stack has the code &lt;b&gt;X." in answer.text
    assert client.get("/boards/NOPE").status_code == 404


def test_a_form_without_its_secret_is_refused(client: FlaskClient) -> None:
    answer = client.post("/boards/NOPE/readings", data={"reading": "12"})
    assert answer.status_code == 400
    assert "open the page again" in answer.text


def test_a_request_of_the_wrong_kind(client: FlaskClient) -> None:
    answer = client.get("/boards/NOPE/readings")
    assert answer.status_code == 405
    assert "takes no such request" in answer.text


@pytest.mark.parametrize(
    ("problem", "status", "title"),
    [
        (Busy("The yard is being written."), 503, "The yard is busy just now"),
        (Conflict("There is already a stack W."), 409, "does not fit what is saved"),
        (YardFileProblem("The file is damaged."), 500, "The yard&#39;s file cannot be used"),
    ],
)
def test_a_problem_is_told_in_its_own_words(
    app: Flask, problem: Exception, status: int, title: str
) -> None:
    def fail() -> str:
        raise problem

    app.add_url_rule("/fails", "fails", fail)
    answer = app.test_client().get("/fails")
    assert answer.status_code == status
    assert title in answer.text
    assert str(problem) in answer.text


def test_a_yard_whose_file_was_deleted(client: FlaskClient, yard_file: Path) -> None:
    assert client.get("/").status_code == 200
    yard_file.unlink()
    answer = client.get("/")
    assert answer.status_code == 500
    assert "The yard&#39;s file cannot be used" in answer.text
    assert "yard.sqlite is gone" in answer.text
    assert "our fault" not in answer.text


def test_a_fault_of_ours_shows_no_insides_and_is_logged(
    app: Flask, caplog: pytest.LogCaptureFixture
) -> None:
    def fail() -> str:
        message = "inner workings"
        raise RuntimeError(message)

    app.add_url_rule("/fails", "fails", fail)
    with caplog.at_level(logging.ERROR):
        answer = app.test_client().get("/fails")
    assert answer.status_code == 500
    assert "our fault, not yours" in answer.text
    assert "inner workings" not in answer.text
    assert "inner workings" in caplog.text
