import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.entry.fields import Unreadable
from webapp.entry.temperatures import Scale, bare_scale, temperature_c, temperature_text
from webapp.look import Units


@pytest.mark.parametrize(
    ("text", "value_c"),
    [
        ("20", 20),
        ("20 C", 20),
        ("20°C", 20),
        ("20 °c", 20),
        ("20 ℃", 20),
        ("20 degrees Celsius", 20),
        ("68 F", 20),
        ("68 °F", 20),
        ("68\u202f°F", 20),
        ("68 degrees fahrenheit", 20),
        ("\u22125", -5),
        ("-5,5 °C", -5.5),
        ("- 5", -5),
        ("+3.5", 3.5),
        ("-40 F", -40),
        ("20°", 20),
        ("-0", 0),
    ],
)
def test_a_temperature_as_people_write_it(text: str, value_c: float) -> None:
    assert temperature_c(text, -70, 130, Scale.C) == value_c


def test_a_bare_number_is_in_the_persons_scale() -> None:
    assert temperature_c("68", -70, 130, bare_scale(Units.INCH)) == 20
    assert temperature_c("68", -70, 130, bare_scale(Units.METRIC)) == 68
    assert temperature_c("20 C", -70, 130, Scale.F) == 20


@pytest.mark.parametrize(
    "text", ["", "warm", "20 K", "20 C F", "1e1", "nan", "٢٠", "20 C C", "🌡", "2" * 10_000, "--5"]
)
@pytest.mark.parametrize("bare", list(Scale))
def test_what_is_no_temperature_is_refused(text: str, bare: Scale) -> None:
    expected = {
        Scale.C: "expected degrees Celsius from -70 to 130",
        Scale.F: "expected degrees Fahrenheit from -94 to 266",
    }[bare]
    with pytest.raises(Unreadable, match=expected):
        temperature_c(text, -70, 130, bare)


@pytest.mark.parametrize(
    ("text", "bare", "asked"),
    [
        ("180", Scale.C, "was 180 °F meant?"),
        ("-80", Scale.C, "was -80 °F meant?"),
        ("-100 °F", Scale.C, "expected degrees Celsius from -70 to 130"),
        ("1000", Scale.F, "expected degrees Fahrenheit from -94 to 266"),
    ],
)
def test_outside_its_limits_the_other_scale_is_asked_about(
    text: str, bare: Scale, asked: str
) -> None:
    with pytest.raises(Unreadable, match=re.escape(asked)):
        temperature_c(text, -70, 130, bare)


@pytest.mark.parametrize(
    ("value_c", "units", "text"),
    [
        (20, Units.METRIC, "20 °C"),
        (20, Units.INCH, "68 °F"),
        (-5.55, Units.METRIC, "-5.5 °C"),
        (-0.01, Units.METRIC, "0 °C"),
    ],
)
def test_a_temperature_is_written_in_the_persons_scale(
    value_c: float, units: Units, text: str
) -> None:
    assert temperature_text(value_c, units) == text


@given(st.floats(min_value=-69, max_value=129), st.sampled_from(list(Units)))
def test_what_was_written_is_read_back(value_c: float, units: Units) -> None:
    text = temperature_text(value_c, units)
    again = temperature_c(text, -70, 130, Scale.C)
    assert abs(again - value_c) <= 0.05 + 1e-9
    assert temperature_text(again, units) == text


@given(st.text(max_size=60), st.sampled_from(list(Scale)))
def test_any_text_is_a_temperature_or_a_refusal(text: str, bare: Scale) -> None:
    try:
        assert -70 <= temperature_c(text, -70, 130, bare) <= 130
    except Unreadable as error:
        assert str(error).startswith("expected degrees")  # noqa: PT017 - either way is right
