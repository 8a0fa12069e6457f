"""What plans ask of the companions, read from the problem and nothing else."""

from collections.abc import Iterable
from dataclasses import dataclass

from planner import zones
from planner.dates.model import Audition, Choice, Offer
from planner.dates.model import Problem as Dates
from planner.dates.ways import stop_of
from planner.together.clashes import Booking
from planner.together.model import Student


@dataclass(frozen=True)
class Site:
    """Where somebody plays. key: tells sites apart. name: for people."""

    key: str
    name: str


@dataclass(frozen=True)
class Engagement:
    """A booking with the keys of what it is for."""

    booking: Booking
    student: str
    audition: str
    offer: str


def site_of(dates: Dates, audition: Audition, offer: Offer) -> Site:
    """Return where an offer is: the audition's site, else its place."""
    stop = stop_of(dates, audition, offer)
    name = stop.place.name or audition.name
    return Site(stop.site or repr((name, stop.place.point)), name)


def engagements(student: Student, choices: Iterable[Choice]) -> list[Engagement]:
    """Return what a student's choices ask of the companions."""
    auditions = {audition.key: audition for audition in student.dates.auditions}
    found = []
    for choice in choices:
        audition = auditions[choice.audition]
        offer = next(offer for offer in audition.offers if offer.key == choice.offer)
        companions = dict.fromkeys(c for key, c in student.companions if key == audition.key)
        for companion in companions:
            booking = _booking(student, audition, offer, companion)
            found.append(Engagement(booking, student.key, audition.key, offer.key))
    return found


def is_timed(offer: Offer) -> bool:
    """Say whether it is known from when to when this player is heard."""
    return not offer.window and None not in (offer.starts, offer.ends)


def _begins(offer: Offer) -> bool:
    return not offer.window and offer.starts is not None


def _booking(student: Student, audition: Audition, offer: Offer, companion: str) -> Booking:
    site = site_of(student.dates, audition, offer)
    tz = zones.zone(stop_of(student.dates, audition, offer).zone)
    stated = is_timed(offer)
    return Booking(
        companion=companion,
        day=offer.on,
        site=site.key,
        site_name=site.name,
        student=student.name,
        starts=zones.moment(offer.on, offer.starts, tz).at if _begins(offer) else None,
        ends=zones.moment(offer.on, offer.ends, tz).at if stated else None,
    )
