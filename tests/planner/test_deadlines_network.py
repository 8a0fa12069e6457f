"""Tasks that wait for each other, are shared, have no date yet, or are too late."""

from dataclasses import replace
from datetime import date, time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner import codec
from planner.deadlines import (
    DAY_TIMES,
    LEAD_TIMES,
    NEEDS,
    After,
    Anchor,
    Deadline,
    Lead,
    Problem,
    Task,
    Unit,
    When,
    answer,
)
from planner.deadlines.leads import PLACES
from tests.planner.deadlines_cases import HOME, OFF, day, moment

WORKING = Unit.WORKING_DAYS
MONDAY = date(2026, 12, 14)


def until(count, key="d", **more):
    """Return a deadline so many days from Monday 14 December."""
    return Deadline(key, f"Place {key}", day(count), zone=HOME, **more)


def task(key, deadline="d", name="", **more):
    return Task(key, name or f"Task {key}", "student", deadline, **more)


def ask(deadlines, tasks, **more):
    """Return the answer on Monday 14 December, and its tasks by key."""
    more = {"now": moment(), "days_off": OFF} | more
    found = answer(Problem(home_zone=HOME, deadlines=tuple(deadlines), tasks=tuple(tasks), **more))
    return found, {due.key: due for due in found.tasks}


def a_chain(count=20, **last):
    """Return draft, read and send: 7, 3 and 3 days of work, one after the other."""
    return ask(
        [until(count)],
        [
            task("draft", takes=Lead(7)),
            task("read", takes=Lead(3), after=(After("draft"),)),
            task("send", takes=Lead(3), after=(After("read"),), **last),
        ],
    )


# What waits for what


def test_a_task_is_planned_for_when_the_next_one_needs_it():
    found, dues = a_chain()
    assert [dues[key].plan_by for key in ("draft", "read", "send")] == [day(14), day(17), day(20)]
    assert dues["draft"].start_on == day(7)
    assert dues["draft"].reasons[0] == "Needed by Monday 28 December for: Task read."
    assert dues["draft"].sentence == (
        "due Sunday 3 January; needed by Monday 28 December for: Task read; "
        "start by Monday 21 December: it takes 7 days"
    )
    assert dues["draft"].short == "by Mon 28 Dec"
    assert found.sentence.endswith("Next: Task draft, Monday 28 December.")


def test_earliest_dates_follow_each_other_from_today():
    found, dues = a_chain()
    assert [dues[key].earliest_start for key in ("draft", "read", "send")] == [
        day(0), day(7), day(10),
    ]  # fmt: skip
    assert (dues["send"].earliest_finish, dues["send"].slack) == (day(13), 7)
    assert dues["send"].chain == found.critical == ("draft", "read", "send")
    assert [(chain.deadline, chain.slack) for chain in found.chains] == [("d", 7)]
    assert dues["draft"].bound_by == "It can be begun today."
    assert dues["read"].bound_by == "Task draft is done on Monday 21 December at the earliest."
    assert (dues["read"].waits_for, dues["read"].short) == ("Task draft", "by Thu 31 Dec · waits")


def test_a_task_that_has_to_wait_need_not_start_today():
    found, dues = a_chain(5)
    assert found.start_today == ("draft",)
    due = dues["read"]
    assert (due.start_on, due.must_start, due.when) == (day(-1), False, When.THIS_WEEK)
    assert "; to be started by 13 December: it takes 3 days; " in due.sentence
    assert "; should have been started by 6 December: it takes 7 days" in dues["draft"].sentence


def test_a_lag_passes_between_two_tasks_and_steps_over_days_off():
    lag = Lead(3, WORKING)
    found, dues = ask([until(20)], [task("a"), task("b", after=(After("a", lag),))])
    assert dues["b"].earliest_start == date(2026, 12, 17)
    assert dues["b"].bound_by.endswith("Monday 14 December at the earliest, and 3 working days "
                                       "must pass.")  # fmt: skip
    # Sunday 3 January rolls back to Thursday 31 December; 25 and 24 December are off.
    assert dues["a"].plan_by == date(2026, 12, 28)


