"""Everybody's dates at once, where accompanists or the teacher are shared: rows in, planner out.

Nothing here queries but `Together.load`.
"""

from dataclasses import dataclass
from functools import cached_property

from django.db.models import Exists, OuterRef

from planner import codec
from planner.together import model
from studio.answers import solve
from studio.entries import dates_queries
from studio.entries.bridge import Season
from studio.entries.dates import Dating, Turn
from studio.students.models import Accompanist, StudioDay
from studio.week import companions, queries
from studio.workers import Unsolved

SECONDS = 15  # for the plan; the ways out may take as long again


class Together:
    """The students of a studio with somebody who comes along to an audition.

    datings: entries.dates.Dating of each student; own_days: StudioDays. knows_somebody: whether an
    accompanist is written down.
    """

    def __init__(self, studio, datings, own_days, knows_somebody):
        self.studio, self.own_days = studio, own_days
        self.all, self.knows_somebody = datings, knows_somebody
        self.datings = [dating for dating in datings if self._accompanied(dating)]

    @classmethod
    def load(cls, who, now=None):
        """Return what the asker's studio has to plan, in nine queries."""
        known = Accompanist.objects.filter(studio=OuterRef("studio"))
        students = list(dates_queries.dated(who).annotate(knows_somebody=Exists(known)))
        dates, own_days = _by_student(queries.offered(who)), list(queries.own_days(who))
        datings = []
        for student in students:
            student.studio = who.studio
            held = _concerts(own_days, student)
            datings.append(Dating(Season(student, now), dates.get(student.pk, ()), held))
        own = list({day.pk: day for day in own_days}.values())
        return cls(who.studio, datings, own, any(each.knows_somebody for each in students))

    @staticmethod
    def _accompanied(dating):
        return any(companions.keys(entry) for entry in dating.kept)

    @cached_property
    def entries(self):
        """The entries planned to which somebody comes along."""
        return [e for dating in self.datings for e in dating.kept if companions.keys(e)]

    @property
    def people(self):
        """The accompanists who come along, by the key that the planner knows them by."""
        return {str(e.accompanist_id): e.accompanist for e in self.entries if e.accompanist_id}

    @cached_property
    def companions(self):
        """planner Companions: those who come along."""
        return companions.companions(self.entries, self.own_days)

    @cached_property
    def problem(self):
        """planner.together.Problem; students are known by their pk."""
        return model.Problem(
            today=self.studio.today,
            students=tuple(map(_student, self.datings)),
            companions=self.companions,
            seconds=SECONDS,
        )

    @cached_property
    def answer(self):
        """planner.together.Answer; raises workers.Unsolved."""
        try:
            return solve("together", self.problem)
        except ValueError as error:
            raise Unsolved(f"The dates cannot be planned: {error}.") from error

    @property
    def digest(self):
        """What tells these plans from others; raises workers.Unsolved."""
        return codec.digest(self.answer)

    def turns(self, student=""):
        """Return an entries.dates.Turn for each entry planned; student: only that one's, a key."""
        of = {dating.student.pk: dating for dating in self.datings}
        return [
            turn
            for taken in self.answer.students
            if taken.plan and student in {"", taken.student}
            for turn in _turns(of[int(taken.student)], taken.plan)
        ]


@dataclass(frozen=True)
class Chosen:
    """Some of the turns, to be taken over by entries.dates_accept."""

    turns: list


def _student(dating):
    return model.Student(
        key=str(dating.student.pk),
        name=str(dating.student),
        dates=dating.problem,
        companions=tuple(
            (str(entry.pk), key) for entry in dating.kept for key in companions.keys(entry)
        ),
    )


def _turns(dating, plan):
    taken = {choice.audition: choice.offer for choice in plan.choices}
    for entry in dating.kept:
        now = next((each for each in dating.offers[entry.pk] if each.is_chosen), None)
        yield Turn(entry, now, dating.offered.get(taken.get(str(entry.pk))))


def _by_student(dates):
    found = {}
    for date in dates:
        found.setdefault(date.student_pk, []).append(date)
    return found


def _concerts(own_days, student):
    """Return the concerts that need a student, each once."""
    return [
        day
        for day in own_days
        if day.kind == StudioDay.Kind.CONCERT and day.only in {None, student.pk}
    ]
