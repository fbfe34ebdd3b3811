"""Form fields that read their text through the yard's parsers; errors stay with their field."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date
from typing import Any, Protocol

from wtforms import Field, Form
from wtforms.widgets import HiddenInput, TextArea, TextInput

from webapp.entry.fields import Unreadable, number_text, uid, whole_number, yes_or_no_text
from webapp.entry.sizes import Size, size_kind
from webapp.look import Units

NEEDED = "This is needed."
_MOST_CHANGES = 2_000_000_000


class SentFields(Protocol):
    """What a browser sent: texts under the names of the fields."""

    def __iter__(self) -> Iterator[str]:
        """Go through the names."""

    def __len__(self) -> int:
        """Count the names."""

    def __contains__(self, key: object, /) -> bool:
        """Tell whether a field was sent."""

    def getlist(self, key: str, /) -> list[str]:
        """List what was sent under one name."""


def text_of(value: object) -> str:
    """Write a checked value as a person would type it."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return yes_or_no_text(value)
    if isinstance(value, float):
        return number_text(value)
    return value.isoformat() if isinstance(value, date) else str(value)


class ParsedField(Field):
    """A line of text that becomes one checked value; what was typed stays to be seen."""

    widget: Any = TextInput()

    def __init__(
        self,
        label: str,
        read: Callable[[str], Any],
        *,
        write: Callable[[Any], str] = text_of,
        needed: bool = False,
        **options: Any,
    ) -> None:
        super().__init__(label, **options)
        self.read = read
        self.write = write
        self.needed = needed

    def _value(self) -> str:
        return str(self.raw_data[0]) if self.raw_data else self.write(self.data)

    def process_formdata(self, valuelist: Sequence[str]) -> None:
        """Read what was typed."""
        text = valuelist[0].strip() if valuelist else ""
        self.data = None
        if text:
            self.data = self._parsed(text)
        elif self.needed:
            raise ValueError(NEEDED)

    def put(self, value: object) -> None:
        """Put a checked value in place of what was typed."""
        self.data, self.raw_data = value, None

    def _parsed(self, text: str) -> object:
        try:
            return self.read(text)
        except Unreadable as error:
            sentence = str(error)
            end = "" if sentence.endswith("?") else "."
            raise ValueError(sentence[:1].upper() + sentence[1:] + end) from None


class TextField(ParsedField):
    """A text of several lines."""

    widget = TextArea()


class ChoiceField(ParsedField):
    """One of a few words; `choices` pairs each value with what is said of it."""

    def __init__(
        self,
        label: str,
        read: Callable[[str], Any],
        choices: Sequence[tuple[str, str]],
        *,
        unsaid: str = "not noted",
        **options: Any,
    ) -> None:
        super().__init__(label, read, **options)
        self.choices = list(choices)
        self.unsaid = unsaid


class UnitField(ParsedField):
    """A measure that is read and written in the person's units."""

    units = Units.METRIC

    def use(self, units: Units) -> None:
        """Read and write in these units from now on."""
        self.units = units


class SizeField(UnitField):
    """A length in the person's units; another unit may stand with the number."""

    def __init__(self, label: str, size: Size, **options: Any) -> None:
        super().__init__(label, size_kind(size, Units.METRIC).read, **options)
        self.size = size
        self.bare_unit = size.bare(Units.METRIC).sign

    def use(self, units: Units) -> None:
        """Read and write in these units from now on."""
        super().use(units)
        kind = size_kind(self.size, units)
        self.read, self.write = kind.read, lambda mm: "" if mm is None else kind.write(mm)
        self.bare_unit = self.size.bare(units).sign

    def _parsed(self, text: str) -> object:
        # What was not touched stays as it is kept: written in inches it may have been rounded.
        known = self.object_data
        return known if known is not None and text == self.write(known) else super()._parsed(text)


class _HiddenField(ParsedField):
    """A value that the page itself put there; an odd one counts as none."""

    widget = HiddenInput()

    def process_formdata(self, valuelist: Sequence[str]) -> None:
        """Read what was sent."""
        try:
            super().process_formdata(valuelist)
        except ValueError:
            self.data, self.raw_data = None, None


class YardForm(Form):
    """A form of the yard; it can be sent twice without being kept twice.

    ``uid`` is made when the form is drawn and names the batch it will open; ``seen`` is the
    newest change that a form of something already kept knew of.
    """

    uid = _HiddenField("Id", uid)
    seen = _HiddenField("Seen", lambda text: whole_number(text, 0, _MOST_CHANGES))

    def __init__(
        self,
        formdata: SentFields | None = None,
        *,
        data: Mapping[str, Any] | None = None,
        units: Units = Units.METRIC,
    ) -> None:
        self.units = units
        super().__init__(formdata or None, data=data)
        self.sent = bool(formdata)
        self.status = 422 if self.sent else 200

    def process(self, *args: Any, **options: Any) -> None:
        """Fill the fields, measures in the person's units."""
        for field in self:
            if isinstance(field, UnitField):
                field.use(self.units)
        super().process(*args, **options)

    def needs(self, *names: str) -> bool:
        """Whether one of these fields holds anything or is wrong, so that a fold stays open."""
        return any(self[name].data is not None or self[name].errors for name in names)

    def named(self, field: str) -> str:
        """Name a field where its trouble is told away from it; a question names itself."""
        return "" if field == "sure" or field not in self else str(self[field].label.text)
