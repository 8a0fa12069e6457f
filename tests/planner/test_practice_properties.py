"""What holds for every practice plan, and what the check lets through."""

import random
from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.practice import Away, Piece, Row, Stretch, Unsound, answer, example
from planner.practice.case import Job
from planner.practice.check import check, minutes_on, possible
from planner.practice.edf import fill, fits
from planner.practice.edf import given as placed
from planner.practice.proof import spans
from tests.planner.practice_cases import TODAY, on, practice, season

SEEDS = st.integers(0, 10**9)


def rows(found, key):
    return [
        (day.on, one.minutes)
        for day in found.days
        for one in day.stretches
        if one.kind == "piece" and one.key == key
    ]


# ---- exactly as much as can be


@st.composite
def machines(draw):
    """Return a few jobs on a few short days, small enough to try everything."""
    caps = draw(st.lists(st.integers(0, 4), min_size=1, max_size=6))
    found = []
    for number in range(draw(st.integers(1, 5))):
        first = draw(st.integers(0, len(caps) - 1))
        due = draw(st.integers(first, len(caps) - 1))
        found.append(Job(str(number), first, due, draw(st.integers(0, 5))))
    return found, caps


def least_missing(jobs, caps):
    """Return what is short at least: of every set of jobs, its need less all days it may use."""
    worst = 0
    for chosen in range(1 << len(jobs)):
        some = [job for number, job in enumerate(jobs) if chosen >> number & 1]
        days = {day for job in some for day in range(job.first, job.due + 1)}
        worst = max(worst, sum(job.need for job in some) - sum(caps[day] for day in days))
    return worst


@given(machines())
def test_no_plan_places_more_and_the_spans_prove_it(machine):
    jobs, caps = machine
    missing = sum(job.need for job in jobs) - sum(placed(jobs, caps))
    assert missing == least_missing(jobs, caps) == sum(span.over for span in spans(jobs, caps))
    assert fits(jobs, caps) == (missing == 0)
    for day, index, minutes in fill(jobs, caps):
        assert jobs[index].first <= day <= jobs[index].due
        assert minutes > 0


# ---- every plan


@settings(deadline=None)
@given(SEEDS)
def test_no_plan_goes_over_a_day_or_out_of_its_window(seed):
    problem = season(seed)
    found = answer(problem)
    for day in found.days:
        assert sum(one.minutes for one in day.stretches) <= minutes_on(problem, day.on)
        assert not any(away.first <= day.on <= away.last for away in problem.away)
    for piece, line in zip(problem.pieces, found.pieces, strict=True):
        done = rows(found, piece.key)
        assert all(max(TODAY, piece.begin or TODAY) <= day <= piece.due for day, _ in done)
        assert sum(minutes for _, minutes in done) == piece.minutes - line.missing
    assert found.feasible == possible(problem)
    if found.feasible:
        assert not any(line.missing for line in found.pieces)


@settings(deadline=None)
@given(SEEDS)
def test_the_order_of_what_is_given_changes_nothing(seed):
    problem = season(seed)
    pick = random.Random(seed)
    mixed = {
        name: tuple(pick.sample(getattr(problem, name), len(getattr(problem, name))))
        for name in ("pieces", "auditions", "away")
    }
    one, other = answer(problem), answer(replace(problem, **mixed))
    assert one.days == other.days
    assert (one.short, one.changes, one.rests) == (other.short, other.changes, other.rests)
    by_key = {line.key: line for line in other.pieces}
    assert [by_key[line.key] for line in one.pieces] == list(one.pieces)


@settings(deadline=None)
@given(SEEDS)
def test_a_rest_is_too_long_only_where_its_turn_had_no_room(seed):
    problem = season(seed)
    found = answer(problem)
    used = {day.on: day.minutes for day in found.days}
    runs = {day.on for day in found.days if any(one.kind == "run-through" for one in day.stretches)}
    for rest in found.rests:
        piece = next(one for one in problem.pieces if one.key == rest.piece)
        first = max(TODAY, piece.begin or TODAY, rest.after + timedelta(1))
        # The last day with practice on which playing would have kept the rest short enough.
        limit = rest.after + timedelta(problem.settings.rest_days + 1)
        days = [first + timedelta(n) for n in range(max(0, (limit - first).days + 1))]
        days = [day for day in days if minutes_on(problem, day) >= problem.settings.shortest]
        if days and days[-1] not in runs and not any(day.light for day in found.days):
            assert minutes_on(problem, days[-1]) - used.get(days[-1], 0) < 10, rest


