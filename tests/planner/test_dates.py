"""Each rule of the dates in a season so small that the answer can be reckoned by hand."""

from dataclasses import replace
from datetime import date, time

import pytest

from planner.dates import (
    Audition,
    Closed,
    Mode,
    Offer,
    Own,
    Problem,
    Settings,
    Unsound,
    Weights,
    answer,
    example,
)
from planner.dates.check import check
from planner.travel import Place, Point

HOME = Place("Home", Point(41.6, -87.3), "America/Chicago")
FRIDAY, SATURDAY = date(2027, 2, 5), date(2027, 2, 6)


def audition(key, *offers, zone="America/Chicago", **more):
    """Return an audition at a place without a point: only own figures tell how far it is."""
    return Audition(key, key.upper(), Place(key, None, zone), offers, **more)


def offer(key, on=SATURDAY, starts=time(12), ends=time(13), **more):
    return Offer(key, on, starts, ends, **more)


def season(*auditions, minutes=60, money=10, **more):
    """Return a problem in which every way takes as many minutes and as much money."""
    keys = ["", *(one.key for one in auditions)]
    own = [Own(a, b, minutes, money) for i, a in enumerate(keys) for b in keys[i + 1 :]]
    ways = {(one.start, one.end): one for one in (*own, *more.pop("own", ()))}
    settings = replace(Settings(), **more.pop("settings", {}))
    plain = {"today": date(2027, 1, 1), "explain": False, "weights": Weights(0, 40, 60)}
    return Problem(
        home=HOME, auditions=auditions, own=tuple(ways.values()), settings=settings, **plain | more
    )


def taken(problem):
    """Return the keys of the offers in the plan, None without a plan."""
    found = answer(problem)
    assert found.proven
    return found.plan and [choice.offer for choice in found.plan.choices]


def burden(problem):
    return answer(problem).plan.burden


def test_one_audition_costs_its_two_ways():
    found = burden(season(audition("a", offer("a1"))))
    assert (found.minutes, found.money, found.nights, found.school_days) == (120, 20, 0, 0)
    assert found.points == 20


def test_the_margin_decides_when_one_leaves():
    hop = answer(season(audition("a", offer("a1")))).plan.trips[0].hops[0]
    assert (hop.leave.time(), hop.arrive.time()) == (time(10), time(11))
    early = season(audition("a", offer("a1", starts=time(8))), settings={"margin_minutes": 60})
    late = replace(early, settings=replace(early.settings, margin_minutes=61))
    assert burden(early).nights == 0
    assert burden(late).nights == 1


def test_two_on_one_day_take_stated_times_and_the_way_between():
    first = audition("a", offer("a1", starts=time(9), ends=time(10)))
    second = audition("b", offer("b1", starts=time(12), ends=time(13)))
    assert taken(season(first, second)) == ["a1", "b1"]
    assert taken(season(first, second, minutes=61)) is None
    unstated = audition("b", offer("b1", starts=None, ends=None))
    assert taken(season(first, unstated, minutes=0)) is None
    evening = audition("b", offer("b1", starts=time(20), ends=time(21)))
    assert taken(season(first, evening)) == ["a1", "b1"]
    # Nobody knows when it ends, though the day does at 17:00.
    endless = audition("a", offer("a1", starts=time(9), ends=None))
    assert taken(season(endless, evening)) is None


@pytest.mark.parametrize(("zone", "starts", "clash"), [
    ("America/Chicago", time(9, 30), True),
    ("America/Los_Angeles", time(8, 30), False),
])  # fmt: skip
def test_a_clash_is_a_clash_by_the_same_clock(zone, starts, clash):
    # New York 10:00 + 45 minutes against Chicago 9:30 + 45 and Los Angeles 8:30 + 45 on
    # 20 February 2027: pandas Interval.
    on = date(2027, 2, 20)
    end = starts.replace(hour=starts.hour + (starts.minute == 30), minute=15)
    problem = season(
        audition("a", offer("a1", on, time(10), time(10, 45)), zone="America/New_York"),
        audition("b", offer("b1", on, starts, end), zone=zone),
        minutes=0,
        settings={"margin_minutes": 0, "zone_hours": 4},
    )
    assert (taken(problem) is None) is clash