def test_what_is_done_holds_up_nothing_but_its_lag():
    done = task("a", done_on=day(-2))
    _, dues = ask([until(20)], [done, task("b", after=(After("a"),))])
    assert (dues["b"].earliest_start, dues["b"].waits_for) == (day(0), None)
    _, dues = ask([until(20)], [done, task("b", after=(After("a", Lead(10)),))])
    assert dues["b"].earliest_start == day(8)
    assert dues["b"].bound_by == (
        "After Task a, which is done, it has to wait until Tuesday 22 December."
    )
    assert dues["b"].sentence.endswith("; not before Tuesday 22 December: some time after Task a")
    assert (dues["a"].chain, dues["a"].slack) == ((), None)


def test_what_is_not_needed_passes_on_what_it_waits_for():
    tasks = [
        task("a", takes=Lead(5)),
        task("b", takes=Lead(9), after=(After("a"),), dropped=True),
        task("c", after=(After("b", Lead(1)),)),
    ]
    _, dues = ask([until(20)], tasks)
    assert (dues["c"].earliest_start, dues["c"].waits_for) == (day(6), "Task a")
    assert (dues["c"].chain, dues["a"].plan_by) == (("a", "c"), day(19))
    assert dues["a"].reasons[0] == "Needed by Saturday 2 January for: Task c."
    passed = [
        tasks[0],
        replace(tasks[1], after=(After("a", Lead(2)),)),
        task("c", after=(After("b"),)),
    ]
    _, dues = ask([until(20)], passed)
    assert dues["c"].bound_by == (
        "Task a is done on Saturday 19 December at the earliest, and 2 days must pass."
    )
    done = [replace(tasks[0], done_on=day(-2)), replace(tasks[1], after=(After("a", Lead(6)),))]
    _, dues = ask([until(20)], [*done, tasks[2]])
    assert dues["c"].earliest_start == day(-2 + 6 + 1)


def test_a_deadline_that_opens_after_another_waits_for_what_is_done_there():
    deadlines = [until(5, "u"), until(20, opens_after="u")]
    tasks = [
        task("letter", "u", lead=Lead(3), takes=Lead(30)),
        task("apply", "u", takes=Lead(4)),
        task("start", lead=Lead(7)),
        task("send"),
    ]
    _, dues = ask(deadlines, tasks)
    assert dues["send"].chain == ("apply", "send")
    assert (dues["send"].earliest_start, dues["start"].earliest_start) == (day(4), day(0))
    assert dues["start"].waits_for == dues["send"].waits_for == "Task apply"


def test_an_opening_holds_up_what_is_sent_and_not_what_is_made_before():
    _, dues = ask([until(20, opens_on=day(6))], [task("make", lead=Lead(7)), task("send")])
    assert (dues["make"].earliest_start, dues["send"].earliest_start) == (day(0), day(6))
    assert dues["send"].bound_by == "Place d opens on Sunday 20 December."
    assert dues["send"].must_start is False


def test_what_is_not_ready_cannot_be_begun_before():
    ready = {"not_before": day(4), "not_before_why": "pieces expected ready"}
    _, dues = ask([until(6)], [task("a", takes=Lead(2), **ready)])
    due = dues["a"]
    assert (due.earliest_start, due.slack, due.must_start) == (day(4), 0, False)
    assert due.sentence.endswith("; not before Friday 18 December: pieces expected ready")
    assert due.bound_by == "It cannot be begun before Friday 18 December: pieces expected ready."
    assert due.short == "due Sun 20 Dec · waits"
    _, dues = ask([until(6)], [task("a", takes=Lead(2), not_before=day(-1))])
    assert "not before" not in dues["a"].sentence


