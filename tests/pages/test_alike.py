from webapp.pages.alike import group_alike
from webapp.problems import Refusal


def wrong(line: int | None, found: str, column: str | None = "reading") -> Refusal:
    return Refusal(
        "readings.csv", line, column, f"expected a number from 0 to 200; found “{found}”"
    )


def test_what_differs_only_in_values_is_told_together() -> None:
    (group,) = group_alike(wrong(line, f"damp {line}") for line in range(2, 40))
    assert [said.line for said in group.told] == [2, 3, 4]
    assert group.more == 35
    assert group.lines == tuple(range(5, 15))


def test_columns_files_and_sentences_are_told_apart_in_their_order() -> None:
    refusals = [
        wrong(2, "damp"),
        wrong(2, "damp", "temperature_c"),
        Refusal("boards.csv", 2, "reading", wrong(2, "damp").sentence),
        Refusal("readings.csv", 2, "reading", "expected a value"),
        wrong(3, "wet"),
    ]
    groups = group_alike(refusals)
    assert [len(group.told) for group in groups] == [2, 1, 1, 1]
    assert groups[0].told == (refusals[0], refusals[4])
    assert groups[0].more == 0
    assert groups[0].lines == ()


def test_what_belongs_to_no_line_is_counted_without_lines() -> None:
    (group,) = group_alike([wrong(None, str(number), None) for number in range(5)])
    assert (group.more, group.lines) == (2, ())


def test_nothing_gives_nothing() -> None:
    assert group_alike([]) == []
