"""Second best, prices, conflicts and ways out against solving each question by itself."""

from dataclasses import replace
from datetime import date, time

import pytest

from planner.dates import Closed, answer, example
from tests.planner.dates_cases import small
from tests.planner.dates_oracles import Brute
from tests.planner.test_dates import FRIDAY, SATURDAY, audition, offer, season


def test_second_best_and_prices_are_those_of_trying_everything():
    second = forced = barred = 0
    for seed in range(240):
        problem = replace(small(seed), explain=True)
        found, brute = answer(problem), Brute(problem)
        if found.plan is None:
            continue
        taken = {choice.offer for choice in found.plan.choices}
        other = brute.best(where=lambda some, taken=taken: {v.offer.key for v in some} != taken)
        assert (found.second and (found.second.burden.points, found.second.dislike)) == other, seed
        for price in found.prices:
            least = brute.best(
                where=lambda some, key=price.offer: any(v.offer.key == key for v in some)
            )
            extra = least and least[0] - found.plan.burden.points
            over = price.why == "The audition is over."
            assert price.extra == extra or over, (seed, price)
            assert (price.extra is None) == bool(price.why)
            assert price.extra is None or price.more.points == price.extra
            forced += bool(price.extra)
            barred += price.extra is None
        second += found.second is not None
    assert min(second, forced, barred) > 20


def test_the_conflict_is_the_fewest_auditions_that_do_not_go_together():
    seen = 0
    for seed in range(200):
        problem = replace(small(seed), explain=True)
        found, brute = answer(problem), Brute(problem)
        if found.plan is not None:
            assert (found.conflict, found.ways_out) == ((), ())
            continue
        assert brute.best(found.conflict) is None
        left = [key for key in found.conflict if len(found.conflict) > 1]
        for key in left:
            # By themselves or with others in between.
            rest = set(found.conflict) - {key}
            more = [one.key for one in problem.auditions if one.key not in rest]
            assert any(brute.best(rest | set(some)) for some in _subsets(more)), seed
        seen += len(found.conflict) > 1
    assert seen > 10


def _subsets(keys):
    return [[key for n, key in enumerate(keys) if mask >> n & 1] for mask in range(2 ** len(keys))]


def test_every_way_out_is_solved():
    kinds = {}
    for seed in range(250):
        problem = replace(small(seed), explain=True)
        found = answer(problem)
        points = [way.points for way in found.ways_out]
        assert points == sorted(points)
        for way in found.ways_out:
            best = [Brute(one).best() for one in _after(problem, way)]
            assert way.points in [one[0] for one in best if one], (seed, way)
            kinds[way.kind] = kinds.get(way.kind, 0) + 1
    assert set(kinds) == {"leave out", "open", "free", "late"}


def _after(problem, way):
    """Give the problem after a way out, or those that it may mean."""
    if way.kind == "leave out":
        changed = (replace(a, kept=a.kept and a.key not in way.keys) for a in problem.auditions)
        yield replace(problem, auditions=tuple(changed))
    elif way.kind == "open":
        for one in problem.closed:
            yield replace(problem, closed=tuple(c for c in problem.closed if c is not one))
    elif way.kind == "late":
        yield replace(problem, auditions=tuple(_booked(a, way.keys) for a in problem.auditions))
    else:
        (key,) = way.keys
        freed = (replace(a, fixed=None) if a.fixed == key else a for a in problem.auditions)
        yield replace(problem, auditions=tuple(freed))
        for name in ("pinned", "banned"):
            rest = tuple(one for one in getattr(problem, name) if one != key)
            yield replace(problem, **{name: rest})


def _booked(one, keys):
    offers = (replace(o, book_by=None) if o.key in keys else o for o in one.offers)
    return replace(one, offers=tuple(offers))


def told(problem):
    return answer(replace(problem, explain=True))


def why(problem, key):
    return next(price.why for price in told(problem).prices if price.offer == key)


@pytest.mark.parametrize(("change", "sentence"), [
    ({"banned": ("a1",)}, "It was ruled out of the plan."),
    ({"pinned": ("a2",)}, "Saturday 13 February is pinned for this audition."),
    ({"today": date(2027, 2, 7)}, "It lies in the past."),
    ({"closed": (Closed(SATURDAY, SATURDAY, "Gala"),)}, "It falls on days already taken: Gala."),
    ({"closed": (Closed(FRIDAY, FRIDAY, "Gala"),)},
     "Closed days stand in the way of the journey."),
])  # fmt: skip
def test_why_a_date_cannot_be_had(change, sentence):
    both = offer("a1", starts=time(7)), offer("a2", date(2027, 2, 13))
    assert why(replace(season(audition("a", *both)), **change), "a1") == sentence


def test_why_a_date_cannot_be_had_because_of_its_institution():
    both = offer("a1", book_by=date(2026, 12, 20)), offer("a2", date(2027, 2, 13))
    booked = why(season(audition("a", *both)), "a1")
    assert booked == "It had to be booked by Sunday 20 December."
    fixed = why(season(audition("a", *both, fixed="a2")), "a1")
    assert fixed == "Saturday 13 February is fixed for this audition."


def test_why_a_date_clashes():
    problem = season(
        audition("a", offer("a1"), offer("a2", date(2027, 2, 13))), audition("b", offer("b1"))
    )
    assert why(problem, "a1") == "It clashes with every date of B that can still be had."


def test_what_is_said_of_a_clash_and_how_to_get_out():
    found = told(season(audition("a", offer("a1")), audition("b", offer("b1"), fixed="b1")))
    assert found.sentence == "There is no plan: the dates of A and B do not go together."
    assert [way.sentence for way in found.ways_out] == [
        "Leave out A: the other one can be had.",
        "Leave out B: the other one can be had.",
    ]


def test_what_is_said_of_closed_and_late_dates():
    gala = Closed(SATURDAY, SATURDAY, "Gala")
    late = offer("a2", date(2027, 2, 13), book_by=date(2026, 12, 20))
    found = told(season(audition("a", offer("a1"), late), closed=(gala,)))
    assert found.sentence == "There is no plan: no date of A can be had."
    assert [way.sentence for way in found.ways_out] == [
        "Leave out A: nothing is left to plan.",
        "Ask A whether Saturday 13 February can still be booked, after Sunday 20 December: all "
        "auditions then go together.",
        "Make Saturday 6 February (Gala) free for travel: all auditions then go together.",
    ]


def test_two_clashes_take_two_to_leave_out():
    days = [SATURDAY, SATURDAY, FRIDAY, FRIDAY]
    problem = season(
        *(audition(key, offer(f"{key}1", on)) for key, on in zip("abcd", days, strict=True))
    )
    found = told(problem)
    assert sorted(found.conflict) == ["a", "b"]
    keys = {way.keys for way in found.ways_out}
    assert keys == {("a", "c"), ("a", "d"), ("b", "c"), ("b", "d")}


def test_the_example_is_answered_in_a_teachers_words():
    found = answer(example())
    assert found.sentence.startswith("Five auditions in three trips: about 2,743 in money, ")
    assert found.sentence.endswith("Proven: no other choice of dates comes to fewer points.")
    assert found.reasons[0] == (
        "Carrow College and Norwood State University share a trip, which saves 113 points against "
        "a trip for each."
    )
    assert found.second_extra == found.second.burden.points - found.plan.burden.points
