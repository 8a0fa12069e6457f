"""The plan of a student's music: a small studio whose least music is known by hand.

Fairmont and Norwood each ask for a solo and a study. The concerto (10 h) fits both solos, the
romance (6 h) only Norwood's; either study fits both, one takes 4 h, the other 3 h. Least: the
concerto and the quicker study, 13 h. With the romance for Norwood it would be 19 h.
"""

import re
import sys
from dataclasses import replace
from datetime import date
from types import SimpleNamespace

import pytest
import time_machine
from django.urls import reverse

from studio import workers
from studio.accounts.models import Change
from studio.entries import choices
from studio.entries.bridge import Season
from studio.entries.models import Assignment, Entry, Wish
from studio.entries.plan import Planning
from studio.entries.plan_page import PlanPage
from studio.entries.plan_queries import planned
from studio.workers import Pool
from tests.factories import (
    AssignmentFactory,
    EntryFactory,
    InstrumentFactory,
    JudgementFactory,
    PieceFactory,
    RequirementFactory,
    WishFactory,
)

TODAY = date(2026, 11, 25)


@pytest.fixture(autouse=True)
def today():
    """The auditions are ahead."""
    with time_machine.travel(TODAY, tick=True):
        yield


def audition(student, place, on):
    """Return an entry that asks for a solo and a study, as (entry, solo, study)."""
    entry = EntryFactory(
        student=student, audition__institution__name=place, chosen_date__on=on, worth=4
    )
    solo = RequirementFactory(requirement_set=entry.requirement_set, name="Solo", kind="solo")
    study = RequirementFactory(requirement_set=entry.requirement_set, name="Study", kind="etude")
    return entry, solo, study


@pytest.fixture
def sam(people):
    """Sam's two auditions and the four pieces."""
    student, studio = people.sam_student, people.studio
    made = SimpleNamespace(student=student, people=people)
    made.fairmont, made.fairmont_solo, made.fairmont_study = audition(
        student, "Fairmont", date(2027, 2, 6)
    )
    made.norwood, made.norwood_solo, made.norwood_study = audition(
        student, "Norwood", date(2027, 2, 13)
    )
    made.concerto = PieceFactory(studio=studio, work="Concerto", kind="solo", hours=10)
    made.romance = PieceFactory(studio=studio, work="Romance", kind="solo", hours=6)
    made.slow = PieceFactory(studio=studio, work="Slow study", hours=4)
    made.quick = PieceFactory(studio=studio, work="Quick study", hours=3)
    JudgementFactory(requirement=made.fairmont_solo, piece=made.romance, fits=False)
    return made


def planning(sam, who=None):
    """Return Sam's Planning as the owner reads it."""
    who = who or sam.people.ines
    student = planned(who).get(pk=sam.student.pk)
    return Planning(Season(student), list(choices.pieces(who)))


def works(found):
    return sorted(piece.work for piece in found)


def assigned(entry):
    """Return what is assigned to an entry, as {(requirement, work)}."""
    rows = Assignment.objects.filter(entry=entry)
    return {(row.requirement.name, row.piece.work) for row in rows}


def take_over(client, sam, **scope):
    """Take over the plan, or a part of it, as the page offers it now."""
    posted = {"plan": planning(sam).digest} | scope
    url = reverse("plan_accept", args=[sam.student.pk])
    return client.post(url, posted, follow=True)


def wish(client, sam, piece, word):
    url = reverse("plan_wish", args=[sam.student.pk])
    return client.post(url, {"piece": piece.pk, "word": word}, follow=True)


def page(client, sam):
    return client.get(reverse("plan", args=[sam.student.pk])).content.decode()


LEAST = {("Solo", "Concerto"), ("Study", "Quick study")}


# What the engine is asked


def test_the_problem_holds_the_auditions_ahead_and_the_pieces_that_may_be_played(sam):
    WishFactory(student=sam.student, piece=sam.romance, word="keep")
    WishFactory(student=sam.student, piece=sam.slow, word="leave")
    WishFactory(student=sam.student, piece=sam.quick, word="like")
    AssignmentFactory(entry=sam.fairmont, requirement=sam.fairmont_solo, piece=sam.concerto)
    Entry.objects.filter(pk=sam.norwood.pk).update(kept=False, worth=9)
    problem = planning(sam).problem
    key = {piece: str(getattr(sam, piece).pk) for piece in ("romance", "slow", "quick", "concerto")}
    assert {piece.key: piece.prep for piece in problem.pieces} == {
        key["concerto"]: 600,
        key["romance"]: 360,
        key["slow"]: 240,
        key["quick"]: 180,
    }
    assert problem.pinned == (key["romance"],)
    assert problem.banned == (key["slow"],)
    assert set(problem.preferred) == {key["quick"], key["concerto"]}
    assert [(each.key, each.worth, each.kept) for each in problem.auditions] == [
        (str(sam.fairmont.pk), 4, True),
        (str(sam.norwood.pk), 9, False),
    ]


