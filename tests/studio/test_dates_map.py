"""The map: true to scale, nothing outside, no word upon another or upon a place."""

import math
from itertools import combinations

import pytest

from planner.travel import Point, great_circle_km
from studio.entries.dates_map import BADGE, DOT, NARROW, WIDE, Box, Map, Stop

HOME = Stop(("home",), 41.68, -86.26, ("",))
TOWNS = (
    ("Fairmont", 41.08, -85.14),
    ("Lake Ardent", 43.05, -76.15),
    ("Hollins Bay", 44.51, -88.02),
    ("Carrow", 41.66, -91.53),
    ("Quarrington Institute of Brass", 40.7, -74.0),
    ("Old Harbour College", 42.36, -71.06),
    ("Pinnacle Ridge University", 39.74, -104.99),
    ("Sable Point", 45.5, -73.57),
    ("Wexcombe Conservatoire of Music and Drama", 33.75, -84.39),
    ("Lower Salt", 41.9, -87.65),
    ("Elm Fork", 32.78, -96.8),
    ("Calder Ridge", 41.9, -87.6),
)


def stops():
    made = [
        Stop((name, f"{n} Feb"), latitude, longitude, (str(n),), planned=True)
        for n, (name, latitude, longitude) in enumerate(TOWNS, start=1)
    ]
    return [HOME, *made]


TRIPS = [(1, ["", "1", ""]), (2, ["", "2", "6", ""]), (3, ["", "7", "11", ""]), (4, ["", "5", ""])]


@pytest.mark.parametrize("size", [WIDE, NARROW])
def test_twelve_auditions_stand_in_the_picture_with_no_word_upon_another(size):
    drawn = Map(stops(), TRIPS, size)
    labels = [mark.label for mark in drawn.marks if mark.label]
    assert not any(a.box.meets(b.box) for a, b in combinations(labels, 2))
    for label in labels:
        assert label.box.left >= 0 and label.box.right <= drawn.width
        assert label.box.top >= 0 and label.box.bottom <= drawn.height
        for x, y in drawn.at.values():
            assert not label.box.meets(Box(x - DOT, y - DOT, x + DOT, y + DOT))
    named = {mark.stop for mark in drawn.marks if mark.label}
    missing = [name for stop in stops() if stop not in named for name in stop.names]
    assert drawn.unlabelled == missing  # what has no room for its name is told below


def test_on_a_laptop_every_one_of_twelve_has_its_name():
    assert Map(stops(), TRIPS, WIDE).unlabelled == []


@pytest.mark.parametrize("size", [WIDE, NARROW])
def test_no_number_of_a_trip_hides_another(size):
    drawn = Map(stops(), TRIPS, size)
    assert len(drawn.lines) == 4
    for one, other in combinations(drawn.lines, 2):
        assert math.hypot(one.x - other.x, one.y - other.y) >= 2 * BADGE


def test_the_scale_is_true_along_a_meridian():
    """A degree of latitude is pi R / 180 (Moritz, GRS 80, as in planner.travel)."""
    north = Stop(("North",), 46.68, -86.26, ("north",))
    drawn = Map([HOME, north], [], WIDE)
    (x1, y1), (x2, y2) = drawn.at[""], drawn.at["north"]
    km = great_circle_km(Point(41.68, -86.26), Point(46.68, -86.26))
    assert x1 == x2
    assert y1 > y2  # north is up
    assert y1 - y2 == pytest.approx(km * drawn.per_km, abs=0.2)
    bar = float(drawn.scale.text.removesuffix(" km"))
    assert drawn.scale.width == pytest.approx(bar * drawn.per_km, abs=0.1)
    assert str(int(bar))[0] in "125"


def test_places_on_both_sides_of_the_date_line_are_neighbours():
    east = Stop(("East",), 0.0, 179.5, ("e",))
    west = Stop(("West",), 0.0, -179.5, ("w",))
    drawn = Map([east, west], [], WIDE)
    (x1, _), (x2, _) = drawn.at["e"], drawn.at["w"]
    assert x2 > x1
    assert (x2 - x1) / drawn.per_km == pytest.approx(111.2, abs=0.5)


def test_what_the_map_shows_is_told_in_words():
    """Fairmont by the map of Indiana: a little over 100 km away, to the south-east."""
    told = Map(stops(), TRIPS, WIDE).words
    assert len(told) == len(TOWNS)
    km = great_circle_km(Point(41.68, -86.26), Point(41.08, -85.14))
    assert told[0] == f"Fairmont 1 Feb: about {km:.0f} km south-east of home"
    assert Map(stops()[1:], [], WIDE).words == []


def test_two_auditions_at_one_place_share_a_mark():
    both = Stop(("Fairmont, BMus", "Fairmont, BME"), 41.08, -85.14, ("1", "2"))
    drawn = Map([HOME, both], [(1, ["", "1", "2", ""])], WIDE)
    assert drawn.at["1"] == drawn.at["2"]
    assert [text for _, text in drawn.marks[1].label.lines] == ["Fairmont, BMus", "Fairmont, BME"]


def test_places_in_one_town_do_not_blow_the_map_up():
    near = Stop(("Next door",), 41.681, -86.26, ("1",))
    drawn = Map([HOME, near], [], WIDE)
    assert drawn.per_km < WIDE[0] / 30


@pytest.mark.parametrize(
    ("line", "crosses"),
    [
        ((0, 5, 20, 5), True),
        ((0, 0, 20, 20), True),
        ((0, 11, 20, 11), False),
        ((4, 0, 4, 20), False),
        ((0, 0, 4, 20), False),
        ((7, 7, 7, 7), True),
    ],
)
def test_a_line_through_a_box_is_seen(line, crosses):
    assert Box(5, 0, 15, 10).crosses(*line) is crosses
