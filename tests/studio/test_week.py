"""The studio's week: lessons lost, who is where, what cannot all be done, on the right days."""

from datetime import date, time, timedelta

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from studio.accounts.models import Membership
from studio.week.book import Book
from studio.week.calendar import WeekPage
from tests.big_studio import build
from tests.factories import (
    AccompanistFactory,
    AuditionDayFactory,
    AuditionFactory,
    DayAwayFactory,
    EntryFactory,
    InstitutionFactory,
    OfferedDateFactory,
    StudioDayFactory,
)

pytestmark = pytest.mark.django_db

MONDAY = date(2026, 11, 23)
THURSDAY, FRIDAY = date(2026, 11, 26), date(2026, 11, 27)
SATURDAY = date(2027, 2, 6)
EVE = SATURDAY - timedelta(days=1)


@pytest.fixture(autouse=True)
def november():
    with time_machine.travel("2026-11-23 18:00Z", tick=False):
        yield


@pytest.fixture
def near(people):
    """An audition near home, on 6 February."""
    place = InstitutionFactory(
        studio=people.studio,
        name="Lakeside College",
        short_name="Lakeside",
        latitude=41.9,
        longitude=-87.7,
        time_zone="America/Chicago",
    )
    return OfferedDateFactory(audition=AuditionFactory(institution=place), on=SATURDAY)


def week(people, on):
    """The page as a new request sees it."""
    return WeekPage(Book(Membership.objects.get(pk=people.ines.pk)), on)


def day(people, on):
    return next(each for each in week(people, on).week.days if each.on == on)


def lost(people, on):
    """The lessons of a day as (why, names, sure)."""
    return [(each.why, each.names, each.sure) for each in day(people, on).lost]


def settle(people, on):
    return [trouble.text for trouble in day(people, on).troubles]


def lines(people, on, label):
    return [
        line for block in day(people, on).blocks if block.label == label for line in block.lines
    ]


def lesson(student, on, at=time(16)):
    student.lesson_day, student.lesson_at = on.weekday(), at
    student.save()


def enter(student, date_offered, call=None, **fields):
    """Enter a student for an offered date; call: the time, if it is known."""
    entry = EntryFactory(
        student=student, audition=date_offered.audition, chosen_date=date_offered, **fields
    )
    if call:
        AuditionDayFactory(entry=entry, call=call, minutes=12, travel_minutes=30)
    return entry


# Lessons lost


def test_a_public_holiday_takes_the_lessons_of_its_own_day_only(people):
    people.studio.country = "US"
    people.studio.save()
    lesson(people.sam_student, THURSDAY)
    lesson(people.mia_student, FRIDAY)
    # Thanksgiving is the fourth Thursday of November: 5 U.S.C. 6103(a).
    found = {each.on: [lost.names for lost in each.lost] for each in week(people, MONDAY).week.days}
    assert found.pop(THURSDAY) == ["Sam Reyes 16:00"]
    assert set(map(tuple, found.values())) == {()}
    assert lost(people, THURSDAY + timedelta(days=7)) == []


def test_without_a_country_no_holiday_is_guessed(people):
    lesson(people.sam_student, THURSDAY)
    assert lost(people, THURSDAY) == []


def test_an_audition_without_a_time_takes_the_lesson_of_that_day(people, near):
    lesson(people.sam_student, SATURDAY)
    lesson(people.mia_student, SATURDAY)
    enter(people.sam_student, near)
    assert lost(people, SATURDAY) == [("audition at Lakeside", "Sam Reyes 16:00", True)]
    assert lost(people, SATURDAY + timedelta(days=7)) == []


@pytest.mark.parametrize(
    ("at", "why", "sure"),
    [
        (time(10), "audition at Lakeside", True),
        (time(17), "audition at Lakeside, back about 11:22", False),
        (time(7), "audition at Lakeside, leaves about", False),
    ],
)
def test_a_lesson_before_or_after_is_only_in_doubt(people, near, at, why, sure):
    lesson(people.sam_student, SATURDAY, at)
    enter(people.sam_student, near, call=time(10, 40))
    (found,) = lost(people, SATURDAY)
    assert found[0].startswith(why)
    assert found[2] is sure


