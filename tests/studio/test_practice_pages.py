"""Today on the part, the page of the coming weeks, what is written down there, and the rules."""

import re
from datetime import date

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from planner.practice import Settings
from studio.accounts.models import Role
from studio.entries.models import PracticeDay, PracticeLog
from studio.entries.practice.settings import settings
from tests.factories import (
    AssignmentFactory,
    DayAwayFactory,
    EntryFactory,
    GuardianFactory,
    LessonCheckFactory,
    PieceFactory,
    PracticeDayFactory,
    PracticeLogFactory,
    seat,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("in_january")]
TODAY = date(2027, 1, 12)  # a Tuesday
DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


@pytest.fixture
def in_january():
    with time_machine.travel("2027-01-12T18:00:00Z", tick=False):
        yield


@pytest.fixture
def sam(people):
    """Sam with an hour on each day, and one piece of ten hours for an audition in February."""
    return with_minutes(people.sam_student)


def with_minutes(student, work="Romance", **days):
    for day in DAYS:
        setattr(student, f"practice_{day}", days.get(day, 60))
    student.save()
    entry = EntryFactory(student=student, chosen_date__on=date(2027, 2, 6))
    piece = PieceFactory(studio=student.studio, hours=10, minutes=5, work=work)
    AssignmentFactory(entry=entry, piece=piece)
    return student


def piece_of(student):
    return student.entries.get().assignments.get().piece


def words(response, status=200):
    """Return what stands on the page, spaces evened."""
    assert response.status_code == status
    text = re.sub(r"<(script|style).*?</\1>", "", response.content.decode(), flags=re.DOTALL)
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", text))


def log(client, student, **data):
    found = {"what": f"piece-{piece_of(student).pk}", "on": TODAY.isoformat(), "minutes": 30}
    url = reverse("practice_log", args=[student.pk])
    return client.post(url, {**found, **data}, follow="line" not in data)


def give(client, student, **data):
    url = reverse("practice_day", args=[student.pk])
    return client.post(url, {"on": TODAY.isoformat(), "minutes": 20, **data}, follow=True)


# ---- today


def test_a_student_ticks_what_was_practised_and_takes_it_back(as_student, sam):
    page = words(as_student.get(reverse("part")))
    assert "35 min Romance" in page and "0 of 35 min done" in page
    assert "Stop playing if it hurts" in page
    tick = r'name="minutes" value="(\d+)"'
    value = re.search(tick, as_student.get(reverse("part")).content.decode())[1]
    page = words(log(as_student, sam, minutes=value, next=reverse("part")))
    assert "Romance: 35 min are logged for 12 January." in page
    assert "35 of 35 min done" in page
    row = PracticeLog.objects.get()
    assert (row.student, row.piece, row.minutes, row.by) == (
        sam, piece_of(sam), 35, sam.membership.user,
    )  # fmt: skip
    value = re.search(tick, as_student.get(reverse("part")).content.decode())[1]
    assert "0 of 35 min done" in words(log(as_student, sam, minutes=value))
    assert PracticeLog.objects.get().minutes == 0


def test_the_same_tapped_twice_is_one_log(as_student, sam):
    for _ in range(2):
        log(as_student, sam)
    assert PracticeLog.objects.get().minutes == 30


def test_other_minutes_stand_apart_and_scales_count_too(as_student, sam):
    log(as_student, sam, minutes=25)
    log(as_student, sam, what="piece-scales", minutes=10)
    page = words(as_student.get(reverse("part")))
    assert "25 of 35 min done" in page
    assert "35 of 35 min done" in page  # of the day
    assert "Besides: Scales and all else, 10 min" in page
    other = PracticeLog.objects.get(piece=None)
    assert (other.entry, other.minutes) == (None, 10)


