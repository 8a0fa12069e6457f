"""The lesson page from the first tempo to the hairpin; the page of checks; editing one."""

from datetime import date

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from studio.accounts.models import Change
from studio.entries.bridge import Season
from studio.entries.models import LessonCheck
from studio.entries.queries import whole_season
from tests.factories import (
    AssignmentFactory,
    EntryFactory,
    LessonCheckFactory,
    PieceFactory,
    RequirementFactory,
    full_entry,
)

pytestmark = pytest.mark.django_db

TODAY = date(2026, 11, 25)
YESTERDAY = date(2026, 11, 24)


@pytest.fixture(autouse=True)
def november():
    with time_machine.travel("2026-11-25 18:00Z", tick=False):
        yield


@pytest.fixture
def entry(people):
    """Sam's audition of 6 February with two studies, each checked three times in November."""
    return full_entry(people.sam_student)


@pytest.fixture
def pieces(entry):
    return [each.piece for each in entry.assignments.order_by("pk")]


def address(student, **query):
    return reverse("lesson", args=[student.pk], query=query or None)


def typed(on=TODAY, shown=TODAY, **rows):
    """Return what a browser sends: the day, and per piece what was typed (piece3={"tempo": 96})."""
    values = {"on": on.isoformat(), "shown": shown.isoformat()}
    for prefix, row in rows.items():
        values |= {f"{prefix}-{name}": value for name, value in row.items()}
    return values


def row(piece, **values):
    """Return one row as it stands on the page with its target, and what was typed into it."""
    return {f"piece{piece.pk}": {"target": "112", "memory": "", **values}}


def save(client, student, *rows, follow=True, **days):
    sent = {}
    for each in rows:
        sent |= each
    return client.post(address(student), typed(**days, **sent), follow=follow)


def todays():
    return LessonCheck.objects.filter(on=TODAY)


# what stands on the page


def test_a_row_shows_the_last_check_and_offers_target_and_last_tempo(as_teacher, people, pieces):
    page = as_teacher.get(address(people.sam_student)).content.decode()
    assert "92 of 112, 10 days ago" in page
    assert 'placeholder="92"' in page
    assert 'value="112"' in page


def test_the_cursor_stands_in_the_first_tempo(as_teacher, people, pieces):
    form = as_teacher.get(address(people.sam_student)).context["lesson"].rows[0].form
    assert "autofocus" in str(form["tempo"])
    assert "autofocus" not in str(form["target"])


@pytest.mark.parametrize(
    ("names", "shown"),
    [
        ("", []),
        ("Sound", ["Sound"]),
        ("Tone, Time, Tuning, Style, Fifth", ["Tone", "Time", "Tuning", "Style"]),
    ],
)
def test_the_marks_are_the_studios_own(as_teacher, people, pieces, names, shown):
    people.studio.mark_names = names
    people.studio.save()
    form = as_teacher.get(address(people.sam_student)).context["lesson"].rows[0].form
    marks = [field.label for field in form if field.name.startswith("mark")]
    assert marks == shown


def test_without_pieces_the_page_says_what_to_do(as_teacher, people):
    page = as_teacher.get(address(people.sam_student)).content.decode()
    assert reverse("entry_add", args=[people.sam_student.pk]) in page
    entry = EntryFactory(student=people.sam_student)
    page = as_teacher.get(address(people.sam_student)).content.decode()
    assert entry.get_absolute_url() in page


def test_a_slot_without_a_piece_leads_to_its_entry(as_teacher, people, entry):
    RequirementFactory(requirement_set=entry.requirement_set, name="Lyrical study")
    page = as_teacher.get(address(people.sam_student)).content.decode()
    assert "Lyrical study" in page
    assert f"{entry.get_absolute_url()}#music" in page


# saving


def test_a_lesson_moves_the_next_auditions_readiness_and_hairpin(as_teacher, people, pieces):
    was = Season(whole_season(people.ines).get(pk=people.sam_student.pk)).next_answer
    rows = [row(piece, tempo="108") for piece in pieces]
    result = save(as_teacher, people.sam_student, *rows).context["result"]
    assert result.answer.now > was.now
    assert result.answer.history[-1] != was.history[-1]
    assert result.lines[0].startswith(f"{result.season.pieces[0].title}: 92 to 108, readiness ")
    assert result.readiness == f"readiness {int(was.now)} to {int(result.answer.now)}"
    assert result.drawing.hairpin.solid