def test_a_long_journey_takes_the_lesson_of_the_day_before(people):
    lesson(people.sam_student, EVE)
    far = EntryFactory(student=people.sam_student, chosen_date__on=SATURDAY)
    place = far.audition.institution.short
    assert lost(people, EVE) == [(f"journey to {place}", "Sam Reyes 16:00", True)]
    (line,) = lines(people, EVE, "On the way")
    assert line.text.startswith(f"Sam Reyes to {place} at ")
    assert line.text.endswith("back on Sunday")
    far.delete()
    assert lost(people, EVE) == []


def test_a_long_journey_that_is_not_settled_yet_begins_the_day_before_too(people):
    lesson(people.sam_student, EVE)
    far = EntryFactory(student=people.sam_student, chosen_date__on=SATURDAY, date_state="ranked")
    place = far.audition.institution.short
    assert lost(people, EVE) == [(f"journey to {place}", "Sam Reyes 16:00", True)]
    far.journey_minutes = 60
    far.save()
    assert lost(people, EVE) == []


def test_days_away_take_lessons_and_exams_put_them_in_doubt(people):
    for student, kind in ((people.sam_student, "away"), (people.mia_student, "exam")):
        lesson(student, FRIDAY)
        DayAwayFactory(student=student, kind=kind, first=MONDAY, last=FRIDAY)
    assert lost(people, FRIDAY) == [
        ("away", "Sam Reyes 16:00", True),
        ("exams at school", "Mia Okafor 16:00", False),
    ]


def test_a_day_off_takes_only_the_lessons_of_whom_it_is_about(people):
    for student in (people.sam_student, people.mia_student):
        lesson(student, FRIDAY)
    off = StudioDayFactory(
        studio=people.studio, kind="day off", name="Painters", first=FRIDAY, last=FRIDAY
    )
    assert lost(people, FRIDAY) == [
        ("day off (Painters)", "Mia Okafor 16:00 and Sam Reyes 16:00", True)
    ]
    off.students.set([people.mia_student])
    assert lost(people, FRIDAY) == [("day off (Painters)", "Mia Okafor 16:00", True)]


def test_a_teacher_away_for_some_hours_takes_the_lessons_of_these_hours(people):
    lesson(people.sam_student, FRIDAY, time(15))
    lesson(people.mia_student, FRIDAY, time(17))
    StudioDayFactory(
        studio=people.studio,
        kind="teacher away",
        name="Jury",
        first=FRIDAY,
        last=FRIDAY,
        starts=time(13),
        ends=time(15, 30),
    )
    assert lost(people, FRIDAY) == [("the teacher is away (Jury)", "Sam Reyes 15:00", True)]


def test_a_teacher_who_goes_along_gives_no_lessons_meanwhile(people, near):
    lesson(people.mia_student, SATURDAY, time(10))
    entry = enter(people.sam_student, near, call=time(10, 40))
    assert lost(people, SATURDAY) == []
    entry.teacher_comes = True
    entry.save()
    why = "the teacher is with Sam Reyes at Lakeside"
    assert lost(people, SATURDAY) == [(why, "Mia Okafor 10:00", True)]
    lesson(people.mia_student, SATURDAY, time(15))
    assert lost(people, SATURDAY) == []


# Who is where


def test_the_day_says_who_plays_when_with_whom_and_whom_to_hear(people, near):
    pianist = AccompanistFactory(studio=people.studio, name="Noa Vick")
    enter(people.sam_student, near, time(10, 40), accompanist=pianist, teacher_comes=True)
    enter(people.mia_student, near, time(9, 5))
    first, second = lines(people, SATURDAY, "Auditions")
    assert (first.mark, first.text) == ("9:05", "Mia Okafor")
    assert (second.mark, second.text) == ("10:40", "Sam Reyes")
    assert second.note == "Horn · Noa Vick plays along · the teacher comes"
    (hear,) = lines(people, SATURDAY, "To hear")
    # 5 minutes' wait and 20 to warm up before 10:40: planner.day's usual minutes
    assert (hear.mark, hear.text) == ("10:15", "Sam Reyes warms up at Lakeside")
    (piano,) = lines(people, SATURDAY, "At the piano")
    assert piano.text == "Noa Vick: Lakeside: Sam Reyes 10:40"


def test_times_are_those_of_the_place_with_those_of_the_studio_beside(people):
    east = OfferedDateFactory(
        audition__institution__studio=people.studio,
        audition__institution__time_zone="America/New_York",
        on=SATURDAY,
    )
    enter(people.sam_student, east, time(10, 40))
    (line,) = lines(people, SATURDAY, "Auditions")
    assert (line.mark, line.note) == ("10:40", "Horn · 9:40 here")


