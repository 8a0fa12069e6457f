"""One student for one audition: entering, date, music, tasks, result, and what is flagged."""

from datetime import date

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from studio.entries.models import Assignment, Entry, Task
from tests.factories import (
    AssignmentFactory,
    AuditionDayFactory,
    AuditionFactory,
    DayAwayFactory,
    DeadlineFactory,
    EntryFactory,
    InstitutionFactory,
    InstrumentFactory,
    LeadTimeFactory,
    LessonCheckFactory,
    OfferedDateFactory,
    PieceFactory,
    RequirementFactory,
    RequirementSetFactory,
    TaskFactory,
    full_entry,
)

pytestmark = pytest.mark.django_db

FEBRUARY = date(2027, 2, 6)


@pytest.fixture(autouse=True)
def november():
    with time_machine.travel("2026-11-25 18:00Z", tick=False):
        yield


@pytest.fixture
def entry(people):
    return EntryFactory(student=people.sam_student, chosen_date__on=FEBRUARY)


@pytest.fixture
def need(entry):
    return RequirementFactory(requirement_set=entry.requirement_set, name="Lyrical study")


@pytest.fixture
def trumpet(people):
    return InstrumentFactory(studio=people.studio, name="Trumpet")


def programme(client, entry):
    return client.get(entry.get_absolute_url()).context["programme"]


def text(client, entry):
    return client.get(entry.get_absolute_url()).content.decode()


def post(client, route, pk, /, **values):
    return client.post(reverse(route, args=[pk]), values)


# entering


def add(client, student, audition, instrument):
    return post(client, "entry_add", student.pk, audition=audition.pk, instrument=instrument.pk)


@pytest.fixture
def audition(people):
    return AuditionFactory(institution=InstitutionFactory(studio=people.studio))


def test_entering_takes_the_one_set_that_fits_and_draws_up_the_tasks(as_teacher, people, audition):
    horn = people.sam_student.instrument
    fits = RequirementSetFactory(institution=audition.institution, instrument=horn)
    RequirementSetFactory(institution=audition.institution, instrument=horn, season="2025–26")
    DeadlineFactory(audition=audition, kind="recording", name="recording")
    LeadTimeFactory(studio=people.studio, kind="recording", name="Make the recording")
    response = add(as_teacher, people.sam_student, audition, horn)
    entry = Entry.objects.get()
    assert response.url == entry.get_absolute_url()
    assert (entry.student, entry.requirement_set) == (people.sam_student, fits)
    assert [task.name for task in entry.tasks.all()] == ["Make the recording"]


def test_where_two_sets_fit_none_is_taken(as_teacher, people, audition):
    horn = people.sam_student.instrument
    for _ in range(2):
        RequirementSetFactory(institution=audition.institution, instrument=horn)
    add(as_teacher, people.sam_student, audition, horn)
    assert Entry.objects.get().requirement_set is None


def test_the_same_audition_on_the_same_instrument_is_refused(as_teacher, entry):
    response = add(as_teacher, entry.student, entry.audition, entry.instrument)
    assert response.status_code == 422
    assert "entered there on that instrument already" in response.content.decode()
    assert Entry.objects.count() == 1


def test_only_auditions_of_the_season_and_the_studio_are_offered(as_teacher, people, audition):
    AuditionFactory(institution=audition.institution, season="2025–26", name="Last year")
    foreign = AuditionFactory(institution__studio=people.otto.studio)
    page = as_teacher.get(reverse("entry_add", args=[people.sam_student.pk]))
    assert list(page.context["form"].fields["audition"].queryset) == [audition]
    response = add(as_teacher, people.sam_student, foreign, people.sam_student.instrument)
    assert response.status_code == 422
    assert not Entry.objects.exists()


def test_without_auditions_the_page_says_what_comes_first(as_teacher, people):
    page = as_teacher.get(reverse("entry_add", args=[people.sam_student.pk])).content.decode()
    assert "No auditions in 2026–27 yet" in page
    assert reverse("institutions") in page


