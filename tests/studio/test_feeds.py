"""Calendars, read back by two parsers that know nothing of the one that writes them."""

import re
from datetime import UTC, date, datetime, time, timedelta

import pytest
import time_machine
import vobject
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from ical.calendar_stream import IcsCalendarStream

from studio.accounts.models import Studio
from studio.days.contexts import Day
from studio.days.models import AuditionDay
from studio.days.queries import day_entries
from studio.entries.models import Entry, Task
from studio.feeds import calendars
from studio.feeds.calendars import clean, line
from studio.institutions.models import Deadline, Institution, OfferedDate
from tests.factories import (
    AuditionDayFactory,
    DeadlineFactory,
    EntryFactory,
    StudentFactory,
    TaskFactory,
    full_entry,
)

pytestmark = pytest.mark.django_db

FEBRUARY = date(2027, 2, 6)


@pytest.fixture(autouse=True)
def clock():
    with time_machine.travel("2026-11-25 18:00Z", tick=False) as moved:
        yield moved


@pytest.fixture
def entry(people):
    entry = EntryFactory(
        student=people.sam_student,
        chosen_date__on=FEBRUARY,
        audition__institution__name="Lake Ardent Conservatory",
        audition__institution__short_name="Lake Ardent",
    )
    AuditionDayFactory(entry=entry, travel_minutes=145, walk_minutes=10, audition_room="214")
    return entry


@pytest.fixture
def task(entry):
    deadline = DeadlineFactory(audition=entry.audition, name="music application")
    return TaskFactory(entry=entry, deadline=deadline, on=None, name="Send the application")


def part(client, student, **headers):
    url = reverse("student_feed", args=[student.feed_token])
    return client.get(url, headers=headers)


def score(client, studio, **headers):
    url = reverse("studio_feed_calendar", args=[studio.feed_token])
    return client.get(url, headers=headers)


class Read:
    """One event as both parsers read it; where they differ, the test fails."""

    def __init__(self, body, uid):
        text = body.decode()
        (theirs,) = [e for e in vobject.readOne(text).vevent_list if e.uid.value.startswith(uid)]
        (other,) = [
            e for e in IcsCalendarStream.calendar_from_ics(text).events if e.uid.startswith(uid)
        ]
        for name in ("summary", "description", "location"):
            if hasattr(theirs, name):
                assert getattr(theirs, name).value == getattr(other, name)
        assert instant(theirs.dtstart.value) == instant(other.dtstart)
        assert instant(theirs.dtend.value) == instant(other.dtend)
        alarms = [alarm.trigger.value for alarm in getattr(theirs, "valarm_list", [])]
        assert alarms == [alarm.trigger for alarm in other.alarm]
        self.start, self.end = theirs.dtstart.value, theirs.dtend.value
        self.summary, self.text = other.summary, other.description
        self.alarms, self.status, self.uid = alarms, other.status, other.uid
        self.sequence, self.stamp = other.sequence, other.dtstamp
        self.location = other.location
        self.raw = other

    def rings(self):
        """When the alarms ring."""
        return [instant(self.start) + alarm for alarm in self.alarms]


def instant(moment):
    """Return an aware moment in UTC; dates and floating times as they are."""
    if isinstance(moment, datetime) and moment.tzinfo:
        return moment.astimezone(UTC)
    return moment


# What stands in it


def test_a_day_is_timed_in_the_zone_of_its_place(client, entry):
    body = part(client, entry.student).content
    assert b"DTSTART;TZID=America/New_York:20270206T104000" in body
    day = Read(body, f"day-{entry.pk}")
    assert instant(day.start) == datetime(2027, 2, 6, 15, 40, tzinfo=UTC)
    assert day.end - day.start == timedelta(minutes=12)
    assert day.summary == "Audition, Lake Ardent"
    assert day.location == "214, Lake Ardent Conservatory, Fairmont"
    assert day.status == "CONFIRMED"


