"""Great circles against published values."""

import math

import pytest
from geographiclib.test.test_geodesic import GeodesicTest

from planner.travel import Model, Point, great_circle_km, great_circle_radians


def test_the_haversine_example_of_rosetta_code():
    """Nashville to Los Angeles with R = 6372.8 km: 2887.2599506 km (from memory)."""
    found = great_circle_km(Point(36.12, -86.67), Point(33.94, -118.40), 6372.8)
    assert found == pytest.approx(2887.2599506, abs=1e-6)


def test_los_angeles_to_new_york_in_the_aviation_formulary():
    """Ed Williams, Aviation Formulary: 0.623585 radians, 2144 nautical miles (from memory)."""
    radians = great_circle_radians(33 + 57 / 60, -118 - 24 / 60, 40 + 38 / 60, -73 - 47 / 60)
    assert radians == pytest.approx(0.623585, abs=5e-7)
    assert round(math.degrees(radians) * 60) == 2144


@pytest.mark.parametrize("row", GeodesicTest.testcases, ids=lambda row: f"{row[6] / 1000:.0f}km")
def test_the_sphere_is_close_to_the_ellipsoid(row):
    """Karney's twenty lines on WGS 84, as geographiclib ships them: within 0.6 %."""
    lat1, lon1, _, lat2, lon2, _, metres = row[:7]
    found = Model().earth_radius_km * great_circle_radians(lat1, lon1, lat2, lon2)
    assert found == pytest.approx(metres / 1000, rel=0.006)


def test_there_are_twenty_lines_to_compare_with():
    assert len(GeodesicTest.testcases) == 20