def test_for_what_is_blocked_no_date_is_guessed():
    blocked = task("a", takes=Lead(1), blocked="the date is not confirmed")
    found, dues = ask([until(1)], [blocked, task("b", after=(After("a"),))])
    for due in dues.values():
        assert (due.earliest_start, due.earliest_finish, due.slack, due.chain) == (
            None, None, None, (),
        )  # fmt: skip
        assert not due.must_start
    assert dues["a"].waits_for == "the date is not confirmed"
    assert dues["a"].sentence.endswith("; waits: the date is not confirmed")
    assert dues["b"].bound_by == "Task a cannot be begun yet: the date is not confirmed."
    assert (dues["b"].waits_for, dues["b"].short) == ("Task a", "due Tue 15 Dec · waits")
    assert dues["a"].start_on == day(0)
    assert (found.start_today, found.chains, found.critical) == ((), (), ())


def test_what_is_blocked_too_long_is_too_late_all_the_same():
    blocked = task("a", takes=Lead(5), blocked="the date is not confirmed")
    found, dues = ask([until(3)], [blocked])
    assert found.impossible == ("a",)
    assert "at the earliest" not in dues["a"].sentence


# What can no longer be done


def test_too_late_is_said_with_what_would_have_to_move():
    tasks = [task("a", takes=Lead(5), not_before=day(6)), task("b", after=(After("a"),))]
    found, dues = ask([until(8)], tasks)
    assert found.impossible == ("a", "b")
    assert found.sentence.endswith("2 things can no longer be done in time.")
    assert "cannot be done before Friday 25 December" in dues["b"].sentence
    (move,) = found.moves
    assert (move.kind, move.key, move.on, move.to, move.days) == ("ready", "a", day(6), day(3), 3)
    assert move.sentence == (
        "Task a: it would have to be ready to begin by Thursday 17 December, "
        "3 days sooner than Sunday 20 December."
    )


def test_where_today_is_too_late_only_the_deadline_can_move():
    found, _ = ask([until(3)], [task("a", takes=Lead(5), not_before=day(1))])
    (move,) = found.moves
    assert (move.kind, move.on, move.to) == ("deadline", day(3), day(6))
    assert move.sentence == (
        "Place d would have to be taken until Sunday 20 December, "
        "3 days longer than Thursday 17 December."
    )


def test_an_opening_and_a_date_of_ones_own_can_move():
    found, _ = ask([until(3, opens_on=day(5))], [task("a")])
    assert [(m.kind, m.to) for m in found.moves] == [("opening", day(3))]
    assert found.moves[0].sentence.startswith("Place d would have to open by Thursday 17 December")
    own = Task("a", "Mock", "teacher", on=day(3), takes=Lead(4))
    found, _ = ask([], [own])
    assert [(m.kind, m.key, m.to) for m in found.moves] == [("own date", "a", day(4))]
    assert "would have to be planned for Friday 18 December" in found.moves[0].sentence


def test_a_missed_lead_alone_makes_nothing_impossible():
    found, dues = ask([until(3)], [task("a", lead=Lead(28))])
    assert (found.late, found.impossible, found.moves) == (("a",), (), ())
    assert dues["a"].slack == -25


def test_what_is_late_already_is_not_counted_twice():
    found, dues = ask([until(-4)], [task("a")])
    assert found.sentence == "1 thing is late."
    assert dues["a"].impossible
    assert [(move.kind, move.days) for move in found.moves] == [("deadline", 4)]


def test_a_time_of_today_that_has_passed_is_over():
    deadline = replace(until(0), at=time(8))
    assert ask([deadline], [task("a")])[1]["a"].impossible
    assert not ask([replace(deadline, at=time(10))], [task("a")])[1]["a"].impossible


def test_what_was_done_too_late_for_its_lag_moves_the_deadline():
    tasks = [task("a", done_on=day(-2)), task("b", after=(After("a", Lead(10)),))]
    found, _ = ask([until(5)], tasks)
    assert [(move.kind, move.to) for move in found.moves] == [("deadline", day(8))]


