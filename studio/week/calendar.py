"""One week of the studio, day by day, and the weeks ahead. Nothing here queries."""

from collections import Counter
from dataclasses import dataclass
from datetime import timedelta
from functools import cached_property

from django.urls import reverse

from planner.deadlines.wording import listed, short_day
from studio.accounts.words import counted, long_date
from studio.entries.checklist import clock
from studio.entries.models import Entry
from studio.week import lessons
from studio.week.book import Kind, days, monday
from studio.week.companions import bookings
from studio.week.letters import letters
from studio.week.outings import ONE_DAY
from studio.week.troubles import by_date, troubles

WEEK = timedelta(days=7)
SOON = timedelta(days=14)  # from here on what is not settled is marked in red
SHOWN = 2  # sentences of one week in the overview
MOST = 6  # sentences of one day in sight; the rest stands in a fold, and is counted on paper


@dataclass(frozen=True)
class Line:
    """One line of a day. mark: a time, or ""; note: what else; red: what needs somebody."""

    text: str
    mark: str = ""
    url: str = ""
    note: str = ""
    red: str = ""


@dataclass(frozen=True)
class Block:
    """What belongs together on a day. hint: what to do about it. again: said elsewhere too."""

    label: str
    lines: tuple[Line, ...]
    title: str = ""
    hint: str = ""
    again: bool = False


class Calendar:
    """The book with what follows from it, by day."""

    def __init__(self, book):
        self.book = book

    @cached_property
    def troubles_on(self):
        """Troubles by date."""
        return by_date(troubles(self.book))

    @cached_property
    def letters_on(self):
        """Letters by the day on which they are shown: what is late, today."""
        found = {}
        for letter in letters(self.book.students, self.book.now):
            if letter.due:
                found.setdefault(max(letter.due, self.book.today), []).append(letter)
        return found

    @cached_property
    def bookings_on(self):
        """Accompanists' bookings by date."""
        return bookings(self.book.outings)


class Week:
    """The week of a Monday."""

    def __init__(self, calendar, first):
        self.calendar, self.first, self.last = calendar, first, first + WEEK - ONE_DAY

    @property
    def title(self):
        """The heading."""
        return f"Week of {long_date(self.first)}"

    @property
    def short(self):
        """ "30 November to 6 December"."""
        if self.first.month == self.last.month:
            return f"{self.first.day} to {short_day(self.last)}"
        return f"{short_day(self.first)} to {short_day(self.last)}"

    @cached_property
    def days(self):
        """Its seven days."""
        return [WeekDay(self.calendar, on) for on in days(self.first, self.last)]

    @property
    def full_days(self):
        """The days on which there is anything."""
        return [day for day in self.days if day.blocks or day.troubles]

    @property
    def empty_days(self):
        """The names of the others, for one line."""
        return listed([f"{day.on:%A}" for day in self.days if day not in self.full_days])

    @cached_property
    def troubles(self):
        """The troubles of its days."""
        return [trouble for day in self.days for trouble in day.troubles]

    @property
    def counts(self):
        """What is in it, in words: "3 auditions, 2 lessons lost"."""
        lost = Counter()
        for day in self.days:
            for group in day.lost:
                lost[group.sure] += len(group.lessons)
        found = (
            counted(sum(len(day.outings) for day in self.days), "audition"),
            counted(sum(len(day.concerts) for day in self.days), "concert"),
            counted(sum(len(day.letters) for day in self.days), "letter"),
            counted(lost[True], "lesson") and f"{counted(lost[True], 'lesson')} lost",
            counted(lost[False], "lesson") and f"{counted(lost[False], 'lesson')} in doubt",
        )
        return ", ".join(filter(None, found))

    @property
    def first_troubles(self):
        """The first few troubles, for the overview."""
        return self.troubles[:SHOWN]

    @property
    def more_troubles(self):
        """How many more there are."""
        return max(0, len(self.troubles) - SHOWN)

    @property
    def url(self):
        """Its page."""
        return reverse("week", args=[self.first])