def test_what_is_over_decided_or_asks_for_nothing_is_not_planned(sam):
    EntryFactory(student=sam.student, chosen_date__on=date(2026, 11, 24))
    decided, *_ = audition(sam.student, "Decided", date(2027, 1, 9))
    Entry.objects.filter(pk=decided.pk).update(result=Entry.Result.OFFERED)
    EntryFactory(student=sam.student, requirement_set=None)
    assert planning(sam).asked == [sam.fairmont, sam.norwood]


def test_pieces_for_other_instruments_are_left_out_unless_they_are_judged_or_assigned(sam):
    studio = sam.people.studio
    trumpet = InstrumentFactory(studio=studio, name="Trumpet")
    loose, judged, given = PieceFactory.create_batch(3, studio=studio, instrument=trumpet)
    JudgementFactory(requirement=sam.fairmont_study, piece=judged)
    AssignmentFactory(entry=sam.fairmont, requirement=sam.fairmont_study, piece=given)
    found = planning(sam).pieces
    assert (loose.pk in found, judged.pk in found, given.pk in found) == (False, True, True)


# The plan


def test_the_plan_is_the_least_music(sam):
    found = planning(sam)
    assert works(found.planned) == ["Concerto", "Quick study"]
    assert found.plan.minutes == 13 * 60
    assert found.plan.proven


def test_the_page_says_it_and_what_each_audition_adds(as_teacher, sam):
    shown = PlanPage(planning(sam), sam.people.ines)
    assert shown.answer.sentence in page(as_teacher, sam).replace("&#x27;", "'")
    # Without Norwood the same two pieces; without Fairmont the romance instead of the concerto.
    assert shown.added == {sam.fairmont.pk: "4 h", sam.norwood.pk: "0 h"}
    # Apart: concerto and study for Fairmont, romance and study for Norwood.
    assert "19 h" in shown.comparison


def test_a_piece_that_is_wanted_in_any_case_is_planned_and_one_left_out_is_not(as_teacher, sam):
    wish(as_teacher, sam, sam.slow, "keep")
    assert works(planning(sam).planned) == ["Concerto", "Slow study"]
    wish(as_teacher, sam, sam.slow, "leave")
    assert works(planning(sam).planned) == ["Concerto", "Quick study"]
    wish(as_teacher, sam, sam.slow, "")
    assert not Wish.objects.exists()


def test_a_piece_that_is_preferred_is_planned_where_it_takes_no_longer(as_teacher, sam):
    even = PieceFactory(studio=sam.people.studio, work="Even study", hours=3)
    for piece in (even, sam.quick):
        wish(as_teacher, sam, piece, "like")
        assert piece in planning(sam).planned
        wish(as_teacher, sam, piece, "")


def test_an_audition_is_left_out_and_taken_in_again(as_teacher, sam):
    url = reverse("plan_entry", args=[sam.fairmont.pk])
    as_teacher.post(url, {"kept": ""})
    assert works(planning(sam).planned) == ["Quick study", "Romance"]
    as_teacher.post(url, {"kept": "on"})
    assert works(planning(sam).planned) == ["Concerto", "Quick study"]


def test_a_worth_is_kept_from_one_to_ten(as_teacher, sam):
    url = reverse("plan_entry", args=[sam.fairmont.pk])
    as_teacher.post(url, {"worth": "9"})
    refused = as_teacher.post(url, {"worth": "11"}, follow=True)
    sam.fairmont.refresh_from_db()
    assert (sam.fairmont.worth, sam.fairmont.kept) == (9, True)
    assert "Nothing was saved" in refused.content.decode()


def test_with_no_audition_in_the_plan_the_page_says_what_to_do(as_teacher, sam):
    Entry.objects.update(kept=False)
    assert "No audition is in the plan" in page(as_teacher, sam)


# Beside what is assigned