def test_requirements_come_from_the_institution_its_university_and_its_schools(
    as_teacher, people, entry, trumpet
):
    place = entry.audition.institution
    university = InstitutionFactory(studio=people.studio)
    place.part_of = university
    place.save()
    school = InstitutionFactory(studio=people.studio, part_of=place)
    theirs = [
        RequirementSetFactory(institution=each, instrument=instrument)
        for each, instrument in ((university, trumpet), (school, entry.instrument))
    ]
    RequirementSetFactory(institution=InstitutionFactory(studio=people.studio))
    form = as_teacher.get(reverse("entry_edit", args=[entry.pk])).context["form"]
    offered = list(form.fields["requirement_set"].queryset)
    assert set(offered) == {entry.requirement_set, *theirs}
    assert offered[-1].instrument == trumpet
    for chosen in theirs:
        post(
            as_teacher,
            "entry_edit",
            entry.pk,
            instrument=entry.instrument.pk,
            requirement_set=chosen.pk,
        )
        entry.refresh_from_db()
        assert entry.requirement_set == chosen


@pytest.mark.parametrize("wrong", [{"journey_minutes": "20161"}, {"journey_cost": "100001"}])
def test_a_journey_that_can_only_be_a_slip_is_refused(as_teacher, entry, wrong):
    given = {"instrument": entry.instrument.pk, "requirement_set": entry.requirement_set.pk}
    response = post(as_teacher, "entry_edit", entry.pk, **given, **wrong)
    assert response.status_code == 422
    assert [*response.context["form"].errors] == [*wrong]


def test_removing_an_entry_asks_first_and_keeps_the_checks(as_teacher, people):
    entry = full_entry(people.sam_student)
    url = reverse("entry_remove", args=[entry.pk])
    assert "2 assignments" in as_teacher.get(url).content.decode()
    as_teacher.post(url)
    assert not Entry.objects.exists()
    assert people.sam_student.checks.count() == 6


# the date


def test_a_date_is_chosen_with_its_state(as_teacher, entry):
    other = OfferedDateFactory(audition=entry.audition, on=date(2027, 2, 20))
    post(as_teacher, "entry_date", entry.pk, chosen_date=other.pk, date_state="confirmed")
    entry.refresh_from_db()
    assert (entry.chosen_date, entry.date_state) == (other, "confirmed")
    post(as_teacher, "entry_date", entry.pk, chosen_date="", date_state="open")
    entry.refresh_from_db()
    assert (entry.chosen_date, entry.date_state) == (None, "open")


def test_a_date_that_is_chosen_is_at_least_asked_for(as_teacher, entry):
    date_pk = entry.chosen_date.pk
    post(as_teacher, "entry_date", entry.pk, chosen_date=date_pk, date_state="open")
    entry.refresh_from_db()
    assert entry.date_state == "asked for"


def test_another_date_warns_that_the_day_was_made_for_the_first(as_teacher, entry):
    later = OfferedDateFactory(audition=entry.audition, on=date(2027, 2, 13))
    url, sent = reverse("entry_date", args=[entry.pk]), {"date_state": "confirmed"}
    warning = "Call and rooms were written down for another date"
    page = as_teacher.post(url, {**sent, "chosen_date": later.pk}, follow=True)
    assert warning not in page.content.decode()
    AuditionDayFactory(entry=entry)
    page = as_teacher.post(url, {**sent, "chosen_date": later.pk}, follow=True)
    assert warning not in page.content.decode()
    page = as_teacher.post(url, {**sent, "chosen_date": entry.chosen_date_id}, follow=True)
    assert warning in page.content.decode()


@pytest.mark.parametrize("foreign", [True, False])
def test_a_wrong_date_changes_nothing_and_says_so(as_teacher, entry, foreign):
    before = (entry.chosen_date, entry.date_state)
    pk = OfferedDateFactory(audition__institution__studio=entry.student.studio).pk
    sent = pk if foreign else ""
    response = post(as_teacher, "entry_date", entry.pk, chosen_date=sent, date_state="confirmed")
    assert response.status_code == 422
    expected = "dates this audition offers" if foreign else "Choose the date that is confirmed"
    assert expected in response.content.decode()
    entry.refresh_from_db()
    assert (entry.chosen_date, entry.date_state) == before


