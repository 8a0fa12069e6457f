"""A student's trips on paper: when to leave, by which clock, and what is not confirmed yet."""

from dataclasses import dataclass

from django.views.decorators.http import require_safe

from planner.deadlines.wording import full_day
from studio.accounts.access import read_or_404
from studio.entries.bridge import Season
from studio.entries.models import Entry
from studio.entries.queries import parts
from studio.entries.trips import Trips
from studio.entries.words import count
from studio.handouts import pdf
from studio.handouts.views import as_pdf, frame

CARE = "Book no travel before the institution confirms. Figures are estimates."


@dataclass(frozen=True)
class Sheet:
    """One trip as it is printed: its TripLine, what is not sure about it, and boxes to tick.

    boxes: (words, whether it is ticked already).
    """

    line: object
    open: tuple[str, ...]
    boxes: tuple[tuple[str, bool], ...]


@require_safe
def trips_sheet(request, pk):
    """The journeys of the dates that are confirmed or asked for: all on a page, or a page each."""
    season = Season(read_or_404(request.who, parts(request.who), pk=pk))
    trips = Trips(season)
    context = {
        "title": f"Trips, {season.student}",
        "student": season.student,
        "sheets": [_sheet(trips, line) for line in trips.lines],
        "undated": _undated(season, trips),
        "trouble": trips.trouble,
        "apart": request.GET.get("pages") == "each",
        "care": CARE,
        **frame(request),
    }
    return as_pdf(pdf.document("handouts/trips_sheet.html", context), "trips.pdf")


def _sheet(trips, line):
    entries, trip = trips.of(line), line.trip
    confirmed = Entry.DateState.CONFIRMED
    unsure = [
        f"{entry.audition.institution}: {full_day(entry.on)} is not confirmed yet"
        for entry in entries
        if entry.date_state != confirmed
    ]
    places = [
        f"{entry.audition.institution.short} is held at {entry.chosen_date.place}: look up the way"
        for entry in entries
        if entry.chosen_date.place
    ]
    boxes = [
        *(
            (f"{entry.audition.institution.short} confirmed", entry.date_state == confirmed)
            for entry in entries
        ),
        ("Travel booked", False),
        *([(f"Room booked, {count(trip.nights, 'nights')}", False)] if trip.nights else []),
        *([("School told", False)] if trip.school_days else []),
    ]
    return Sheet(line, (*unsure, *places), tuple(boxes))


def _undated(season, trips):
    """The auditions ahead that no trip leads to, and how far their date is."""
    today = season.today
    return [
        f"{entry.audition.institution}: {entry.get_date_state_display().lower()}"
        for entry in season.live_entries
        if entry not in trips.entries
        and (not entry.on or entry.on >= today)
        and entry.audition.format != "recorded"
    ]
