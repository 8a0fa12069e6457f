"""Who is most at risk, in which order, and why: the lines above the score."""

import re
from datetime import date, timedelta

import pytest
import time_machine
from django.urls import reverse

from studio.entries.bridge import Season
from studio.entries.queries import scored
from studio.score.risks import LIKELY, NEAR, Risks, Standing, rank, why
from tests.factories import (
    AssignmentFactory,
    LessonCheckFactory,
    RequirementFactory,
    StudentFactory,
)
from tests.studio.test_score import check_weekly, enter

TODAY = date(2027, 1, 12)


@pytest.fixture(autouse=True)
def january():
    with time_machine.travel("2027-01-12 18:00 +0000", tick=False):
        yield


def stand(key, chance=None, days=30, **more):
    return Standing(key, TODAY + timedelta(days=days), chance, **more)


def ranked(*standings):
    return [each.key for each in rank(standings, TODAY)]


def test_the_lowest_chance_comes_first_whenever_the_audition_is():
    assert ranked(stand(1, 0.5, 10), stand(2, 0.1, 90), stand(3, 0.3, 5)) == [2, 3, 1]


def test_equal_chances_come_by_date():
    assert ranked(stand(1, 0.2, 40), stand(2, 0.2, 20), stand(3, 0.2, 30)) == [2, 3, 1]


def test_whoever_is_likely_to_be_ready_is_not_at_risk():
    assert ranked(stand(1, LIKELY), stand(2, LIKELY - 0.01), stand(3, 1.0)) == [2]


def test_what_is_known_comes_before_what_is_not():
    assert ranked(stand(1, None, 3), stand(2, 0.7, 50), stand(3, None, 50, late=True)) == [3, 2, 1]


def test_late_without_a_chance_counts_as_likely_as_it_can_be_at_most():
    late = stand(3, None, 9, late=True, most=0.2)
    assert ranked(stand(1, 0.1), late, stand(2, 0.3)) == [1, 3, 2]
    assert stand(4, None, late=True).bound == 0.5
    assert stand(5, None, most=0.2).bound is None


def test_what_is_not_known_is_a_risk_near_the_audition_alone():
    near, far = stand(1, None, NEAR.days), stand(2, None, NEAR.days + 1)
    assert ranked(far, near, stand(3, None, 2)) == [3, 1]


# The page


@pytest.fixture
def shown(as_teacher):
    """The lines of the page, each as plain words."""

    def lines():
        page = as_teacher.get(reverse("score")).text
        found = re.search(r'<section class="score-risks".*?</section>', page, re.S)
        rows = re.findall(r"<li>(.*?)</li>", found[0], re.S) if found else []
        return [" ".join(re.sub(r"<[^>]+>", " ", row).split()) for row in rows]

    return lines


def reasons(people, student):
    return why(Season(scored(people.ines).get(pk=student.pk)))


def named(entry, name):
    """Give the entry a named piece without checks."""
    return AssignmentFactory(entry=entry, piece__work=name, piece__section="").piece


def test_a_line_says_who_when_how_likely_and_why(shown, people, as_teacher):
    entry = enter(people.sam_student, "Norwood", 14)
    check_weekly(entry, 70, 76, 82, 88)
    (line,) = shown()
    piece = entry.assignments.get().piece.title
    assert re.fullmatch(
        rf"Sam Reyes (less than 1 in 20|about \d in 10) Norwood, Tue 26 Jan\. "
        rf"{re.escape(piece)}, clean at 88 of 112; \d+ days short\. Practice of Sam Reyes",
        line,
    )
    page = as_teacher.get(reverse("score")).text
    for name in ("readiness", "practice"):
        assert f'href="{reverse(name, args=[people.sam_student.pk])}"' in page


def test_four_are_shown_and_the_rest_is_one_link_away(shown, people, as_teacher):
    for days in range(10, 16):
        enter(StudentFactory(studio=people.studio, name=f"Student {days}"), days=days)
    assert [line[:10] for line in shown()] == [f"Student {days}" for days in range(10, 14)]
    page = as_teacher.get(reverse("score")).text
    assert 'And 2 more: <a href="?order=days">' in page


