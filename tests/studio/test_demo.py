"""The invented studio of `make demo`: whole, believable on any day, kept apart from real data."""

import csv
import re
import shutil
import socket
from datetime import date, timedelta
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from studio.accounts.access import within
from studio.accounts.models import Change, Membership, Role, Studio, User
from studio.days.models import AuditionDay
from studio.entries.bridge import Season
from studio.entries.models import (
    Assignment,
    DateWish,
    Entry,
    Hearing,
    LeadTime,
    LessonCheck,
    Take,
    Task,
    TrialLesson,
)
from studio.entries.opening import open_studio
from studio.entries.queries import whole_season
from studio.institutions.models import Audition, Deadline, OfferedDate
from studio.requirements.models import Piece, RecordingRules, RequirementSet
from studio.students.models import Accompanist, Recommender, Student, StudioDay
from studio.workbook import demo
from studio.workbook.files import read_files
from studio.workbook.loading import find_files, load
from studio.workbook.management.commands import demo as command
from studio.workbook.plan import plan

FIVE_PLACES = [
    date(2026, 11, 25),
    date(2027, 1, 12),
    date(2028, 2, 29),
    date(2027, 7, 4),
    date(2024, 12, 31),
]


def owner():
    return Membership.objects.get(studio=demo.studio(), role=Role.OWNER)


