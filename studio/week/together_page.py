"""The page of everybody's dates: who comes along, what clashes, and the plan in words.

Nothing here queries.
"""

from dataclasses import dataclass
from functools import cached_property

from django.urls import reverse

from planner.deadlines.wording import full_day, listed
from planner.travel import duration
from planner.zones import zone
from studio.accounts.words import counted, money
from studio.answers import why_not
from studio.entries.checklist import clock
from studio.entries.dates_words import day_of, points_of
from studio.week import companions
from studio.week.book import OwnDay
from studio.week.calendar import MOST
from studio.week.outings import Outing
from studio.week.troubles import Trouble

CARE = (
    "Dates that are confirmed or assigned stay as they are. Whoever is away for some hours of a "
    "day is planned with as if for all of it.",
    "Students to whose auditions nobody comes along are not in here: their dates stand alone.",
)
THE_TEACHER = "the teacher"
NAMED = 4  # clashes that the engine's reasons name; more stand in a fold
NO_DATES = {
    "title": "No dates to choose yet",
    "text": "As soon as students are entered for auditions that offer dates, those to which an "
    "accompanist or the teacher comes along are planned together here.",
    "label": "Go to the students",
}
NOBODY_COMES = {
    "title": "Nobody is shared",
    "text": "Nobody comes along to an audition yet. Open a student’s entry and choose who plays, "
    "or that the teacher comes along: then these dates are planned together.",
    "label": "Go to the students",
}
NOBODY_KNOWN = {
    "title": "Nobody is shared",
    "text": "No accompanist is written down. Write down who plays, and how many players a day; "
    "then choose them in the entries, or say there that the teacher comes along. Until then each "
    "student’s dates stand alone.",
    "label": "Add an accompanist",
}


@dataclass(frozen=True)
class DateLine:
    """One audition of the plan. state: "as chosen", "new", "instead of …", or why it stays."""

    name: str
    when: str
    who: str
    state: str
    url: str
    moved: bool


@dataclass(frozen=True)
class StudentLine:
    """A student's dates in the plan. cost: what they cost more than the student's own best."""

    student: object
    dates: tuple[DateLine, ...]
    asks: str
    cost: str
    takes: int


@dataclass(frozen=True)
class Person:
    """Somebody who comes along. lines: their days, to send them."""

    name: str
    email: str
    lines: tuple[str, ...]


