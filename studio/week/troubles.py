"""What cannot all be done as it stands, a sentence each, with what to do. Nothing here queries."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from itertools import combinations

from planner.deadlines.wording import listed
from studio.entries.checklist import clock
from studio.entries.trips import span
from studio.students.models import DayAway, Student
from studio.week.book import Kind, days
from studio.week.companions import clashes
from studio.week.outings import Span


@dataclass(frozen=True)
class Trouble:
    """on: the day on which it happens. url: where to settle it."""

    on: date
    text: str
    url: str = ""


def troubles(book):
    """Return the troubles of all days from today on, by date."""
    live = [outing for outing in book.outings if outing.entry.is_live]
    found = {
        *(trouble for outing in live for trouble in _of(book, outing)),
        *_double(book),
        *_concerts(book),
        *_companions(book, live),
    }
    ahead = [trouble for trouble in found if trouble.on >= book.today]
    return sorted(ahead, key=lambda trouble: (trouble.on, trouble.text))


def _companions(book, live):
    for on, text, entry in clashes(live, book.own_days):
        yield Trouble(on, text, entry.get_absolute_url())


def by_date(found):
    """Return troubles by date."""
    dates = defaultdict(list)
    for trouble in found:
        dates[trouble.on].append(trouble)
    return dates


def _of(book, outing):
    """Yield what stands against one audition."""
    url, who = outing.entry.get_absolute_url(), outing.student
    for row in who.days_away.all():
        if row.first <= outing.last and outing.first <= row.last:
            why = "is away" if row.kind == DayAway.Kind.AWAY else "has exams at school"
            yield Trouble(
                outing.on,
                f"{who} {why} ({span(row.first, row.last)}) and plays at {outing.place}: "
                "ask for another date, or change the days away.",
                url,
            )
    for on in days(outing.first, outing.last):
        for own in book.own_on[on]:
            needed = own.row.kind == Kind.CONCERT and own.about(who)
            if needed and own.span(on).meets(outing.span):
                yield Trouble(on, _needed(own, on, outing), url)


def _needed(own, on, outing):
    hours = _hours(own)
    told = f"{own.row.name}{f', {hours},' if hours else ''} needs {outing.student}"
    plays = f"who plays at {outing.place}{f' at {outing.call}' if outing.call else ''}"
    if on != outing.on:
        plays = f"who is away for {outing.place} that day"
    elif outing.span.sure and not outing.is_away_overnight:
        plays += f" and is {outing.back}"
    if own.timed and outing.span.sure:
        return f"{told}, {plays}: excuse {outing.student.called}, or ask for another time."
    return f"{told}, {plays}: write down the times, then see whether both can be done."


def _double(book):
    """Yield each student who would have to be in two places."""
    for on, outings in book.auditions_on.items():
        of = defaultdict(list)
        for outing in outings:
            if outing.entry.is_live:
                of[outing.student.pk].append(outing)
        for same in of.values():
            yield from _of_one(on, same)


def _of_one(on, outings):
    pairs = [pair for pair in combinations(outings, 2) if not _apart(*pair)]
    clashing = [outing for outing in outings if any(outing in pair for pair in pairs)]
    if clashing:
        places = list(dict.fromkeys(f"at {outing.place}" for outing in clashing))
        where = listed(places) if len(places) > 1 else f"twice {places[0]}"
        yield Trouble(
            on,
            f"{clashing[0].student} plays {where} on one day: ask for another date.",
            clashing[0].entry.get_absolute_url(),
        )


def _apart(one, other):
    """Whether two auditions at one place do not come at the same time, as far as is known."""
    if one.site != other.site or not (one.answer.call and other.answer.call):
        return one.site == other.site
    spans = [Span(each.answer.call, each.answer.ends) for each in (one, other)]
    return not spans[0].meets(spans[1])


def _concerts(book):
    """Yield what stands against the studio's own concerts besides auditions."""
    for own in book.own_days:
        if own.row.kind == Kind.CONCERT:
            for on in days(own.row.first, own.row.last):
                yield from _against_concert(book, own, on)


def _against_concert(book, own, on):
    name = own.row.name
    away = [s for s, row in book.away_on[on] if own.about(s) and row.kind == DayAway.Kind.AWAY]
    if away:
        names = _some(away)
        verb = "is" if len(away) == 1 else "are"
        yield Trouble(
            on, f"{name} needs {names}, who {verb} away: plan without, or ask the family."
        )
    for other in book.own_on[on]:
        if other.row.kind in {Kind.OFF, Kind.TEACHER} and other.span(on).meets(own.span(on)):
            what = "the teacher is away" if other.row.kind == Kind.TEACHER else "it is a day off"
            yield Trouble(on, f"{name} is on a day on which {what} ({other.row.name}): move one.")
    for outing in book.out_on[on]:
        if outing.entry.teacher_comes and outing.span.meets(own.span(on)) and outing.entry.is_live:
            yield Trouble(
                on,
                f"{name} is on a day on which the teacher is with {outing.student} at "
                f"{outing.place}: say who leads it.",
                outing.entry.get_absolute_url(),
            )


def _some(students: list[Student], most=4):
    names = [str(student) for student in students]
    more = len(names) - most
    return ", ".join(names[:most]) + (f" and {more} more" if more > 0 else "")


def _hours(own):
    row = own.row
    if not row.starts:
        return ""
    return f"{clock(row.starts)} to {clock(row.ends)}" if row.ends else f"from {clock(row.starts)}"
