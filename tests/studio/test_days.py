"""The pages of audition days: the season ahead, one day, writing it down, forgetting it."""

from datetime import date, time

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from studio.accounts.models import Change
from studio.days.models import AuditionDay
from tests.factories import (
    AssignmentFactory,
    AuditionDayFactory,
    EntryFactory,
    InstrumentFactory,
    RequirementFactory,
    StudentFactory,
    full_entry,
)

pytestmark = pytest.mark.django_db

FEBRUARY = date(2027, 2, 6)
NOW = "2026-11-25 12:00Z"


@pytest.fixture(autouse=True)
def november():
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def entry(people):
    return EntryFactory(student=people.sam_student, chosen_date__on=FEBRUARY)


def another(entry, name, instrument=None, **fields):
    """Return the entry of another student for the same date."""
    student = StudentFactory(
        studio=entry.student.studio, name=name, instrument=instrument or entry.student.instrument
    )
    return EntryFactory(
        student=student, audition=entry.audition, chosen_date=entry.chosen_date, **fields
    )


def text(client, name, *args):
    return client.get(reverse(name, args=args)).content.decode()


# What is played


def test_of_a_choice_the_day_shows_what_is_chosen_or_that_nothing_is(as_teacher, entry):
    asked = entry.requirement_set
    choice = RequirementFactory(requirement_set=asked, name="Solo or study", kind="some of")
    solo = RequirementFactory(requirement_set=asked, name="Solo", parent=choice)
    RequirementFactory(requirement_set=asked, name="Study", parent=choice)
    RequirementFactory(requirement_set=asked, name="Reading", kind="sight-reading", position=2)
    RequirementFactory(requirement_set=asked, name="Third song", at_least=0, at_most=1, position=3)

    def music():
        played = as_teacher.get(reverse("day", args=[entry.pk])).context["day"].music
        return [(each.title, each.open) for each in played]

    extras = [("Reading", False), ("Third song", False)]
    assert music() == [("Solo or study", True), *extras]
    AssignmentFactory(entry=entry, requirement=solo, piece__work="Romance")
    assert music() == [("Invented, Romance", False), *extras]


# /days/


def test_the_season_ahead_stands_in_order_of_date_and_call(as_teacher, entry):
    AuditionDayFactory(entry=entry, call=time(10, 40))
    AuditionDayFactory(entry=another(entry, "Early Bird"), call=time(9, 5))
    another(entry, "No Call")
    EntryFactory(
        student=StudentFactory(studio=entry.student.studio, name="In January"),
        chosen_date__on=date(2027, 1, 30),
    )
    page = text(as_teacher, "days")
    found = [page.index(name) for name in ("In January", "Early Bird", "Sam Reyes", "No Call")]
    assert found == sorted(found)
    assert "Saturday 6 February 2027" in page
    assert "9:05" in page


def test_days_gone_by_and_entries_withdrawn_are_not_ahead(as_teacher, entry):
    entry.chosen_date.on = date(2026, 11, 24)
    entry.chosen_date.save()
    EntryFactory(
        student=StudentFactory(studio=entry.student.studio, name="Gone Away"), result="withdrawn"
    )
    page = text(as_teacher, "days")
    assert "Sam Reyes" not in page
    assert "Gone Away" not in page
    assert "1 earlier audition" in page


def test_an_audition_today_is_still_ahead(as_teacher, entry):
    entry.chosen_date.on = date(2026, 11, 25)
    entry.chosen_date.save()
    assert "Sam Reyes" in text(as_teacher, "days")


def test_unconfirmed_dates_and_missing_dates_are_told(as_teacher, entry):
    entry.date_state = "asked for"
    entry.save()
    EntryFactory(
        student=StudentFactory(studio=entry.student.studio, name="Dora Open"),
        chosen_date=None,
        date_state="open",
    )
    page = text(as_teacher, "days")
    assert "asked for, not confirmed" in page
    assert "Without a date yet" in page
    assert "Dora Open" in page


@pytest.mark.parametrize(("on", "red"), [(date(2026, 12, 9), True), (date(2026, 12, 10), False)])
def test_what_is_missing_is_red_only_within_two_weeks(as_teacher, entry, on, red):
    entry.chosen_date.on = on
    entry.chosen_date.save()
    entry.date_state = "asked for"
    entry.save()
    page = text(as_teacher, "days")
    assert "to ask" in page
    assert ('class="red"' in page) is red