@settings(deadline=None)
@given(SEEDS)
def test_with_time_enough_every_stretch_keeps_to_its_limits(seed):
    pick = random.Random(seed)
    pieces = [
        Piece(f"p{n}", f"P{n}", pick.randint(10, 200), on(30)) for n in range(pick.randint(1, 6))
    ]
    found = answer(practice(*pieces))
    assert found.feasible
    assert all(10 <= one.minutes <= 40 for day in found.days for one in day.stretches)


# ---- the check


def tampered():
    """Return the example's answer with one thing wrong each."""
    found = answer(example())
    day = found.days[0]
    first = day.stretches[0]

    def days(changed):
        return replace(found, days=(changed, *found.days[1:]))

    def stretches(*some, minutes=None):
        total = sum(one.minutes for one in some) if minutes is None else minutes
        return days(replace(day, stretches=some, minutes=total))

    more = replace(first, minutes=first.minutes + 5)
    run = Stretch("fairmont", "Fairmont", 15, "run-through", "")
    line = found.pieces[0]
    return {
        "not in order": replace(found, days=found.days[::-1]),
        "figures are wrong": stretches(*day.stretches, minutes=1),
        "more minutes than there are": stretches(more, *day.stretches[1:]),
        "empty stretch": stretches(*day.stretches, replace(first, minutes=0)),
        "not light": days(replace(day, light=True)),
        "too long a stretch": stretches(replace(first, minutes=41)),
        "not all its minutes|the minutes are wrong": stretches(*day.stretches[1:]),
        "no week for a run-through": stretches(run, *day.stretches[2:]),
        "not the whole programme": stretches(replace(run, minutes=14), *day.stretches[2:]),
        "the slack is wrong": replace(found, pieces=(replace(line, slack=99), *found.pieces[1:])),
        "finished on another day": replace(
            found, pieces=(replace(line, finished_on=TODAY), *found.pieces[1:])
        ),
        "missing is wrong": replace(found, missing=5),
    }


@pytest.mark.parametrize("message", tampered())
def test_a_wrong_plan_is_not_believed(message):
    check(example(), answer(example()))
    with pytest.raises(Unsound, match=message):
        check(example(), tampered()[message])


def test_a_plan_is_checked_before_it_is_given(monkeypatch):
    monkeypatch.setattr("planner.practice.solve.spread", lambda *case: {})
    with pytest.raises(Unsound, match="the minutes are wrong"):
        answer(example())


def short_answer():
    """Two pieces due tomorrow ask for 150 minutes of 120."""
    problem = practice(Piece("a", "A", 60, on(1)), Piece("b", "B", 90, on(1)))
    return problem, answer(problem)


def test_a_wrong_proof_is_not_believed():
    problem, found = short_answer()
    (span,) = found.short
    for wrong, message in (
        ((), "not tight"),
        ((span, replace(span, minutes=0)), "overlap"),
        ((replace(span, need=151),), "the need is wrong"),
        ((replace(span, available=1),), "available is wrong"),
        ((replace(span, pieces=("a",)),), "other pieces"),
    ):
        with pytest.raises(Unsound, match=message):
            check(problem, replace(found, short=wrong))


def test_a_change_that_would_not_do_or_is_too_much_is_not_believed():
    problem, found = short_answer()
    for change in found.changes:
        if change.kind == "one piece fewer":
            continue
        for by, message in ((-1, "it would not do"), (1, "less would do")):
            wrong = replace(change, amount=change.amount + by)
            with pytest.raises(Unsound, match=message):
                check(problem, replace(found, changes=(wrong,)))
    fewer = next(one for one in found.changes if one.kind == "one piece fewer")
    with pytest.raises(Unsound, match="it would not do"):
        check(problem, replace(found, changes=(replace(fewer, piece="nobody"),)))


def test_a_piece_keeps_to_its_days():
    problem = example()
    found = answer(problem)
    concerto = problem.pieces[0]
    begins = replace(concerto, begin=found.days[1].on)
    ends = replace(concerto, due=found.pieces[0].finished_on - timedelta(1))
    for other in (begins, ends):
        with pytest.raises(Unsound, match="out of its days"):
            check(replace(problem, pieces=(other, *problem.pieces[1:])), found)


def test_a_day_away_is_no_day_of_practice():
    problem = example()
    found = answer(problem)
    away = (*problem.away, Away(found.days[0].on, found.days[0].on))
    with pytest.raises(Unsound, match="figures are wrong"):
        check(replace(problem, away=away), found)


@settings(deadline=None, max_examples=50)
@given(SEEDS)
def test_the_same_plan_again_has_not_moved(seed):
    problem = season(seed)
    found = answer(problem)
    before = tuple(
        Row(day.on, one.key, one.minutes)
        for day in found.days
        for one in day.stretches
        if one.kind == "piece"
    )
    again = answer(replace(problem, previous=before))
    assert again.moved == (("Nothing has moved.",) if before else ())