def test_a_run_through_is_logged_for_its_audition(as_student, sam):
    entry = sam.entries.get()
    log(as_student, sam, what=f"run-{entry.pk}", minutes=12, on="2027-01-10")
    row = PracticeLog.objects.get()
    assert (row.entry, row.piece, row.on) == (entry, None, date(2027, 1, 10))


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ({"minutes": "x"}, "Give whole minutes from 0 to 1440."),
        ({"minutes": 2000}, "Give whole minutes from 0 to 1440."),
        ({"minutes": ""}, "Give whole minutes from 0 to 1440."),
        ({"on": "2027-01-13"}, "That day is still to come"),
        ({"on": "2026-12-28"}, "Log the last 14 days only."),
        ({"on": "soon"}, "Give the day as a date."),
        ({"what": "piece-999999"}, "Choose what was practised."),
        ({"what": ""}, "Choose what was practised."),
    ],
)
def test_what_cannot_be_logged_says_what_to_do_and_keeps_what_was_typed(
    as_student, sam, data, said
):
    response = log(as_student, sam, **data)
    assert said in words(response, 422)
    assert not PracticeLog.objects.exists()
    html = response.content.decode()
    typed = [value for name, value in data.items() if name != "what" and value]
    assert all(f'value="{value}"' in html for value in typed)


def test_a_day_has_no_more_minutes_than_it_has(as_student, sam):
    PracticeLogFactory(student=sam, piece=piece_of(sam), on=TODAY, minutes=1400)
    scales = "piece-scales"
    page = log(as_student, sam, what=scales, minutes=41)
    assert page.status_code == 422
    assert "1400 minutes are logged on that day already, and a day has 1440." in words(page, 422)
    assert log(as_student, sam, what=scales, minutes=40).status_code == 200
    assert log(as_student, sam, what=f"piece-{piece_of(sam).pk}", minutes=30).status_code == 200
    assert {row.minutes for row in PracticeLog.objects.all()} == {30, 40}


def test_wrong_minutes_of_a_line_are_shown_at_that_line(as_student, sam):
    name = f"piece-{piece_of(sam).pk}"
    response = log(as_student, sam, line=name, minutes="-3")
    assert response.status_code == 422
    html = response.content.decode()
    wrong = html.index('value="-3"')
    assert html.rindex("<li", 0, wrong) < html.rindex(f'value="{name}"', 0, wrong)
    assert html.count("Give whole minutes") == 1


def test_todays_minutes_can_be_others_than_the_weekdays(as_student, sam):
    page = words(give(as_student, sam, next=reverse("part")))
    assert "Tuesday 12 January has 20 minutes: the plan goes by that." in page
    assert "15 min Romance" in page
    give(as_student, sam, minutes=45)
    assert PracticeDay.objects.get().minutes == 45


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ({"on": "2027-01-11"}, "That day is over"),
        ({"on": "2029-01-11"}, "within a year"),
        ({"minutes": -1}, "Give whole minutes"),
    ],
)
def test_a_day_that_cannot_be_says_what_to_do(as_student, sam, data, said):
    assert said in words(give(as_student, sam, **data), 422)
    assert not PracticeDay.objects.exists()


def test_a_log_can_be_taken_back_by_whoever_wrote_it(as_student, sam):
    page = log(as_student, sam).content.decode()
    undo = re.search(r'action="(/[^"]*undo[^"]*)"', page)[1]
    as_student.post(undo)
    assert not PracticeLog.objects.exists()


@pytest.mark.parametrize("who", ["theo", "ana"])
def test_staff_log_for_a_student(client, people, sam, who):
    client.force_login(getattr(people, who).user)
    log(client, sam)
    assert PracticeLog.objects.get().by == getattr(people, who).user


@pytest.mark.parametrize("who", ["mia", "otto"])
def test_nobody_else_writes_or_reads_it(client, people, sam, who):
    client.force_login(getattr(people, who).user)
    assert client.get(reverse("practice", args=[sam.pk])).status_code == 404
    assert log(client, sam).status_code == 404
    assert give(client, sam).status_code == 404
    assert not PracticeLog.objects.exists() and not PracticeDay.objects.exists()


def test_a_student_logs_no_piece_and_no_run_through_of_another(as_student, people, sam):
    mia = with_minutes(people.mia_student, "Elegy")
    for what in (f"piece-{piece_of(mia).pk}", f"run-{mia.entries.get().pk}"):
        assert log(as_student, sam, what=what).status_code == 422


