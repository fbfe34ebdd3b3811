from datetime import date
from uuid import UUID

import pytest
from werkzeug.datastructures import MultiDict

from webapp.entry.form import ParsedField
from webapp.entry.reading_form import ReadingForm
from webapp.entry.reading_text import ShownReading
from webapp.look import Units

TODAY = date(2024, 5, 31)


def sent(**typed: str) -> ReadingForm:
    return ReadingForm(MultiDict(typed), today=TODAY)


def test_it_works() -> None:
    uid = "018f0000-0000-7000-8000-000000000001"
    form = sent(
        board="W7",
        reading="13,5 14",
        read_on="2024-05-30",
        meter="m1",
        temperature_c="-3",
        spot="Face",
        uid=uid,
    )
    assert form.validate(), form.errors
    entry = form.entry()
    assert (entry.board, entry.read_on, entry.meter) == ("W7", date(2024, 5, 30), "m1")
    assert entry.hits == (ShownReading("13,5", 13.5), ShownReading("14", 14))
    assert (entry.temperature_c, entry.spot, entry.depth, entry.uid) == (
        -3,
        "face",
        None,
        UUID(uid),
    )


def test_a_temperature_is_read_in_the_scale_of_the_reader() -> None:
    typed = MultiDict({"board": "W7", "reading": "13.5", "temperature_c": "50"})
    form = ReadingForm(typed, today=TODAY, units=Units.INCH)
    assert form.validate(), form.errors
    assert form.entry().temperature_c == 10.0
    typed["temperature_c"] = "10 C"
    assert ReadingForm(typed, today=TODAY, units=Units.INCH).entry().temperature_c == 10.0


def test_no_date_means_today() -> None:
    form = sent(board="W7", reading=">30", read_on="")
    assert form.validate()
    assert form.entry().read_on == TODAY


@pytest.mark.parametrize(
    ("field", "text", "sentence"),
    [
        ("board", "", "This is needed."),
        ("reading", "", "This is needed."),
        ("reading", "wet", "Expected a reading above 0 and at most 250 percent"),
        ("reading", "-3", "Expected a reading above 0"),
        ("read_on", "31/05/2024", "looks like day, month, year: write 2024-05-31."),
        ("read_on", "2024-06-01", "this day has not come yet"),
        ("temperature_c", "hot", "Expected degrees Celsius from -70 to 130"),
        ("depth", "deep", "one of shell, quarter, core, mean"),
    ],
)
def test_an_error_stays_with_its_field_and_with_what_was_typed(
    field: str, text: str, sentence: str
) -> None:
    form = sent(**({"board": "W7", "reading": "12"} | {field: text}))
    assert not form.validate()
    assert list(form.errors) == [field]
    assert sentence in form[field].errors[0]
    faulty = form[field]
    assert isinstance(faulty, ParsedField)
    assert faulty._value() == text


def test_it_asks_about_a_slip_once_and_does_not_block() -> None:
    form = sent(board="W7", reading="113")
    assert form.validate()
    assert "was 11.3 meant?" in str(form.question((11, 12), None))
    assert "more than this meter can show" in str(form.question(None, 30))
    assert "more than most meters show" in str(form.question(None, None))
    assert sent(board="W7", reading="113", sure="y").question((11, 12), 30) is None
    assert sent(board="W7", reading=">30").question((11, 12), 20) is None