def test_dates_say_whom_they_are_not_for_and_when_the_student_is_away(as_teacher, entry, trumpet):
    fine = OfferedDateFactory(audition=entry.audition, on=date(2027, 2, 13))
    others = OfferedDateFactory(audition=entry.audition, on=date(2027, 2, 14))
    others.instruments.add(trumpet)
    both = OfferedDateFactory(audition=entry.audition, on=date(2027, 2, 15))
    both.instruments.add(trumpet, entry.instrument)
    DayAwayFactory(student=entry.student, first=FEBRUARY, last=FEBRUARY, reason="School trip")
    doubts = {each.date: each.doubts for each in programme(as_teacher, entry).dates}
    assert doubts == {
        entry.chosen_date: ("Sam is away that day (School trip)",),
        fine: (),
        others: ("not for Horn",),
        both: (),
    }
    assert "Sam is away that day (School trip)." in text(as_teacher, entry)


# the requirements


def test_the_right_requirements_raise_no_flag(as_teacher, entry):
    entry.requirement_set.checked_on = date(2026, 11, 1)
    entry.requirement_set.save()
    assert programme(as_teacher, entry).doubts == ()
    assert "erify the requirements with the institution itself" in text(as_teacher, entry)


def test_requirements_of_another_instrument_season_or_unverified_are_flagged(
    as_teacher, entry, trumpet
):
    asked = entry.requirement_set
    asked.instrument, asked.season = trumpet, "2025–26"
    asked.save()
    page = text(as_teacher, entry)
    assert "They are for Trumpet, the entry is on Horn." in page
    assert "They are those of 2025–26, the audition is in 2026–27." in page
    assert "Nobody has looked at them again yet: verify with the institution itself." in page


def test_without_requirements_the_page_leads_to_choosing_them(as_teacher, entry):
    entry.requirement_set = None
    entry.save()
    assert f"{reverse('entry_edit', args=[entry.pk])}#id_requirement_set" in text(as_teacher, entry)


# the music


def test_a_piece_is_chosen_and_taken_away(as_teacher, people, entry, need):
    piece = PieceFactory(studio=people.studio)
    assert "Nothing chosen yet" in text(as_teacher, entry)
    post(as_teacher, "assign", entry.pk, requirement=need.pk, piece=piece.pk)
    assignment = Assignment.objects.get()
    assert (assignment.entry, assignment.requirement, assignment.piece) == (entry, need, piece)
    assert "Nothing chosen yet" not in text(as_teacher, entry)
    post(as_teacher, "unassign", assignment.pk)
    assert not Assignment.objects.exists()


def test_pieces_that_fit_come_first(as_teacher, people, need, entry, trumpet):
    fits = PieceFactory(studio=people.studio, instrument=entry.instrument)
    any_horn = PieceFactory(studio=people.studio, instrument=None)
    wrong = PieceFactory(studio=people.studio, instrument=trumpet)
    solo = PieceFactory(studio=people.studio, kind="solo")
    (slot,) = programme(as_teacher, entry).slots
    groups = [(label, set(pieces)) for label, pieces in slot.groups]
    assert groups == [("Etude, Horn", {fits, any_horn}), ("Others", {wrong, solo})]


@pytest.mark.parametrize(
    ("asked", "at_most", "given", "words"),
    [
        (2, None, 0, "nothing chosen yet"),
        (2, None, 1, "1 of 2 chosen"),
        (2, 3, 3, ""),
        (1, None, 2, "1 more than asked for"),
    ],
)
def test_too_few_and_too_many_pieces_are_told(as_teacher, entry, asked, at_most, given, words):
    need = RequirementFactory(
        requirement_set=entry.requirement_set, at_least=asked, at_most=at_most
    )
    for _ in range(given):
        AssignmentFactory(entry=entry, requirement=need)
    (slot,) = programme(as_teacher, entry).slots
    assert slot.missing == words