def test_a_guardian_reads_it_and_writes_nothing(client, people, sam):
    guardian = seat(people.studio, Role.GUARDIAN)
    GuardianFactory(studio=people.studio, students=[sam], membership=guardian)
    client.force_login(guardian.user)
    page = client.get(reverse("practice", args=[sam.pk]))
    assert "35 min Romance" in words(page) and "Sam’s own word" in words(page)
    assert "Log it" not in words(page) and 'class="tick"' not in page.content.decode()
    assert log(client, sam).status_code == give(client, sam).status_code == 404


# ---- the days that have nothing


def test_a_weekday_without_minutes_is_a_rest_day(as_student, people):
    with_minutes(people.sam_student, tue=0)
    assert "A rest day: rest is part of practice." in words(as_student.get(reverse("part")))


def test_a_day_away_is_said(as_student, sam):
    DayAwayFactory(student=sam, first=TODAY, last=TODAY, reason="Ski camp")
    assert "Away, Ski camp: no practice today." in words(as_student.get(reverse("part")))


def test_without_minutes_everybody_is_told_what_to_do(client, people):
    student = with_minutes(people.sam_student, **dict.fromkeys(DAYS, 0))
    client.force_login(people.sam.user)
    assert "Ask your teacher to write down how many" in words(client.get(reverse("part")))
    client.force_login(people.ines.user)
    page = client.get(reverse("student", args=[student.pk]))
    assert "has no practice minutes yet" in words(page)
    assert f'href="{reverse("student_edit", args=[student.pk])}"' in page.content.decode()
    client.force_login(people.ana.user)
    assert "The studio’s teacher sets them." in words(
        client.get(reverse("student", args=[student.pk]))
    )
    page = words(client.get(reverse("practice", args=[student.pk])))
    assert "The plan follows as soon as there are minutes" in page


def test_ready_music_leaves_nothing_to_do(as_student, sam):
    LessonCheckFactory(student=sam, piece=piece_of(sam), on=TODAY, tempo=112, target=112)
    page = words(as_student.get(reverse("practice", args=[sam.pk])))
    assert "All of the music is ready" in page or "run-through" in page


def test_the_days_before_an_audition_are_light_on_purpose(as_student, people):
    student = with_minutes(people.sam_student)
    entry = student.entries.get()
    entry.chosen_date.on = date(2027, 1, 13)
    entry.chosen_date.save()
    LessonCheckFactory(student=student, piece=piece_of(student), on=TODAY, tempo=112, target=112)
    page = words(as_student.get(reverse("part")))
    assert f"Kept light on purpose: {entry.audition.institution.short} is near." in page


# ---- what moved


def test_the_part_says_what_a_check_moved(as_student, sam):
    piece = piece_of(sam)
    other = PieceFactory(studio=sam.studio, hours=10, minutes=5, work="Fantasia")
    AssignmentFactory(entry=sam.entries.get(), piece=other)
    for each in (piece, other):
        LessonCheckFactory(student=sam, piece=each, on=date(2027, 1, 5), tempo=60)
    assert "What moved" not in words(as_student.get(reverse("part")))
    LessonCheckFactory(student=sam, piece=piece, on=TODAY, tempo=104)
    page = words(as_student.get(reverse("part")))
    assert "What moved since yesterday Heard today: Romance." in page
    assert re.search(r"Romance: \d+ minutes fewer in all; \d+ days changed, first today", page)


def test_the_part_says_what_a_missed_day_moved(as_student, sam):
    PracticeLogFactory(student=sam, piece=piece_of(sam), on=date(2027, 1, 10), minutes=40)
    page = words(as_student.get(reverse("part")))
    assert "Yesterday none of 30 minutes are logged. Romance: " in page


# ---- the coming weeks


def test_a_student_reads_the_coming_weeks(as_student, sam):
    PracticeDayFactory(student=sam, on=date(2027, 1, 14), minutes=0)
    page = words(as_student.get(reverse("practice", args=[sam.pk])))
    for said in ("Today 35 min 35 Romance", "Wednesday 13 January", "Thursday 14 January Rest day",
                 "Every piece is ready by its date: 10 h in", "run-through", "And then",
                 "10 h from the first page", "Nothing is logged yet"):  # fmt: skip
        assert said in page, said


