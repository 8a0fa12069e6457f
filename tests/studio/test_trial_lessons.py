"""Trial lessons: the teacher keeps them, the student writes two fields, calendars know the day."""

import io
from datetime import date, time, timedelta
from decimal import Decimal

import pytest
import time_machine
import vobject
from django.core.cache import caches
from django.urls import reverse
from pypdf import PdfReader

from studio.accounts.models import Change
from studio.entries.models import TrialLesson
from studio.entries.trial_lessons import Lesson, Lessons, lessons, lessons_of, with_lessons
from studio.institutions.models import Institution
from studio.students.models import Student
from tests.factories import InstitutionFactory, TrialLessonFactory

pytestmark = pytest.mark.django_db

TODAY = date(2026, 11, 25)
CHICAGO = "America/Chicago"


@pytest.fixture(autouse=True)
def clock():
    with time_machine.travel("2026-11-25 18:00Z", tick=False) as moved:
        yield moved
    caches["sheets"].clear()


@pytest.fixture
def lesson(people):
    return TrialLessonFactory(
        student=people.sam_student,
        institution__name="Lake Ardent Conservatory",
        institution__short_name="Lake Ardent",
        teacher="P. Osei",
        asked_on=date(2026, 10, 1),
        reply="yes",
        on=date(2026, 12, 5),
        at=time(14),
        cost=Decimal("80"),
    )


def made(**values):
    """A Lesson that is nowhere stored."""
    place = Institution(name="Lake Ardent", time_zone=values.pop("zone", "America/New_York"))
    return Lesson(TrialLesson(institution=place, teacher="P. Osei", **values), TODAY, CHICAGO)


# what is said of one


@pytest.mark.parametrize(
    ("values", "words", "presses"),
    [
        ({}, "Not asked yet: lessons are asked for months ahead", False),
        ({"asked_on": date(2026, 11, 20)}, "Asked 5 days ago, no answer yet", False),
        ({"asked_on": date(2026, 11, 4)}, "Asked 21 days ago, no answer yet: ask again", True),
        ({"reply": "yes"}, "The answer was yes: settle a day", True),
        ({"reply": "yes", "on": date(2026, 12, 5)}, "In 10 days", False),
        ({"on": date(2026, 12, 5)}, "In 10 days, not confirmed yet", False),
        (
            {"reply": "yes", "on": date(2026, 11, 20)},
            "Did it take place? Nobody has written it down",
            True,
        ),
        ({"held": True, "on": date(2026, 11, 20)}, "It took place", False),
        ({"reply": "no"}, "The answer was no", False),
    ],
)
def test_how_far_it_has_come(values, words, presses):
    lesson = made(**values)
    assert (lesson.state, lesson.presses) == (words, presses)


def test_the_time_is_told_there_and_at_home():
    # New York is an hour ahead of Chicago all winter: 14:00 EST is 13:00 CST.
    when = made(on=date(2026, 12, 5), at=time(14)).when
    assert when.words == "Saturday 5 December, 14:00 New York time"
    assert when.here == "13:00 at home"
    late = made(on=date(2026, 12, 5), at=time(1), zone="Europe/London").when
    assert late.here == "19:00 at home on Friday"
    same = made(on=date(2026, 12, 5), at=time(14), zone=CHICAGO).when
    assert (same.words, same.here) == ("Saturday 5 December, 14:00", "")


def test_what_is_not_known_of_the_time_is_said():
    assert made(on=date(2026, 12, 5)).when.words.endswith("the time is not known yet")
    assert made(on=date(2026, 12, 5), at=time(14), zone="").when.words.endswith(
        "14:00 there, time zone not known"
    )
    assert made().when is None


def test_costs_are_added_up_without_those_refused(people):
    for cost, held, reply, on in (
        ("60.50", True, "yes", date(2026, 11, 2)),
        ("40", True, "yes", date(2026, 11, 3)),
        ("80", False, "yes", date(2026, 12, 5)),
        ("500", False, "no", None),
        (None, False, "waiting", None),
    ):
        TrialLessonFactory(
            student=people.sam_student, cost=cost and Decimal(cost), held=held, reply=reply, on=on
        )
    found = Lessons(lessons(people.ines, people.sam_student), TODAY, CHICAGO, "USD")
    assert (found.spent, found.to_spend) == ("100.50 USD", "80 USD")
    none = Lessons([], TODAY, CHICAGO)
    assert (none.spent, none.to_spend) == ("", "")