def test_who_plays_at_the_same_place_stands_under_its_name(as_teacher, entry):
    another(entry, "Next Player")
    page = text(as_teacher, "days")
    assert page.count(str(entry.audition)) == 1


def test_without_a_date_the_page_says_how_to_get_one(as_teacher):
    assert "choose one of the dates its audition offers" in text(as_teacher, "days")


@pytest.mark.parametrize("name", ["days", "day", "day_edit", "day_remove"])
def test_pages_ask_as_often_for_thirty_students_as_for_one(as_teacher, people, name):
    entry = full_entry(people.sam_student)
    args = [] if name == "days" else [entry.pk]
    counts = []
    for more in (0, 29):
        for n in range(more):
            AuditionDayFactory(entry=another(entry, f"Student {n}"))
        as_teacher.get(reverse(name, args=args))
        with CaptureQueriesContext(connection) as asked:
            assert as_teacher.get(reverse(name, args=args)).status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1] <= 12


# /entries/<pk>/day/


def test_the_day_counts_back_from_the_call(as_student, entry):
    AuditionDayFactory(entry=entry, call=time(10, 40), travel_minutes=60, audition_room="214")
    page = text(as_student, "day", entry.pk)
    steps = ["Leave home", "Park", "Check in, Lobby", "Find room 214", "Warm up", "Audition, 12"]
    found = [page.index(step) for step in steps]
    assert found == sorted(found)
    assert "EST, one hour ahead of home" in page
    assert "ask the institution" in page


def test_a_student_reads_their_day_but_is_offered_nothing_to_change(as_student, entry):
    page = text(as_student, "day", entry.pk)
    assert reverse("day_edit", args=[entry.pk]) not in page
    assert reverse("day_sheet", args=[entry.pk]) in page


def test_a_long_journey_begs_for_a_night_away(as_teacher, entry):
    AuditionDayFactory(entry=entry, travel_minutes=300)
    page = text(as_teacher, "day", entry.pk)
    assert "Better travel the day before." in page
    AuditionDay.objects.update(travel_minutes=60)
    assert "Better travel the day before." not in text(as_teacher, "day", entry.pk)


def test_what_people_type_is_shown_as_text(as_teacher, entry):
    AuditionDayFactory(entry=entry, notes="<b>bold</b>", bring="<script>x</script>")
    page = text(as_teacher, "day", entry.pk)
    assert "&lt;b&gt;bold" in page
    assert "<script>x" not in page


def test_once_decided_nothing_is_left_to_ask(as_teacher, entry):
    assert "ask the institution" in text(as_teacher, "day", entry.pk)
    entry.result = "offered"
    entry.save()
    page = text(as_teacher, "day", entry.pk)
    assert "ask the institution" not in page
    assert "Still to ask" not in page


@pytest.mark.parametrize("name", ["day", "day_edit"])
def test_without_a_date_there_is_no_day_but_a_way_to_one(as_teacher, entry, name):
    entry.chosen_date = None
    entry.save()
    page = text(as_teacher, name, entry.pk)
    assert "has no date yet" in page
    assert reverse("entry", args=[entry.pk]) in page


# /entries/<pk>/day/edit/


def test_the_first_edit_makes_the_day_with_the_usual_case(as_teacher, entry):
    page = as_teacher.get(reverse("day_edit", args=[entry.pk]))
    assert "Valve oil, slide grease, cloth" in page.content.decode()
    assert not AuditionDay.objects.exists()
    as_teacher.post(reverse("day_edit", args=[entry.pk]), {"call": "10:40", "bring": "Pencil"})
    day = AuditionDay.objects.get()
    assert (day.entry, day.call, day.bring) == (entry, time(10, 40), "Pencil")
    assert Change.objects.get(model="days.auditionday").action == "created"


@pytest.mark.parametrize(
    ("field", "wrong", "told"),
    [
        ("extras", "25:10 Tour", "write the time from 0:00 to 23:59"),
        ("walk_minutes", "2000", "Give minutes up to 1440"),
        ("travel_minutes", "20161", "less than or equal to 20160"),
        ("travel_km", "50001", "less than or equal to 50000"),
        ("call", "half past", "Enter a valid time"),
    ],
)
def test_a_wrong_day_is_explained_and_what_was_typed_stays(as_teacher, entry, field, wrong, told):
    page = as_teacher.post(
        reverse("day_edit", args=[entry.pk]), {"check_in_place": "Lobby", field: wrong}
    )
    assert page.status_code == 422
    assert told in page.content.decode()
    assert "Lobby" in page.content.decode()
    assert not AuditionDay.objects.exists()


