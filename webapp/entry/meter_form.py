"""The form of a meter: what it is, how it is set, what it can show."""

from wtforms.validators import ValidationError

from webapp.entry import kinds
from webapp.entry.entries import MeterEntry
from webapp.entry.form import ChoiceField, ParsedField, SizeField, YardForm
from webapp.entry.sizes import NEEDLE

KIND_WORDS = (("pin", "with pins"), ("pinless", "without pins"))
SCALE_WORDS = (
    ("as_shown", "set to this wood on the meter, or as it stands"),
    ("douglas_fir", "Douglas-fir, for all woods"),
)
TEMPERATURE_WORDS = (
    ("compensated", "yes"),
    ("not_compensated", "no: correct it from the wood temperature noted"),
)
NEEDLE_WORDS = (("yes", "insulated but for the tip"), ("no", "bare"))


class MeterForm(YardForm):
    """A meter as typed."""

    meter = ParsedField("Name", kinds.MARK.read, needed=True)
    kind = ChoiceField("Kind", kinds.METER_KIND.read, KIND_WORDS, needed=True, unsaid="choose")
    scale = ChoiceField(
        "Scale",
        kinds.METER_SCALE.read,
        SCALE_WORDS,
        needed=True,
        unsaid="choose",
    )
    temperature = ChoiceField(
        "Does it correct for temperature?",
        kinds.METER_TEMPERATURE.read,
        TEMPERATURE_WORDS,
        needed=True,
        unsaid="choose",
    )
    over_range_pct = ParsedField("Highest it can show, %", kinds.OVER_RANGE_PCT.read)
    under_range_pct = ParsedField("Lowest it can show, %", kinds.UNDER_RANGE_PCT.read)
    needle_mm = SizeField("Length of its pins", NEEDLE)
    insulated = ChoiceField("Its pins are", kinds.YES_OR_NO.read, NEEDLE_WORDS)

    def validate_under_range_pct(self, field: ParsedField) -> None:
        """Refuse a lowest that does not lie below the highest."""
        high = self.over_range_pct.data
        if field.data is not None and high is not None and field.data >= high:
            raise ValidationError("The lowest must lie below the highest it can show.")

    def entry(self) -> MeterEntry:
        """Give the checked meter; only after `validate` found no error."""
        return MeterEntry(
            meter=self.meter.data,
            kind=self.kind.data,
            scale=self.scale.data,
            temperature=self.temperature.data,
            over_range_pct=self.over_range_pct.data,
            under_range_pct=self.under_range_pct.data,
            needle_mm=self.needle_mm.data,
            insulated=self.insulated.data,
            uid=self.uid.data,
        )