def test_those_to_come_stand_first_by_their_day(people):
    for teacher, on, held, reply in (
        ("Undated", None, False, "waiting"),
        ("Next", date(2026, 12, 5), False, "yes"),
        ("Long ago", date(2026, 9, 5), True, "yes"),
        ("Lately", date(2026, 11, 5), True, "yes"),
        ("Refused", None, False, "no"),
    ):
        TrialLessonFactory(
            student=people.sam_student, teacher=teacher, on=on, held=held, reply=reply
        )
    found = Lessons(lessons(people.ines, people.sam_student), TODAY, CHICAGO)
    assert [each.row.teacher for each in found.ahead] == ["Next", "Undated"]
    assert [each.row.teacher for each in found.shown] == ["Next", "Undated", "Lately", "Long ago"]


def test_gathered_lessons_say_the_same_as_their_rows(people, lesson):
    above = InstitutionFactory(studio=people.studio, time_zone="Europe/London")
    TrialLessonFactory(
        student=people.sam_student,
        institution__part_of=above,
        institution__time_zone="",
        on=date(2026, 12, 8),
        at=time(9, 30),
        questions="How often?\nWho else?",
    )
    rows = {row.pk: row for row in lessons(people.ines, people.sam_student)}
    student = with_lessons(Student.objects.all()).get(pk=people.sam_student.pk)
    gathered = {row.pk: row for row in lessons_of(student)}
    assert rows.keys() == gathered.keys()
    for pk, row in rows.items():
        there, here = Lesson(row, TODAY, CHICAGO), Lesson(gathered[pk], TODAY, CHICAGO)
        assert (there.when, there.state, there.questions) == (here.when, here.state, here.questions)
        assert str(there.place) == str(here.place)


# the teacher's pages

POSTED = {"teacher": "J. Marsh", "reply": "waiting", "asked_on": "2026-11-20"}


def test_a_teacher_adds_changes_and_removes(as_teacher, people):
    place = InstitutionFactory(studio=people.studio)
    url = reverse("trial_lesson_add", args=[people.sam_student.pk])
    back = reverse("trial_lessons", args=[people.sam_student.pk])
    assert as_teacher.post(url, POSTED | {"institution": place.pk}).url == back
    row = TrialLesson.objects.get()
    assert (row.student, row.teacher, row.asked_on) == (
        people.sam_student,
        "J. Marsh",
        date(2026, 11, 20),
    )
    edit = reverse("trial_lesson_edit", args=[row.pk])
    values = {"institution": place.pk, "reply": "yes", "on": "2026-12-05", "cost": "75.00"}
    assert as_teacher.post(edit, POSTED | values).url == back
    row.refresh_from_db()
    assert (row.reply, row.on, row.cost) == ("yes", date(2026, 12, 5), Decimal("75"))
    as_teacher.post(reverse("trial_lesson_remove", args=[row.pk]))
    assert not TrialLesson.objects.exists()


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"asked_on": "2026-11-26"}, "still to come"),
        ({"held": "on", "on": "2026-12-05"}, "Its day is still to come."),
        ({"held": "on"}, "Give the day on which it took place."),
        ({"held": "on", "on": "2026-11-20", "reply": "no"}, "the answer was not no"),
        ({"at": "14:00"}, "Give the day that belongs to the time."),
        ({"cost": "-1"}, "greater than or equal to 0"),
        ({"teacher": "P. Osei"}, "is written down: change that one"),
    ],
)
def test_what_cannot_be_is_refused_in_words(as_teacher, lesson, values, words):
    url = reverse("trial_lesson_add", args=[lesson.student_id])
    answer = as_teacher.post(url, POSTED | {"institution": lesson.institution_id} | values)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert TrialLesson.objects.count() == 1


