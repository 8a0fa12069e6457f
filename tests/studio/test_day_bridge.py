"""An entry with its day becomes the engine's problem, and the engine's answer becomes lines."""

from datetime import date, time

import pytest

from planner.day import Certainty, Format, Key
from studio.days.bridge import day_answer, day_problem
from studio.days.contexts import Day
from studio.days.models import AuditionDay
from studio.days.queries import day_entries
from tests.factories import (
    AssignmentFactory,
    AuditionDayFactory,
    EntryFactory,
    InstitutionFactory,
    RequirementFactory,
)

pytestmark = pytest.mark.django_db


def entry_on(on, **place):
    entry = EntryFactory(chosen_date__on=on)
    type(entry.audition.institution).objects.update(**place)
    return entry


def loaded(entry):
    return day_entries().get(pk=entry.pk)


def step(entry, key):
    return next(step for step in day_answer(loaded(entry)).steps if step.key is key)


def test_the_teachers_own_journey_wins_over_the_map():
    day = AuditionDayFactory(travel_minutes=145, travel_km=184)
    journey = day_answer(loaded(day.entry)).journey
    assert (journey.minutes, journey.km) == (145, 184)
    AuditionDay.objects.update(travel_minutes=None, travel_km=None)
    # Harbour Falls to Fairmont: 440 km in a straight line, so more than five hours by car.
    journey = day_answer(loaded(day.entry)).journey
    assert journey.minutes_from == "estimated"
    assert 300 < journey.minutes < 500


def test_empty_minutes_are_the_studios_and_else_the_engines():
    day = AuditionDayFactory(warm_up_minutes=None)
    assert step(day.entry, Key.WARM_UP).minutes == 20
    studio = day.entry.student.studio
    studio.day_minutes = {"warm_up": 25}
    studio.save()
    warm_up = step(day.entry, Key.WARM_UP)
    assert (warm_up.minutes, warm_up.certainty) == (25, Certainty.DEFAULT)
    AuditionDay.objects.update(warm_up_minutes=15)
    warm_up = step(day.entry, Key.WARM_UP)
    assert (warm_up.minutes, warm_up.certainty) == (15, Certainty.GIVEN)


def test_a_day_of_which_nothing_is_known_asks_for_everything():
    answer = day_answer(loaded(EntryFactory()))
    assert answer.call is None
    assert answer.leave_home is None
    asked = " ".join(answer.unknown)
    for what in ("call time", "audition room", "warm-up room", "check in", "entrance", "park"):
        assert what in asked, what


@pytest.mark.parametrize(
    ("written", "meant"), [("", None), ("none", ""), (" None ", ""), ("east garage", "east garage")]
)
def test_parking_tells_not_known_from_not_needed(written, meant):
    day = AuditionDayFactory(parking=written)
    assert day_problem(loaded(day.entry)).rooms.parking == meant


@pytest.mark.parametrize(
    ("written", "meant"),
    [("face to face", Format.FACE_TO_FACE), ("blind", Format.BLIND), ("not stated", None)],
)
def test_the_format_is_the_auditions(written, meant):
    day = AuditionDayFactory(entry__audition__format=written)
    assert day_problem(loaded(day.entry)).format is meant


def test_a_school_of_music_stands_where_its_university_stands():
    day = AuditionDayFactory()
    school = day.entry.audition.institution
    school.part_of = InstitutionFactory(
        studio=school.studio, latitude=51.5, longitude=-0.1, time_zone="Europe/London"
    )
    school.latitude = school.longitude = None
    school.time_zone = ""
    school.save()
    place = day_problem(loaded(day.entry)).place
    assert (place.point.latitude, place.zone) == (51.5, "Europe/London")


def test_minutes_are_real_minutes_when_the_clocks_change():
    # Chicago loses 02:00 to 03:00 on 14 March 2027: 540 minutes before 8:30 it is 22:30.
    entry = entry_on(date(2027, 3, 14), time_zone="America/Chicago")
    AuditionDayFactory(
        entry=entry, call=time(9, 30), travel_minutes=540, walk_minutes=15, warm_up_minutes=20
    )
    leave = step(entry, Key.LEAVE_HOME)
    assert (leave.day, leave.wall) == (date(2027, 3, 13), time(22, 30))
    line = Day(loaded(entry)).lines[0]
    assert line.time == "22:30"
    assert "on Saturday 13 March" in line.note


def test_leaving_home_is_told_in_the_time_of_home():
    entry = entry_on(date(2027, 2, 6), time_zone="America/New_York")
    AuditionDayFactory(entry=entry, call=time(10, 40), travel_minutes=145, walk_minutes=10)
    day = Day(loaded(entry))
    assert (day.lines[0].time, day.lines[0].note[:4]) == ("6:20", "CST ")
    assert day.zone == "EST, one hour ahead of home"


def test_extras_stand_where_their_time_puts_them():
    day = AuditionDayFactory(extras="8:15 Tour\n11:30 Theory test, hall B (45 min)\nParents")
    titles = [line.title for line in Day(loaded(day.entry)).lines]
    audition = next(i for i, title in enumerate(titles) if title.startswith("Audition"))
    assert titles.index("Tour") < audition < titles.index("Theory test, hall B")
    assert titles[-1] == "Parents"


def test_what_is_played_follows_the_requirements():
    entry = EntryFactory()
    needs = {"requirement_set": entry.requirement_set}
    solo = RequirementFactory(name="Solo", kind="solo", memory="yes", position=1, **needs)
    RequirementFactory(name="Etude", kind="etude", position=2, **needs)
    RequirementFactory(name="Sight-reading", kind="sight-reading", position=3, **needs)
    RequirementFactory(name="Screening", kind="solo", round="screening", position=4, **needs)
    RequirementFactory(name="Essay", kind="paper", position=5, **needs)
    AssignmentFactory(entry=entry, requirement=solo, piece__work="Concerto")
    music = Day(loaded(entry)).music
    assert [(m.title, m.open) for m in music] == [
        ("Invented, Concerto", False),
        ("Etude", True),
        ("Sight-reading", False),
    ]
    assert "from memory" in music[0].note


def test_the_case_holds_the_usual_things_until_a_list_is_written():
    entry = EntryFactory()
    assert "Valve oil, slide grease, cloth" in Day(loaded(entry)).case
    AuditionDayFactory(entry=entry, bring="Only a pencil\n\n")
    assert Day(loaded(entry)).case == ("Only a pencil",)


def test_a_room_that_is_not_known_says_whom_to_ask():
    day = AuditionDayFactory(check_in_place="Lobby", contacts="Desk: 555 0142\nMr Brandt")
    facts = {fact.label: fact for fact in Day(loaded(day.entry)).facts}
    assert (facts["Check-in"].text, facts["Check-in"].unknown) == ("Lobby", False)
    assert (facts["Audition"].text, facts["Audition"].unknown) == ("ask the institution", True)
    assert (facts["Desk"].text, facts["Contact"].text) == ("555 0142", "Mr Brandt")