def test_a_deadline_still_open_over_there_is_not_too_late_where_it_is_tomorrow():
    """09:00 on the 14th in Denver is the 15th in Sydney; no zone stated, so it may be either."""
    deadline = replace(until(0), zone=None, place_zone=HOME)
    tasks = (task("a"),)
    found = answer(Problem(moment(), "Australia/Sydney", (deadline,), tasks))
    assert (found.late, found.impossible) == ((), ())


# Taken late


LATE = {"late_until": day(5), "late_terms": "with a fee of 30"}


def test_after_the_deadline_it_is_overdue_but_still_taken():
    found, dues = ask([until(-2, **LATE)], [task("a")])
    due = dues["a"]
    assert (due.when, due.taken_until, due.closed, due.impossible) == (
        When.OVERDUE, day(5), False, False,
    )  # fmt: skip
    assert due.sentence == (
        "should have been done by 12 December, 2 days late; "
        "still taken until 19 December, with a fee of 30"
    )
    assert (due.reasons, found.moves) == ((), ())


def test_after_that_it_is_closed():
    late = {"late_until": day(-1)}
    due = ask([until(-2, **late)], [task("a")])[1]["a"]
    assert (due.taken_until, due.closed, due.impossible) == (None, True, True)
    assert due.sentence.endswith("2 days late; closed: taken late until 13 December")


def test_before_the_deadline_only_what_cannot_be_in_time_hears_of_it():
    deadline = until(3, late_until=day(6), late_terms="with a fee of 30")
    _, dues = ask([deadline], [task("a", takes=Lead(5)), task("b")])
    assert not dues["a"].impossible
    assert dues["a"].reasons[-1] == (
        "It can be done on Saturday 19 December at the earliest: "
        "still taken until 20 December, with a fee of 30."
    )
    assert not any("taken" in reason for reason in dues["b"].reasons)
    found, dues = ask([deadline], [task("a", takes=Lead(8))])
    assert not any("still taken" in reason for reason in dues["a"].reasons)
    assert [(move.on, move.to) for move in found.moves] == [(day(6), day(8))]


def test_a_step_on_the_way_is_late_without_a_word_of_the_deadline():
    due = ask([until(3, **LATE)], [task("a", lead=Lead(7))])[1]["a"]
    assert (due.late_days, due.taken_until, due.closed) == (4, None, False)


# Counted from a date not yet chosen


CARROW = Anchor("c", "the Carrow audition", on=day(40), earliest=day(33), settled=True)
WEEK = Deadline("d", "Music", zone=HOME, anchor="c", before=Lead(7))


def anchored(**change):
    return ask([WEEK], [task("a")], anchors=(replace(CARROW, **change),))


def test_a_chosen_date_is_counted_from_exactly():
    _, dues = anchored()
    assert dues["a"].plan_by == day(33)
    assert dues["a"].reasons == ("7 days before the Carrow audition, 23 January 2027.",)


def test_a_date_that_is_not_confirmed_says_so():
    _, dues = anchored(settled=False)
    assert dues["a"].plan_by == day(33)
    assert dues["a"].reasons[1] == ("The Carrow audition is not confirmed: the date may change.")


def test_without_a_choice_it_is_reckoned_from_the_earliest_offered():
    _, dues = anchored(on=None, settled=False)
    assert dues["a"].plan_by == day(26)
    assert dues["a"].reasons[1] == (
        "No date of the Carrow audition is chosen: reckoned from the earliest offered, "
        "Saturday 16 January."
    )


def test_without_any_date_it_stands_apart():
    found, dues = anchored(on=None, earliest=None)
    assert dues == {}
    (undated,) = found.undated
    assert (undated.key, undated.anchor, undated.when, undated.needed_by) == ("a", "c", None, None)
    assert undated.sentence == "no date yet: none is chosen or offered for the Carrow audition"
    assert found.sentence == "1 thing waits for a date."