class WeekPage:
    """The page of one week, with the weeks ahead."""

    def __init__(self, book, on=None):
        self.book = book
        self.calendar = Calendar(book)
        self.week = Week(self.calendar, monday(on or book.today))
        self.this = monday(book.today)

    @property
    def is_this(self):
        """Whether it is the week that is running."""
        return self.week.first == self.this

    @property
    def before(self):
        """The Monday of the week before."""
        return self.week.first - WEEK

    @property
    def after(self):
        """The Monday of the week after."""
        return self.week.first + WEEK

    @cached_property
    def ahead(self):
        """The weeks from this one on in which there is anything, but for the one that is shown."""
        last = monday(self.book.last)
        mondays = [self.this + n * WEEK for n in range((last - self.this).days // 7 + 1)]
        weeks = [Week(self.calendar, first) for first in mondays if first != self.week.first]
        return [week for week in weeks if week.counts or week.troubles]


class WeekDay:
    """One day of the studio."""

    def __init__(self, calendar, on):
        self.calendar, self.book, self.on = calendar, calendar.book, on

    @property
    def title(self):
        """The day in words."""
        return f"{self.on:%A} {self.on.day} {self.on:%B}"

    @property
    def is_today(self):
        """Whether it is today."""
        return self.on == self.book.today

    @property
    def troubles(self):
        """What cannot all be done."""
        return self.calendar.troubles_on.get(self.on, [])

    @property
    def first_troubles(self):
        """As many of them as are read in one go."""
        return self.troubles[:MOST]

    @property
    def more_troubles(self):
        """The rest."""
        return self.troubles[MOST:]

    @property
    def outings(self):
        """The auditions of the day."""
        return self.book.auditions_on.get(self.on, ())

    @property
    def letters(self):
        """The letters due."""
        return self.calendar.letters_on.get(self.on, ())

    @property
    def concerts(self):
        """The studio's own concerts."""
        return [own for own in self.book.own_on.get(self.on, ()) if own.row.kind == Kind.CONCERT]

    @cached_property
    def lost(self):
        """Lessons lost or in doubt, as lessons.LostTogether."""
        return lessons.lost(self.book, self.on)

    @cached_property
    def blocks(self):
        """What there is on the day, as Blocks."""
        return [
            *self._auditions(),
            *_block("To hear", map(self._hearing, filter(_with_teacher, self.outings))),
            *_block("On the way", self._travelling()),
            *_block("At the piano", self._accompanists(), again=True),
            *_block("The studio", map(_own, self.book.own_on.get(self.on, ()))),
            *_block("Letters", map(_letter, self.letters)),
            *[Block("Lessons", (Line(each.names),), each.title, each.todo) for each in self.lost],
            *_block("Away", self._away()),
        ]

    @property
    def printed(self):
        """The blocks for paper, each thing once."""
        return [block for block in self.blocks if not block.again]

    def _auditions(self):
        places = {}
        for outing in self.outings:
            where = outing.day.place
            title = f"{outing.entry.audition}{f', {where}' if where else ''}"
            places.setdefault(title, []).append(outing)
        for title, some in places.items():
            yield Block("Auditions", tuple(map(self._audition, some)), title)

    def _audition(self, outing):
        entry = outing.entry
        soon = entry.is_live and self.book.today <= self.on <= self.book.today + SOON
        told = (
            entry.instrument.name,
            "" if outing.call or soon else "time not known yet",
            outing.at_home,
            entry.accompanist and f"{entry.accompanist} plays along",
            "the teacher comes" if entry.teacher_comes else "",
        )
        state = "" if entry.date_state == Entry.DateState.CONFIRMED else outing.day.state
        asked = filter(None, ["" if outing.call else "ask for the time", state])
        return Line(
            str(outing.student),
            outing.call,
            reverse("day", args=[entry.pk]),
            " · ".join(filter(None, told)),
            ", ".join(asked) if soon else "",
        )

    def _hearing(self, outing):
        step = outing.warm_up
        if step is None or step.wall is None:
            return Line(f"{outing.student} at {outing.place}: time of the warm-up not known yet")
        there = "" if not outing.at_home else f", {step.zone}"
        room = f", room {outing.day.row.warm_up_room}" if outing.day.row.warm_up_room else ""
        return Line(f"{outing.student} warms up at {outing.place}{room}{there}", clock(step.wall))

    def _travelling(self):
        """Who is away and does not play that day, those of one way together."""
        playing = {outing.student.pk for outing in self.outings}
        ways, told = {}, set()
        for outing in self.book.out_on.get(self.on, ()):
            pk = outing.student.pk
            if pk not in playing and pk not in told:
                told.add(pk)
                ways.setdefault(outing.journey_on(self.on), []).append(str(outing.student))
        for way, names in ways.items():
            yield Line(f"{listed(names)} {way}")

    def _accompanists(self):
        for name, booked in self.calendar.bookings_on.get(self.on, {}).items():
            yield Line(f"{name}: {booked}")

    def _away(self):
        rows = {}
        for student, row in self.book.away_on.get(self.on, ()):
            rows.setdefault(row.get_kind_display(), []).append(str(student))
        for kind, names in sorted(rows.items()):
            yield Line(listed(names), note="" if kind == "Away" else kind.lower())


def _block(label, lines, again=False):
    """Return the block of these lines, none if there are none."""
    lines = tuple(lines)
    return [Block(label, lines, again=again)] if lines else []


def _with_teacher(outing):
    return outing.entry.teacher_comes and outing.entry.is_live


def _own(own):
    row = own.row
    time = ""
    if row.starts:
        time = f"{clock(row.starts)}–{clock(row.ends)}" if row.ends else clock(row.starts)
    kinds = {Kind.OFF: "day off", Kind.TEACHER: "the teacher is away"}
    told = kinds.get(row.kind, "")
    if row.kind == Kind.ACCOMPANIST:
        told = f"{row.accompanist} is away"
    if row.kind == Kind.CONCERT and own.only:
        told = f"{counted(len(own.only), 'student')} needed"
    return Line(row.name, time, note=" · ".join(filter(None, [told, row.notes])))


def _letter(letter):
    red = letter.cues[0].due.short if letter.late else ""
    return Line(letter.todo, url=f"{reverse('letters')}#letter-{letter.key}", red=red)