def test_what_is_not_known_is_said_so(shown, people):
    enter(people.sam_student, "Norwood", 14)
    named(enter(people.mia_student, "Carrow", 21), "Study")
    assert [line.split(" Practice")[0] for line in shown()] == [
        "Sam Reyes not known Norwood, Tue 26 Jan. Nothing checked yet.",
        "Mia Okafor not known Carrow, Tue 2 Feb. Nothing checked yet.",
    ]


def test_far_away_nobody_is_at_risk_for_what_is_not_known(shown, people, as_teacher):
    enter(people.sam_student, days=100)
    assert shown() == []
    assert "Nobody is at risk: whoever plays" in as_teacher.get(reverse("score")).text


def test_nobody_is_at_risk_who_is_ready(shown, people, as_teacher):
    check_weekly(enter(people.sam_student), 100, 112, 112)
    assert shown() == []
    assert "Nobody is at risk: whoever plays" in as_teacher.get(reverse("score")).text


def test_without_an_audition_ahead_nothing_is_said(as_teacher, people):
    page = as_teacher.get(reverse("score")).text
    assert "at risk" not in page


def test_a_silent_piece_is_said_to_be(people):
    entry = enter(people.sam_student)
    piece = named(entry, "Study")
    for weeks, tempo in ((9, 80), (8, 84), (7, 88)):
        LessonCheckFactory(
            student=people.sam_student, piece=piece, on=TODAY - timedelta(weeks=weeks), tempo=tempo
        )
    assert reasons(people, people.sam_student) == [f"{piece.title}, not heard for 7 weeks"]


def test_a_piece_silent_for_a_while_says_both(people):
    entry = enter(people.sam_student, days=90)
    piece = named(entry, "Study")
    for weeks, tempo in ((7, 70), (6, 76), (5, 82), (4, 88)):
        LessonCheckFactory(
            student=people.sam_student, piece=piece, on=TODAY - timedelta(weeks=weeks), tempo=tempo
        )
    said = reasons(people, people.sam_student)
    assert said == [f"{piece.title}, clean at 88 of 112, not heard for 4 weeks"]


def test_what_is_unknown_beside_the_slowest_piece_is_named_once(people):
    entry = enter(people.sam_student, days=14)
    check_weekly(entry, 70, 76, 82, 88)
    RequirementFactory(requirement_set=entry.requirement_set, name="Lyrical study")
    first, second, third = reasons(people, people.sam_student)
    assert first.endswith("clean at 88 of 112")
    assert second.endswith("days short")
    assert third == "Lyrical study: no piece chosen yet"
    named(entry, "Second")
    assert reasons(people, people.sam_student)[2].endswith(", and 1 more not known")


def test_late_with_something_unknown_is_bounded(shown, people):
    entry = enter(people.sam_student, days=14)
    check_weekly(entry, 70, 76, 82, 88)
    RequirementFactory(requirement_set=entry.requirement_set, name="Lyrical study")
    assert re.search(r"^Sam Reyes (less than 1 in 20|at most about \d in 10) ", shown()[0])


def test_entries_without_a_date_are_a_reason(people):
    check_weekly(enter(people.sam_student, days=14), 70, 76, 82, 88)
    entry = enter(people.sam_student, "Carrow")
    entry.chosen_date, entry.date_state = None, "open"
    entry.save()
    assert reasons(people, people.sam_student)[-1] == "no date for Carrow"


def test_the_lines_ask_the_database_nothing(people, django_assert_num_queries):
    check_weekly(enter(people.sam_student, days=14), 70, 76, 82, 88)
    seasons = [Season(student) for student in scored(people.ines)]
    for season in seasons:
        season.readiness  # noqa: B018
    with django_assert_num_queries(0):
        assert len(Risks(seasons, TODAY).lines) == 1
