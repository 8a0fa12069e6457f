"""The rules between students who share an accompanist, and what is said about the plans."""

from dataclasses import replace
from datetime import date, time, timedelta

import pytest

from planner import codec
from planner.dates import Audition, Offer
from planner.dates import Problem as Dates
from planner.together import (
    Closed,
    Companion,
    Problem,
    Student,
    answer,
    example,
    joint,
)
from planner.together.case import Case
from planner.together.joint import best, components
from tests.planner.together_cases import TODAY, place, season

HOME, NEAR, FAR = place("home", 0, 0), place("Near Hall", 0.5, 0), place("Far Hall", 2, 1)
SATURDAYS = [date(2027, 2, 6) + timedelta(7 * week) for week in range(4)]
PIA = Companion("pia", "Pia Lund")


def audition(key, at, *weeks, clock=None, ranked=False):
    """An audition at a place on Saturdays; clock: from when to when it is heard, where stated."""
    starts, ends = clock or (None, None)
    offers = (
        Offer(f"{key}{week}", SATURDAYS[week], starts, ends, rank=n + 1 if ranked else None)
        for n, week in enumerate(weeks)
    )
    return Audition(key, at.name, at, tuple(offers), site=at.name)


def student(name, *auditions, companions=("pia",)):
    """A student with companions at every audition."""
    pairs = tuple((one.key, key) for one in auditions for key in companions)
    return Student(name, name.capitalize(), Dates(TODAY, HOME, auditions), pairs)


def ask(*students, companions=(PIA,)):
    """The answer for these students."""
    return answer(Problem(TODAY, students, companions, seconds=30.0))


def weeks(found):
    """The weeks of every student's choices, None for a student without a plan."""
    return [
        one.plan and [SATURDAYS.index(choice.on) for choice in one.plan.choices]
        for one in found.students
    ]


def at(hour, minute=0, minutes=20):
    """From when to when."""
    return time(hour, minute), time(hour, minute + minutes)


# ---- one rule each: without it everybody would take week 0, which they like best


def test_a_companion_is_at_one_site_a_day():
    found = ask(
        student("ann", audition("a", NEAR, 0, 1, ranked=True)),
        student("bo", audition("b", FAR, 0, ranked=True)),
    )
    assert weeks(found) == [[1], [0]]
    assert [clash.kind for clash in found.clashes] == ["two places"]


def test_one_student_cannot_have_the_companion_at_two_sites_a_day_either():
    morning, evening = at(9), at(17)
    first = audition("a", NEAR, 0, 1, clock=morning, ranked=True)
    second = audition("b", place("Nearer Hall", 0.6, 0), 0, clock=evening)
    alone = ask(student("ann", first, second, companions=()))
    assert weeks(alone) == [[0, 0]]
    assert weeks(ask(student("ann", first, second))) == [[0, 1]]


def test_at_one_site_a_companion_plays_for_everybody():
    found = ask(*(student(n, audition(n, NEAR, 0, 1, ranked=True)) for n in ("ann", "bo", "cy")))
    assert weeks(found) == [[0], [0], [0]] and not found.clashes


def test_a_companion_plays_at_so_many_auditions_a_day_at_most():
    names = ("ann", "bo", "cy")
    students = [student(name, audition(name, NEAR, 0, 1, ranked=True)) for name in names]
    assert weeks(ask(*students, companions=(replace(PIA, most=3),))) == [[0], [0], [0]]
    found = ask(*students, companions=(replace(PIA, most=2),))
    assert sorted(weeks(found)) == [[0], [0], [1]] and found.dislike == 3
    assert [clash.kind for clash in found.clashes] == ["too many"]


def test_a_companion_who_is_away_cannot_come_along():
    away = Closed(SATURDAYS[0] - timedelta(1), SATURDAYS[0], "concerts")
    found = ask(
        student("ann", audition("a", NEAR, 0, 1, ranked=True)),
        companions=(replace(PIA, away=(away,)),),
    )
    assert weeks(found) == [[1]]
    assert [clash.kind for clash in found.clashes] == ["away"]


def test_nobody_plays_for_two_at_once():
    def together(clock, other):
        return ask(
            student("ann", audition("a", NEAR, 0, 1, clock=clock, ranked=True)),
            student("bo", audition("b", NEAR, 0, clock=other, ranked=True)),
        )

    at_once = together(at(10), at(10, 10))
    assert weeks(at_once) == [[1], [0]]
    assert [clash.kind for clash in at_once.clashes] == ["at once"]
    assert weeks(together(at(10), at(10, 20))) == [[0], [0]]
    assert weeks(together(None, at(10, 10))) == [[0], [0]]


