"""A source written as iCalendar (RFC 5545, 7986).

Days are timed in the zone of their place, under its IANA name: readers show "10:40 EST", and the
hour stays right when a country changes its rules before the day, which a moment in UTC would not.
Readers that do not know the name find it defined in the file. Where the place's zone is not known
the time floats: the clock on the wall, wherever that is.
"""

import unicodedata
from datetime import UTC, datetime, time, timedelta

from django.urls import reverse
from icalendar import Alarm, Calendar, Event, Timezone, vDuration, vText

from planner import zones
from planner.deadlines import When
from studio.days.contexts import Day
from studio.entries.models import Doer, Entry
from studio.entries.trial_lessons import Lessons
from studio.feeds.sources import Stamps, called, seasons
from studio.feeds.trials import Trial

REFRESH = timedelta(hours=6)
REMIND_AT = timedelta(hours=-15)  # 9:00 on the day before an all-day entry
EVENING = time(19)
ZONE_MARGIN = timedelta(days=366)  # so that the zones of a season are defined on both sides of it


def write(source, site):
    """Return the calendar of a source as bytes. site: the scheme and host it is reached by."""
    loaded = seasons(source)
    writer = _Writer(source, site, called([season.student for season in loaded]))
    events = [event for season in loaded for event in writer.season(season)]
    calendar = _frame(source.title)
    for event in sorted(events, key=lambda event: str(event["uid"])):
        calendar.add_component(event)
    _add_zones(calendar)
    return calendar.to_ical()