def test_a_day_tells_its_timeline_as_the_page_does(client, entry):
    day = Read(part(client, entry.student).content, "day-")
    shown = Day(day_entries().get(pk=entry.pk))
    assert shown.timeline in day.text
    assert "6:20 Leave home (CST · 2 h 25 min" in day.text
    assert "EST, one hour ahead of home" in day.text
    assert shown.confirm in day.text


def test_zones_come_from_the_pinned_rules(client, entry):
    # British Columbia keeps summer time for good from 2026 on; older zone files say -8.
    Institution.objects.update(time_zone="America/Vancouver")
    day = Read(part(client, entry.student).content, "day-")
    assert instant(day.start) == datetime(2027, 2, 6, 17, 40, tzinfo=UTC)


def test_the_player_is_reminded_the_evening_before_and_when_leaving(client, entry):
    day = Read(part(client, entry.student).content, "day-")
    assert day.rings() == [
        datetime(2027, 2, 6, 1, 0, tzinfo=UTC),  # 19:00 at home, in Chicago
        datetime(2027, 2, 6, 12, 20, tzinfo=UTC),  # 6:20 at home
    ]


def test_reminders_are_exact_when_the_clocks_change_in_between(client, entry):
    OfferedDate.objects.update(on=date(2027, 3, 14))
    Institution.objects.update(time_zone="America/Chicago")
    AuditionDay.objects.update(call=time(9, 30), travel_minutes=480)
    body = part(client, entry.student).content
    leave = Day(day_entries().get(pk=entry.pk)).answer.leave_home
    eve, leaving = Read(body, "day-").rings()
    assert leaving == leave.astimezone(UTC)
    assert leave.date() == date(2027, 3, 13), "they leave before midnight"
    assert eve == datetime(2027, 3, 13, 1, 0, tzinfo=UTC)  # 19:00 on the 12th, Chicago
    assert b"TRIGGER:-P1D" not in body, "a day of iCalendar would be an hour short"


def test_a_deadline_is_a_whole_day_with_a_reminder_the_morning_before(client, task):
    body = part(client, task.entry.student).content
    assert b"DTSTART;VALUE=DATE:20261201" in body
    due = Read(body, f"task-{task.pk}")
    assert (due.start, due.end) == (date(2026, 12, 1), date(2026, 12, 2)), "the end is exclusive"
    assert due.summary == "Lake Ardent: Send the application"
    assert due.text.startswith("Due Tuesday 1 December, 23:59 there, 22:59 here.")
    assert due.alarms == [timedelta(hours=-15)]


def test_a_deadline_without_a_zone_stands_a_day_early_and_says_so(client, task):
    Deadline.objects.update(zone="")
    due = Read(part(client, task.entry.student).content, "task-")
    assert due.start == date(2026, 11, 30)
    assert "zone not stated, planned a day early" in due.text


def test_a_date_that_is_not_confirmed_is_tentative(client, entry):
    Entry.objects.update(date_state="asked for")
    day = Read(part(client, entry.student).content, "day-")
    assert day.status == "TENTATIVE"
    assert "The date is not confirmed: asked for, not confirmed" in day.text


def test_what_was_dropped_or_withdrawn_is_cancelled_not_lost(client, task):
    Task.objects.update(state=Task.State.DROPPED)
    dropped = Read(part(client, task.entry.student).content, "task-")
    assert (dropped.status, dropped.alarms) == ("CANCELLED", [])
    Task.objects.update(state=Task.State.OPEN)
    Entry.objects.update(result="withdrawn")
    body = part(client, task.entry.student).content
    assert {Read(body, uid).status for uid in ("task-", "day-")} == {"CANCELLED"}


def test_what_is_done_says_so_and_reminds_no_more(client, task):
    task.tick(None, date(2026, 11, 20))
    done = Read(part(client, task.entry.student).content, "task-")
    assert done.summary == "Lake Ardent: Send the application (done)"
    assert done.text.startswith("Done 20 November.")
    assert done.alarms == []


def test_without_a_call_the_day_is_a_whole_day(client, entry):
    AuditionDay.objects.update(call=None)
    day = Read(part(client, entry.student).content, "day-")
    assert (day.start, day.end) == (FEBRUARY, FEBRUARY + timedelta(days=1))
    assert day.alarms == [timedelta(hours=-5)], "19:00 the evening before"
    assert "The call time is not known" in day.text