def test_two_who_are_called_some_time_in_the_same_day_do_not_clash():
    """Dates are offered as whole days: that they are the same says nothing about two players."""
    day = time(9), time(16)

    def called(name, *auditions):
        offers = [
            replace(one, offers=tuple(replace(offer, window=True) for offer in one.offers))
            for one in auditions
        ]
        return student(name, *offers)

    one, other = audition("a", NEAR, 0, 1, clock=day), audition("b", NEAR, 0, clock=day)
    assert weeks(ask(student("ann", one), student("bo", other))) != [[0], [0]]
    found = ask(called("ann", replace(one, offers=one.offers[:1])), called("bo", other))
    assert weeks(found) == [[0], [0]] and not found.clashes
    assert any("no stated times yet" in note for note in found.notes)


def test_an_audition_can_need_two_who_come_along():
    teacher = Companion("teacher", "Ola Amadi")
    found = ask(
        student("ann", audition("a", NEAR, 0, 1, ranked=True), companions=("pia", "teacher")),
        student("bo", audition("b", FAR, 0, ranked=True), companions=("teacher",)),
        companions=(PIA, teacher),
    )
    assert weeks(found) == [[1], [0]]
    assert [day.companion for day in found.days] == ["teacher", "pia", "teacher"]


def test_points_come_before_dislikes():
    # Ann would have to miss school; Bo only takes a date that is liked less.
    friday = replace(audition("a", NEAR, 0), offers=(
        Offer("sat", SATURDAYS[0]), Offer("fri", SATURDAYS[1] - timedelta(1), rank=1),
    ))  # fmt: skip
    found = ask(
        student("ann", friday),
        student("bo", audition("b", FAR, 0, 1, 2, ranked=True)),
    )
    assert found.students[0].plan.choices[0].offer == "sat"
    assert found.points == sum(one.own for one in found.students)
    assert found.dislike == 3 + 3


def test_of_plans_of_equal_points_the_one_that_is_liked_best_is_taken():
    found = ask(
        student("ann", audition("a", NEAR, 0, 1, 2, ranked=True)),
        student("bo", audition("b", FAR, 0, 2, 3, ranked=True)),
    )
    # One of both has to take a second choice: 3. Both of third ones would be 12.
    assert found.dislike == 3 and found.proven


# ---- what is said


def test_what_each_gives_up_is_told_against_their_own_best():
    found = ask(
        student("ann", audition("a", NEAR, 0, 1), audition("c", FAR, 2)),
        student("bo", replace(audition("b", FAR, 0), offers=(
            Offer("sat", SATURDAYS[0]), Offer("fri", SATURDAYS[0] - timedelta(1)),
        ))),
    )  # fmt: skip
    ann, bo = found.students
    assert ann.plan.burden.points == ann.own + ann.extra
    assert (ann.extra, bo.extra, bo.moved) == (0, 0, ())
    assert ann.moved in ((), ("a",))
    assert found.points == found.bound == ann.own + bo.own


def test_a_companions_day_lists_the_players_in_order_of_time():
    found = ask(
        student("ann", audition("a", NEAR, 0, clock=at(15))),
        student("bo", audition("b", NEAR, 0)),
        student("cy", audition("c", NEAR, 0, clock=at(9))),
    )
    (day,) = found.days
    assert (day.companion, day.on, day.site_name) == ("pia", SATURDAYS[0], "Near Hall")
    assert [player.student for player in day.players] == ["cy", "ann", "bo"]
    assert day.players[0].starts.isoformat() == "2027-02-06T09:00:00-06:00"
    assert day.players[2].starts is None
    assert found.notes[0].startswith("One audition has no stated times yet")


def test_taking_turns_can_leave_somebody_without():
    found = ask(
        student("ann", audition("a", NEAR, 0, 1, ranked=True)),
        student("bo", audition("b", FAR, 0, ranked=True)),
    )
    assert found.stranded == 1 and found.in_turn == found.students[0].own
    assert "one student would be left without any" in " ".join(found.reasons)


def test_taking_turns_can_cost_more():
    # Ann takes the Saturday; Bo, with no other, misses school on the Friday after.
    friday = Offer("fri", SATURDAYS[1] - timedelta(1))
    found = ask(
        student("ann", audition("a", NEAR, 0, 1, ranked=True)),
        student("bo", replace(audition("b", FAR, 0), offers=(Offer("sat", SATURDAYS[0]), friday))),
    )
    assert found.in_turn > found.points and found.stranded == 0
    assert f"it would be {found.in_turn:,} points" in " ".join(found.reasons)


