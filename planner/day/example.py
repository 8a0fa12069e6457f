"""A worked problem: an invented student, one hour of clock and 142 km from the audition."""

from datetime import date, time

from planner.day.model import Extra, Format, Given, Problem, Rooms
from planner.travel import Place, Point


def example() -> Problem:
    """Return a day with a journey over a zone border, a theory test and a meeting."""
    return Problem(
        day=date(2027, 2, 6),
        call=time(10, 40),
        place=Place("Fairmont School", Point(39.17, -86.52), "America/Indiana/Indianapolis"),
        home=Place("home", Point(37.97, -87.57), "America/Chicago"),
        format=Format.FACE_TO_FACE,
        panel="three on the panel",
        rooms=Rooms(
            audition="214, second floor",
            warm_up="118",
            check_in="lobby table",
            entrance="Mill Street",
            parking="east garage",
        ),
        given=Given(audition=12, walk=10),
        extras=(
            Extra("Theory placement", time(11, 30), 45, "hall B"),
            Extra("Meeting for parents and applicants", time(13, 0)),
        ),
        own_km=184,
        own_minutes=145,
    )
