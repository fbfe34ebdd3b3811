import pytest

from webapp.problems import (
    Busy,
    Conflict,
    NotFound,
    Problem,
    Refusal,
    Refused,
    RefusedFolder,
    YardFileProblem,
)


@pytest.mark.parametrize(
    ("kind", "status"),
    [
        (Problem, 400),
        (NotFound, 404),
        (Conflict, 409),
        (Refused, 422),
        (YardFileProblem, 500),
        (Busy, 503),
    ],
)
def test_a_problem_carries_its_sentence_and_status(kind: type[Problem], status: int) -> None:
    problem = kind("There is no stack W.")
    assert problem.status == status
    assert problem.sentence == str(problem) == "There is no stack W."


@pytest.mark.parametrize(
    ("line", "column", "text"),
    [
        (None, None, "boards.csv: too large"),
        (7, None, "boards.csv, line 7: too large"),
        (7, "species", "boards.csv, line 7, column species: too large"),
    ],
)
def test_a_refusal_says_where(line: int | None, column: str | None, text: str) -> None:
    assert str(Refusal("boards.csv", line, column, "too large")) == text


def test_a_refused_folder_counts_its_refusals() -> None:
    refusal = Refusal("boards.csv", 7, "species", "too large")
    one, many = RefusedFolder([refusal]), RefusedFolder([refusal] * 300)
    assert one.sentence.startswith("The folder was not imported: 1 thing in it")
    assert many.sentence.startswith("The folder was not imported: 300 things in it")
    assert (one.status, len(many.refusals)) == (422, 300)
    assert RefusedFolder([], "Two files contradict.").sentence == "Two files contradict."
