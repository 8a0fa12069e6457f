"""Who comes along: accompanists and the teacher, by day, and where they cannot.

Rows in, planner.together's bookings out. Nothing here queries.
"""

from planner.dates.model import Closed
from planner.together.clashes import AT_ONCE, AWAY, TOO_MANY, TWO_PLACES, Booking, Companion
from planner.together.clashes import clashes as clashing
from studio.accounts.words import counted
from studio.entries.checklist import clock
from studio.students.models import StudioDay

TEACHER = "teacher"
THE_TEACHER = "The teacher"
ANY_NUMBER = 99  # how many students the teacher goes along with: nobody counts
TODO = {
    TWO_PLACES: "Ask one institution for another date, or find somebody else to play.",
    AT_ONCE: "Ask the institution for another time, or find somebody else to play.",
    TOO_MANY: "Ask for another date for somebody, or find somebody else to play.",
    AWAY: "Ask for another date, or find somebody else to play.",
}
TEACHER_TODO = {
    TWO_PLACES: "Say with whom the teacher goes.",
    AT_ONCE: "Say who hears the other warm-up.",
    AWAY: "Say who goes along.",
}


def keys(entry):
    """Return the keys of those who come along to an entry's audition."""
    found = [str(entry.accompanist_id)] if entry.accompanist_id else []
    return [*found, TEACHER] if entry.teacher_comes else found


def companions(entries, own_days):
    """Return a planner Companion for each who comes along, with the days they are away."""
    people = {entry.accompanist_id: entry.accompanist for entry in entries if entry.accompanist_id}
    found = [
        Companion(str(pk), person.name, _away(own_days, accompanist=pk), person.most)
        for pk, person in sorted(people.items(), key=lambda pair: pair[1].name)
    ]
    if any(entry.teacher_comes for entry in entries):
        found.append(Companion(TEACHER, THE_TEACHER, _away(own_days), ANY_NUMBER))
    return tuple(found)


def _away(own_days, accompanist=None):
    """Return the days on which an accompanist, or without one the teacher, is away."""
    kind = StudioDay.Kind.ACCOMPANIST if accompanist else StudioDay.Kind.TEACHER
    rows = [row for row in own_days if row.kind == kind and row.accompanist_id == accompanist]
    return tuple(Closed(row.first, row.last, row.name) for row in rows)


def clashes(outings, own_days):
    """Return (day, sentence with what to do, entry) for what companions cannot do as it stands.

    outings: those still to be played. own_days: book.OwnDay; one of some hours only counts where
    it meets what the companion does.
    """
    booked = {_booking(outing, key): outing for outing in outings for key in keys(outing.entry)}
    entries = [outing.entry for outing in outings]
    meeting = [own.row for own in own_days if not own.timed or _meets(own, outings)]
    groups = {}
    for clash in clashing(booked, companions(entries, meeting)):
        # Of many who play at once at one place the first two are named.
        groups.setdefault((clash.companion, clash.day, clash.kind, _site(clash)), []).append(clash)
    return [
        (same[0].day, _told(same[0], len(same) - 1), booked[same[0].bookings[0]].entry)
        for same in groups.values()
    ]


def _site(clash):
    return clash.bookings[0].site if clash.kind == AT_ONCE else ""


def _meets(own, outings):
    return any(
        outing.on == own.row.first and own.span(outing.on).meets(outing.span)
        for outing in outings
        if own.row.accompanist_id in {None, outing.entry.accompanist_id}
    )


def _booking(outing, companion):
    known = outing.answer.call and outing.answer.ends
    return Booking(
        companion=companion,
        day=outing.on,
        site=outing.site,
        site_name=outing.place,
        student=str(outing.student),
        starts=outing.answer.call if known else None,
        ends=outing.answer.ends if known else None,
    )


def _told(clash, more):
    """Say what clashes and what to do. more: how many other pairs clash at that place."""
    is_teacher = clash.companion == TEACHER
    told = clash.sentence
    if is_teacher and clash.kind == AT_ONCE:
        one, other = clash.bookings
        told = f"The teacher is expected with {one.student} and {other.student} at once"
        told += f" at {one.site_name}."
    if more:
        told += f" So it is with {counted(more, 'more pair', 'more pairs')} there."
    return f"{told} {(TEACHER_TODO if is_teacher else TODO)[clash.kind]}"


def bookings(outings):
    """Return, by date and accompanist's name, whom they play for: "Fairmont: Sam Reyes 10:40"."""
    found = {}
    for outing in outings:
        if outing.entry.accompanist and outing.entry.is_live:
            sites = found.setdefault(outing.on, {}).setdefault(outing.entry.accompanist.name, {})
            call = outing.day.row.call
            told = f"{outing.student} {clock(call)}" if call else str(outing.student)
            sites.setdefault(outing.place, []).append(told)
    return {
        on: {
            who: "; ".join(f"{place}: {', '.join(some)}" for place, some in sites.items())
            for who, sites in people.items()
        }
        for on, people in found.items()
    }
