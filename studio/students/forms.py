"""Forms of students, their days away, and the studio's instruments."""

from studio.accounts.forms import Rows, StudioForm
from studio.students.models import WEEKDAYS, DayAway, Instrument, Student

PRACTICE = tuple(f"practice_{day}" for day in WEEKDAYS)


class StudentForm(StudioForm):
    """A student, with the usual week of practice."""

    owner = "studio"
    taken = ("name", "Another student has this name. Add something that tells them apart.")
    defaulted = PRACTICE
    lines = (
        ("known_as", "email"),
        ("instrument", "school_year"),
        ("since", "lesson_day", "lesson_at"),
        ("latitude", "longitude", "time_zone"),
        PRACTICE,
    )
    legends = {PRACTICE: "Minutes of practice on each day of the week"}

    class Meta:
        model = Student
        fields = [
            "name",
            "known_as",
            "email",
            "instrument",
            "school_year",
            "since",
            "lesson_day",
            "lesson_at",
            *PRACTICE,
            "at_school",
            "town",
            "latitude",
            "longitude",
            "time_zone",
            "also_plays",
            "notes",
        ]
        field_classes = {"also_plays": Rows}
        labels = {
            "since": "Here since",
            "lesson_day": "Lesson day",
            "lesson_at": "Lesson time",
        }
        help_texts = {
            "email": "Needed for their invitation.",
            "latitude": "As a map shows it: 41.88.",
            "longitude": "West is negative: -87.63.",
            "also_plays": "Hold Ctrl, or Cmd on a Mac, to choose several.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["time_zone"].widget = self.zones()
        for name in PRACTICE:
            self.fields[name].widget.attrs["max"] = 1440


class DayAwayForm(StudioForm):
    """Days on which a student cannot audition."""

    owner = "student"
    taken = ("first", "Days away from that day on are written down already.")
    defaulted = ("kind",)
    lines = (("first", "last"),)

    class Meta:
        model = DayAway
        fields = ["kind", "first", "last", "reason"]
        labels = {"kind": "Why"}
        help_texts = {"kind": "Away: no practice is counted. Exams: they practise, but cannot go."}


class InstrumentForm(StudioForm):
    """An instrument of the studio's list."""

    owner = "studio"
    taken = ("name", "The list has an instrument of this name already.")
    defaulted = ("semitones",)
    lines = (("family", "position"), ("lowest", "highest"))

    class Meta:
        model = Instrument
        fields = ["name", "family", "position", "semitones", "lowest", "highest"]
        help_texts = {"lowest": "C4 is middle C.", "highest": "F#3, Bb4 and the like."}
