"""The score's page: its figures are the engine's, its table says what the drawing shows."""

import html
import re
from datetime import date, timedelta

import pytest
import time_machine
from django.urls import reverse
from django.utils import translation

from studio.accounts.models import Role
from studio.entries.models import Task
from tests.big_studio import build
from tests.factories import (
    AssignmentFactory,
    AuditionFactory,
    DayAwayFactory,
    DeadlineFactory,
    EntryFactory,
    InstitutionFactory,
    InstrumentFactory,
    LessonCheckFactory,
    OfferedDateFactory,
    StudentFactory,
    TaskFactory,
    seat,
)

pytestmark = pytest.mark.django_db
TODAY = date(2027, 1, 12)


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel("2027-01-12 18:00 +0000", tick=False):
        yield


def enter(student, place="Fairmont", days=30, **fields):
    """Return an entry of `student` so many days ahead."""
    institution = InstitutionFactory(
        studio=student.studio, name=f"{place} of {student} in {days}", short_name=place
    )
    audition = AuditionFactory(institution=institution)
    offered = OfferedDateFactory(audition=audition, on=TODAY + timedelta(days=days))
    return EntryFactory(student=student, audition=audition, chosen_date=offered, **fields)


def check_weekly(entry, *tempos):
    """Give the entry one piece, checked once a week up to today at these tempos of 112."""
    piece = AssignmentFactory(entry=entry).piece
    for week, tempo in enumerate(reversed(tempos)):
        LessonCheckFactory(
            student=entry.student, piece=piece, on=TODAY - timedelta(weeks=week), tempo=tempo
        )


def page_of(client, query=""):
    response = client.get(reverse("score") + query)
    assert response.status_code == 200
    return response


def drawn(response):
    """Return the titles of all marks in the drawing."""
    strips = re.search(r'<ul class="score-strips".*?</ul>', response.text, re.S)[0]
    titles = re.findall(r"<title>(.*?)</title>", strips, re.S)
    return {line for title in titles for line in html.unescape(title).split("\n") if line}


def tabled(response):
    """Return the lines of the table's cells."""
    table = re.search(r"<table.*?</table>", response.text, re.S)[0]
    return {html.unescape(line) for line in re.findall(r"<p>(.*?)</p>", table, re.S)}


def test_the_heading_counts_and_says_what_comes_next(as_teacher, people):
    enter(people.sam_student, "Regional band", 11)
    enter(people.mia_student, "Regional band", 11)
    EntryFactory(student=people.mia_student, chosen_date=None)
    page = page_of(as_teacher).text
    assert "Full score, 2026–27" in page
    assert "2 students, 3 auditions. The next is in 11 days: Regional band, 2 players." in page


def test_a_student_short_of_time_is_told_in_the_engines_words(as_teacher, people):
    check_weekly(enter(people.sam_student, days=14), 70, 76, 82, 88)
    check_weekly(enter(people.mia_student, days=90), 70, 76, 82, 88)
    response = page_of(as_teacher)
    mia, sam = response.context["page"].players
    assert sam.short == sam.answer.short
    assert re.fullmatch(r"\d+ days short", sam.short)
    assert sam.late
    assert re.fullmatch(r"\d+ days in hand", mia.short)
    assert re.findall(r'class="score-short score-late"[^>]*>(.*?)<', response.text) == [sam.short]
    assert f'<span class="red">{sam.short}</span>' in response.text
    assert f'<span class="red">{mia.short}</span>' not in response.text


def doubted(entry, **fields):
    """Change the entry's requirement set."""
    for name, value in fields.items():
        setattr(entry.requirement_set, name, value)
    entry.requirement_set.save()