def test_another_studios_place_cannot_be_chosen(as_teacher, people):
    stranger = InstitutionFactory(studio=people.otto.studio)
    url = reverse("trial_lesson_add", args=[people.sam_student.pk])
    assert as_teacher.post(url, POSTED | {"institution": stranger.pk}).status_code == 422
    assert not TrialLesson.objects.exists()


def test_what_the_teacher_saves_leaves_the_students_words_alone(as_teacher, lesson):
    TrialLesson.objects.filter(pk=lesson.pk).update(questions="How often?", impressions="Warm.")
    values = {"institution": lesson.institution_id, "questions": "", "impressions": "x"}
    as_teacher.post(reverse("trial_lesson_edit", args=[lesson.pk]), POSTED | values)
    lesson.refresh_from_db()
    assert (lesson.teacher, lesson.questions, lesson.impressions) == (
        "J. Marsh",
        "How often?",
        "Warm.",
    )


def test_the_list_tells_all_of_it(as_teacher, lesson):
    TrialLesson.objects.filter(pk=lesson.pk).update(worked_on="Long tones", questions="How often?")
    page = as_teacher.get(reverse("trial_lessons", args=[lesson.student_id])).content.decode()
    for words in (
        "Lake Ardent Conservatory",
        "with P. Osei",
        "Saturday 5 December, 14:00 New York time",
        "13:00 at home",
        "Long tones",
        "How often?",
        "Those to come will cost 80 USD.",
        "not financial advice",
    ):
        assert words in page, words


def test_an_assistant_reads_and_changes_nothing(client, people, lesson):
    client.force_login(people.ana.user)
    page = client.get(reverse("trial_lessons", args=[lesson.student_id]))
    assert reverse("trial_lesson_edit", args=[lesson.pk]) not in page.content.decode()
    assert client.get(reverse("trial_lesson_words", args=[lesson.pk])).status_code == 404


# the student

SAID = {"questions": "How often do students perform?", "impressions": "I liked the class."}


def test_a_student_writes_two_fields_and_no_other(as_student, lesson):
    before = TrialLesson.objects.filter(pk=lesson.pk).values().get()
    other = {
        "teacher": "Somebody Else",
        "on": "2027-01-01",
        "at": "09:00",
        "cost": "0",
        "reply": "no",
        "held": "on",
        "worked_on": "Nothing",
        "asked_on": "2026-01-01",
        "student": "1",
        "institution": "1",
    }
    url = reverse("trial_lesson_words", args=[lesson.pk])
    assert list(as_student.get(url).context["form"].fields) == ["questions", "impressions"]
    assert as_student.post(url, SAID | other).url == reverse("part") + "#trial-lessons"
    after = TrialLesson.objects.filter(pk=lesson.pk).values().get()
    assert after == before | SAID


def test_a_student_takes_their_words_back_and_nobody_elses(client, people, lesson):
    client.force_login(people.sam.user)
    client.post(reverse("trial_lesson_words", args=[lesson.pk]), SAID)
    batch = Change.objects.latest("pk").batch
    client.force_login(people.mia.user)
    assert client.post(reverse("undo", args=[batch])).status_code == 404
    client.force_login(people.sam.user)
    client.post(reverse("undo", args=[batch]))
    lesson.refresh_from_db()
    assert (lesson.questions, lesson.impressions) == ("", "")


def test_a_student_reaches_no_other_page_and_nobody_elses_lesson(as_student, people, lesson):
    others = TrialLessonFactory(student=people.mia_student)
    own = [(name, lesson.pk) for name in ("trial_lesson_edit", "trial_lesson_remove")]
    mine = people.sam_student.pk
    for name, key in (
        *own,
        ("trial_lessons", mine),
        ("trial_lesson_add", mine),
        ("trial_lesson_words", others.pk),
    ):
        assert as_student.post(reverse(name, args=[key]), SAID).status_code == 404, name
    assert TrialLesson.objects.get(pk=others.pk).questions == ""
    assert TrialLesson.objects.count() == 2