def test_a_choice_is_asked_for_once_and_every_alternative_can_be_chosen(as_teacher, entry):
    asked = entry.requirement_set
    choice = RequirementFactory(requirement_set=asked, name="Solo or excerpts", kind="some of")
    solo, excerpts = (
        RequirementFactory(requirement_set=asked, name=name, parent=choice)
        for name in ("Solo", "Excerpts")
    )
    page = text(as_teacher, entry)
    assert page.count("Nothing chosen yet") == 1
    assert "any one of these" in page
    head, *alternatives = programme(as_teacher, entry).slots
    assert (head.is_open, head.invites, head.groups) == (True, True, ())
    assert [slot.invites for slot in alternatives] == [True, True]
    AssignmentFactory(entry=entry, requirement=solo)
    head, first, second = programme(as_teacher, entry).slots
    assert (head.missing, first.missing, second.missing) == ("", "", "")
    assert not second.invites
    AssignmentFactory(entry=entry, requirement=excerpts)
    assert programme(as_teacher, entry).slots[0].missing == "1 more than asked for"


def test_foreign_and_repeated_choices_are_refused(as_teacher, people, entry, need):
    mine, foreign = PieceFactory(studio=people.studio), PieceFactory(studio=people.otto.studio)
    elsewhere = RequirementFactory(requirement_set__institution__studio=people.studio)
    test = RequirementFactory(requirement_set=entry.requirement_set, kind="test")
    AssignmentFactory(entry=entry, requirement=need, piece=mine)
    for requirement, piece, words in (
        (need, foreign, "of your own list"),
        (elsewhere, mine, "not the entry"),
        (test, mine, "for music only"),
        (need, mine, "already"),
    ):
        response = post(as_teacher, "assign", entry.pk, requirement=requirement.pk, piece=piece.pk)
        assert response.status_code == 422
        assert words in response.content.decode()
        assert Assignment.objects.count() == 1


def test_pieces_of_earlier_requirements_are_shown_and_can_be_taken_away(as_teacher, entry, need):
    left = AssignmentFactory(entry=entry, requirement=need)
    entry.requirement_set = RequirementSetFactory(
        institution=entry.audition.institution, instrument=entry.instrument
    )
    entry.save()
    assert programme(as_teacher, entry).left_over == [left]
    assert reverse("unassign", args=[left.pk]) in text(as_teacher, entry)


# the tasks


def test_tasks_stand_with_the_engines_sentence(as_teacher, entry):
    TaskFactory(entry=entry, name="Send the form", on=date(2026, 11, 20))
    (cue,) = programme(as_teacher, entry).tasks
    page = text(as_teacher, entry)
    assert "Send the form" in page
    assert cue.due.sentence[1:] in page
    assert cue.due.late_days == 5


def test_a_task_is_not_needed_and_needed_again(as_teacher, entry):
    task = TaskFactory(entry=entry)
    post(as_teacher, "task_drop", task.pk)
    shown = programme(as_teacher, entry)
    assert (shown.tasks, [cue.task for cue in shown.dropped]) == ([], [task])
    post(as_teacher, "task_drop", task.pk)
    assert [cue.task for cue in programme(as_teacher, entry).tasks] == [task]


def test_what_is_done_stands_apart_and_can_be_opened_again(as_teacher, people, entry):
    done, open_task = TaskFactory(entry=entry), TaskFactory(entry=entry)
    done.tick(people.ines.user, date(2026, 11, 20))
    shown = programme(as_teacher, entry)
    assert [cue.task for cue in shown.tasks] == [open_task]
    assert [cue.task for cue in shown.done] == [done]
    post(as_teacher, "task_tick", done.pk, was="done")
    assert len(programme(as_teacher, entry).tasks) == 2


def test_a_done_task_that_is_dropped_is_no_longer_done(as_teacher, people, entry):
    task = TaskFactory(entry=entry)
    task.tick(people.ines.user, date(2026, 11, 20))
    post(as_teacher, "task_drop", task.pk)
    task.refresh_from_db()
    assert (task.state, task.done_on, task.done_by) == ("not needed", None, None)


