"""What goes into the question of dates for all students together, and what comes out."""

from dataclasses import dataclass
from datetime import date, datetime

from planner.dates.model import Closed, Plan
from planner.dates.model import Problem as Dates
from planner.together.clashes import Clash, Companion


@dataclass(frozen=True)
class Student:
    """One student.

    key: unique among the students. dates: the student's own auditions and the dates on offer.
    companions: (key of an audition, key of a companion) for each audition to which somebody has to
    come along; an audition may have more than one.
    """

    key: str
    name: str
    dates: Dates
    companions: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class Problem:
    """A studio's students and those who come along: accompanists, or the teacher.

    explain: whether to look for ways out where no plan is possible. seconds: for the plans; why
    some are missing and what would help may take as long again. What the clock cuts short is said
    to be unproven.
    Each student's dates are asked about as of `today`, whatever their own problem says.
    """

    today: date
    students: tuple[Student, ...]
    companions: tuple[Companion, ...]
    explain: bool = True
    seconds: float = 10.0


@dataclass(frozen=True)
class Taken:
    """What one student takes.

    plan: None where there is none, or none was found in time. own: points of the student's own best
    dates, as if nobody had to come along; None if there are none. extra: what the plan costs more
    than that. moved: keys of the auditions whose date is another than in the own best.
    """

    student: str
    plan: Plan | None
    own: int | None
    extra: int | None
    moved: tuple[str, ...] = ()


@dataclass(frozen=True)
class Player:
    """Somebody to play with. starts: aware, by the clocks at the place; None where not stated."""

    student: str
    audition: str
    offer: str
    starts: datetime | None = None
    ends: datetime | None = None


@dataclass(frozen=True)
class Day:
    """A day on which a companion comes along, and where. players: in order of time, those without
    a time last."""

    companion: str
    on: date
    site: str
    site_name: str
    players: tuple[Player, ...]


@dataclass(frozen=True)
class Conflict:
    """Why there is no plan: these students and these companions do not go together.

    Whichever of the students is left out, the others can be planned. companions: () if the student
    has no dates even alone. proven: that they do not; False if it was only not found in time.
    ways_out: those that keep every audition first, cheapest first; () if no single change helps.
    """

    students: tuple[str, ...]
    companions: tuple[str, ...]
    proven: bool
    ways_out: tuple["WayOut", ...]
    sentence: str


@dataclass(frozen=True)
class WayOut:
    """One change after which the students of the conflict can be planned; it was tried.

    kind: "without" (somebody else, or nobody, for one audition), "more" (auditions a day of a
    companion: `most`), "come" (although away: `away` is the name of the days), "leave out" (an
    audition). points: of all who have plans then. proven: whether there are no better ones then.
    """

    kind: str
    student: str | None
    audition: str | None
    companion: str | None
    most: int | None
    away: str | None
    points: int
    proven: bool
    sentence: str


@dataclass(frozen=True)
class Answer:
    """The dates for all.

    students: in the order of the problem. points, dislike: of all plans together. bound: no plans
    for the same students have fewer points. proven: there is nothing better, or, where plans are
    missing, nothing at all.
    in_turn: points if one student after another, in the order of the problem, took the best dates
    left; stranded: how many would be left without, and in_turn is then of the others.
    days: of all companions, in order of time. clashes: what would be double-booked if everybody
    took their own best dates. conflicts: where there is no plan.
    sentence: what to tell somebody. reasons: how it came about. notes: what to be careful about.
    """

    students: tuple[Taken, ...]
    points: int
    dislike: int
    bound: int
    proven: bool
    in_turn: int
    stranded: int
    days: tuple[Day, ...]
    clashes: tuple[Clash, ...]
    conflicts: tuple[Conflict, ...]
    sentence: str
    reasons: tuple[str, ...]
    notes: tuple[str, ...]


__all__ = [
    "Answer",
    "Clash",
    "Closed",
    "Companion",
    "Conflict",
    "Dates",
    "Day",
    "Player",
    "Problem",
    "Student",
    "Taken",
    "WayOut",
]