def test_pieces_stay_where_they_are_assigned(sam):
    """Two studies, alike to the engine: whoever sits where now sits there in the plan."""
    for entry, first in ((sam.fairmont, sam.slow), (sam.norwood, sam.quick)):
        second = sam.quick if first == sam.slow else sam.slow
        other = RequirementFactory(
            requirement_set=entry.requirement_set, name="Other study", kind="etude"
        )
        own = RequirementFactory._meta.model.objects.get(
            requirement_set=entry.requirement_set, name="Study"
        )
        AssignmentFactory(entry=entry, requirement=own, piece=first)
        AssignmentFactory(entry=entry, requirement=other, piece=second)
    studies = [p for p in planning(sam).places if p.requirement.kind == "etude"]
    assert len(studies) == 4
    assert not any(place.changed for place in studies)


def test_the_drawing_marks_what_the_plan_brings_and_takes_away(sam):
    AssignmentFactory(entry=sam.norwood, requirement=sam.norwood_solo, piece=sam.romance)
    AssignmentFactory(entry=sam.fairmont, requirement=sam.fairmont_study, piece=sam.quick)
    shown = PlanPage(planning(sam), sam.people.ines)
    marks = {row.title: row.mark.value for band in shown.drawing.bands for row in band.rows}
    assert marks == {"Concerto": "new", "Romance": "dropped", "Quick study": "kept"}
    heads = {
        row.title: [[head.mark.value for head in cell.heads] for cell in row.cells]
        for band in shown.drawing.bands
        for row in band.rows
    }
    assert heads == {
        "Concerto": [["new"], ["new"]],
        "Romance": [[], ["dropped"]],
        "Quick study": [["kept"], ["new"]],
    }
    assert shown.changes == "1 new piece, 1 dropped, 1 played elsewhere than assigned"


def test_pieces_that_fit_but_are_not_planned_are_offered_by_kind(sam):
    unfit = PieceFactory(studio=sam.people.studio, kind="excerpt")
    shown = PlanPage(planning(sam), sam.people.ines, opened="etude")
    assert [
        (title, works(line.piece for line in lines), is_open)
        for title, _, lines, is_open in shown.others
    ] == [
        ("Solo", ["Romance"], False),
        ("Studies", ["Slow study"], True),
    ]
    assert unfit.pk not in planning(sam).fitting


# Taking it over


def test_the_whole_plan_is_taken_over_as_one_batch_and_taken_back(as_teacher, sam):
    AssignmentFactory(entry=sam.norwood, requirement=sam.norwood_solo, piece=sam.romance)
    done = take_over(as_teacher, sam)
    assert assigned(sam.fairmont) == assigned(sam.norwood) == LEAST
    assert "4 assigned, 1 taken away" in done.content.decode()
    assert "It is what is assigned now" in done.content.decode()
    batch = Change.objects.latest("pk").batch
    as_teacher.post(reverse("undo", args=[batch]))
    assert assigned(sam.fairmont) == set()
    assert assigned(sam.norwood) == {("Solo", "Romance")}


def test_one_audition_is_taken_over(as_teacher, sam):
    take_over(as_teacher, sam, entry=sam.norwood.pk)
    assert assigned(sam.fairmont) == set()
    assert assigned(sam.norwood) == LEAST


def test_one_piece_is_taken_over_in_place_of_what_the_plan_drops(as_teacher, sam):
    AssignmentFactory(entry=sam.norwood, requirement=sam.norwood_solo, piece=sam.romance)
    AssignmentFactory(entry=sam.norwood, requirement=sam.norwood_study, piece=sam.slow)
    take_over(as_teacher, sam, piece=sam.concerto.pk)
    assert assigned(sam.fairmont) == {("Solo", "Concerto")}
    assert assigned(sam.norwood) == {("Solo", "Concerto"), ("Study", "Slow study")}


def test_where_there_is_room_one_piece_takes_nothing_away(as_teacher, sam):
    sam.norwood_study.at_most = 2
    sam.norwood_study.save()
    AssignmentFactory(entry=sam.norwood, requirement=sam.norwood_study, piece=sam.slow)
    take_over(as_teacher, sam, piece=sam.quick.pk)
    assert assigned(sam.norwood) == {("Study", "Slow study"), ("Study", "Quick study")}


def test_a_piece_that_is_dropped_goes_by_itself(as_teacher, sam):
    AssignmentFactory(entry=sam.norwood, requirement=sam.norwood_solo, piece=sam.romance)
    take_over(as_teacher, sam, piece=sam.romance.pk)
    assert assigned(sam.norwood) == set()