def test_a_long_journey_sleeps_at_the_place():
    problem = season(audition("a", offer("a1", starts=time(16), ends=time(17))), minutes=240)
    assert burden(problem).nights == 0
    assert burden(replace(problem, settings=Settings(long_minutes=239))).nights == 1


def test_a_crossing_of_zones_sleeps_at_the_place():
    west = audition("a", offer("a1"), zone="America/Los_Angeles")
    assert burden(season(west)).nights == 1
    assert burden(season(west, settings={"zone_hours": 3})).nights == 0


def test_home_is_reached_by_home_by_or_the_next_day():
    problem = season(audition("a", offer("a1", starts=time(18), ends=time(22))))
    assert burden(problem).nights == 0
    late = replace(problem, settings=Settings(home_by=time(22, 59)))
    assert burden(late).nights == 1
    assert answer(late).plan.trips[0].hops[1].leave.isoformat() == "2027-02-07T06:00:00-06:00"


def test_a_journey_too_long_for_a_day_takes_two():
    # 20 hours on days of 17: two days and a night on the way, each way.
    trip = answer(season(audition("a", offer("a1")), minutes=1200)).plan.trips[0]
    assert trip.nights == 4
    assert trip.hops[0].arrive.date() == FRIDAY
    assert (trip.hops[0].arrive - trip.hops[0].leave).total_seconds() == (1200 + 420) * 60


def test_a_shared_trip_saves_and_says_how_much():
    near = season(
        audition("a", offer("a1", FRIDAY)), audition("b", offer("b1")), minutes=200, money=200,
        own=(Own("a", "b", 30, 5),), school_weekdays=(),
    )  # fmt: skip
    plan = answer(near).plan
    assert [trip.auditions for trip in plan.trips] == [("a", "b")]
    # Two ways home less (400), one short way (5), one night more (110 and 40).
    assert plan.trips[0].saved == 400 - 5 - 150
    assert plan.burden.points == 405 + 150


def test_gap_days_end_a_trip():
    problem = season(
        audition("a", offer("a1", date(2027, 2, 3))), audition("b", offer("b1")), minutes=200,
        money=900, own=(Own("a", "b", 30, 5),), school_weekdays=(),
    )  # fmt: skip
    assert len(answer(problem).plan.trips) == 1
    apart = replace(problem, settings=replace(problem.settings, gap_days=2))
    assert len(answer(apart).plan.trips) == 2


def test_rest_at_home_between_two_trips():
    problem = season(
        audition("a", offer("a1", FRIDAY, time(18), time(21))), audition("b", offer("b1")),
        settings={"gap_days": 0, "rest_minutes": 720},
    )  # fmt: skip
    # Home at 22:00, away at 10:00: 720 minutes.
    assert taken(problem) == ["a1", "b1"]
    assert taken(replace(problem, settings=replace(problem.settings, rest_minutes=721))) is None


def test_school_is_missed_by_any_part_of_its_hours():
    def missed(starts, ends):
        return burden(season(audition("a", offer("a1", FRIDAY, starts, ends)))).school_days

    assert missed(time(17), time(18)) == 0  # leaves at 15:00
    assert missed(time(16, 59), time(18)) == 1
    assert missed(time(10), time(11)) == 1


def test_no_school_is_missed_without_school():
    problem = season(audition("a", offer("a1", FRIDAY)))
    assert burden(problem).school_days == 1
    assert burden(replace(problem, school_off=(FRIDAY,))).school_days == 0
    assert burden(replace(problem, school_weekdays=(0, 1))).school_days == 0


def test_a_school_day_of_two_trips_counts_once():
    problem = season(
        audition("a", offer("a1", FRIDAY, time(9), time(9, 30))),
        audition("b", offer("b1", FRIDAY, time(14), time(15))),
        settings={"rest_minutes": 60}, own=(Own("a", "b", 300, 0),),
    )  # fmt: skip
    plan = answer(problem).plan
    assert [len(trip.school_days) for trip in plan.trips] == [1, 1]
    assert (plan.burden.school_days, plan.burden.points) == (1, 40 + 60)