def test_what_is_shared_goes_to_the_others_of_the_date(as_teacher, entry):
    mia = AuditionDayFactory(
        entry=another(entry, "Has A Day"), call=time(9), check_in_place="Old desk", parking="Lot 7"
    )
    flute = InstrumentFactory(studio=entry.student.studio, name="Flute", family="woodwind")
    new = another(entry, "Has None", instrument=flute)
    elsewhere = full_entry(entry.student).day
    as_teacher.post(
        reverse("day_edit", args=[entry.pk]),
        {"call": "10:40", "check_in_place": "Lobby", "bring": "Mute", "also_others": "on"},
    )
    mia.refresh_from_db()
    assert (mia.call, mia.check_in_place, mia.bring) == (time(9), "Lobby", "Mute")
    assert mia.parking == "Lot 7", "silence blots nothing out"
    new.refresh_from_db()
    assert (new.day.call, new.day.check_in_place) == (None, "Lobby")
    assert "Mute" not in new.day.bring, "a flute needs none"
    elsewhere.refresh_from_db()
    assert elsewhere.check_in_place == "Lobby, Arden Hall"
    batch = Change.objects.filter(model="days.auditionday").latest("pk").batch
    assert Change.objects.filter(batch=batch).count() == 3


def test_what_was_cleared_is_cleared_for_the_others_too(as_teacher, entry):
    AuditionDayFactory(entry=entry, check_in_place="Wrong desk")
    other = AuditionDayFactory(entry=another(entry, "Other One"), check_in_place="Wrong desk")
    as_teacher.post(reverse("day_edit", args=[entry.pk]), {"call": "10:40", "also_others": "on"})
    other.refresh_from_db()
    assert other.check_in_place == ""


def test_others_keep_their_days_unless_asked_for(as_teacher, entry):
    other = AuditionDayFactory(entry=another(entry, "Other One"), check_in_place="Old desk")
    page = text(as_teacher, "day_edit", entry.pk)
    assert "Also for the other student of this date" in page
    as_teacher.post(reverse("day_edit", args=[entry.pk]), {"check_in_place": "Lobby"})
    other.refresh_from_db()
    assert other.check_in_place == "Old desk"


def test_a_removed_day_comes_back_from_the_page(as_teacher, entry):
    AuditionDayFactory(entry=entry, audition_room="Recital Hall")
    page = as_teacher.post(reverse("day_remove", args=[entry.pk]), follow=True)
    assert not AuditionDay.objects.exists()
    batch = Change.objects.filter(action="removed").get().batch
    assert reverse("undo", args=[batch]) in page.content.decode()
    as_teacher.post(reverse("undo", args=[batch]))
    assert AuditionDay.objects.get().audition_room == "Recital Hall"


# /days/minutes/


def starts(client, entry):
    """Return when each step of a day starts, as the page shows it."""
    page = client.get(reverse("day", args=[entry.pk]))
    return {line.title: line.time for line in page.context["day"].lines}


def test_the_studios_usual_minutes_move_the_whole_day(as_teacher, people, entry):
    AuditionDayFactory(entry=entry, travel_minutes=60)
    warm_up = {"Warm up": "10:15", "Check in, Lobby, Arden Hall": "9:55"}
    assert starts(as_teacher, entry).items() >= warm_up.items()
    as_teacher.post(reverse("day_settings"), {"warm_up": "30", "wait": "5"})
    people.studio.refresh_from_db()
    assert people.studio.day_minutes == {"warm_up": 30}, "only what differs from the program's"
    assert "30" in text(as_teacher, "day_settings")
    earlier = {"Warm up": "10:05", "Check in, Lobby, Arden Hall": "9:45"}
    assert starts(as_teacher, entry).items() >= earlier.items()


def test_minutes_out_of_range_are_refused(as_teacher, people):
    page = as_teacher.post(reverse("day_settings"), {"warm_up": "999"})
    assert page.status_code == 422
    people.studio.refresh_from_db()
    assert people.studio.day_minutes == {}


def test_a_date_that_can_only_be_a_slip_is_refused(entry):
    entry.chosen_date.on = date(202, 2, 6)
    with pytest.raises(ValidationError, match="1900 to 2199"):
        entry.chosen_date.full_clean()