def test_what_is_decided_left_out_or_not_planned_stays_as_it_is(as_teacher, sam):
    decided, solo, _ = audition(sam.student, "Decided", date(2027, 1, 9))
    Entry.objects.filter(pk=decided.pk).update(result=Entry.Result.OFFERED)
    AssignmentFactory(entry=decided, requirement=solo, piece=sam.romance)
    AssignmentFactory(entry=sam.norwood, requirement=sam.norwood_solo, piece=sam.romance)
    Entry.objects.filter(pk=sam.norwood.pk).update(kept=False)
    scales = RequirementFactory(
        requirement_set=sam.fairmont.requirement_set,
        name="Scales",
        kind="scales",
        scales="major: to 4",
    )
    AssignmentFactory(entry=sam.fairmont, requirement=scales, piece=sam.slow)
    take_over(as_teacher, sam)
    assert assigned(decided) == assigned(sam.norwood) == {("Solo", "Romance")}
    assert assigned(sam.fairmont) == LEAST | {("Scales", "Slow study")}


def test_a_plan_that_has_changed_meanwhile_is_not_taken_over(as_teacher, sam):
    seen = planning(sam).digest
    WishFactory(student=sam.student, piece=sam.quick, word="leave")
    done = take_over(as_teacher, sam, plan=seen)
    assert "the plan is another by now" in done.content.decode()
    assert not Assignment.objects.exists()


def test_what_changes_nothing_in_the_plan_does_not_hinder_taking_it_over(as_teacher, sam):
    seen = planning(sam).digest
    Entry.objects.filter(pk=sam.norwood.pk).update(worth=9)
    take_over(as_teacher, sam, plan=seen)
    assert assigned(sam.norwood) == LEAST


# What is missing


def test_where_nothing_fits_the_page_says_where_and_what_would_help(as_teacher, sam):
    WishFactory(student=sam.student, piece=sam.concerto, word="leave")
    shown = PlanPage(planning(sam), sam.people.ines)
    (missing,) = shown.missing
    assert missing.entry == sam.fairmont
    (way,) = missing.ways
    assert way.requirement == sam.fairmont_solo
    assert way.wanted.startswith("1 more piece")
    html = page(as_teacher, sam)
    assert re.search(
        rf"repertoire/add/\?kind=solo&amp;instrument={sam.fairmont.instrument_id}", html
    )
    assert "Not covered yet" in html


def test_what_is_assigned_stays_where_nothing_takes_its_place(as_teacher, sam):
    for piece in (sam.concerto, sam.slow, sam.quick):
        WishFactory(student=sam.student, piece=piece, word="leave")
    AssignmentFactory(entry=sam.fairmont, requirement=sam.fairmont_solo, piece=sam.romance)
    shown = PlanPage(planning(sam), sam.people.ines)
    notes = {line.piece: (line.mark.value, line.note) for line in shown.lines}
    assert notes == {sam.romance: ("kept", "")}
    doubts = [each.piece for line in shown.auditions for p in line.places for each in p.doubtful]
    assert doubts == [sam.romance]
    assert 'Romance <span class="red">does not fit' in page(as_teacher, sam)
    take_over(as_teacher, sam)
    assert assigned(sam.fairmont) == {("Solo", "Romance")}


def test_facts_that_are_not_recorded_are_named_with_the_pieces(sam):
    sam.norwood_solo.fits = "years: 1800 to 1899"
    sam.norwood_solo.save()
    (fact,) = PlanPage(planning(sam), sam.people.ines).unknown
    assert fact.words == "2 pieces might fit if their year were recorded"
    assert works(fact.pieces) == ["Concerto", "Romance"]


def test_assumed_hours_are_told(as_teacher, sam):
    sam.concerto.hours = None
    sam.concerto.save()
    html = page(as_teacher, sam)
    assert "Hours assumed from other pieces, as none are written down: Concerto" in html


def test_what_is_not_proven_is_shown_as_a_range(sam):
    found = planning(sam)
    added = tuple(replace(each, least=60, most=240) for each in found.answer.added)
    plan = replace(found.answer.plan, proven=False, bound=600)
    found.answer = replace(found.answer, plan=plan, added=added)
    shown = PlanPage(found, sam.people.ines)
    assert shown.drawing.feet[0].figures == ("1 to 4 h", "1 to 4 h")


def test_without_an_answer_the_page_says_why_and_still_lets_auditions_be_left_out(
    as_teacher, sam, monkeypatch
):
    refuse = 'input(); print(\'{"error": "no memory"}\', flush=True); input()'
    pool = Pool((sys.executable, "-c", refuse))
    monkeypatch.setattr(workers, "POOL", pool)
    WishFactory(student=sam.student, piece=sam.quick, word="like")  # a problem not solved before
    html = page(as_teacher, sam)
    pool.close()
    assert "no memory" in html
    assert "Leave out" in html


