"""Why some students cannot be planned together, and what would help: against every combination."""

from dataclasses import replace
from functools import cache

import pytest

from planner.together import answer
from planner.together.clashes import Companion
from planner.together.model import Closed
from tests.planner.test_together import FAR, NEAR, PIA, SATURDAYS, ask, audition, student, weeks
from tests.planner.together_cases import small
from tests.planner.together_oracles import Brute

SOME = range(100)


@cache
def solved(seed):
    return answer(small(seed))


def only(problem, keys):
    """The problem with these students alone."""
    kept = tuple(student for student in problem.students if student.key in keys)
    return replace(problem, students=kept)


def conflicts():
    """Every conflict of the small problems that comes from companions."""
    for seed in SOME:
        for why in solved(seed).conflicts:
            if why.companions:
                yield seed, why


def test_there_are_enough_conflicts():
    assert len(list(conflicts())) > 20
    kinds = [way.kind for _, why in conflicts() for way in why.ways_out]
    assert min(kinds.count(kind) for kind in ("without", "more", "come", "leave out")) > 2


def test_a_conflict_cannot_be_planned_and_whoever_is_left_out_the_rest_can():
    for seed, why in conflicts():
        problem = only(small(seed), why.students)
        assert why.proven and Brute(problem).best() is None, seed
        for key in why.students:
            rest = [other for other in why.students if other != key]
            assert Brute(only(problem, rest)).best() is not None, seed


def test_each_companion_of_a_conflict_is_needed_for_it():
    for seed, why in conflicts():
        problem = only(small(seed), why.students)
        others = {c.key for c in problem.companions} - set(why.companions)
        assert Brute(without(problem, others)).best() is None, seed
        for key in why.companions:
            assert Brute(without(problem, {*others, key})).best() is not None, seed


def without(problem, dropped):
    """The problem in which some companions do not come along."""
    students = (
        replace(one, companions=tuple(pair for pair in one.companions if pair[1] not in dropped))
        for one in problem.students
    )
    return replace(problem, students=tuple(students))


def test_those_who_are_planned_all_the_same_have_the_best_plans():
    for seed in SOME:
        found = solved(seed)
        planned = [one.student for one in found.students if one.plan]
        best = Brute(only(small(seed), planned)).best()
        assert (found.points, found.dislike) == best and found.proven, seed


def test_every_way_out_was_tried_and_costs_what_it_says():
    for seed, why in conflicts():
        planned = [one.student for one in solved(seed).students if one.plan]
        keys = {*planned, *why.students}
        for way in why.ways_out:
            problem = only(changed(small(seed), way), keys)
            assert way.proven and Brute(problem).best()[0] == way.points, (seed, way)


def changed(problem, way):
    """The problem as a way out wants it."""
    if way.kind in ("more", "come"):
        return replace(problem, companions=tuple(_companion(c, way) for c in problem.companions))
    return replace(problem, students=tuple(_student(one, way) for one in problem.students))


def _companion(companion, way):
    if companion.key != way.companion:
        return companion
    if way.kind == "more":
        return replace(companion, most=way.most)
    return replace(companion, away=())  # those of the small problems are away once at the most


def _student(one, way):
    if one.key != way.student:
        return one
    if way.kind == "without":
        pairs = (pair for pair in one.companions if pair != (way.audition, way.companion))
        return replace(one, companions=tuple(pairs))
    auditions = (replace(a, kept=a.kept and a.key != way.audition) for a in one.dates.auditions)
    return replace(one, dates=replace(one.dates, auditions=tuple(auditions)))


def test_no_single_change_that_helps_is_missing():
    for seed, why in conflicts():
        if seed >= 40:
            break
        problem = small(seed)
        planned = [one.student for one in solved(seed).students if one.plan]
        keys, told = {*planned, *why.students}, {(w.kind, w.audition) for w in why.ways_out}
        for one in only(problem, why.students).students:
            for audition_key, companion in one.companions:
                way = _Way("without", one.key, audition_key, companion)
                helps = Brute(only(changed(problem, way), keys)).best() is not None
                if companion in why.companions:
                    assert helps == (("without", audition_key) in told), (seed, way)


class _Way:
    def __init__(self, kind, student_key, audition_key, companion):
        self.kind, self.student = kind, student_key
        self.audition, self.companion = audition_key, companion


# ---- in words


def test_two_at_two_places_on_the_only_day():
    found = ask(student("ann", audition("a", NEAR, 0)), student("bo", audition("b", FAR, 0)))
    (why,) = found.conflicts
    assert (why.students, why.companions) == (("ann", "bo"), ("pia",))
    assert why.sentence == (
        "There are no dates for Ann and Bo together to which Pia Lund can come along."
    )
    assert found.proven and weeks(found) == [None, None] and found.points == 0
    assert {way.kind for way in why.ways_out} == {"without", "leave out"}
    assert found.sentence == "For two of two students no dates go together."
    first = why.ways_out[0].sentence
    assert first.startswith("Find somebody else than Pia Lund for ") and first.endswith(" points.")


def test_a_student_alone_whose_companion_is_away():
    away = (Closed(SATURDAYS[0], SATURDAYS[1], "concerts"),)
    found = ask(
        student("ann", audition("a", NEAR, 0, 1)),
        student("bo", audition("b", NEAR, 2)),
        companions=(replace(PIA, away=away),),
    )
    (why,) = found.conflicts
    assert why.students == ("ann",)
    assert why.sentence == "There are no dates for Ann to which Pia Lund can come along."
    come = next(way for way in why.ways_out if way.kind == "come")
    assert come.sentence.startswith(
        "Ask Pia Lund to come along in spite of concerts, 6 February to 13 February: "
    )
    assert weeks(found) == [None, [2]]
    assert "All others can take their own best dates." in found.sentence


def test_too_many_on_the_only_day():
    names = ("ann", "bo", "cy")
    found = ask(
        *(student(name, audition(name, NEAR, 0)) for name in names),
        companions=(replace(PIA, most=1),),
    )
    why = found.conflicts[0]
    assert why.students == ("ann", "bo")
    more = next(way for way in why.ways_out if way.kind == "more")
    assert more.most == 3  # Cy plays that day, too
    assert more.sentence.startswith("Ask Pia Lund to play at up to 3 auditions a day: ")


def test_no_dates_even_alone():
    found = ask(student("ann", audition("a", NEAR, 0), audition("b", FAR, 0)))
    (why,) = found.conflicts
    assert why.companions == () and why.ways_out == () and why.proven
    assert why.sentence == "The dates of Ann do not go together even if nobody has to come along."


def test_ways_out_are_left_out_where_nobody_asks():
    problem = replace(small(0), explain=False)
    assert answer(problem).conflicts and not any(c.ways_out for c in answer(problem).conflicts)


@pytest.mark.parametrize("most", [1, 2])
def test_a_companion_in_the_middle_of_three(most):
    # Pia holds Ann and Bo together, Ola Bo and Cy; no two of them are in each other's way.
    ola = Companion("ola", "Ola Berg", most=most)
    found = ask(
        student("ann", audition("a", NEAR, 0)),
        student("bo", audition("b", FAR, 0, 1), companions=("pia", "ola")),
        student("cy", audition("c", NEAR, 1), companions=("ola",)),
        companions=(PIA, ola),
    )
    (why,) = found.conflicts
    assert set(why.students) == {"ann", "bo", "cy"} and why.companions == ("pia", "ola")