def test_a_day_is_that_of_the_place_even_where_it_is_still_yesterday_here(people):
    tokyo = OfferedDateFactory(
        audition__institution__studio=people.studio,
        audition__institution__time_zone="Asia/Tokyo",
        on=SATURDAY,
    )
    enter(people.sam_student, tokyo, time(9))
    (line,) = lines(people, SATURDAY, "Auditions")
    # Tokyo is 15 hours ahead of Chicago in winter: 9:00 is 18:00 of the day before.
    assert (line.mark, line.note) == ("9:00", "Horn · 18:00 on Friday here")
    assert lines(people, EVE, "Auditions") == []
    lesson(people.sam_student, EVE, time(18))
    assert lost(people, EVE)[0][1:] == ("Sam Reyes 18:00", True)


@pytest.mark.parametrize(("days", "red"), [(14, "ask for the time, asked for"), (15, "")])
def test_what_is_not_settled_is_red_within_two_weeks(people, near, days, red):
    near.on = MONDAY + timedelta(days=days)
    near.save()
    enter(people.sam_student, near, date_state="asked for")
    (line,) = lines(people, near.on, "Auditions")
    assert line.red == (f"{red}, not confirmed" if red else "")


# What cannot all be done


def test_an_accompanist_in_two_places_is_told_until_one_moves(people, near):
    pianist = AccompanistFactory(studio=people.studio, name="Noa Vick")
    enter(people.sam_student, near, accompanist=pianist)
    other = enter(
        people.mia_student,
        OfferedDateFactory(
            audition__institution__studio=people.studio,
            audition__institution__short_name="Norwood",
            on=SATURDAY,
        ),
        accompanist=pianist,
    )
    (told,) = settle(people, SATURDAY)
    assert "Noa Vick cannot be at Lakeside and at Norwood" in told
    assert told.endswith("Ask one institution for another date, or find somebody else to play.")
    other.chosen_date.on += timedelta(days=7)
    other.chosen_date.save()
    assert settle(people, SATURDAY) == []


def test_two_players_of_one_accompanist_at_one_time_and_place(people, near):
    pianist = AccompanistFactory(studio=people.studio, name="Noa Vick")
    enter(people.sam_student, near, time(10, 40), accompanist=pianist)
    mia = enter(people.mia_student, near, time(10, 45), accompanist=pianist)
    (told,) = settle(people, SATURDAY)
    assert "cannot play for Sam Reyes and Mia Okafor at once at Lakeside" in told
    mia.day.call = time(11)
    mia.day.save()
    assert settle(people, SATURDAY) == []


def test_an_accompanist_away_or_with_too_many_is_told(people, near):
    pianist = AccompanistFactory(studio=people.studio, name="Noa Vick", most=1)
    enter(people.sam_student, near, time(10, 40), accompanist=pianist)
    assert settle(people, SATURDAY) == []
    enter(people.mia_student, near, time(13), accompanist=pianist)
    (told,) = settle(people, SATURDAY)
    assert "1 a day is the most" in told
    StudioDayFactory(
        studio=people.studio,
        kind="accompanist away",
        accompanist=pianist,
        name="Wedding",
        first=SATURDAY,
        last=SATURDAY,
    )
    assert any(
        "Noa Vick is away" in each and "Wedding" in each for each in settle(people, SATURDAY)
    )


def test_the_teacher_cannot_be_with_two_students_in_two_places(people, near):
    enter(people.sam_student, near, teacher_comes=True)
    elsewhere = OfferedDateFactory(
        audition__institution__studio=people.studio,
        audition__institution__short_name="Norwood",
        on=SATURDAY,
    )
    enter(people.mia_student, elsewhere, teacher_comes=True)
    (told,) = settle(people, SATURDAY)
    assert told.startswith("The teacher cannot be at")
    assert told.endswith("Say with whom the teacher goes.")