def test_requirements_of_another_instrument_stand_in_red_on_the_row(as_teacher, people):
    entry, other = (enter(people.sam_student, place, 60) for place in ("Fairmont", "Norwood"))
    trombone = InstrumentFactory(studio=people.studio, name="Bass trombone")
    doubted(entry, instrument=trombone, checked_on=TODAY)
    doubted(other, season="2025–26", checked_on=TODAY)
    response = page_of(as_teacher)
    (sam,) = [each for each in response.context["page"].players if each.doubts]
    assert sam.doubts == ("Fairmont: wrong instrument", "Norwood: another season’s list")
    assert sam.doubt == "Fairmont: wrong instrument +1"
    assert sam.label.endswith("Norwood: another season’s list")
    for doubt in sam.doubts:
        assert response.text.count(f'<span class="red">{doubt}</span>') == 2
    assert re.search(r'class="score-short score-late score-doubt"[^>]*>Fairmont:', response.text)


def test_an_unverified_set_is_told_only_near_the_audition(as_teacher, people):
    enter(people.sam_student, "Near", 30)
    enter(people.sam_student, "Far", 31)
    doubted(enter(people.sam_student, "Old", 30), checked_on=date(2026, 9, 3))
    players = page_of(as_teacher).context["page"].players
    assert [each.doubts for each in players if each.doubts] == [("Near: not verified",)]


def test_the_figure_is_the_engines_and_never_rounded_up(as_teacher, people):
    check_weekly(enter(people.sam_student), 106)
    player = page_of(as_teacher).context["page"].players[1]
    assert player.answer.now == pytest.approx(100 * 106 / 112)
    assert player.figure == "94"


def test_the_table_says_what_the_drawing_shows(as_teacher, people):
    entry = enter(people.sam_student)
    doubted(entry, checked_on=TODAY)
    enter(people.mia_student, "Norwood", 44)
    DayAwayFactory(student=people.sam_student, first=TODAY, last=TODAY + timedelta(days=3))
    deadline = DeadlineFactory(audition=entry.audition, kind="recording", on=date(2027, 1, 20))
    TaskFactory(entry=entry, name="Send tape", deadline=deadline, on=None)
    TaskFactory(entry=entry, name="Pay fee", on=date(2027, 1, 5))
    TaskFactory(entry=entry, name="Send form", on=date(2027, 1, 7), state="done", done_on=TODAY)
    TaskFactory(entry=entry, name="Skip it", on=date(2027, 1, 9), state="not needed")
    response = page_of(as_teacher)
    marks = drawn(response) - {row.player.label for row in response.context["page"].score.rows}
    assert marks == tabled(response)
    trips = {mark for mark in marks if mark.startswith("Trip")}
    assert {words.split(": ")[1].split(";")[0] for words in trips} == {"Fairmont", "Norwood"}
    assert marks - trips == {
        "Fairmont, BMus performance, Thu 11 Feb",
        "Norwood, BMus performance, Thu 25 Feb",
        "Away Tue 12 Jan to Fri 15 Jan, Family",
        "Fairmont: Send tape, recording due Wed 20 Jan",
        "Fairmont: Pay fee, due Tue 5 Jan, overdue",
        "Fairmont: Send form, due Thu 7 Jan, done",
    }


def test_every_symbol_has_its_own_shape(as_teacher, people):
    entry = enter(people.sam_student)
    deadline = DeadlineFactory(audition=entry.audition, kind="recording", on=date(2027, 1, 20))
    TaskFactory(entry=entry, deadline=deadline, on=None)
    TaskFactory(entry=entry, on=date(2027, 1, 5))
    DayAwayFactory(student=people.sam_student, first=TODAY, last=TODAY)
    strips = re.search(r'<ul class="score-strips".*?</ul>', page_of(as_teacher).text, re.S)[0]
    for symbol in ("notehead", "notehead-triangle", "fermata", "caesura"):
        assert f'href="#{symbol}"' in strips
    assert '<ellipse class="score-ring"' in strips


def test_a_cue_marked_done_fades_its_notehead(as_teacher, people):
    task = TaskFactory(entry=enter(people.sam_student), name="Pay fee", on=date(2027, 1, 5))
    before = page_of(as_teacher)
    assert f'action="{reverse("task_tick", args=[task.pk])}"' in before.text
    assert 'class="score-note score-overdue"' in before.text
    answer = as_teacher.post(
        reverse("task_tick", args=[task.pk]), {"next": reverse("score"), "was": "open"}
    )
    assert answer.url == reverse("score")
    after = page_of(as_teacher)
    assert 'class="score-note score-done"' in after.text
    assert 'class="score-note score-overdue"' not in after.text
    assert f'action="{reverse("task_tick", args=[task.pk])}"' not in after.text