def test_what_has_no_date_may_be_needed_by_what_has_one():
    nowhere = replace(CARROW, on=None, earliest=None)
    other = until(9, "e")
    tasks = [
        task("a", takes=Lead(4)),
        task("b", "e", after=(After("a", Lead(2)),)),
        task("x", done_on=day(-1)),
        task("y", dropped=True),
    ]
    found, dues = ask([WEEK, other], tasks, anchors=(nowhere,))
    undated = {one.key: one for one in found.undated}
    assert undated["a"].needed_by == day(7)
    assert undated["a"].sentence.endswith("; needed by Monday 21 December")
    assert (undated["x"].when, undated["y"].when) == (When.DONE, When.DROPPED)
    assert (undated["x"].sentence, undated["y"].sentence) == ("done 13 December", "not needed")
    assert dues["b"].chain == ("a", "b")
    done = [replace(each, done_on=day(-1)) for each in tasks[:1]]
    assert ask([WEEK], done, anchors=(nowhere,))[0].sentence == "Everything is done."


def test_a_turned_round_order_of_undated_deadlines_is_not_noted():
    nowhere = replace(CARROW, on=None, earliest=None)
    found, _ = ask([until(3, opens_after="w"), replace(WEEK, key="w")], [task("a")],
                   anchors=(nowhere,))  # fmt: skip
    assert len(found.notes) == 1


# Shared by several deadlines


def shared(**change):
    """Return one transcript for three places: d is the second, e the first, f the last."""
    tasks = [
        task("a", "d", "Ask for the transcript", lead=Lead(2), shared="transcript"),
        task("b", "e", "Ask Lindmoor's", takes=Lead(4), shared="transcript", **change),
        task("c", "f", "Ask Carrow's", shared="transcript"),
        task("in", "d", "Check", after=(After("a", Lead(3)),)),
    ]
    return ask([until(12), until(9, "e"), until(30, "f")], tasks)


def test_what_is_shared_is_done_once_by_the_earliest_date():
    found, dues = shared()
    alike = [dues[key] for key in "abc"]
    assert {due.plan_by for due in alike} == {day(9)}
    assert {due.start_on for due in alike} == {day(5)}
    assert len({due.sentence for due in alike}) == len({due.short for due in alike}) == 1
    assert [due.stands_for_all for due in alike] == [False, True, False]
    assert dues["b"].shared_with == ("a", "c")
    assert set(dues["a"].shared_with) == {"b", "c"}
    assert "Done once for 3 tasks: this is the earliest date." in dues["c"].reasons
    assert dues["in"].chain == ("b", "in")
    assert dues["in"].earliest_start == day(4 + 3)


def test_what_is_shared_takes_as_long_as_the_longest_of_it():
    tasks = [task("a", "d", takes=Lead(1), shared="m"), task("b", "e", takes=Lead(6), shared="m")]
    _, dues = ask([until(12), until(30, "e")], tasks)
    assert dues["a"].sentence.endswith("start by Sunday 20 December: it takes 6 days")
    assert dues["a"].earliest_finish == dues["b"].earliest_finish == day(6)


def test_what_is_shared_counts_once():
    tasks = [task(key, key, shared="letter") for key in "de"]
    found, _ = ask([until(0), until(5, "e")], tasks)
    assert found.sentence == "1 thing must start today."
    assert found.start_today == ("d",)


def test_what_is_done_of_it_stands_for_itself():
    """Whoever asked for one transcript has not asked for those of later applications."""
    _, dues = shared(done_on=day(-1))
    assert (dues["a"].plan_by, dues["b"].when) == (day(9), When.DONE)
    assert dues["b"].shared_with == ()
    assert dues["a"].shared_with == ("c",)


