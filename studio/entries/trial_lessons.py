"""Trial lessons: what came of asking, when one is, what it cost, in words for pages and calendars.

Where a page shows them among much else, they come in one column of the students (`with_lessons`).
Nothing else here queries.
"""

from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property

from django.db.models import F, OuterRef

from planner import zones
from planner.deadlines.wording import dated
from studio.accounts.access import readable
from studio.accounts.words import money
from studio.entries.checklist import clock, within
from studio.entries.models import TrialLesson
from studio.entries.network import place_zone
from studio.gathered import gathered, read
from studio.institutions.models import Institution

PATIENCE = 21  # days without an answer before asking again: common practice, no source
ASK = (
    "how lessons and studio classes go through the week",
    "who else teaches, and who takes over while the teacher is on tour",
    "how often students perform, alone and in ensembles",
    "where those went who left with a degree",
)
FIELDS = (
    "id",
    "student_id",
    "institution_id",
    "teacher",
    "asked_on",
    "reply",
    "on",
    "at",
    "held",
    "worked_on",
    "questions",
    "impressions",
)
PLACE = {
    "place": "institution__name",
    "short": "institution__short_name",
    "zone": "institution__time_zone",
    "zone_above": "institution__part_of__time_zone",
}
Reply = TrialLesson.Reply


@dataclass(frozen=True)
class When:
    """When a lesson is: by the clock there, and by the student's own where that differs.

    at: aware; None while the time or the zone of the place is not known.
    """

    words: str
    here: str
    at: datetime | None


class Lesson:
    """One trial lesson as pages and calendars show it.

    today, home_zone: the student's. currency: the studio's.
    """

    def __init__(self, row, today: date, home_zone: str, currency: str = ""):
        self.row, self.today, self.home_zone, self.currency = row, today, home_zone, currency

    @property
    def place(self):
        """Where it is."""
        return self.row.institution

    @property
    def is_ahead(self):
        """Whether it is still to come, or nobody knows yet when it is."""
        row = self.row
        return row.reply != Reply.NO and not row.held and (row.on is None or row.on >= self.today)

    @cached_property
    def when(self):
        """The When of a lesson with a day, else None."""
        row = self.row
        if row.on is None:
            return None
        words = dated(row.on, self.today)
        if row.at is None:
            return When(f"{words}, the time is not known yet", "", None)
        zone = place_zone(self.place)
        if zone is None:
            return When(f"{words}, {clock(row.at)} there, time zone not known", "", None)
        at = zones.moment(row.on, row.at, zones.zone(zone)).at
        here = at.astimezone(zones.zone(self.home_zone))
        if here.utcoffset() == at.utcoffset():
            return When(f"{words}, {clock(row.at)}", "", at)
        day = "" if here.date() == row.on else f" on {here:%A}"
        there = f"{words}, {clock(row.at)} {zones.spoken(zone)}"
        return When(there, f"{clock(here.time())} at home{day}", at)

    @property
    def state(self):
        """How far it has come, in words."""
        row = self.row
        if row.reply == Reply.NO:
            return "The answer was no"
        if row.held:
            return "It took place"
        if row.on is not None:
            return self._of_a_day()
        if row.reply == Reply.YES:
            return "The answer was yes: settle a day"
        if row.asked_on is None:
            return "Not asked yet: lessons are asked for months ahead"
        days = (self.today - row.asked_on).days
        again = ": ask again" if days >= PATIENCE else ""
        return f"Asked {within(-days)}, no answer yet{again}"

    def _of_a_day(self):
        if self.row.on < self.today:
            return "Did it take place? Nobody has written it down"
        answer = "" if self.row.reply == Reply.YES else ", not confirmed yet"
        return f"{within((self.row.on - self.today).days).capitalize()}{answer}"

    @property
    def presses(self):
        """Whether somebody has to act: settle a day, ask again, say whether it took place."""
        row = self.row
        if row.reply == Reply.NO or row.held:
            return False
        if row.on is not None:
            return row.on < self.today
        waited = row.asked_on is not None and (self.today - row.asked_on).days >= PATIENCE
        return row.reply == Reply.YES or waited

    @property
    def price(self):
        """What it costs, "" where that is not written down."""
        return "" if self.row.cost is None else money(self.row.cost, self.currency)

    @property
    def questions(self):
        """The student's questions, one each."""
        return [line.strip() for line in self.row.questions.splitlines() if line.strip()]


class Lessons:
    """A student's trial lessons: those ahead by their day, then those that were, latest first."""

    def __init__(self, rows, today, home_zone, currency=""):
        self.currency = currency
        self.all = [Lesson(row, today, home_zone, currency) for row in rows]

    @classmethod
    def of(cls, season):
        """Return those of a bridge.Season whose student is of `with_lessons`."""
        student = season.student
        return cls(lessons_of(student), season.today, student.home_zone, student.studio.currency)

    @property
    def ahead(self):
        """Those to come, first those with a day."""
        return sorted((each for each in self.all if each.is_ahead), key=_by_day)

    @property
    def over(self):
        """Those that were, that nothing came of, or of which nobody has said whether they were."""
        return sorted((each for each in self.all if not each.is_ahead), key=_by_day, reverse=True)

    @property
    def shown(self):
        """What the student sees of them: all that were not refused."""
        return [each for each in (*self.ahead, *self.over) if each.row.reply != Reply.NO]

    def cost(self, held):
        """Return what those that took place cost, or those to come; "": nothing is known."""
        some = [
            each.row.cost
            for each in self.all
            if each.row.cost is not None
            and each.row.reply != Reply.NO
            and (each.row.held if held else each.is_ahead)
        ]
        return money(sum(some), self.currency) if some else ""

    @property
    def spent(self):
        """What those that took place cost, "" if nothing is written down."""
        return self.cost(held=True)

    @property
    def to_spend(self):
        """What those ahead will cost, "" if nothing is written down."""
        return self.cost(held=False)


def _by_day(lesson):
    return (lesson.row.on or date.max, str(lesson.place))


def lessons(who, student):
    """Return the student's trial lessons that the asker may see, with their places. One query."""
    rows = readable(who, TrialLesson).filter(student=student)
    return rows.select_related("institution__part_of")


def with_lessons(students):
    """Annotate `students` with their trial lessons, for `lessons_of`: no query more."""
    own = TrialLesson.objects.filter(student=OuterRef("pk"))
    place = {name: F(path) for name, path in PLACE.items()}
    return students.annotate(trial_rows=gathered(own, "student", FIELDS, **place))


def lessons_of(student):
    """Return the trial lessons of a student of `with_lessons`; of any other none."""
    found = []
    for row, values in read(TrialLesson, getattr(student, "trial_rows", ()), FIELDS):
        row.institution = Institution(
            pk=row.institution_id,
            name=values["place"],
            short_name=values["short"],
            time_zone=values["zone"] or values["zone_above"] or "",
        )
        found.append(row)
    return found