def test_the_result_is_told_in_the_engines_words_and_once(as_teacher, people, pieces):
    page = save(as_teacher, people.sam_student, row(pieces[0], tempo="108"))
    assert page.context["result"].answer.sentence in page.content.decode().replace("&#x27;", "'")
    assert as_teacher.get(address(people.sam_student)).context["result"] is None


def test_all_that_was_heard_is_kept(as_teacher, people, pieces):
    heard = {"tempo": "100", "mark_1": "7", "mark_4": "10", "memory": "partly", "note": "Bar 12"}
    save(as_teacher, people.sam_student, row(pieces[0], **heard))
    check = todays().get()
    assert (check.piece, check.student) == (pieces[0], people.sam_student)
    assert (check.tempo, check.mark_1, check.mark_2) == (100, 7, None)
    assert (check.mark_4, check.memory, check.note) == (10, "partly", "Bar 12")
    assert (check.source, check.by) == ("teacher", people.ines.user)


def test_a_lesson_in_a_year_that_is_a_slip_is_refused(as_teacher, people, pieces):
    slip = date(206, 11, 25)
    page = save(as_teacher, people.sam_student, row(pieces[0], tempo="100"), on=slip)
    assert page.status_code == 422
    assert "Write a year from 1900 on." in page.content.decode()
    assert not LessonCheck.objects.filter(on=slip).exists()


def test_a_target_of_the_students_own_makes_the_figure_and_stays(as_teacher, people, pieces):
    page = save(as_teacher, people.sam_student, row(pieces[0], tempo="90", target="100"))
    season = page.context["result"].season
    assert season.target(pieces[0]) == 100
    assert season.piece_answers[pieces[0].pk].now == pytest.approx(90)
    with time_machine.travel("2026-12-02 18:00Z", tick=False):
        shown = as_teacher.get(address(people.sam_student)).context["lesson"]
    targets = {each.piece: each.form["target"].value() for each in shown.rows}
    assert targets == {pieces[0]: 100, pieces[1]: 112}


def test_the_pieces_target_is_not_written_down_again_and_reaches_everybody(
    as_teacher, people, pieces
):
    save(as_teacher, people.sam_student, row(pieces[0], tempo="100"))
    assert todays().get().target is None
    pieces[0].target_tempo = 125
    pieces[0].save()
    season = Season(whole_season(people.ines).get(pk=people.sam_student.pk))
    assert season.piece_answers[pieces[0].pk].now == pytest.approx(80)
    assert season.piece_answers[pieces[0].pk].limit_sentence == "clean at 100 of 125"
    shown = as_teacher.get(address(people.sam_student)).context["lesson"]
    targets = {each.piece: each.form["target"].value() for each in shown.rows}
    assert targets[pieces[0]] == 125


def test_rows_with_only_their_target_are_left_alone(as_teacher, people, pieces):
    page = save(as_teacher, people.sam_student, *[row(piece) for piece in pieces])
    assert not todays().exists()
    assert "nothing is saved" in page.content.decode()


def test_a_second_save_of_the_day_changes_its_check(as_teacher, people, pieces):
    save(as_teacher, people.sam_student, row(pieces[0], tempo="100", mark_1="7"))
    shown = as_teacher.get(address(people.sam_student)).context["lesson"]
    form = next(each.form for each in shown.rows if each.piece == pieces[0])
    assert (form["tempo"].value(), form["mark_1"].value()) == (100, 7)
    result = save(as_teacher, people.sam_student, row(pieces[0], tempo="104", mark_1="7"))
    check = todays().get()
    assert (check.tempo, check.mark_1) == (104, 7)
    assert "100 to 104" in result.context["result"].lines[0]


def test_the_students_own_log_of_the_day_stays_apart(as_teacher, people, pieces):
    log = LessonCheckFactory(
        student=people.sam_student, piece=pieces[0], on=TODAY, source="student", tempo=111
    )
    save(as_teacher, people.sam_student, row(pieces[0], tempo="100"))
    log.refresh_from_db()
    assert log.tempo == 111
    assert todays().get(source="teacher").tempo == 100