def test_without_any_pieces_the_page_says_what_to_add(as_teacher, sam):
    sam.people.studio.pieces.all().delete()
    html = page(as_teacher, sam)
    assert "Fairmont and Norwood cannot be covered in full" in html
    assert html.count("Add a piece") == 4


# Hours against auditions


def test_hours_are_weighed_against_auditions(as_teacher, sam):
    Entry.objects.filter(pk=sam.norwood.pk).update(kept=False)
    html = as_teacher.get(reverse("plan_frontier", args=[sam.student.pk])).content.decode()
    # Norwood alone takes the romance and the study, 9 h; both the concerto and the study, 13 h.
    rows = re.findall(
        r'scope="row" class="amount">(.*?)<.*?amount">(\d+)<.*?<td>(.*?)[<\n]', html, re.S
    )
    assert [(hours, int(worth), names.strip()) for hours, worth, names in rows] == [
        ("9 h", 4, "Norwood"),
        ("13 h", 8, "Fairmont and Norwood"),
    ]


def test_choosing_a_point_plans_for_its_auditions(as_teacher, sam):
    url = reverse("plan_frontier", args=[sam.student.pk])
    as_teacher.post(url, {"auditions": f"{sam.norwood.pk}"})
    kept = Entry.objects.filter(kept=True)
    assert kept.get() == sam.norwood
    as_teacher.post(reverse("undo", args=[Change.objects.latest("pk").batch]))
    assert kept.count() == 2


@pytest.mark.parametrize("posted", ["999999", "no key"])
def test_only_auditions_of_the_student_can_be_chosen(as_teacher, sam, posted):
    url = reverse("plan_frontier", args=[sam.student.pk])
    refused = as_teacher.post(url, {"auditions": posted}, follow=True)
    assert "Nothing was saved" in refused.content.decode()
    assert Entry.objects.filter(kept=True).count() == 2


# Who, and what is refused


def test_an_assistant_reads_the_plan_and_changes_nothing(client, sam):
    client.force_login(sam.people.ana.user)
    html = page(client, sam)
    assert "Concerto" in html
    assert "Take over" not in html
    assert 'method="post"' not in html.split('id="plan"')[1].split("</main>")[0]
    assert take_over(client, sam).status_code == 404
    assert wish(client, sam, sam.slow, "keep").status_code == 404
    assert client.post(reverse("plan_entry", args=[sam.norwood.pk]), {}).status_code == 404


def test_a_student_sees_no_plan(as_student, sam):
    url = reverse("plan", args=[sam.student.pk])
    assert as_student.get(url).status_code == 404


@pytest.mark.parametrize("posted", [{"word": "love"}, {"piece": ""}, {"piece": "999999"}])
def test_a_wish_that_makes_no_sense_is_refused_in_words(as_teacher, sam, posted):
    posted = {"piece": sam.slow.pk, "word": "keep"} | posted
    url = reverse("plan_wish", args=[sam.student.pk])
    refused = as_teacher.post(url, posted, follow=True)
    assert "Nothing was saved" in refused.content.decode()
    assert not Wish.objects.exists()


def test_a_piece_of_another_studio_cannot_be_wished_for(as_teacher, sam):
    stranger = PieceFactory(studio=sam.people.otto.studio)
    wish(as_teacher, sam, stranger, "keep")
    assert not Wish.objects.exists()


def test_without_auditions_the_page_says_what_to_do(as_teacher, people):
    url = reverse("plan", args=[people.sam_student.pk])
    html = as_teacher.get(url).content.decode()
    assert "No auditions ahead" in html
    assert reverse("entry_add", args=[people.sam_student.pk]) in html


def test_where_nothing_is_asked_the_page_says_so(as_teacher, people):
    EntryFactory(student=people.sam_student, requirement_set=None)
    url = reverse("plan", args=[people.sam_student.pk])
    assert "No pieces are asked for yet" in as_teacher.get(url).content.decode()


@pytest.mark.parametrize("scope", ["entry", "piece"])
@pytest.mark.parametrize("key", ["x", "-1", "²", "9" * 5000])
def test_a_key_that_is_none_takes_nothing_over(as_teacher, sam, scope, key):
    take_over(as_teacher, sam, **{scope: key})
    assert not Assignment.objects.exists()
    take_over(as_teacher, sam)
    assert Assignment.objects.exists()