def test_the_drawing_follows_when_a_cue_is_ticked_in_place(as_teacher, people):
    enter(people.sam_student)
    live = re.search(r'<div id="score-live"[^>]*>', page_of(as_teacher, "?order=name").text)[0]
    assert 'hx-trigger="ticked from:body"' in live
    assert f'hx-get="{reverse("score")}?order=name"' in live


def test_far_cues_are_cut_and_the_rest_is_one_link_away(as_teacher, people):
    entry = enter(people.sam_student)
    for n in range(15):
        TaskFactory(entry=entry, name=f"Late thing {n:02}", on=date(2027, 1, 5))
    page = page_of(as_teacher, "?q=Reyes").text
    side = page[page.index('class="score-side"') :]
    assert side.count("<li class=") == 8
    assert f'<a href="{reverse("cues")}?q=Reyes">and 7 more</a>' in side
    assert as_teacher.get(reverse("cues")).text.count("Late thing") >= 15


def test_cues_are_chosen_by_student_and_doer(as_teacher, people):
    own = {"entry": enter(people.sam_student), "on": date(2027, 3, 2)}
    TaskFactory(**own, name="Sam writes", doer="student")
    TaskFactory(**own, name="Teacher writes", doer="teacher")
    TaskFactory(entry=enter(people.mia_student), on=date(2027, 1, 12), name="Mia writes")

    def named(query):
        page = as_teacher.get(reverse("cues") + query).text
        return {n for n in ("Sam writes", "Teacher writes", "Mia writes") if n in page}

    assert named("") == {"Sam writes", "Teacher writes", "Mia writes"}
    assert named("?q=sam") == {"Sam writes", "Teacher writes"}
    assert named("?doer=teacher") == {"Teacher writes"}
    assert named("?q=mia&doer=teacher") == set()
    assert named("?doer=nonsense") == {"Sam writes", "Teacher writes", "Mia writes"}


def test_the_page_of_cues_stays_a_page(as_teacher, people):
    entry = enter(people.sam_student)
    Task.objects.bulk_create(
        Task(entry=entry, name=f"Late thing {n}", on=date(2027, 1, 5)) for n in range(152)
    )
    page = as_teacher.get(reverse("cues")).text
    assert "152 to do, 152 overdue." in page
    assert page.count('<li class="cue') == 150
    assert "And 2 more" in page


def test_orders(as_teacher, people):
    late = StudentFactory(studio=people.studio, name="Zoe Late")
    check_weekly(enter(late, days=14), 70, 76, 82, 88)
    check_weekly(enter(people.sam_student, days=90), 70, 76, 82, 88)

    def names(query):
        return [row.player.name for row in page_of(as_teacher, query).context["page"].score.rows]

    assert names("?order=days") == ["Zoe Late", "Sam Reyes", "Mia Okafor"]
    assert names("?order=name") == ["Mia Okafor", "Sam Reyes", "Zoe Late"]
    assert names("?q=late") == ["Zoe Late"]
    first = page_of(as_teacher, "?order=anything").context["page"]
    assert first.order == ""
    assert first.score.rows[0].bracket.name is not None


def test_a_withdrawn_entry_is_not_shown(as_teacher, people):
    TaskFactory(entry=enter(people.sam_student, "Carrow", result="withdrawn"), on=TODAY)
    page = page_of(as_teacher).text
    assert "Carrow" not in page
    assert "no auditions yet" in page


def test_an_audition_that_has_been_is_past_and_the_next_one_counts(as_teacher, people):
    enter(people.sam_student, "Norwood", -10)
    check_weekly(enter(people.sam_student, "Carrow", 40), 90)
    sam = page_of(as_teacher).context["page"].players[1]
    assert [audition.past for audition in sam.auditions] == [True, False]
    assert sam.ahead.place == "Carrow"