def test_without_a_zone_the_time_floats(client, entry):
    Institution.objects.update(time_zone="")
    body = part(client, entry.student).content
    assert b"DTSTART:20270206T104000\r\n" in body
    day = Read(body, "day-")
    assert day.rings() == [datetime(2027, 2, 5, 19, 0)]
    assert "time zone" in day.text


def test_an_empty_season_is_still_a_calendar(client, people):
    body = part(client, people.mia_student).content
    assert not hasattr(vobject.readOne(body.decode()), "vevent")
    assert IcsCalendarStream.calendar_from_ics(body.decode()).events == []


def test_the_calendar_says_its_name_and_how_often_to_look(client, entry):
    body = part(client, entry.student).content
    assert b"\r\nNAME:Sam\\, Quayside Brass\r\n" in body
    assert b"\r\nREFRESH-INTERVAL;VALUE=DURATION:PT6H\r\n" in body
    assert b"\r\nX-PUBLISHED-TTL:PT6H\r\n" in body


# Whose it is


def test_a_students_calendar_holds_nobody_elses_things(client, task, people):
    other = EntryFactory(student=people.mia_student, chosen_date__on=FEBRUARY)
    TaskFactory(entry=other, name="Something of Mia's")
    TaskFactory(entry=task.entry, name="Write the letter", doer="teacher")
    text = part(client, people.sam_student).content.decode()
    uids = {event.uid.value.split("@")[0] for event in vobject.readOne(text).vevent_list}
    assert uids == {f"task-{task.pk}", f"day-{task.entry_id}"}
    assert "Mia" not in text
    assert "Reyes" not in text, "an address may get lost; a surname need not go with it"


def test_the_studios_calendar_holds_everybody_of_it_and_nobody_else(client, task, people):
    mia = EntryFactory(student=people.mia_student, chosen_date__on=FEBRUARY)
    letter = TaskFactory(entry=mia, name="Write the letter", doer="teacher")
    full_entry(StudentFactory(name="Zoltan Foreign"))
    body = score(client, people.studio).content
    events = vobject.readOne(body.decode()).vevent_list
    assert len(events) == 4
    assert Read(body, f"task-{letter.pk}").summary.startswith("Mia, ")
    assert Read(body, f"day-{mia.pk}").summary.startswith("Mia, audition, ")
    assert b"Zoltan" not in body


def test_a_teacher_is_reminded_of_their_own_tasks_alone(client, task, people):
    own = TaskFactory(entry=task.entry, name="Write the letter", doer="teacher")
    body = score(client, people.studio).content
    assert Read(body, f"task-{own.pk}").alarms == [timedelta(hours=-15)]
    assert Read(body, f"task-{task.pk}").alarms == []
    assert len(Read(body, "day-").alarms) == 1, "nobody leaves home but the player"


def test_two_of_one_name_are_told_apart(client, entry, people):
    EntryFactory(
        student=StudentFactory(studio=people.studio, name="Sam Bright"), chosen_date__on=FEBRUARY
    )
    text = score(client, people.studio).content.decode()
    found = {event.summary.value.split(",")[0] for event in vobject.readOne(text).vevent_list}
    assert found == {"Sam R.", "Sam B."}


# The address


@pytest.mark.parametrize("name", ["student_feed", "studio_feed_calendar"])
def test_unknown_addresses_all_answer_alike(client, entry, people, name):
    others = {
        "student_feed": people.studio.feed_token,
        "studio_feed_calendar": people.sam_student.feed_token,
    }
    tokens = ("x", "a" * 43, people.sam_student.feed_token[:-1], others[name])
    answers = [client.get(reverse(name, args=[token])) for token in tokens]
    assert {answer.status_code for answer in answers} == {404}
    assert len({answer.content for answer in answers}) == 1