def test_closed_days_bar_the_audition_and_the_journey():
    problem = season(audition("a", offer("a1", starts=time(7)), offer("a2", date(2027, 2, 13))))
    other = replace(problem, banned=("a2",))
    assert taken(replace(other, closed=(Closed(SATURDAY, SATURDAY, "Gala"),))) is None
    # The journey begins on the Friday.
    assert taken(replace(other, closed=(Closed(FRIDAY, FRIDAY, "Gala"),))) is None
    assert taken(replace(problem, closed=(Closed(FRIDAY, FRIDAY, "Gala"),))) == ["a2"]
    thursday = date(2027, 2, 4)
    assert taken(replace(other, closed=(Closed(thursday, thursday, "Gala"),))) == ["a1"]


def test_a_day_is_closed_by_the_clocks_of_the_place_too():
    # Saturday 9:00 in Tokyo is Friday 18:00 at home.
    far = audition("a", offer("a1", starts=time(9), ends=time(10)), zone="Asia/Tokyo")
    problem = season(far, settings={"zone_hours": 48})
    trip = answer(problem).plan.trips[0]
    assert {trip.hops[0].leave.date(), trip.hops[1].arrive.date()} == {FRIDAY}
    assert taken(replace(problem, closed=(Closed(SATURDAY, SATURDAY, "Gala"),))) is None


def test_closed_days_bar_staying_out():
    monday = date(2027, 2, 8)
    problem = season(
        audition("a", offer("a1")), audition("b", offer("b1", monday)), minutes=200, money=900,
        school_weekdays=(),
    )  # fmt: skip
    assert len(answer(problem).plan.trips) == 1
    sunday = date(2027, 2, 7)
    closed = replace(problem, closed=(Closed(sunday, sunday, "Gala"),))
    assert len(answer(closed).plan.trips) == 2


def test_what_had_to_be_booked_cannot_be_had():
    cheap = offer("a1", book_by=date(2026, 12, 31))
    dear = offer("a2", FRIDAY)
    assert taken(season(audition("a", cheap, dear))) == ["a2"]
    assert taken(season(audition("a", replace(cheap, book_by=date(2027, 1, 1)), dear))) == ["a1"]
    # What is confirmed needs no booking.
    assert taken(season(audition("a", cheap, dear, fixed="a1"))) == ["a1"]


def test_fixed_pinned_and_banned():
    both = offer("a1"), offer("a2", FRIDAY)
    assert taken(season(audition("a", *both))) == ["a1"]
    assert taken(season(audition("a", *both, fixed="a2"))) == ["a2"]
    assert taken(season(audition("a", *both), pinned=("a2",))) == ["a2"]
    assert taken(season(audition("a", *both), banned=("a1",))) == ["a2"]
    assert taken(season(audition("a", *both, fixed="a1"), pinned=("a2",))) is None


def test_what_is_not_kept_is_left_out():
    assert taken(season(audition("a", offer("a1")), audition("b", offer("b1"), kept=False))) == [
        "a1"
    ]
    nothing = answer(season(audition("b", offer("b1"), kept=False)))
    assert (nothing.plan.choices, nothing.proven, nothing.bound) == ((), True, 0)


def test_what_is_over_is_set_aside_and_said():
    problem = season(audition("a", offer("a1"), fixed="a1"), today=date(2027, 2, 7))
    found = answer(replace(problem, explain=True))
    assert found.plan.choices == ()
    assert "A is over and is not in the plan." in found.notes
    assert found.prices[0].why == "The audition is over."


def test_points_come_before_what_is_liked_and_that_tells_equals_apart():
    days = [date(2027, 2, day) for day in (6, 13, 20)]
    offers = [offer(f"a{n}", on) for n, on in enumerate(days)]
    assert taken(season(audition("a", *offers), preferred=("a1",))) == ["a1"]
    ranked = [replace(one, rank=3 - n) for n, one in enumerate(offers)]
    assert taken(season(audition("a", *ranked))) == ["a2"]
    ready = season(audition("a", *offers, ready_on=date(2027, 2, 15)), preferred=("a1",))
    # a1: preferred and 2 days short; a2: not preferred.
    found = answer(ready).plan
    assert (found.choices[0].offer, found.choices[0].short_days, found.dislike) == ("a1", 2, 2)
    dear = season(audition("a", offer("a0"), offer("a9", FRIDAY, rank=1)), preferred=("a9",))
    assert taken(dear) == ["a0"]


