"""The trips of a part drawn as bars over its weeks."""

from datetime import date, timedelta
from types import SimpleNamespace

from studio.entries.trip_bars import BAR, LEFT, RIGHT, WIDTH, TripBars

TODAY = date(2026, 11, 27)  # a Friday


def trip(number, first, days=1, unsure=""):
    return SimpleNamespace(
        number=number, first=first, last=first + timedelta(days - 1), unsure=unsure
    )


def test_weeks_begin_on_mondays_and_reach_past_the_last_trip():
    bars = TripBars([trip(1, date(2027, 2, 5), 3)], TODAY)
    assert bars.first == date(2026, 11, 23) and bars.weeks == 11
    assert (bars.barlines[0], bars.barlines[-1]) == (LEFT, RIGHT)
    assert bars.x(date(2027, 2, 8)) == RIGHT, "the Monday after the trip ends the strip"
    assert LEFT < bars.now < bars.barlines[1]


def test_a_bar_covers_all_its_days_and_can_always_be_seen():
    long, short = TripBars([trip(1, date(2026, 12, 5), 9), trip(2, date(2027, 3, 6))], TODAY).bars
    one_day = (RIGHT - LEFT) / (7 * 15)
    assert abs(long.width - 9 * one_day) < 0.2
    assert one_day < BAR == short.width
    assert long.x < short.x


def test_an_open_bar_is_not_confirmed():
    bars = TripBars([trip(1, date(2026, 12, 5)), trip(2, date(2026, 12, 19), unsure="A")], TODAY)
    assert [bar.sure for bar in bars.bars] == [True, False]


def test_numbers_of_neighbours_do_not_stand_in_each_other():
    first = date(2027, 1, 8)
    bars = TripBars([trip(n, first + timedelta(n)) for n in range(1, 4)], TODAY).bars
    assert [bar.y for bar in bars] == [28.0, 18.0, 28.0]
    assert (
        len(
            {
                bar.y
                for bar in TripBars([trip(1, first), trip(2, first + timedelta(21))], TODAY).bars
            }
        )
        == 1
    )


def test_months_are_named_where_they_begin_and_fit():
    months = TripBars([trip(1, date(2027, 2, 20))], TODAY).months
    assert [name for _, name in months] == ["December", "January", "February"]
    assert all(x + 7 * len(name) < WIDTH for x, name in months)
    early = TripBars([], date(2026, 11, 3)).months
    assert [name for _, name in early] == ["November", "December"]
    assert early[0][0] == LEFT