def test_a_calendar_needs_no_sign_in_and_leaves_nothing_behind(client, entry):
    with CaptureQueriesContext(connection) as asked:
        response = part(client, entry.student)
    assert response.status_code == 200
    assert not response.cookies
    assert response["Cache-Control"] == "private, no-cache"
    assert response["Content-Type"] == "text/calendar; charset=utf-8"
    assert not any("django_session" in query["sql"] for query in asked.captured_queries)


def test_a_new_address_closes_the_old_one(as_teacher, entry, people):
    old = part(as_teacher, people.sam_student).wsgi_request.path
    as_teacher.post(reverse("student_feed_renew", args=[people.sam_student.pk]))
    people.sam_student.refresh_from_db()
    assert as_teacher.get(old).status_code == 404
    assert part(as_teacher, people.sam_student).status_code == 200
    old = score(as_teacher, people.studio).wsgi_request.path
    as_teacher.post(reverse("studio_feed_renew"))
    assert as_teacher.get(old).status_code == 404
    assert score(as_teacher, Studio.objects.get(pk=people.studio.pk)).status_code == 200


def test_a_students_address_is_renewed_by_their_teacher_alone(client, people):
    before = people.sam_student.feed_token
    url = reverse("student_feed_renew", args=[people.sam_student.pk])
    client.force_login(people.sam.user)
    assert "tell your teacher" in client.get(reverse("part_feed")).content.decode()
    assert client.post(url).status_code == 404
    people.sam_student.refresh_from_db()
    assert people.sam_student.feed_token == before
    client.force_login(people.ines.user)
    client.post(url)
    people.sam_student.refresh_from_db()
    assert people.sam_student.feed_token != before


@pytest.mark.parametrize("name", ["studio_feed", "part_feed", "student_feed_address"])
def test_the_page_shows_the_address_whole(client, people, name):
    seat = people.sam if name == "part_feed" else people.ines
    client.force_login(seat.user)
    args = [people.sam_student.pk] if name == "student_feed_address" else []
    response = client.get(reverse(name, args=args))
    row = people.studio if name == "studio_feed" else people.sam_student
    last = "score.ics" if name == "studio_feed" else "part.ics"
    path = f"testserver/feeds/{row.feed_token}/{last}"
    assert f'value="http://{path}"' in response.content.decode()
    assert f'href="webcal://{path}"' in response.content.decode()
    assert response["Referrer-Policy"] == "same-origin"
    assert "no-store" in response["Cache-Control"]


# Looking again


def test_nothing_new_is_answered_without_building_anything(client, task, monkeypatch):
    first = part(client, task.entry.student)
    monkeypatch.setattr("studio.feeds.views.write", lambda *_: pytest.fail("built again"))
    with CaptureQueriesContext(connection) as asked:
        again = part(client, task.entry.student, if_none_match=first["ETag"])
    assert again.status_code == 304
    assert again["Cache-Control"] == "private, no-cache"
    assert len(asked) <= 3


@pytest.mark.parametrize("feed", [part, score])
def test_every_change_that_shows_is_sent(client, task, people, feed, clock):
    row = people.sam_student if feed is part else people.studio

    def moved(change):
        before = feed(client, row)
        change()
        return feed(client, row, if_none_match=before["ETag"]).status_code == 200

    def saved(row, **values):
        for name, value in values.items():
            setattr(row, name, value)
        row.save()

    entry = task.entry
    assert moved(lambda: saved(task, name="Send it now"))
    assert moved(lambda: saved(task.deadline, on=date(2026, 12, 3)))
    assert moved(lambda: saved(entry.day, call=time(9)))
    assert moved(lambda: saved(entry.audition.institution, time_zone="America/Denver"))
    assert moved(lambda: saved(people.studio, day_minutes={"warm_up": 30}))
    assert moved(lambda: task.delete())
    assert moved(lambda: clock.move_to("2026-11-26 18:00Z"))
    assert not moved(lambda: clock.move_to("2026-11-26 19:00Z"))