def test_a_concert_against_an_audition_goes_by_the_hours_where_they_are_known(people, near):
    concert = StudioDayFactory(
        studio=people.studio,
        kind="concert",
        name="Winter concert",
        first=SATURDAY,
        last=SATURDAY,
        starts=time(11),
        ends=time(13),
    )
    enter(people.sam_student, near, time(10, 40))
    (told,) = settle(people, SATURDAY)
    assert "Winter concert, 11:00 to 13:00, needs Sam Reyes, who plays at Lakeside at 10:40" in told
    assert "back about 11:22" in told
    concert.starts, concert.ends = time(19), time(21)
    concert.save()
    assert settle(people, SATURDAY) == []
    concert.starts = concert.ends = None
    concert.save()
    (told,) = settle(people, SATURDAY)
    assert "write down the times" in told
    concert.students.set([people.mia_student])
    assert settle(people, SATURDAY) == []


def test_days_away_against_an_audition_and_a_concert(people, near):
    enter(people.sam_student, near, time(10, 40))
    DayAwayFactory(student=people.sam_student, first=SATURDAY, last=SATURDAY)
    (told,) = settle(people, SATURDAY)
    assert "Sam Reyes is away (6 February) and plays at Lakeside" in told
    StudioDayFactory(
        studio=people.studio, kind="concert", name="Recital", first=SATURDAY, last=SATURDAY
    )
    assert any("Recital needs Sam Reyes, who is away" in each for each in settle(people, SATURDAY))


def test_one_student_in_two_places_on_one_day(people, near):
    enter(people.sam_student, near)
    other = EntryFactory(
        student=people.sam_student,
        audition__institution__short_name="Norwood",
        chosen_date__on=SATURDAY,
    )
    (told,) = settle(people, SATURDAY)
    assert "Sam Reyes plays at Lakeside and at Norwood on one day" in told
    other.result = "withdrawn"
    other.save()
    assert settle(people, SATURDAY) == []


def test_what_is_past_or_decided_troubles_nobody(people, near):
    entry = enter(people.sam_student, near)
    DayAwayFactory(student=people.sam_student, first=SATURDAY, last=SATURDAY)
    assert len(settle(people, SATURDAY)) == 1
    entry.result = "offered"
    entry.save()
    assert settle(people, SATURDAY) == []
    entry.result = "waiting"
    entry.save()
    with time_machine.travel("2027-02-10 18:00Z", tick=False):
        assert settle(people, SATURDAY) == []


# The pages


def test_the_weeks_ahead_name_what_is_to_settle(as_teacher, people, near):
    enter(people.sam_student, near)
    DayAwayFactory(student=people.sam_student, first=SATURDAY, last=SATURDAY)
    page = as_teacher.get(reverse("week"))
    assert "Nothing stands on this week" in page.content.decode()
    (ahead,) = page.context["page"].ahead
    assert (ahead.short, ahead.counts) == ("1 to 7 February", "1 audition")
    assert "ask for another date, or change the days away" in page.content.decode()
    assert ahead.url == "/week/2027-02-01/"
    shown = as_teacher.get(ahead.url).content.decode()
    assert "Saturday 6 February" in shown
    assert reverse("week", args=[date(2027, 1, 25)]) in shown
    assert reverse("week", args=[date(2027, 2, 8)]) in shown


@pytest.mark.parametrize("on", ["2026-02-30", "1899-12-31", "9999-12-31", "0001-01-01"])
def test_a_day_that_is_none_is_not_found(as_teacher, on):
    assert as_teacher.get(f"/week/{on}/").status_code == 404


def test_the_first_and_the_last_week_can_be_opened(as_teacher):
    for on in ("1900-01-01", "2199-12-31"):
        assert as_teacher.get(f"/week/{on}/").status_code == 200


def test_another_studio_is_not_seen(client, people, near):
    enter(people.sam_student, near)
    client.force_login(people.otto.user)
    assert "Sam Reyes" not in client.get(reverse("week", args=[SATURDAY])).content.decode()


def test_the_week_asks_as_often_for_thirty_students_as_for_one(client):
    counts = []
    for size in (1, 30):
        owner = build(size, MONDAY)
        pianist = AccompanistFactory(studio=owner.studio)
        for student in owner.studio.students.all():
            student.entries.update(accompanist=pianist, teacher_comes=True)
            lesson(student, FRIDAY)
        StudioDayFactory(studio=owner.studio, kind="concert", first=FRIDAY, last=FRIDAY)
        client.force_login(owner.user)
        with CaptureQueriesContext(connection) as asked:
            page = client.get(reverse("week", args=[MONDAY + timedelta(weeks=3)]))
            assert page.status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1] <= 12