def test_a_past_day_can_be_written_down(as_teacher, people, pieces):
    save(as_teacher, people.sam_student, row(pieces[0], tempo="99"), on=YESTERDAY)
    assert LessonCheck.objects.get(tempo=99).on == YESTERDAY


def test_moved_to_another_day_only_what_was_typed_goes_there(as_teacher, people, pieces):
    there = LessonCheckFactory(
        student=people.sam_student, piece=pieces[0], on=YESTERDAY, tempo=90, note="Keep this"
    )
    save(as_teacher, people.sam_student, row(pieces[0], tempo="95"), on=YESTERDAY)
    there.refresh_from_db()
    assert (there.tempo, there.note) == (95, "Keep this")
    assert not todays().exists()


def test_the_day_is_that_of_the_studios_calendar(as_teacher, people, pieces):
    people.studio.time_zone = "Pacific/Auckland"
    people.studio.save()
    assert as_teacher.get(address(people.sam_student)).context["lesson"].today == date(2026, 11, 26)


def test_a_past_days_values_can_be_looked_at(as_teacher, people, pieces):
    lesson = as_teacher.get(address(people.sam_student, on="2026-11-15")).context["lesson"]
    assert [each.form["tempo"].value() for each in lesson.rows] == [92, 92]
    for odd in ("2026-12-24", "yesterday", "2026-99-99"):
        lesson = as_teacher.get(address(people.sam_student, on=odd)).context["lesson"]
        assert lesson.shown == TODAY


def test_a_lesson_can_be_taken_back(as_teacher, people, pieces):
    save(as_teacher, people.sam_student, *[row(piece, tempo="108") for piece in pieces])
    assert todays().count() == 2
    batch = Change.objects.filter(model="entries.lessoncheck").first().batch
    as_teacher.post(reverse("undo", args=[batch]))
    assert not todays().exists()


# wrong values


@pytest.mark.parametrize(
    ("name", "value", "message"),
    [
        ("tempo", "fast", "Write a number, 1 to 400."),
        ("tempo", "0", "Write a number, 1 to 400."),
        ("target", "401", "Write a number, 1 to 400."),
        ("mark_1", "11", "Write a number, 1 to 10."),
        ("memory", "maybe", "Select a valid choice"),
        ("note", "x" * 201, "at most 200 characters"),
    ],
)
def test_one_wrong_value_saves_nothing_and_loses_nothing(
    as_teacher, people, pieces, name, value, message
):
    good, bad = row(pieces[0], tempo="100"), row(pieces[1], **{"tempo": "101", name: value})
    response = save(as_teacher, people.sam_student, good, bad, follow=False)
    assert response.status_code == 422
    assert not todays().exists()
    lesson = response.context["lesson"]
    forms = {each.piece: each.form for each in lesson.rows}
    assert message in forms[pieces[1]].errors[name][0]
    assert forms[pieces[1]][name].value() == value
    assert forms[pieces[0]]["tempo"].value() == "100"
    assert f"id_piece{pieces[1].pk}-{name}" in [each.anchor for each in lesson.problems]


def test_a_day_still_to_come_is_refused(as_teacher, people, pieces):
    tomorrow = date(2026, 11, 26)
    rows = row(pieces[0], tempo="100")
    response = save(as_teacher, people.sam_student, rows, follow=False, on=tomorrow)
    assert response.status_code == 422
    assert "still to come" in response.content.decode()
    assert not LessonCheck.objects.filter(on=tomorrow).exists()


def test_an_emptied_row_is_asked_about(as_teacher, people, pieces):
    save(as_teacher, people.sam_student, row(pieces[0], tempo="100"))
    response = save(as_teacher, people.sam_student, row(pieces[0], tempo=""), follow=False)
    assert response.status_code == 422
    assert "Give at least a tempo" in response.content.decode()
    assert todays().get().tempo == 100


# who may


def test_assistants_may_write_down_a_lesson(client, people, pieces):
    client.force_login(people.ana.user)
    save(client, people.sam_student, row(pieces[0], tempo="100"))
    assert todays().get().by == people.ana.user


@pytest.mark.parametrize("seat", ["sam", "mia", "otto"])
def test_students_and_strangers_find_nothing(client, people, pieces, seat):
    client.force_login(getattr(people, seat).user)
    assert client.get(address(people.sam_student)).status_code == 404
    assert save(client, people.sam_student, row(pieces[0], tempo="100")).status_code == 404
    assert not todays().exists()