def test_who_is_short_sees_by_how_much_and_what_would_do(as_teacher, people):
    student = with_minutes(people.sam_student, **dict.fromkeys(DAYS, 20))
    page = words(as_teacher.get(reverse("practice", args=[student.pk])))
    # 22 days of 20 minutes up to 2 February hold 440 of 600
    assert "160 minutes do not fit, whatever the order." in page
    assert "160 too few." in page
    assert "8 minutes more on each day with practice would do; 7 would not." in page
    part = words(as_teacher.get(reverse("student", args=[student.pk])))
    assert "160 minutes do not fit before their dates." in part


def test_logged_weeks_stand_against_the_minutes_there_were(as_student, sam):
    PracticeLogFactory(student=sam, piece=piece_of(sam), on=date(2027, 1, 11), minutes=50)
    PracticeLogFactory(student=sam, on=date(2027, 1, 10), minutes=20)
    DayAwayFactory(student=sam, first=date(2027, 1, 8), last=date(2027, 1, 9))
    PracticeDayFactory(student=sam, on=date(2027, 1, 7), minutes=30)
    page = words(as_student.get(reverse("practice", args=[sam.pk])))
    assert "6 January to 12 January: 70 of 270 min, on 2 days" in page


def test_music_without_a_date_is_named(as_teacher, sam):
    entry = sam.entries.get()
    entry.chosen_date = None
    entry.save()
    entry.audition.dates.all().delete()
    page = words(as_teacher.get(reverse("practice", args=[sam.pk])))
    assert "No date yet, so not planned: Romance." in page


def test_logs_and_days_cost_no_queries(as_student, sam):
    def cost():
        with CaptureQueriesContext(connection) as queries:
            as_student.get(reverse("part"))
        return len(queries)

    before = cost()
    for day in range(1, 12):
        PracticeLogFactory(student=sam, piece=piece_of(sam), on=date(2027, 1, day))
        PracticeDayFactory(student=sam, on=date(2027, 1, day + 12))
    assert cost() == before <= 12


# ---- a lesson, paper, rules


def test_a_saved_lesson_says_todays_practice(as_teacher, sam):
    url = reverse("lesson", args=[sam.pk])
    data = {"on": "2027-01-12", "shown": "2027-01-12", f"piece{piece_of(sam).pk}-tempo": "40",
            f"piece{piece_of(sam).pk}-target": "112"}  # fmt: skip
    page = as_teacher.post(url, data, follow=True)
    assert re.search(r"Today’s practice: Romance \d+ min\.", words(page))
    assert f'href="{reverse("practice", args=[sam.pk])}"' in page.content.decode()


def test_the_rules_keep_only_what_differs(as_teacher, people):
    url = reverse("practice_settings")
    assert settings(people.studio) == Settings()
    data = {"shortest": 10, "longest": "", "rest_days": 1, "spare_days": 3, "light_days": 2,
            "light_share": 50, "run_shares": "50, 25"}  # fmt: skip
    assert as_teacher.post(url, data).status_code == 302
    people.studio.refresh_from_db()
    assert people.studio.practice == {"rest_days": 1, "run_shares": [50, 25]}
    assert settings(people.studio) == Settings(rest_days=1, run_shares=(50, 25))
    assert 'value="50, 25"' in as_teacher.get(url).content.decode()


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ({"shortest": 30}, "Write twice the shortest or more: 60."),
        ({"run_shares": "30, x"}, "Write percents from 0 to 100"),
        ({"run_shares": "30, 101"}, "Write percents from 0 to 100"),
        ({"run_shares": ",".join(["1"] * 27)}, "Write percents from 0 to 100"),
        ({"light_share": 101}, "Write 0 to 100"),
    ],
)
def test_rules_that_cannot_be_say_what_to_do(as_teacher, people, data, said):
    page = as_teacher.post(reverse("practice_settings"), data)
    assert said in words(page, 422)
    people.studio.refresh_from_db()
    assert people.studio.practice == {}