class TogetherPage:
    """A together.Together as `who` sees it. asked: whether a plan was asked for."""

    care = CARE

    def __init__(self, together, who, asked=False):
        self.together, self.asked = together, asked
        self.may_edit = who.is_teacher
        self.currency = together.studio.currency

    # what is known at once

    @cached_property
    def empty(self):
        """What to do where nobody is shared; None where there is something to plan."""
        together = self.together
        if together.datings:
            return None
        if not any(dating.kept for dating in together.all):
            return NO_DATES | {"url": reverse("students")}
        if together.knows_somebody:
            return NOBODY_COMES | {"url": reverse("students")}
        return NOBODY_KNOWN | {"url": reverse("accompanist_add") if self.may_edit else ""}

    @property
    def summary(self):
        """Who comes along to how much."""
        names = [person.name for person in self.together.companions]
        names = [THE_TEACHER if person == companions.THE_TEACHER else person for person in names]
        verb = "comes" if len(names) == 1 else "come"
        shared = counted(len(self.together.entries), "audition")
        of = counted(len(self.together.datings), "student")
        told = f"{listed(names)} {verb} along to {shared} of {of}."
        return told[0].upper() + told[1:]

    @cached_property
    def clashes_now(self):
        """What clashes among the dates chosen now, as troubles.Troubles."""
        home = self.together.studio.time_zone
        own_days = [OwnDay(row, zone(home)) for row in self.together.own_days]
        outings = [Outing(entry, home) for entry in self.together.entries if entry.chosen_date]
        found = companions.clashes(outings, own_days)
        return [Trouble(on, text, entry.get_absolute_url()) for on, text, entry in found]

    @property
    def first_clashes(self):
        """As many of them as are read in one go."""
        return self.clashes_now[:MOST]

    @property
    def more_clashes(self):
        """The rest."""
        return self.clashes_now[MOST:]

    @cached_property
    def undated(self):
        """How many of the auditions have no date yet, in words; "" for none."""
        number = sum(not entry.chosen_date_id for entry in self.together.entries)
        return counted(number, "audition")

    # the plan

    @cached_property
    def trouble(self):
        """Why there is no answer, in words; "" if there is one or none was asked for."""
        if not self.asked or self.empty:
            return ""
        return why_not(self)

    @property
    def answer(self):
        """planner.together.Answer."""
        return self.together.answer

    @property
    def solved(self):
        """Whether there is an answer to show."""
        return self.asked and not self.empty and not self.trouble

    @property
    def total(self):
        """All points together."""
        points = self.answer.points
        return f"{points_of(points)} in all."

    @property
    def all_clashes(self):
        """What would clash if everybody took their own best dates, where it is too much to name."""
        clashes = self.answer.clashes
        return [clash.sentence for clash in clashes] if len(clashes) > NAMED else []

    @cached_property
    def names(self):
        """Students by the key that the planner knows them by."""
        return {str(dating.student.pk): dating for dating in self.together.datings}

    @cached_property
    def lines(self):
        """A StudentLine for each student, those who pay most for the others first."""
        planned = [taken for taken in self.answer.students if taken.plan]
        planned.sort(
            key=lambda taken: (-(taken.extra or 0), self.names[taken.student].student.name)
        )
        return [self._line(taken) for taken in planned]

    def _name(self, taken):
        return self.names[taken.student].student.name

    @property
    def conflicts(self):
        """planner Conflicts between students; those of one student alone are in `alone`."""
        return [each for each in self.answer.conflicts if each.companions]

    @property
    def alone(self):
        """The students whose own dates do not go together, even if nobody has to come along."""
        keys = [key for c in self.answer.conflicts if not c.companions for key in c.students]
        return [self.names[key].student for key in keys]

    @property
    def left(self):
        """The other students without a plan."""
        left = [self.names[each.student].student for each in self.answer.students if not each.plan]
        return [student for student in left if student not in self.alone]

    def _line(self, taken):
        dating = self.names[taken.student]
        turns = self.together.turns(taken.student)
        planned = sorted((t for t in turns if t.planned), key=lambda turn: turn.planned.date.on)
        return StudentLine(
            student=dating.student,
            dates=tuple(self._date(dating, turn, taken) for turn in planned),
            asks=_asks(taken.plan.burden, self.currency),
            cost=_cost(taken.extra),
            takes=sum(turn.changes for turn in turns),
        )

    def _date(self, dating, turn, taken):
        entry = turn.entry
        return DateLine(
            name=dating.name(entry),
            when=day_of(turn.planned.date),
            who=self._with(entry),
            state=_state(turn),
            url=entry.get_absolute_url(),
            moved=str(entry.pk) in taken.moved,
        )

    @staticmethod
    def _with(entry):
        found = [str(entry.accompanist)] if entry.accompanist else []
        return listed([*found, THE_TEACHER] if entry.teacher_comes else found)

    @property
    def changes(self):
        """How many dates the whole plan would change."""
        return counted(sum(line.takes for line in self.lines), "date")

    @cached_property
    def people(self):
        """A Person for each who comes along, with their days of the plan."""
        days = {}
        for day in self.answer.days:
            days.setdefault(day.companion, []).append(self._day(day))
        emails = {key: person.email for key, person in self.together.people.items()}
        return [
            Person(each.name, emails.get(each.key, ""), tuple(days.get(each.key, ())))
            for each in self.together.companions
        ]

    def _day(self, day):
        players = ", ".join(map(self._player, day.players))
        return f"{full_day(day.on)}, {day.site_name}: {players}"

    def _player(self, player):
        name = str(self.names[player.student].student)
        return f"{name} from {clock(player.starts)}" if player.starts else name


def _asks(burden, currency):
    """ "14 h 20 min on the way, 2 nights, 1 school day and about 410 USD"."""
    found = (
        f"{duration(burden.minutes)} on the way",
        counted(burden.nights, "night"),
        counted(burden.school_days, "school day"),
        f"about {money(burden.money, currency)}",
    )
    return listed([each for each in found if each])


def _cost(extra):
    if extra is None:
        return "alone, there would be no plan"
    return f"{points_of(extra)} more than alone" if extra else "no more than alone"


def _state(turn):
    if turn.changes:
        return f"instead of {day_of(turn.now.date)}" if turn.now else "new"
    if turn.differs:
        return "assigned by the institution: ask for it"
    return turn.entry.get_date_state_display().lower() if turn.now else ""