def rows(folder, sheet):
    with (Path(folder) / f"{sheet}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture
def built(db):
    """The demo as it is on its own anchor day."""
    demo.build(demo.ANCHOR)
    return owner()


def test_everything_in_the_folder_arrives(built):
    for sheet, model in {
        "students": Student,
        "auditions": Audition,
        "deadlines": Deadline,
        "dates": OfferedDate,
        "pieces": Piece,
        "entries": Entry,
        "programme": Assignment,
        "tasks": Task,
        "checks": LessonCheck,
        "days": AuditionDay,
        "recommenders": Recommender,
        "accompanists": Accompanist,
        "own days": StudioDay,
        "recordings": RecordingRules,
        "takes": Take,
        "hearings": Hearing,
        "date wishes": DateWish,
        "trial lessons": TrialLesson,
        "lead times": LeadTime,
    }.items():
        there = within(built, model).count()
        assert there == len(rows(demo.FIXTURES, sheet)), sheet
    assert within(built, Student).count() == 14
    assert 45 <= within(built, Entry).count() <= 55


def test_there_are_ten_weeks_of_lessons(built):
    weeks = {on.isocalendar()[:2] for on in LessonCheck.objects.values_list("on", flat=True)}
    assert len(weeks) >= 10
    last = LessonCheck.objects.latest("on").on
    assert demo.ANCHOR - timedelta(days=4) <= last < demo.ANCHOR


def test_students_stand_in_score_order_with_low_brass_last(built):
    order = [student.instrument.name for student in within(built, Student)]
    assert order[0] == "Horn"
    assert order[-1] == "Tuba"
    assert len(set(order)) == 6


def test_the_season_shows_every_kind_of_deadline_trap(built):
    deadlines = within(built, Deadline)
    assert deadlines.filter(zone="").exists()
    assert deadlines.filter(at=None).exists()
    assert deadlines.exclude(opens_after=None).exists()
    assert deadlines.filter(zone="Europe/London").exists()
    assert within(built, OfferedDate).exclude(instruments=None).exists()
    assert within(built, RequirementSet).filter(checked_on=None).exists()


def days_of_the_week(who, time_machine):
    """Yield every student's season as seen on each of the days before the demo moves on."""
    for later in range(7):
        time_machine.move_to(f"{demo.ANCHOR + timedelta(days=later)}T18:00Z")
        yield [Season(student) for student in whole_season(who)]


def test_the_season_hangs_together_as_seasons_do(built):
    deadlines, dates = within(built, Deadline), within(built, OfferedDate)
    assert deadlines.filter(on=None, before__gt=0).exists()
    assert set(deadlines.values_list("round", flat=True)) == {"", "early", "regular"}
    assert deadlines.exclude(late_until=None).exclude(late_terms="").exists()
    assert deadlines.exclude(cost=None).count() >= 8
    assert dates.filter(full=True).exists()
    assert dates.exclude(book_by=None).exists()
    universities = within(built, Audition).filter(institution__kind="university")
    assert all(audition.dates.count() >= 2 for audition in universities)
    tasks = within(built, Task)
    assert tasks.exclude(after=None).exists()
    assert tasks.exclude(recommender=None).exists()
    assert tasks.filter(of_day=True).exists()
    assert within(built, DateWish).filter(rank=1).count() >= 5


def test_an_accompanist_is_wanted_in_two_places_and_a_concert_meets_an_audition(built):
    entries = within(built, Entry).exclude(chosen_date=None)
    wanted = {}
    for entry in entries.exclude(accompanist=None).select_related("audition"):
        places = wanted.setdefault((entry.accompanist, entry.chosen_date.on), set())
        places.add(entry.audition.institution_id)
    assert [key[0].name for key, places in wanted.items() if len(places) > 1] == [
        "Carmen Ruiz-Feld"
    ]
    concert = within(built, StudioDay).get(name="Winter brass evening")
    assert (concert.first.weekday(), concert.first.month) == (5, 2)
    assert entries.filter(student__in=concert.students.all(), chosen_date__on=concert.first)
    kinds = set(within(built, StudioDay).values_list("kind", flat=True))
    assert kinds == set(StudioDay.Kind.values)


def test_recordings_are_old_and_new_and_trial_lessons_asked_held_and_declined(built):
    takes = within(built, Take).select_related("rules")
    assert takes.filter(chosen=True).exclude(sent_on=None).exists()
    assert any(
        take.rules.max_age and take.made_on < demo.ANCHOR - timedelta(days=31 * take.rules.max_age)
        for take in takes
    )
    lessons = within(built, TrialLesson)
    assert set(lessons.values_list("reply", flat=True)) == {"waiting", "yes", "no"}
    assert set(lessons.values_list("held", flat=True)) == {True, False}


def test_about_a_quarter_is_short_of_time_whatever_the_weekday(built, time_machine):
    for seasons in days_of_the_week(built, time_machine):
        assert all(season.next_answer for season in seasons)
        assert 3 <= sum(season.next_answer.late for season in seasons) <= 5


def test_cues_stand_under_every_heading_but_in_no_heaps(built, time_machine):
    for seasons in days_of_the_week(built, time_machine):
        found = [cue.due.when.value for season in seasons for cue in season.open_cues]
        # The journeys, pianists and run-throughs of fourteen students are counted back as well.
        assert 4 <= found.count("overdue") <= 24
        assert 1 <= found.count("today") + found.count("this week") <= 30
        assert 4 <= found.count("next week") <= 45


@pytest.mark.parametrize("today", FIVE_PLACES)
def test_weekdays_stay_and_today_is_in_the_middle(tmp_path, today):
    demo.write_moved(tmp_path, today)
    for before, after in zip(rows(demo.FIXTURES, "dates"), rows(tmp_path, "dates"), strict=True):
        was, now = date.fromisoformat(before["date"]), date.fromisoformat(after["date"])
        assert was.weekday() == now.weekday()
        assert timedelta(0) <= (today - now) - (demo.ANCHOR - was) < timedelta(weeks=1)
    lessons = [date.fromisoformat(row["date"]) for row in rows(tmp_path, "checks")]
    auditions = [date.fromisoformat(row["date"]) for row in rows(tmp_path, "dates")]
    assert max(lessons) < today < max(auditions)


@pytest.mark.parametrize(
    ("today", "label"),
    [
        (date(2027, 1, 12), "2026–27"),
        (date(2028, 2, 29), "2027–28"),
        (date(2027, 7, 4), "2027"),
        (date(2099, 12, 31), "2099–00"),
    ],
)
def test_the_season_is_named_by_its_years(tmp_path, today, label):
    demo.write_moved(tmp_path, today)
    assert {row["season"] for row in rows(tmp_path, "auditions")} == {label}


@pytest.mark.django_db
@pytest.mark.parametrize("today", FIVE_PLACES)
def test_it_loads_on_any_day(today):
    studio = demo.build(today)
    of_season = Entry.objects.filter(student__studio=studio, audition__season=studio.season)
    assert of_season.count() == len(rows(demo.FIXTURES, "entries"))


def test_every_address_is_an_invented_one():
    assert all(email.endswith(".example") for _, email, _ in demo.PEOPLE)
    for file in demo.FIXTURES.glob("*.csv"):
        text = file.read_text(encoding="utf-8")
        for domain in re.findall(r"(?:@|https?://)([\w.-]+)", text):
            assert domain.endswith(".example"), f"{file.name}: {domain}"


def test_its_people_can_sign_in(built, client):
    for name, email, _ in demo.PEOPLE:
        assert client.login(email=email, password=demo.PASSWORD), name
    seats = Membership.objects.filter(studio=built.studio).exclude(user=None)
    assert sorted(seats.values_list("role", flat=True)) == [
        "assistant",
        "owner",
        "student",
        "student",
        "student",
    ]
    assert {s.name for s in Student.objects.exclude(membership=None)} == {
        name for name, _, _ in demo.STUDENTS
    }


def test_what_was_loaded_is_in_the_owner_s_history(built):
    change = Change.objects.filter(model="entries.entry").latest("pk")
    assert change.by == built.user


def test_loading_it_again_changes_nothing(built, tmp_path):
    before = Change.objects.count()
    demo.write_moved(tmp_path, demo.ANCHOR)
    again = load(tmp_path, built.studio)
    assert (again.created, again.changed, again.absent) == (0, 0, 0)
    assert Change.objects.count() == before


@pytest.mark.django_db
def test_the_folder_itself_reads_without_a_problem_or_a_doubt():
    seat = open_studio(name="Fresh", season=demo.SEASON, time_zone=demo.ZONE, bare=True)
    read = plan(seat.studio, read_files(find_files(demo.FIXTURES)))
    assert read.problems == []
    assert read.notes == []


@pytest.mark.django_db
def test_it_refuses_any_database_but_its_own():
    with pytest.raises(CommandError, match="make demo"):
        call_command("demo", "--no-serve")
    assert not User.objects.exists()


def test_a_port_that_is_taken_is_named_with_another():
    with socket.socket() as busy:
        busy.bind((command.HOST, 0))
        busy.listen()
        port = busy.getsockname()[1]
        with pytest.raises(CommandError, match=f"Port {port} is taken.*PORT={port + 1}"):
            command.refuse_taken(port)


@pytest.fixture
def start(db, monkeypatch, tmp_path):
    """Start the command as if the test database were the demo's; return what it prints.

    `start.forgotten` counts how often it threw the database away.
    """
    file = tmp_path / demo.DATABASE
    monkeypatch.setattr(command, "demo_file", lambda: file)

    def forget(*_):
        run.forgotten += 1
        User.objects.all().delete()
        Studio.objects.update(name="An older demo")

    def run(*options):
        out = StringIO()
        call_command("demo", "--no-serve", *options, stdout=out)
        file.touch()
        return out.getvalue()

    run.forgotten = 0
    monkeypatch.setattr(command, "forget", forget)
    return run


def test_a_second_start_on_the_same_day_keeps_what_was_edited(start, time_machine):
    time_machine.move_to("2027-03-01T15:00Z")
    start()
    Student.objects.filter(name="Ines Okafor").update(town="Elsewhere")
    time_machine.move_to("2027-03-01T23:00Z")
    said = start()
    assert start.forgotten == 1
    assert Student.objects.get(name="Ines Okafor").town == "Elsewhere"
    assert "Kept from earlier today" in said
    assert "http://127.0.0.1:8000/" in said
    assert all(email in said for _, email, _ in demo.PEOPLE)
    assert demo.PASSWORD in said


@pytest.mark.parametrize(("later", "options"), [("2027-03-02", ()), ("2027-03-01", ("--fresh",))])
def test_another_day_or_fresh_builds_it_anew(start, time_machine, later, options):
    time_machine.move_to("2027-03-01T15:00Z")
    start()
    time_machine.move_to(f"{later}T16:00Z")
    said = start(*options)
    assert start.forgotten == 2
    assert "Built for today" in said
    assert User.objects.count() == len(demo.PEOPLE)


def test_changed_fixtures_are_built_anew(start, time_machine, monkeypatch, tmp_path):
    time_machine.move_to("2027-03-01T15:00Z")
    start()
    copy = tmp_path / "fixtures"
    shutil.copytree(demo.FIXTURES, copy)
    with (copy / "students.csv").open("a", encoding="utf-8") as file:
        file.write("Newly Joined,,Tuba" + "," * 15 + "\n")
    monkeypatch.setattr(demo, "FIXTURES", copy)
    start()
    assert Student.objects.filter(studio=demo.studio(), name="Newly Joined").exists()