def _frame(title):
    calendar = Calendar()
    calendar.add("prodid", "-//Anacrusis//Calendar//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    # Named as text: the library does not know these two, and would leave "," and ";" bare.
    calendar["name"] = calendar["x-wr-calname"] = vText(line(title))
    calendar.add("refresh-interval", REFRESH, parameters={"VALUE": "DURATION"})
    calendar.add("x-published-ttl", "PT6H")
    return calendar


def _add_zones(calendar):
    """Define the zones that events use, sorted: the library's own order changes by process."""
    starts = [event.decoded("dtstart") for event in calendar.events]
    days = [start.date() for start in starts if isinstance(start, datetime)]
    if not days:
        return
    calendar.add_missing_timezones(min(days) - ZONE_MARGIN, max(days) + ZONE_MARGIN)
    # Events sort after zones, and keep their order.
    calendar.subcomponents.sort(
        key=lambda part: (0, str(part["tzid"])) if isinstance(part, Timezone) else (1, "")
    )


class _Writer:
    """Writes the events of a source's students."""

    def __init__(self, source, site, names):
        self.source, self.site, self.names = source, site, names
        self.stamps = Stamps(source)

    def season(self, season):
        """Yield an Event for each task, audition day and trial lesson of a student's season."""
        for cue in season.cues:
            if self._shows(cue.task):
                yield self._task(season.student, cue)
        for entry in season.entries:
            if entry.chosen_date:
                yield self._day(Day(entry))
        for lesson in Lessons.of(season).all:
            if lesson.row.on:
                yield self._lesson(season.student, Trial(lesson))

    def _shows(self, task):
        """A student's calendar holds what they, or people they ask, have to do."""
        return not self.source.student or task.doer != Doer.TEACHER

    def _whose(self, student):
        return "" if self.source.student else f"{self.names[student.pk]}, "

    def _event(self, uid, stamp, summary, said):
        event = Event()
        event.add("uid", f"{uid}@{self.source.studio.calendar_id}")
        event.add("dtstamp", stamp.at.astimezone(UTC).replace(microsecond=0))
        event.add("last-modified", stamp.at.astimezone(UTC).replace(microsecond=0))
        event.add("sequence", stamp.number)
        event.add("summary", line(summary))
        event.add("description", clean("\n".join(filter(None, said))))
        return event

    def _task(self, student, cue):
        task = cue.task
        stamp = self.stamps.of(*_made_of(cue))
        mark = " (done)" if cue.done else ""
        summary = f"{self._whose(student)}{cue.title}{mark}"
        sentence = cue.due.sentence[:1].upper() + cue.due.sentence[1:]
        places = [f"{each.audition}." for _, each in cue.members]
        said = [f"{sentence}.", *dict.fromkeys(places), _doer(task), task.note]
        event = self._event(f"task-{cue.key}", stamp, summary, said)
        event.add("dtstart", cue.due.plan_by)
        event.add("dtend", cue.due.plan_by + timedelta(days=1))
        event.add("transp", "TRANSPARENT")
        if cue.due.when == When.DROPPED:
            event.add("status", "CANCELLED")
        elif not cue.done and self._reminds(task):
            event.add_component(_alarm(REMIND_AT, summary))
        return event

    def _reminds(self, task):
        """Students are reminded of their own tasks, the studio of its teachers' alone."""
        return task.doer == (Doer.STUDENT if self.source.student else Doer.TEACHER)

    def _day(self, day):
        entry, student = day.entry, day.student
        made_of = (entry, getattr(entry, "day", None), entry.chosen_date, entry.audition)
        stamp = self.stamps.of(*made_of, day.institution, student)
        summary = f"{self._whose(student)}audition, {day.institution.short}"
        event = self._event(f"day-{entry.pk}", stamp, summary[0].upper() + summary[1:], _told(day))
        event.add("location", line(_where(day)))
        event.add("url", self.site + reverse("day", args=[entry.pk]))
        start, end = _span(day)
        event.add("dtstart", start)
        event.add("dtend", end)
        event.add("status", _status(entry, day))
        if event["status"] != "CANCELLED":
            for trigger, text in self._alarms(day, start):
                event.add_component(_alarm(trigger, text))
        return event

    def _lesson(self, student, trial):
        row, place = trial.row, trial.lesson.place
        summary = f"{self._whose(student)}trial lesson, {place.short}"
        said = trial.said(own=bool(self.source.student))
        stamp = self.stamps.of(row, place, student)
        event = self._event(f"trial-{row.pk}", stamp, summary[0].upper() + summary[1:], said)
        event.add("location", line(str(place)))
        event.add("dtstart", trial.start)
        event.add("dtend", trial.end)
        event.add("status", trial.status)
        if trial.status != "CANCELLED" and not row.held:
            event.add_component(_alarm(trial.reminder, f"Trial lesson tomorrow: {place.short}"))
        return event

    def _alarms(self, day, start):
        """Yield the evening before and, for the player, the moment to leave home."""
        leave, call = day.answer.leave_home, day.answer.call
        about = f"Audition tomorrow: {day.institution.short}"
        if not (leave and call):
            on = datetime.combine(day.on, start.time() if isinstance(start, datetime) else time(0))
            yield datetime.combine(day.on - timedelta(days=1), EVENING) - on, about
            return
        home = leave.tzinfo
        eve = zones.moment(leave.date() - timedelta(days=1), EVENING, home).at
        if leave.date() < day.on:
            about = f"Leave tomorrow for {day.institution.short}"
        yield timedelta(minutes=-zones.minutes_between(eve, call)), about
        if self.source.student:
            minutes = zones.minutes_between(leave, call)
            yield timedelta(minutes=-minutes), f"Leave home for {day.institution.short}"


def _made_of(cue):
    """Yield the rows that the event of a cue tells of."""
    for task, entry in cue.members:
        yield from (task, task.deadline, entry, entry.chosen_date, entry.audition.institution)


def _doer(task):
    return "" if task.doer == Doer.STUDENT else f"To be done by: {task.get_doer_display().lower()}."


def _told(day):
    state = "" if day.confirmed else f"The date is not confirmed: {day.state}."
    night = day.night
    away = "Better travel the day before. " + " ".join(night.why) if night.advised else ""
    return [
        f"{day.title}, {day.entry.instrument}",
        state,
        f"Times are those of the place ({day.zone}); leaving home is in the time of home.",
        "",
        day.timeline,
        *day.clashes,
        away,
        *day.unknown,
        day.confirm,
    ]


def _where(day):
    room = day.row.audition_room
    return ", ".join(filter(None, [room, day.place, str(day.institution), day.institution.town]))


def _span(day):
    """Return start and end: in the place's zone, floating without one, all day without a call."""
    if day.row.call is None:
        return day.on, day.on + timedelta(days=1)
    if day.answer.call:
        return day.answer.call, day.answer.ends
    start = datetime.combine(day.on, day.row.call)
    minutes = next(step.minutes for step in day.answer.steps if step.key == "audition")
    return start, start + timedelta(minutes=minutes)


def _status(entry, day):
    if entry.result == Entry.Result.WITHDRAWN:
        return "CANCELLED"
    return "CONFIRMED" if day.confirmed else "TENTATIVE"


class Exact(vDuration):
    """A duration in hours and minutes: a "day" of iCalendar has 23 hours when clocks change."""

    def to_ical(self):
        """Return it in hours and minutes, as bytes: never in days."""
        minutes = round(abs(self.td).total_seconds() / 60)
        sign = "-" if self.td < timedelta(0) else ""
        return f"{sign}PT{minutes // 60}H{minutes % 60}M".encode()


def _alarm(trigger, text):
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("trigger", Exact(trigger), encode=False)
    alarm.add("description", line(text))
    return alarm


def clean(text):
    """Return text without what breaks a calendar's lines: control and separator characters."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(
        char if char == "\n" or unicodedata.category(char) not in {"Cc", "Cs", "Zl", "Zp"} else " "
        for char in text
    )


def line(text):
    """Return text on one line."""
    return " ".join(clean(text).split())