def test_an_unknown_way_is_reckoned_as_nothing_and_said():
    problem = replace(season(audition("a", offer("a1"))), own=())
    found = answer(problem)
    assert found.plan.burden.points == 0
    assert any("is not known and is reckoned as nothing" in note for note in found.notes)


def test_own_figures_win_over_the_estimate():
    place = Place("Town", Point(42.3, -83.7), "America/Chicago")
    one = Audition("a", "A", place, (offer("a1"),))
    problem = replace(season(one), own=())
    hop = answer(problem).plan.trips[0].hops[0]
    # 307.7 km by travel.great_circle_km, times 1.3, at 25 for 100 km.
    assert (hop.mode, hop.money) == (Mode.ROAD, 100)
    own = answer(replace(problem, own=(Own("a", "", minutes=77),))).plan.trips[0].hops[1]
    assert (own.mode, own.minutes, own.money) == (Mode.OWN, 77, 100)


def test_one_flies_where_that_asks_less():
    place = Place("Far", Point(34.1, -118.3), "America/Los_Angeles")
    one = Audition("a", "A", place, (offer("a1"),))
    problem = replace(season(one), own=())
    assert {hop.mode for hop in answer(problem).plan.trips[0].hops} == {Mode.AIR}
    ground = replace(problem, settings=Settings(fly=False))
    found = answer(ground)
    assert {hop.mode for hop in found.plan.trips[0].hops} == {Mode.ROAD}
    assert any("very far to drive" in note for note in found.notes)


def test_one_site_is_no_journey():
    place = Place("Town", Point(42.3, -83.7), "America/Chicago")
    pair = [
        Audition("a", "A", place, (offer("a1", starts=time(9), ends=time(10)),), "town"),
        Audition("b", "B", place, (offer("b1", starts=time(11), ends=time(12)),), "town"),
    ]
    plan = answer(replace(season(*pair), own=())).plan
    assert [hop.minutes for hop in plan.trips[0].hops[1:2]] == [0]


def test_the_same_problem_in_another_order_has_the_same_answer():
    problem = example()
    turned = replace(problem, auditions=tuple(reversed(problem.auditions)))
    assert answer(problem).plan == answer(turned).plan


def test_care_is_in_the_notes():
    notes = " ".join(answer(example()).notes)
    assert "verify each date with the institution" in notes
    assert "Book no travel before the institution has confirmed the date." in notes
    assert "not financial advice" in notes


def test_no_time_at_all_still_gives_a_plan_that_is_not_called_proven_for_nothing():
    from tests.planner.dates_cases import typical

    found = answer(replace(typical(2, 20), seconds=1e-9))
    assert found.plan is not None
    assert found.bound <= found.plan.burden.points
    assert found.proven == (found.bound == found.plan.burden.points)


# ---- the check


@pytest.fixture
def sound():
    problem = example()
    return problem, answer(problem).plan


def spoilt(plan, **more):
    """Return the plan with its first trip changed."""
    return replace(plan, trips=(replace(plan.trips[0], **more), *plan.trips[1:]))


def first_hop(plan, **more):
    trip = plan.trips[0]
    return spoilt(plan, hops=(replace(trip.hops[0], **more), *trip.hops[1:]))


@pytest.mark.parametrize("spoil", [
    lambda plan: replace(plan, choices=plan.choices[1:]),
    lambda plan: replace(plan, dislike=plan.dislike + 1),
    lambda plan: replace(plan, burden=replace(plan.burden, points=plan.burden.points - 1)),
    lambda plan: replace(plan, trips=plan.trips[1:]),
    lambda plan: spoilt(plan, nights=plan.trips[0].nights - 1),
    lambda plan: spoilt(plan, money=plan.trips[0].money - 1),
    lambda plan: spoilt(plan, school_days=()),
    lambda plan: spoilt(plan, hops=plan.trips[0].hops[1:]),
    lambda plan: first_hop(plan, money=0),
    lambda plan: first_hop(plan, minutes=1),
    lambda plan: first_hop(plan, arrive=plan.trips[0].hops[0].leave),
    lambda plan: replace(plan, choices=(replace(plan.choices[0], offer="carrow-2"),
                                        *plan.choices[1:])),
])  # fmt: skip
def test_the_check_believes_no_spoilt_plan(sound, spoil):
    problem, plan = sound
    check(problem, plan)
    with pytest.raises(Unsound):
        check(problem, spoil(plan))


