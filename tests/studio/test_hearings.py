"""The whole programme heard in one go: what it scores, and that it counts as a check."""

from datetime import date
from decimal import Decimal

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils.html import strip_tags

from planner.readiness.words import points
from studio.accounts.models import Change
from studio.entries.bridge import Season, readiness_problem
from studio.entries.hearings.bridge import scoring
from studio.entries.models import Hearing
from studio.entries.queries import whole_season
from tests.factories import (
    AssignmentFactory,
    EntryFactory,
    HearingFactory,
    LessonCheckFactory,
    PieceFactory,
    RequirementFactory,
    TakeFactory,
)

pytestmark = pytest.mark.django_db

RUBRIC = "tone: 20; solo: 20, times 1.5; scales: 30; slips: minus 5 each; pass: 50"


@pytest.fixture(autouse=True)
def in_november():
    with time_machine.travel("2026-11-25 18:00 +0000", tick=False):
        yield


@pytest.fixture
def entry(people):
    """Sam for one audition that asks for a solo, studies (a group) and scales."""
    entry = EntryFactory(student=people.sam_student)
    _score_by(entry, RUBRIC)
    return entry


@pytest.fixture
def pieces(entry, people):
    """One piece each, by the name of its requirement."""
    made, asked = {}, entry.requirement_set
    studies = RequirementFactory(requirement_set=asked, name="Studies", kind="all of")
    for name, kind, parent in (
        ("First movement", "solo", None),
        ("Slow", "etude", studies),
        ("All keys", "scales", None),
    ):
        need = RequirementFactory(requirement_set=asked, name=name, kind=kind, parent=parent)
        piece = PieceFactory(studio=people.studio, work=name)
        made[name] = AssignmentFactory(entry=entry, requirement=need, piece=piece).piece
    return made


def _score_by(entry, rubric):
    entry.requirement_set.rubric = rubric
    entry.requirement_set.save()


def season(people):
    return Season(whole_season(people.ines).get(pk=people.sam_student.pk))


def shares(people):
    """The marks of hearings by the name of the piece."""
    found = season(people)
    return {
        piece.work: [check.marks[0] for check in found.hearing_checks[piece.pk]]
        for piece in found.pieces
        if piece.pk in found.hearing_checks
    }


def test_a_criterion_named_like_a_kind_counts_for_its_pieces_alone(entry, pieces, people):
    HearingFactory(entry=entry, points="tone: 10; solo: 18; scales: 12; slips: 2")
    assert shares(people) == {
        "First movement": [pytest.approx((10 + 27) / 50)],
        "Slow": [0.5],
        "All keys": [pytest.approx(22 / 50)],
    }


def test_a_criterion_named_like_a_group_counts_for_what_it_holds(entry, pieces, people):
    _score_by(entry, "studies: 10; first movement: 10")
    HearingFactory(entry=entry, points="studies: 8; First-movement: 5")
    assert shares(people) == {"First movement": [0.5], "Slow": [0.8]}


def test_only_what_was_played_and_scored_counts(entry, pieces, people):
    HearingFactory(entry=entry, points="scales: 12", pieces=[pieces["Slow"]])
    assert shares(people) == {}
    HearingFactory(entry=entry, heard_by="Bo", points="tone: 5", pieces=[pieces["Slow"]])
    assert shares(people) == {"Slow": [0.25]}


def test_without_a_rubric_the_studios_marks_count_as_in_a_lesson(entry, pieces, people):
    _score_by(entry, "")
    LessonCheckFactory(
        student=people.sam_student, piece=pieces["Slow"], tempo=None, mark_1=10, mark_2=1
    )
    HearingFactory(entry=entry, points="Tone: 10; Rhythm: 1")
    problem = readiness_problem(season(people))
    lesson, heard = next(each for each in problem.pieces if each.name == "Slow").checks
    assert (lesson.marks, heard.marks) == ((1.0, 0.0), (0.5,))


def test_readiness_changes_and_score_and_part_say_the_same(entry, pieces, people, client):
    for piece in pieces.values():
        LessonCheckFactory(student=people.sam_student, piece=piece, tempo=None, mark_1=4)
    before = season(people).audition_answers[entry.pk].now
    HearingFactory(entry=entry, on=date(2026, 11, 24), points="tone: 12; solo: 11; scales: 18")
    after = season(people).audition_answers[entry.pk].now
    assert after > before + 20
    told = points(after)
    client.force_login(people.ines.user)
    assert told in client.get("/score/").content.decode()
    client.force_login(people.sam.user)
    assert f'<span class="number">{told}' in client.get("/part/").content.decode()