def test_without_checks_the_pace_is_not_known(as_teacher, people):
    AssignmentFactory(entry=enter(people.sam_student))
    page = page_of(as_teacher)
    sam = page.context["page"].players[1]
    assert (sam.figure, sam.short) == ("–", "pace not known yet")
    assert "Sam Reyes, Horn: not checked yet, pace not known yet" in page.text
    assert page.context["page"].score.rows[1].hairpin is None


def test_an_entry_without_a_date_is_told_in_the_table(as_teacher, people):
    EntryFactory(
        student=people.mia_student,
        audition=AuditionFactory(institution__studio=people.studio, institution__short_name="Open"),
        chosen_date=None,
    )
    page = page_of(as_teacher)
    assert "Open, no date yet" in tabled(page)
    assert page.context["page"].players[0].short == "no date chosen"


def test_an_empty_studio_says_what_comes_next(client, people):
    client.force_login(people.otto.user)
    page = page_of(client).text
    assert "No students yet" in page
    assert f'href="{reverse("student_add")}"' in page
    assert f'href="{reverse("workbook")}"' in page


def test_an_assistant_of_an_empty_studio_is_not_sent_where_they_may_not_go(client, people):
    assistant = seat(people.otto.studio, Role.ASSISTANT)
    client.force_login(assistant.user)
    page = page_of(client).text
    assert "No students yet" in page
    assert reverse("student_add") not in page


def test_students_without_entries_are_told_how_to_go_on(as_teacher, people):
    def hint():
        page = page_of(as_teacher)
        assert f'<a href="{page.context["page"].hint.url}">' in page.text
        return page.context["page"].hint.url

    assert hint() == reverse("institutions"), "nothing to enter them for"
    AuditionFactory(institution__studio=people.studio, season=people.studio.season)
    assert hint() == reverse("students")


def test_without_any_cue_the_page_leads_on_and_asks_nothing(as_teacher):
    page = as_teacher.get(reverse("cues")).text
    assert "Nothing to do" in page
    assert f'href="{reverse("students")}">Go to the students' in page
    assert "Who does it" not in page
    assert "Who does it" in as_teacher.get(reverse("cues") + "?q=nobody").text


def test_a_search_without_a_match_offers_everybody(as_teacher):
    page = page_of(as_teacher, "?q=nobody%20at%20all").text
    assert "No student matches “nobody at all”." in page
    assert "Sam Reyes" not in page


def test_other_studios_are_never_shown(client, people):
    TaskFactory(entry=enter(people.sam_student, "Carrow"), name="Sam writes", on=TODAY)
    StudentFactory(studio=people.otto.studio, name="Own Student")
    client.force_login(people.otto.user)
    for name in ("score", "cues"):
        page = client.get(reverse(name)).text
        assert not re.search("Sam Reyes|Carrow|Sam writes", page)
    assert "Own Student" in page_of(client).text


@pytest.mark.parametrize("name", ["score", "cues"])
def test_students_do_not_see_it(as_student, name):
    assert as_student.get(reverse(name)).status_code == 404


def test_coordinates_keep_their_dot_in_every_language(as_teacher, people):
    check_weekly(enter(people.sam_student), 70, 76, 82)
    english = drawing(page_of(as_teacher))
    with translation.override("de"):
        german = drawing(page_of(as_teacher))
    assert english == german
    assert re.search(r'x="\d+\.\d"', english)


def drawing(response):
    return re.search(r'<div class="score-drawing">.*?</ul>\s*</div>', response.text, re.S)[0]


def test_nothing_on_the_page_needs_inline_style(as_teacher, people):
    check_weekly(enter(people.sam_student), 70, 76, 82)
    assert not re.search(r'\sstyle=|<style|\son\w+="', page_of(as_teacher).text)


@pytest.mark.parametrize("name", ["score", "cues"])
def test_queries_do_not_grow_with_students(client, name, django_assert_max_num_queries):
    counts = []
    for students in (1, 30):
        client.force_login(build(students, TODAY).user)
        with django_assert_max_num_queries(12) as queries:
            assert client.get(reverse(name)).status_code == 200
        counts.append(len(queries))
    assert counts[0] == counts[1]