def test_the_part_shows_the_students_own_and_what_to_ask(as_student, people, lesson):
    TrialLesson.objects.filter(pk=lesson.pk).update(questions="Who else teaches?")
    TrialLessonFactory(student=people.mia_student, teacher="Mia’s teacher")
    TrialLessonFactory(student=people.sam_student, teacher="Said no", reply="no", on=None)
    page = as_student.get(reverse("part")).content.decode()
    assert "Lake Ardent Conservatory, with P. Osei" in page
    assert "Saturday 5 December, 14:00 New York time, 13:00 at home" in page
    assert "Who else teaches?" in page
    assert reverse("trial_lesson_words", args=[lesson.pk]) in page
    assert "Mia’s teacher" not in page
    assert "Said no" not in page


def test_the_part_on_paper_has_it_too(as_student, lesson):
    pdf = PdfReader(io.BytesIO(as_student.get(reverse("part_sheet")).content))
    text = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
    assert "Trial lessons" in text
    assert "with P. Osei: Saturday 5 December, 14:00 New York time, 13:00 at home." in text


def test_the_form_tells_what_is_worth_asking(as_student, lesson):
    page = as_student.get(reverse("trial_lesson_words", args=[lesson.pk])).content.decode()
    assert "how lessons and studio classes go through the week" in page


# calendars


def events(client, name, token):
    calendar = vobject.readOne(client.get(reverse(name, args=[token])).content.decode())
    found = getattr(calendar, "vevent_list", [])
    return [each for each in found if each.uid.value.startswith("trial-")]


def test_it_stands_in_the_calendars_of_student_and_studio(client, people, lesson):
    TrialLesson.objects.filter(pk=lesson.pk).update(questions="Who else teaches?")
    (own,) = events(client, "student_feed", people.sam_student.feed_token)
    (ours,) = events(client, "studio_feed_calendar", people.studio.feed_token)
    assert own.summary.value == "Trial lesson, Lake Ardent"
    assert ours.summary.value == "Sam, trial lesson, Lake Ardent"
    for event in (own, ours):
        assert event.dtstart.value.isoformat() == "2026-12-05T14:00:00-05:00"
        assert event.dtend.value - event.dtstart.value == timedelta(hours=1)
        assert event.status.value == "CONFIRMED"
        assert event.location.value == "Lake Ardent Conservatory"
        # 19:00 in Chicago on the evening before is 18 hours before 13:00 there.
        assert event.valarm.trigger.value == timedelta(hours=-18)
    assert "Who else teaches?" in own.description.value
    assert "Who else teaches?" not in ours.description.value
    assert events(client, "student_feed", people.mia_student.feed_token) == []


@pytest.mark.parametrize(
    ("values", "status"),
    [({"reply": "no"}, "CANCELLED"), ({"reply": "waiting"}, "TENTATIVE")],
)
def test_the_calendar_says_how_sure_it_is(client, people, lesson, values, status):
    TrialLesson.objects.filter(pk=lesson.pk).update(**values)
    (event,) = events(client, "student_feed", people.sam_student.feed_token)
    assert event.status.value == status
    assert hasattr(event, "valarm") == (status != "CANCELLED")


def test_without_a_time_it_is_all_day_and_without_a_zone_it_floats(client, people, lesson):
    TrialLesson.objects.filter(pk=lesson.pk).update(at=None)
    (event,) = events(client, "student_feed", people.sam_student.feed_token)
    assert (event.dtstart.value, event.dtend.value) == (date(2026, 12, 5), date(2026, 12, 6))
    TrialLesson.objects.filter(pk=lesson.pk).update(at=time(14))
    Institution.objects.filter(pk=lesson.institution_id).update(time_zone="")
    (event,) = events(client, "student_feed", people.sam_student.feed_token)
    assert event.dtstart.value.tzinfo is None
    assert event.dtstart.value.hour == 14


def test_one_without_a_day_is_in_no_calendar(client, people, lesson):
    TrialLesson.objects.filter(pk=lesson.pk).update(on=None, at=None)
    assert events(client, "student_feed", people.sam_student.feed_token) == []