def test_a_text_that_cannot_be_read_is_no_rubric_and_no_points(entry, pieces, people):
    _score_by(entry, "tone: much")
    HearingFactory(entry=entry, points="Tone: very good")
    assert shares(people) == {}
    assert scoring(entry, people.studio).own


# ---- the page


def page_of(entry):
    return reverse("hearings", args=[entry.pk])


def posted(**points):
    """What a browser sends: a day, who listened, and the figures by the slug of their criterion."""
    figures = {f"points-{name}": value for name, value in points.items()}
    return {"on": "2026-11-24", "kind": "mock", "heard_by": "Bo", **figures}


def text(response):
    """The words of a page, without its marks."""
    return " ".join(strip_tags(response.content.decode()).split())


def test_a_teacher_writes_one_down_sees_it_changes_it_and_takes_it_back(entry, pieces, as_teacher):
    page = as_teacher.get(page_of(entry))
    assert "Tone, of 20" in text(page)
    assert "Not heard in one go yet" in text(page)
    sent = posted(tone="15", solo="14,5", scales="12", slips="1")
    shown = text(as_teacher.post(page_of(entry), sent, follow=True))
    assert "Mock audition of 24 November 2026: saved. 43.8 of 80: not passed, 6.25 short" in shown
    row = Hearing.objects.get()
    assert row.points == "tone: 15; solo: 14.5; scales: 12; slips: 1"
    assert (row.by.name, row.heard_by) == ("Ines Amadi", "Bo")
    assert "14.5 of 20" in shown and "slips, 1 time: 5 off" in shown.replace("Slips", "slips")
    edit = reverse("hearing_edit", args=[row.pk])
    assert as_teacher.get(edit).context["form"]["points-solo"].initial == Decimal("14.5")
    again = text(as_teacher.post(edit, posted(tone="15", solo="18", scales="18"), follow=True))
    assert "60 of 80: passed, pass mark 50." in again
    as_teacher.post(reverse("hearing_remove", args=[row.pk]))
    assert not Hearing.objects.exists()


def test_what_is_written_can_be_undone(entry, pieces, as_teacher):
    shown = as_teacher.post(page_of(entry), posted(tone="15"), follow=True)
    assert reverse("undo", args=[Change.objects.latest("pk").batch]) in shown.content.decode()