@pytest.mark.parametrize("change", [
    {"closed": (Closed(FRIDAY, FRIDAY, "Gala"),)},
    {"today": date(2027, 2, 8)},
    {"banned": ("norwood-2",)},
    {"pinned": ("norwood-1",)},
    {"school_weekdays": ()},
    {"settings": Settings(margin_minutes=900)},
    {"settings": Settings(gap_days=0)},
    {"settings": Settings(rest_minutes=14000)},
    {"settings": Settings(night_money=1)},
    {"settings": Settings(home_by=time(19))},
    {"settings": Settings(leave_from=time(16))},
    {"weights": Weights(hour=1)},
])  # fmt: skip
def test_the_check_reads_the_problem(sound, change):
    problem, plan = sound
    with pytest.raises(Unsound):
        check(replace(problem, **change), plan)


def test_the_check_knows_when_to_sleep_at_the_place():
    problem = season(audition("a", offer("a1")))
    plan = answer(problem).plan
    for settings in (Settings(long_minutes=59), Settings(zone_hours=0)):
        with pytest.raises(Unsound, match="no night before"):
            check(replace(problem, settings=settings), plan)


# ---- what makes no sense


@pytest.mark.parametrize(("change", "message"), [
    ({"home": Place("Home")}, "home: write its time zone"),
    ({"pinned": ("x",)}, 'pinned: no offer "x"'),
    ({"pinned": ("a1",), "banned": ("a1",)}, "both pinned and banned"),
    ({"pinned": ("a1", "a2")}, "are both pinned"),
    ({"closed": (Closed(SATURDAY, FRIDAY, "Gala"),)}, "first is after last"),
    ({"school_weekdays": (7,)}, "Monday is 0"),
    ({"own": (Own("a", "b", 1, 1),)}, "write keys of auditions"),
    ({"own": (Own("a", "a", 1, 1),)}, "two different stops"),
    ({"own": (Own("", "a", 1), Own("a", "", 2))}, "stands there twice"),
    ({"own": (Own("", "a", -1),)}, "minutes: give 0"),
    ({"settings": Settings(home_by=time(6, 30))}, "an hour after leave_from"),
    ({"settings": Settings(gap_days=-1)}, "gap_days: give 0"),
    ({"weights": Weights(hour=-1)}, "weights, hour: give 0"),
    ({"seconds": 0.0}, "seconds has to be above 0"),
    ({"today": date(1900, 1, 1)}, "give a year from"),
])  # fmt: skip
def test_a_bad_problem_gets_a_message(change, message):
    problem = season(audition("a", offer("a1"), offer("a2", FRIDAY)))
    with pytest.raises(ValueError, match=message):
        answer(replace(problem, **change))


@pytest.mark.parametrize(("one", "message"), [
    (audition("a", offer("a1"), offer("a1")), '"a1" stands there twice'),
    (audition("a", offer("a1"), fixed="x"), "fixed is no offer"),
    (audition("a", offer("a1"), worth=0), "worth: give 1"),
    (audition("a", offer("a1", starts=time(14))), "ends before it starts"),
    (audition("a", offer("a1", starts=time(9, 0, 1))), "whole minutes"),
    (audition("a", offer("a1", rank=0)), "rank 1 is the best"),
    (audition("", offer("a1")), "a key cannot be empty"),
])  # fmt: skip
def test_a_bad_audition_gets_a_message(one, message):
    with pytest.raises(ValueError, match=message):
        answer(replace(season(), auditions=(one,)))


def test_a_bad_problem_is_told_by_the_names_that_people_know():
    one = replace(audition("a1b2", offer("a1"), worth=0), name="Fairmont")
    with pytest.raises(ValueError, match=r"audition Fairmont \(a1b2\), worth"):
        answer(replace(season(), auditions=(one,)))
    gala = Closed(SATURDAY, date(2029, 12, 31), "Gala")
    with pytest.raises(ValueError, match="Gala: more than 1,000 days"):
        answer(replace(season(), closed=(gala,)))