def test_what_is_shared_is_needed_by_what_comes_after_any_of_it():
    tasks = [
        task("a", "d", shared="letter"),
        task("b", "e", shared="letter"),
        task("z", "d", takes=Lead(10), after=(After("b"),)),
    ]
    _, dues = ask([until(12), until(30, "e")], tasks)
    assert dues["a"].plan_by == dues["b"].plan_by == day(2)


def test_what_both_of_two_deadlines_share_does_not_wait_for_itself():
    tasks = [task("a", "d", shared="fee"), task("b", "e", shared="fee")]
    _, dues = ask([until(12), until(9, "e", opens_after="d")], tasks)
    assert dues["a"].chain == ("b",)


# What is refused


def refused(message, deadlines, tasks, **more):
    with pytest.raises(ValueError, match=message):
        ask(deadlines, tasks, **more)


def test_what_waits_for_nobody_knows_what_is_refused():
    refused('"Task a" comes after "x", which is not there', [until(3)],
            [task("a", after=(After("x"),))])  # fmt: skip


def test_a_circle_is_refused_and_names_its_tasks():
    ring = [task(key, after=(After(before),)) for key, before in ("ab", "bc", "ca")]
    refused('These wait for each other: "Task [abc]", "Task [abc]" and "Task [abc]". Clear what',
            [until(3)], [*ring, task("z", after=(After("a"),))])  # fmt: skip
    refused('"Task a" waits for itself', [until(3)], [task("a", after=(After("a"),))])


def test_a_circle_through_what_is_shared_is_refused():
    tasks = [
        task("a", shared="m"),
        task("b", after=(After("a"),)),
        task("c", shared="m", after=(After("b"),)),
    ]
    refused('These wait for each other: "Task b" and "Task a"', [until(3)], tasks)


def test_what_is_done_breaks_a_circle():
    ring = [task("a", after=(After("b"),), done_on=day(-1)), task("b", after=(After("a"),))]
    assert ask([until(3)], ring)[1]["b"].earliest_start == day(0)


@pytest.mark.parametrize(
    ("deadline", "message"),
    [
        (Deadline("d", "Music"), "has no date: give it one"),
        (replace(WEEK, on=day(3)), "has a date and is counted back from another: keep one"),
        (replace(WEEK, anchor="x"), 'counted back from "x", which is not there'),
        (until(3, before=Lead(7)), "before what: name an anchor"),
        (until(3, late_until=day(2)), "taken late until a date before its own"),
        (until(3, late_until=date(26, 1, 1)), "write the year in full"),
    ],
)
def test_a_deadline_without_one_clear_date_is_refused(deadline, message):
    refused(message, [deadline], [task("a")], anchors=(CARROW,))


def test_anchors_and_dates_that_cannot_be_are_refused():
    refused('2 anchors have the key "c"', [WEEK], [task("a")], anchors=(CARROW, CARROW))
    refused("write the year in full", [WEEK], [task("a")],
            anchors=(replace(CARROW, on=date(27, 1, 1)),))  # fmt: skip
    refused("write the year in full", [until(3)], [task("a", not_before=date(27, 1, 1))])


# The usual lead times


def test_every_step_of_the_usual_ones_is_there_and_goes_round_no_circle():
    for times in (LEAD_TIMES, DAY_TIMES):
        tasks = [
            Task(f"{each.kind} {each.name}", each.name, each.doer, on=day(60), lead=each.lead,
                 after=(After(f"{each.kind} {each.after}"),) if each.after else ())
            for each in times
        ]  # fmt: skip
        found, _ = ask([], tasks)
        assert all(due.plan_by == day(60) or due.reasons for due in found.tasks)
        assert {each.needs for each in times} <= set(NEEDS)
        assert {place for each in times for place in each.of} <= set(PLACES)


def test_a_transcript_and_a_letter_are_asked_for_once():
    shared = {each.name for each in LEAD_TIMES if each.shared}
    assert shared == {"Ask for the transcript", "Ask for the letter"}


# What always holds