OWN = {"name": "Hire a pianist", "doer": "other", "lead_unit": "days"}


def test_a_task_of_ones_own_has_a_day_or_a_deadline(as_teacher, entry):
    deadline = DeadlineFactory(audition=entry.audition)
    sent = [
        {"on": "2026-12-10"},
        {"deadline": deadline.pk, "lead": "7", "name": "Ask again"},
    ]
    for values in sent:
        assert post(as_teacher, "task_add", entry.pk, **(OWN | values)).status_code == 302
    found = {(task.name, task.on, task.deadline, task.lead) for task in entry.tasks.all()}
    assert found == {
        ("Hire a pianist", date(2026, 12, 10), None, 0),
        ("Ask again", None, deadline, 7),
    }


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({}, "Give a date, or a deadline"),
        ({"on": "2026-12-10", "name": "Send form"}, "a task of this name already"),
        ({"on": "2026-12-10", "takes": "30000"}, "less than or equal to 3660"),
    ],
)
def test_a_task_that_makes_no_sense_is_refused(as_teacher, entry, values, words):
    TaskFactory(entry=entry, name="Send form")
    response = post(as_teacher, "task_add", entry.pk, **(OWN | values))
    assert response.status_code == 422
    assert words in response.content.decode()
    assert entry.tasks.count() == 1


def test_the_deadline_of_another_audition_is_no_choice(as_teacher, entry):
    other = DeadlineFactory(audition__institution=entry.audition.institution, audition__name="MMus")
    response = post(as_teacher, "task_add", entry.pk, **(OWN | {"deadline": other.pk}))
    assert response.status_code == 422
    assert not entry.tasks.exists()


def test_a_task_is_changed_and_removed(as_teacher, entry):
    task = TaskFactory(entry=entry, name="Send form")
    values = OWN | {"name": "Send the long form", "on": "2026-12-03"}
    post(as_teacher, "task_edit", task.pk, **values)
    task.refresh_from_db()
    assert (task.name, task.on) == ("Send the long form", date(2026, 12, 3))
    post(as_teacher, "task_remove", task.pk)
    assert not Task.objects.exists()


# the result


def test_a_result_is_written_down(as_teacher, entry):
    post(as_teacher, "entry_result", entry.pk, result="offered", result_on="2026-11-24")
    entry.refresh_from_db()
    assert (entry.result, entry.result_on) == ("offered", date(2026, 11, 24))


def test_a_day_without_a_result_is_refused(as_teacher, entry):
    response = post(as_teacher, "entry_result", entry.pk, result="waiting", result_on="2026-11-24")
    assert response.status_code == 422
    entry.refresh_from_db()
    assert entry.result_on is None


# who may, and how much it costs

ACTS = ("entry_date", "entry_result", "assign", "entry_edit", "entry_remove", "task_add")


@pytest.mark.parametrize("seat", ["ana", "sam", "mia", "otto"])
def test_only_the_studios_teachers_change_an_entry(client, people, entry, need, seat):
    task = TaskFactory(entry=entry, doer="student")
    client.force_login(getattr(people, seat).user)
    for name in ACTS:
        values = {"result": "offered", "date_state": "open", "requirement": need.pk, **OWN}
        assert post(client, name, entry.pk, **values).status_code == 404
    for name in ("task_edit", "task_drop", "task_remove"):
        assert post(client, name, task.pk, **OWN).status_code == 404
    before = entry.date_state
    entry.refresh_from_db()
    task.refresh_from_db()
    assert (entry.result, entry.date_state, task.state) == ("waiting", before, "open")


@pytest.mark.parametrize(
    ("seat", "status"), [("ines", 200), ("ana", 200), ("sam", 404), ("mia", 404), ("otto", 404)]
)
def test_staff_alone_read_an_entry(client, people, entry, need, seat, status):
    client.force_login(getattr(people, seat).user)
    response = client.get(entry.get_absolute_url())
    assert response.status_code == status
    offers = reverse("assign", args=[entry.pk]) in response.content.decode()
    assert not offers or seat == "ines"