def test_a_piece_given_while_the_page_was_open_is_left_alone(as_teacher, people, entry, pieces):
    rows = row(pieces[0], tempo="100")
    AssignmentFactory(entry=entry)
    save(as_teacher, people.sam_student, rows)
    assert todays().get().piece == pieces[0]


def test_pieces_that_are_not_the_students_change_nothing(as_teacher, people, pieces):
    foreign = PieceFactory(studio=people.otto.studio)
    unassigned = PieceFactory(studio=people.studio)
    rows = [row(piece, tempo="100") for piece in (foreign, unassigned)]
    sent = {"student": people.mia_student.pk, "piece": pieces[0].pk}
    as_teacher.post(address(people.sam_student), typed(**rows[0], **rows[1]) | sent)
    assert not todays().exists()


def test_another_studios_student_cannot_be_written_to(client, people, pieces):
    client.force_login(people.otto.user)
    before = LessonCheck.objects.count()
    assert save(client, people.sam_student, row(pieces[0], tempo="100")).status_code == 404
    assert LessonCheck.objects.count() == before


# all checks, one check


def test_checks_stand_by_piece_newest_first_and_the_students_own_apart(as_teacher, people, pieces):
    LessonCheckFactory(student=people.sam_student, piece=pieces[0], on=TODAY, source="student")
    page = as_teacher.get(reverse("checks", args=[people.sam_student.pk]))
    heard = {each.piece: each for each in page.context["checks"].pieces}
    assert set(heard) == set(pieces)
    days = [line.check.on for line in heard[pieces[0]].lessons]
    assert days == sorted(days, reverse=True)
    assert [line.check.source for line in heard[pieces[0]].own] == ["student"]


def test_without_checks_the_page_leads_to_the_lesson(as_teacher, people):
    page = as_teacher.get(reverse("checks", args=[people.sam_student.pk])).content.decode()
    assert "Nothing heard yet" in page


def test_a_check_can_be_changed_but_not_into_the_future_or_onto_another(as_teacher, people, entry):
    older, newer = LessonCheck.objects.filter(piece=entry.assignments.first().piece)[:2]
    url = reverse("check_edit", args=[newer.pk])
    values = {"tempo": "87", "target": "112", "memory": "", "on": newer.on.isoformat()}
    assert as_teacher.post(url, values).status_code == 302
    newer.refresh_from_db()
    assert newer.tempo == 87
    for on, words in ((older.on, "already"), (date(2026, 11, 26), "still to come")):
        response = as_teacher.post(url, values | {"tempo": "80", "on": on.isoformat()})
        assert response.status_code == 422
        assert words in response.content.decode()
    newer.refresh_from_db()
    assert newer.tempo == 87


def test_marks_that_have_lost_their_name_are_kept(as_teacher, people, pieces):
    check = LessonCheckFactory(student=people.sam_student, piece=pieces[0], on=TODAY, mark_4=9)
    people.studio.mark_names = "Tone"
    people.studio.save()
    values = {"tempo": "97", "mark_1": "5", "memory": "", "on": "2026-11-25"}
    as_teacher.post(reverse("check_edit", args=[check.pk]), values)
    check.refresh_from_db()
    assert (check.tempo, check.mark_1, check.mark_4) == (97, 5, 9)


def test_only_teachers_remove_a_check(client, people, pieces):
    check = LessonCheckFactory(student=people.sam_student, piece=pieces[0], on=TODAY)
    for seat, found in ((people.ana, False), (people.sam, False), (people.ines, True)):
        client.force_login(seat.user)
        client.post(reverse("check_remove", args=[check.pk]))
        assert LessonCheck.objects.filter(pk=check.pk).exists() is not found


@pytest.mark.parametrize("name", ["lesson", "checks"])
def test_pages_ask_as_often_for_many_rows_as_for_few(as_teacher, people, name):
    full_entry(people.sam_student, pieces=1, checks=1)
    url = reverse(name, args=[people.sam_student.pk])
    counts = []
    for more in (0, 5):
        for _ in range(more):
            full_entry(people.sam_student, pieces=4, checks=6)
            AssignmentFactory(entry=EntryFactory(student=people.mia_student))
        as_teacher.get(url)
        with CaptureQueriesContext(connection) as asked:
            assert as_teacher.get(url).status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1] <= 12