@st.composite
def networks(draw):
    """Draw any network that can be answered."""
    counts = st.integers(-10, 40)
    leads = st.builds(Lead, st.integers(0, 9), st.sampled_from(Unit))
    some = st.none() | counts.map(day)
    anchors = (Anchor("c", "the day", draw(some), draw(some), draw(st.booleans())),)
    deadlines = [
        Deadline(
            f"d{i}", f"D{i}", None if draw(st.booleans()) else day(draw(counts)),
            zone=draw(st.sampled_from([HOME, "Europe/London", None])), opens_on=draw(some),
            opens_after=draw(st.sampled_from([None, *(f"d{j}" for j in range(i))])),
        )
        for i in range(draw(st.integers(1, 4)))
    ]  # fmt: skip
    deadlines = [
        replace(d, anchor="c", before=draw(leads)) if d.on is None else d for d in deadlines
    ]
    tasks = []
    for i in range(draw(st.integers(0, 7))):
        after = draw(st.lists(st.sampled_from(range(i)), unique=True)) if i else ()
        tasks.append(
            Task(
                f"t{i}", draw(st.sampled_from("AB")), "student", f"d{i % len(deadlines)}",
                lead=draw(leads), takes=draw(leads), done_on=draw(st.none() | st.just(day(-1))),
                dropped=draw(st.integers(0, 5)) == 0,
                after=tuple(After(f"t{j}", draw(leads)) for j in after),
                shared=draw(st.sampled_from([None, None, "m"])), not_before=draw(some),
                blocked=draw(st.sampled_from(["", "", "", "not confirmed"])),
            )
        )  # fmt: skip
    return Problem(moment(), HOME, tuple(deadlines), tuple(tasks), OFF, anchors=anchors)


def answered(problem):
    """Return the answer, None where the draw goes round in a circle."""
    try:
        return answer(problem)
    except ValueError as error:
        assert "wait" in str(error)
        return None


@settings(deadline=None, max_examples=200)
@given(networks(), st.randoms())
def test_order_changes_nothing_and_every_task_comes_out_once(problem, random):
    def mixed(items):
        return tuple(random.sample(items, len(items)))

    found = answered(problem)
    turned = replace(problem, tasks=mixed(problem.tasks), deadlines=mixed(problem.deadlines))
    if found is None:
        assert answered(turned) is None
        return
    assert answer(turned) == found
    keys = [due.key for due in found.tasks] + [one.key for one in found.undated]
    assert sorted(keys) == sorted(each.key for each in problem.tasks)


@settings(deadline=None, max_examples=200)
@given(networks())
def test_nothing_is_planned_for_later_than_what_comes_after_it_needs(problem):
    found = answered(problem)
    dues = {due.key: due for due in found.tasks} if found else {}
    for each in problem.tasks:
        if each.key not in dues or dues[each.key].when in (When.DONE, When.DROPPED):
            continue
        due = dues[each.key]
        assert (due.latest_start, due.latest_finish) == (due.start_on, due.plan_by)
        assert due.slack is None or due.critical == (
            due.slack == min(d.slack for d in dues.values() if d.slack is not None)
        ) or found.undated  # fmt: skip
        assert due.earliest_start is None or due.earliest_start >= MONDAY
        for after in each.after:
            before = dues.get(after.key)
            if before and before.when not in (When.DONE, When.DROPPED):
                assert before.plan_by <= due.start_on
                if due.earliest_start:
                    assert before.earliest_finish <= due.earliest_start


def test_a_network_survives_json():
    problem = Problem(
        moment(), HOME, (replace(WEEK, late_until=day(50)),),
        (task("a", shared="m", not_before=day(1)), task("b", after=(After("a", Lead(1)),))),
        anchors=(CARROW,),
    )  # fmt: skip
    assert codec.read(Problem, codec.write(problem)) == problem
    assert codec.write(answer(problem))["tasks"][0]["chain"]