def test_an_entry_says_the_same_as_the_part(as_teacher, people, entry, need):
    """Another audition wants the piece from memory, and so it is less ready for this one too."""
    piece = AssignmentFactory(entry=entry, requirement=need).piece
    LessonCheckFactory(student=people.sam_student, piece=piece, memory="not yet")
    sooner = EntryFactory(student=people.sam_student, chosen_date__on=date(2027, 1, 30))
    by_heart = RequirementFactory(requirement_set=sooner.requirement_set, memory="yes")
    AssignmentFactory(entry=sooner, requirement=by_heart, piece=piece)
    part = as_teacher.get(people.sam_student.get_absolute_url()).context["part"]
    assert part.next.entry == sooner
    (checklist,) = [each for each in part.ahead if each.entry == entry]
    page = programme(as_teacher, entry)
    assert page.answer == checklist.answer
    assert page.answer.on == FEBRUARY
    assert "not from memory yet" in text(as_teacher, entry)
    assert page.drawing.today_x < programme(as_teacher, sooner).drawing.today_x


def test_an_entry_lists_its_own_tasks_alone(as_teacher, people, entry):
    own = TaskFactory(entry=entry)
    elsewhere = EntryFactory(student=people.sam_student)
    TaskFactory(entry=elsewhere)
    TaskFactory(entry=elsewhere, state=Task.State.DROPPED)
    page = programme(as_teacher, entry)
    assert [cue.task for cue in page.tasks] == [own]
    assert page.dropped == []


@pytest.mark.parametrize("on", ["0001-01-01", "9999-12-31"])
def test_a_task_due_in_a_year_that_is_a_slip_is_refused(as_teacher, entry, on):
    sent = {"name": "Send the form", "doer": "student", "on": on, "lead_unit": "days"}
    response = as_teacher.post(reverse("task_add", args=[entry.pk]), sent)
    assert response.status_code == 422
    assert "Write a year from 1900 to 2199." in response.content.decode()
    assert not entry.tasks.exists()


@pytest.mark.parametrize("on", ["1900-01-01", "2199-12-31"])
def test_the_furthest_years_still_make_pages(as_teacher, people, entry, on):
    TaskFactory(entry=entry, on=on, lead_unit="days", takes=3660)
    for url in (entry.get_absolute_url(), people.sam_student.get_absolute_url(), reverse("score")):
        assert "Sam" in as_teacher.get(url).content.decode()


def test_what_is_done_is_folded_away_latest_first(as_teacher, entry):
    done = [
        TaskFactory(entry=entry, name=name, state=Task.State.DONE, done_on=on)
        for name, on in (("Early", date(2026, 11, 2)), ("Lately", date(2026, 11, 20)))
    ]
    page = programme(as_teacher, entry)
    assert page.tasks == []
    assert [cue.task for cue in page.done] == done[::-1]
    html = text(as_teacher, entry)
    assert "Nothing left to do." in html
    assert "<summary>2 done</summary>" in html


def test_an_entry_of_an_earlier_season_can_still_be_read_and_ticked(as_teacher, people, entry):
    people.studio.season = "2027–28"
    people.studio.save()
    task = TaskFactory(entry=entry, name="An old task")
    assert "An old task" in text(as_teacher, entry)
    as_teacher.post(reverse("task_tick", args=[task.pk]))
    task.refresh_from_db()
    assert task.state == Task.State.DONE


def test_an_entry_asks_as_often_for_many_rows_as_for_few(as_teacher, people):
    entry = full_entry(people.sam_student, pieces=1, checks=1)
    DayAwayFactory(student=people.sam_student)
    counts = []
    for more in (0, 6):
        for n in range(more):
            AssignmentFactory(entry=entry)
            TaskFactory(entry=entry)
            OfferedDateFactory(audition=entry.audition).instruments.add(entry.instrument)
            full_entry(people.sam_student, pieces=n)
        as_teacher.get(entry.get_absolute_url())
        with CaptureQueriesContext(connection) as asked:
            assert as_teacher.get(entry.get_absolute_url()).status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1] <= 12