@pytest.mark.parametrize(
    ("wrong", "advice"),
    [
        ({"tone": "21"}, "Write a number, 0 to 20."),
        ({"tone": "-1"}, "Write a number, 0 to 20."),
        ({"tone": "good"}, "Write a number, 0 to 20."),
        ({"tone": "NaN"}, "Write a number, 0 to 20."),
        ({"slips": "101"}, "Write how often it came, 0 to 100."),
        ({}, "Give at least one figure, or a word."),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_lost(wrong, advice, entry, pieces, as_teacher):
    sent = posted(scales="12" if wrong else "", **wrong)
    response = as_teacher.post(page_of(entry), sent)
    assert response.status_code == 422
    assert advice in text(response)
    assert not Hearing.objects.exists()
    for name, value in sent.items():
        assert str(response.context["form"][name].value()) == value


def test_a_day_to_come_and_a_second_of_the_same_are_refused(entry, pieces, as_teacher):
    late = as_teacher.post(page_of(entry), posted(tone="3") | {"on": "2026-11-26"})
    assert late.status_code == 422 and "still to come" in text(late)
    as_teacher.post(page_of(entry), posted(tone="3"))
    twice = as_teacher.post(page_of(entry), posted(tone="4"))
    assert twice.status_code == 422 and "say who else listened" in text(twice)
    assert Hearing.objects.get().points == "tone: 3"


def test_a_rubric_that_changed_keeps_what_it_no_longer_has_and_says_so(entry, pieces, as_teacher):
    row = HearingFactory(entry=entry, points="tone: 18; bow: 9; scales: 12", heard_by="Bo")
    _score_by(entry, "tone: 15; scales: 30")
    shown = text(as_teacher.get(page_of(entry)))
    assert "Bow 9: the rubric does not have this any more. Kept, and not counted." in shown
    assert "Tone: more was given than the rubric has now, so it does not count." in shown
    edit = reverse("hearing_edit", args=[row.pk])
    assert as_teacher.post(edit, posted(tone="18", scales="12")).status_code == 422
    as_teacher.post(edit, posted(tone="14", scales="12"))
    row.refresh_from_db()
    assert row.points == "tone: 14; scales: 12; bow: 9"


def test_what_changed_since_the_one_before(entry, pieces, as_teacher):
    HearingFactory(entry=entry, on=date(2026, 11, 14), points="tone: 12; solo: 10; scales: 20")
    HearingFactory(entry=entry, on=date(2026, 11, 21), points="tone: 12; solo: 14; scales: 19")
    lines = as_teacher.get(page_of(entry)).context["page"].lines
    assert [row.change for row in lines[0].rows] == ["as before", "4 more", "1 fewer"]
    assert lines[0].since == "5 points more than on 14 November"
    assert (lines[1].since, [row.change for row in lines[1].rows]) == ("", ["", "", ""])


def test_a_take_is_scored_from_its_recording(entry, pieces, as_teacher):
    take = TakeFactory(entry=entry, pieces=[pieces["Slow"]], made_on=date(2026, 11, 14))
    link = f"{page_of(entry)}?take={take.pk}"
    assert link in as_teacher.get(reverse("recordings", args=[entry.pk])).content.decode()
    form = as_teacher.get(link).context["form"]
    begun = {name: form[name].value() for name in ("kind", "take", "on")}
    assert begun == {"kind": "recording", "take": take.pk, "on": date(2026, 11, 14)}
    assert list(form["pieces"].value()) == [pieces["Slow"].pk]
    sent = posted(tone="15") | {"kind": "recording", "take": take.pk, "pieces": pieces["Slow"].pk}
    as_teacher.post(page_of(entry), sent)
    assert Hearing.objects.get().take == take
    assert "Scored: 15 of 20" in text(as_teacher.get(reverse("recordings", args=[entry.pk])))


def test_another_entrys_take_and_piece_are_refused(entry, pieces, as_teacher, people):
    other = TakeFactory(entry=EntryFactory(student=people.mia_student))
    TakeFactory(entry=entry)
    strange = PieceFactory(studio=people.studio)
    for wrong in ({"take": other.pk}, {"pieces": strange.pk}):
        response = as_teacher.post(page_of(entry), posted(tone="15") | wrong)
        assert response.status_code == 422, wrong


def test_the_student_reads_their_own_and_writes_nothing(entry, pieces, as_student, people):
    row = HearingFactory(entry=entry, points="tone: 15; solo: 18; scales: 20", heard_by="Bo")
    shown = as_student.get(page_of(entry))
    assert "62 of 80: passed, pass mark 50." in text(shown)
    assert "<form" not in shown.content.decode().partition("<main")[2].partition("</main")[0]
    assert as_student.post(page_of(entry), posted(tone="20")).status_code == 404
    for name in ("hearing_edit", "hearing_remove"):
        assert as_student.post(reverse(name, args=[row.pk])).status_code == 404
    line = "Mock audition of 21 November: 62 of 80, pass 50: passed"
    assert line in text(as_student.get("/part/"))
    assert Hearing.objects.get().points == row.points


def test_an_assistant_writes_and_does_not_remove(entry, pieces, client, people):
    client.force_login(people.ana.user)
    client.post(page_of(entry), posted(tone="15"))
    row = Hearing.objects.get()
    assert client.get(reverse("hearing_edit", args=[row.pk])).status_code == 200
    assert client.post(reverse("hearing_remove", args=[row.pk])).status_code == 404


def test_the_entry_says_what_the_latest_scored(entry, pieces, as_teacher):
    HearingFactory(entry=entry, on=date(2026, 11, 14), points="tone: 1; solo: 1; scales: 1")
    HearingFactory(entry=entry, points="tone: 15; solo: 18; scales: 20")
    shown = text(as_teacher.get(entry.get_absolute_url()))
    assert "Mock audition of 21 November: 62 of 80, pass 50: passed." in shown


def test_without_a_rubric_the_studios_marks_are_asked_for(entry, pieces, as_teacher):
    _score_by(entry, "")
    page = text(as_teacher.get(page_of(entry)))
    assert "By the studio’s own marks, from 1 to 10 each" in page and "Tone, of 10" in page
    assert as_teacher.post(page_of(entry), posted(tone="0")).status_code == 422
    as_teacher.post(page_of(entry), posted(tone="7", rhythm="6"))
    assert Hearing.objects.get().points == "Tone: 7; Rhythm: 6"


def test_the_page_costs_the_same_with_many_hearings(entry, pieces, as_teacher):
    def cost():
        with CaptureQueriesContext(connection) as found:
            assert as_teacher.get(page_of(entry)).status_code == 200
        return len(found)

    HearingFactory(entry=entry, take=TakeFactory(entry=entry))
    few = cost()
    for number in range(12):
        HearingFactory(entry=entry, heard_by=f"Listener {number}", pieces=pieces.values())
    assert cost() == few <= 12
