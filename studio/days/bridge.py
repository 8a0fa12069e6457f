"""An entry with its day in, planner.day.Problem out. Nothing here queries."""

from dataclasses import fields

from planner import day
from planner.travel import Place, Point
from studio.answers import solve
from studio.days.models import AuditionDay, read_extras
from studio.entries.bridge import place_zone
from studio.entries.dates import own_minutes
from studio.institutions.models import Audition

NO_PARKING = {"none", "no parking", "-", "–"}
FORMATS = {
    Audition.Format.FACE: day.Format.FACE_TO_FACE,
    Audition.Format.BLIND: day.Format.BLIND,
    Audition.Format.RECORDED: day.Format.RECORDED,
}
USUAL_NAMES = tuple(field.name for field in fields(day.Usual))


def day_of(entry):
    """Return the entry's AuditionDay; an unsaved one of which nothing is known if it has none."""
    return getattr(entry, "day", None) or AuditionDay(entry=entry)


def day_answer(entry):
    """Return planner.day's answer for an entry with a date, loaded by queries.day_entries."""
    return solve("day", day_problem(entry))


def day_problem(entry):
    """Return the planner.day.Problem of an entry with a date."""
    row, institution = day_of(entry), entry.audition.institution
    return day.Problem(
        day=entry.chosen_date.on,
        call=row.call,
        place=Place(institution.name, place_point(institution), place_zone(institution)),
        home=Place("home", point(entry.student), entry.student.home_zone),
        format=FORMATS.get(entry.audition.format),
        panel=row.panel,
        rooms=_rooms(row),
        given=day.Given(audition=row.minutes, warm_up=row.warm_up_minutes, walk=row.walk_minutes),
        check_in_by=row.check_in_by,
        warm_up_from=row.warm_up_from,
        extras=tuple(day.Extra(e.title, e.at, e.minutes) for e in read_extras(row.extras)),
        own_km=row.travel_km,
        own_minutes=own_minutes(entry),
        usual=usual_minutes(entry.student.studio),
    )


def usual_minutes(studio):
    """Return the studio's usual minutes: the engine's, where the studio has none of its own."""
    own = studio.day_minutes
    return day.Usual(**{name: own[name] for name in USUAL_NAMES if name in own})


def point(row):
    """Return where a row with latitude and longitude is, or None."""
    return None if row.latitude is None else Point(row.latitude, row.longitude)


def place_point(institution):
    """Return where an institution is; a school of music without a point is at its university."""
    return point(institution) or (institution.part_of and point(institution.part_of))


def _rooms(row):
    parking = row.parking.strip()
    return day.Rooms(
        audition=row.audition_room or None,
        warm_up=row.warm_up_room or None,
        check_in=row.check_in_place or None,
        entrance=row.entrance or None,
        parking="" if parking.casefold() in NO_PARKING else parking or None,
    )