def test_another_students_change_does_not_disturb_ones_own(client, task, people):
    before = part(client, people.sam_student)
    full = EntryFactory(student=people.mia_student, audition=task.entry.audition, chosen_date=None)
    TaskFactory(entry=full)
    before_again = part(client, people.sam_student, if_none_match=before["ETag"])
    assert before_again.status_code in {200, 304}
    etag = part(client, people.sam_student)["ETag"]
    full.tasks.get().tick(None, date(2026, 11, 25))
    assert part(client, people.sam_student, if_none_match=etag).status_code == 304


def test_an_event_keeps_its_name_and_counts_up_as_it_changes(client, task, clock):
    first = Read(part(client, task.entry.student).content, "task-")
    clock.move_to("2026-11-27 09:00Z")
    task.deadline.on = date(2026, 12, 5)
    task.deadline.save()
    second = Read(part(client, task.entry.student).content, "task-")
    assert second.uid == first.uid
    assert second.sequence > first.sequence
    assert (first.stamp, second.stamp) == (
        datetime(2026, 11, 25, 18, tzinfo=UTC),
        datetime(2026, 11, 27, 9, tzinfo=UTC),
    )


def test_another_chosen_date_counts_up_too(client, entry):
    AuditionDay.objects.update(notes="x")
    old = entry.chosen_date
    for name in ("a", "b", "c"):
        old.notes = name
        old.save()
    first = Read(part(client, entry.student).content, "day-")
    entry.chosen_date = OfferedDate.objects.create(audition=old.audition, on=date(2027, 2, 13))
    entry.save()
    second = Read(part(client, entry.student).content, "day-")
    assert second.start.date() == date(2027, 2, 13)
    assert second.sequence > first.sequence


def test_the_same_calendar_is_the_same_bytes(client, task):
    first = part(client, task.entry.student)
    assert part(client, task.entry.student).content == first.content


@pytest.mark.parametrize("feed", [part, score])
def test_calendars_ask_as_often_for_thirty_students_as_for_one(client, people, feed):
    full_entry(people.sam_student)
    row = people.sam_student if feed is part else people.studio
    counts = []
    for more in (0, 29):
        for n in range(more):
            full_entry(StudentFactory(studio=people.studio, name=f"Student {n}"))
        with CaptureQueriesContext(connection) as asked:
            assert feed(client, row).status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1] <= 12


# How it is written

WORDS = st.text(
    st.characters(exclude_categories=("Cs",)) | st.sampled_from(';,\\\n"é漢🎺\r\x00\x85\u2028'),
    min_size=1,
    max_size=120,
)


@example("a;b,c\\d\\ne")
@example("BEGIN:VEVENT\r\nSUMMARY:planted\r\nEND:VEVENT")
@example("漢字🎺" * 30)
@given(words=WORDS)
@settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
def test_whatever_is_typed_comes_back_whole(client, task, words):
    Task.objects.filter(pk=task.pk).update(name=words[:160])
    AuditionDay.objects.update(audition_room=words[:80], contacts=words, notes=words)
    body = part(client, task.entry.student).content
    assert all(len(row) <= 75 for row in body.split(b"\r\n"))
    assert [row.decode() for row in body.split(b"\r\n")], "no character is cut in two"
    due = Read(body, f"task-{task.pk}")
    assert due.summary.split() == f"Lake Ardent: {line(words[:160])}".split()
    assert len(vobject.readOne(body.decode()).vevent_list) == 2


def test_breaks_and_controls_never_reach_a_line():
    assert clean("a\r\nb\rc\x00d\u2028e") == "a\nb\nc d e"
    assert line(" a\n b\t c ") == "a b c"


def test_a_trigger_is_written_in_hours():
    assert calendars.Exact(timedelta(days=-2, hours=3, minutes=5)).to_ical() == b"-PT44H55M"


def test_an_event_keeps_its_name_wherever_the_site_moves(client):
    student = full_entry(StudentFactory()).student
    address = reverse("student_feed", args=[student.feed_token])
    hosts = ("localhost", "127.0.0.1")
    bodies = [client.get(address, headers={"host": host}).content for host in hosts]
    first, second = (re.findall(rb"^UID:.*", body, re.M) for body in bodies)
    assert first == second
    assert b"task-" in b"".join(first)