def test_the_notes_say_whom_to_ask():
    notes = " ".join(ask(student("ann", audition("a", NEAR, 0))).notes)
    for words in ("has to ask those who come along", "Verify each date", "not financial advice"):
        assert words in notes


def test_nobody_and_nothing():
    assert ask().sentence == "There are no students to plan for."
    found = ask(student("ann"))
    assert found.proven and found.points == 0 and found.students[0].plan.choices == ()


def test_auditions_left_out_need_nobody():
    out = replace(audition("a", NEAR, 0), kept=False)
    found = ask(student("ann", out), student("bo", audition("b", FAR, 0)))
    assert weeks(found) == [[], [0]] and found.proven


def test_students_are_asked_about_as_of_the_problems_day():
    late = TODAY.replace(year=2025)
    one = student("ann", audition("a", NEAR, 0, 1))
    problem = Problem(SATURDAYS[0] + timedelta(1), (one,), (PIA,))
    stale = replace(one, dates=replace(one.dates, today=late))
    assert weeks(answer(problem)) == weeks(answer(replace(problem, students=(stale,)))) == [[1]]


def test_the_same_problem_has_the_same_answer():
    problem = season(7, students=16, companions=2)
    assert answer(problem) == answer(problem)


def test_the_example_can_be_written_and_read_back():
    problem = example()
    assert codec.read(Problem, codec.write(problem)) == problem
    found = answer(problem)
    assert found.proven and not found.conflicts and found.clashes
    assert codec.write(found)


# ---- students who have nothing to do with each other, large numbers, little time


def test_students_without_a_common_day_are_planned_apart():
    case = Case(season(3, students=12, companions=3))
    nets = [n for n, party in enumerate(case.parties) if party.own.path is not None]
    groups = components(case, nets)
    assert sorted(net for group in groups for net in group) == nets
    assert len(groups) >= 3
    for group in groups:
        keys = {k for net in group for _, k in case.problem.students[net].companions}
        assert len(keys) <= 1


def test_points_and_dislike_apart_give_the_same(monkeypatch):
    case = Case(season(5, students=10, companions=1))
    nets = [n for n, party in enumerate(case.parties) if party.own.path is not None]

    def costs():
        found = [best(case, group, 30.0) for group in components(case, nets)]
        assert all(one.proven for one in found)
        paths = {net: path for one in found for net, path in one.paths.items()}
        plans = [case.parties[net].graph.cost(paths[net]) for net in nets]
        bigs = [case.parties[net].dates.big for net in nets]
        split = [divmod(cost, big) for cost, big in zip(plans, bigs, strict=True)]
        return [sum(column) for column in zip(*split, strict=True)], sum(f.bound for f in found)

    at_once = costs()
    monkeypatch.setattr(joint, "LARGEST", 0)
    assert costs() == at_once


def test_what_the_clock_cuts_short_is_said_to_be_unproven():
    found = answer(replace(season(2), seconds=0.02))
    assert not found.proven
    planned = [one for one in found.students if one.plan]
    assert len(planned) > 30  # by taking turns
    assert found.points == sum(one.plan.burden.points for one in planned)
    assert found.bound <= found.points
    full = answer(season(2))
    assert full.proven
    if len(planned) == len([one for one in full.students if one.plan]):
        assert found.bound <= full.points <= found.points


# ---- what makes no sense


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"seconds": 0.0}, "seconds"),
        ({"companions": (PIA, PIA)}, 'companions: "pia" stands there twice'),
        ({"companions": (replace(PIA, most=0),)}, "most 1 to 100"),
        ({"companions": (Companion("x", "X"),)}, 'no companion "pia"'),
        ({"students": (student("ann"), student("ann"))}, 'students: "ann" stands there twice'),
        (
            {"students": (replace(student("ann"), companions=(("z", "pia"),)),)},
            r'student Ann \(ann\), companions: no audition "z"',
        ),
        (
            {"companions": (replace(PIA, away=(Closed(TODAY, date(2026, 1, 1), ""),)),)},
            "first is after last",
        ),
    ],
)
def test_what_makes_no_sense_is_refused_by_name(change, message):
    problem = Problem(TODAY, (student("ann", audition("a", NEAR, 0)),), (PIA,))
    with pytest.raises(ValueError, match=message):
        answer(replace(problem, **change))


def test_what_is_wrong_with_a_students_dates_is_told_with_the_student():
    one = student("ann", audition("a", NEAR, 0))
    bad = replace(one, dates=replace(one.dates, home=replace(HOME, zone=None)))
    with pytest.raises(ValueError, match=r"student Ann \(ann\), dates: home"):
        ask(bad)
