"""What the pages of institutions and auditions show, and what they warn of."""

from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.core.validators import URLValidator
from django.urls import reverse
from django.utils.formats import date_format

from planner.deadlines import Lead, Unit
from planner.deadlines.wording import lead_words
from planner.zones import spoken
from studio.accounts.access import may_add
from studio.accounts.pages import Row
from studio.accounts.words import counted, long_date, money
from studio.institutions.models import Audition, Deadline, Institution, OfferedDate

COLUMNS = ("Name", "Kind", "Town", "Auditions this season", "Entries")
is_url = URLValidator(schemes=["http", "https"])


def institution_row(institution):
    """Return the line of an institution of `queries.institutions`."""
    cells = (
        institution.name,
        institution.get_kind_display(),
        institution.town,
        counted(institution.held, "audition"),
        counted(institution.entered, "entry", "entries"),
    )
    return Row(institution.get_absolute_url(), cells)


def no_institutions(who):
    """Say what to do while there are no institutions."""
    if not may_add(who, Institution):
        return {"title": "No institutions yet", "text": "The studio’s teacher adds them."}
    return {
        "title": "No institutions yet",
        "text": "Add where your students want to audition, then its auditions, deadlines and "
        "dates. Or load a whole season from the workbook.",
        "url": reverse("institution_add"),
        "label": "Add an institution",
    }


@dataclass(frozen=True)
class DueLine:
    """A deadline as a line of the page. currency: that of the studio."""

    deadline: Deadline
    currency: str

    @property
    def mark(self):
        """What stands before the line: "1 Dec", or "7 days" where it is counted back."""
        on = self.deadline.on
        return date_format(on, "j M") if on else self._lead or "the day"

    @property
    def _lead(self):
        row = self.deadline
        return lead_words(Lead(row.before, Unit(row.before_unit))) if row.before else ""

    @property
    def when(self):
        """The date, the time and the zone as the institution gives them."""
        deadline = self.deadline
        time = f"{deadline.at:%-H:%M}" if deadline.at else "no time given,"
        zone = spoken(deadline.zone) if deadline.zone else ""
        return f"{self._day}, {time} {zone}".rstrip(" ,")

    @property
    def _day(self):
        if self.deadline.on:
            return long_date(self.deadline.on)
        return f"{self._lead} before the audition" if self._lead else "On the day of the audition"

    @property
    def problem(self):
        """What is missing, or nothing."""
        return "" if self.deadline.zone else "Time zone not stated: planned a day early."

    @property
    def opens(self):
        """When it opens, in words, or nothing."""
        deadline = self.deadline
        parts = [
            deadline.opens_on and f"on {date_format(deadline.opens_on, 'j F Y')}",
            deadline.opens_after and f"after {deadline.opens_after.name}",
        ]
        words = " and ".join(filter(None, parts))
        return f"Opens {words}." if words else ""

    @property
    def terms(self):
        """For whom only, what it costs, and until when it is still taken; or nothing."""
        row = self.deadline
        late = row.late_until and f"taken late until {date_format(row.late_until, 'j F Y')}"
        parts = [
            row.round and f"only for the round “{row.round}”",
            row.cost is not None and (money(row.cost, self.currency) if row.cost else "no fee"),
            ", ".join(filter(None, [late or row.late_terms and "late", row.late_terms])),
        ]
        return " · ".join(filter(None, parts))


@dataclass(frozen=True)
class DateLine:
    """An offered date as a line of the page."""

    date: OfferedDate

    @property
    def when(self):
        """The date with its hours: "Saturday 6 February 2027, 09:00 to 16:00"."""
        date = self.date
        hours = [
            date.starts and f"from {date.starts:%-H:%M}",
            date.ends and f"to {date.ends:%-H:%M}",
        ]
        words = " ".join(filter(None, hours))
        return f"{long_date(date.on)}, {words}" if words else long_date(date.on)

    @property
    def limits(self):
        """Where, and for whom only, or nothing."""
        names = ", ".join(instrument.name for instrument in self.date.instruments.all())
        book_by = self.date.book_by
        parts = [
            self.date.place,
            names and f"only {names}",
            book_by and f"to be had until {date_format(book_by, 'j F Y')}",
            self.date.notes,
        ]
        return " · ".join(filter(None, parts))


class AuditionPage:
    """An audition with its lines in the order of their dates. studio: whose it is."""

    def __init__(self, audition, studio):
        self.audition = audition
        self.deadlines = [DueLine(row, studio.currency) for row in audition.deadlines.all()]
        self.dates = [DateLine(date) for date in audition.dates.all()]
        self.entries = list(audition.entries.all())

    @property
    def format(self):
        """How it is heard, in words."""
        unknown = self.audition.format == Audition.Format.UNKNOWN
        return "Format not stated" if unknown else self.audition.get_format_display()

    @property
    def warns(self):
        """Whether anything is missing that only the institution can say, or costs money."""
        return not self.deadlines or any(line.problem or line.terms for line in self.deadlines)


class InstitutionPage:
    """An institution with its season, and what is missing."""

    def __init__(self, institution, studio):
        self.institution = institution
        held = list(institution.auditions.all())
        season = studio.season
        self.auditions = [AuditionPage(row, studio) for row in held if row.season == season]
        self.other_seasons = [row for row in held if row.season != season]
        self.sets = list(institution.requirement_sets.all())
        self.season = season

    @property
    def zone(self):
        """The time zone in words, or nothing."""
        row = self.institution
        if row.time_zone:
            return spoken(row.time_zone)
        if row.part_of and row.part_of.time_zone:
            return f"{spoken(row.part_of.time_zone)}, as {row.part_of}"
        return ""

    @property
    def point(self):
        """The coordinates in words, or nothing."""
        row = self.institution
        if row.latitude is not None:
            return f"{row.latitude:g}, {row.longitude:g}"
        if row.part_of and row.part_of.latitude is not None:
            return f"{row.part_of.latitude:g}, {row.part_of.longitude:g}, as {row.part_of}"
        return ""

    @property
    def links(self):
        """The other pages, each as (words, address or nothing)."""
        return [labelled(line) for line in self.institution.links.splitlines() if line.strip()]

    @property
    def missing(self):
        """Say what is missing and what follows from that."""
        lacks = []
        if not self.zone:
            lacks.append(
                "Time zone not known: nobody can say when to leave home, and deadlines that "
                "state no zone are planned a day early."
            )
        if not self.point:
            lacks.append("Coordinates not known: the journey is not estimated.")
        return lacks

    @property
    def warns(self):
        """Whether to remind of asking the institution itself."""
        unchecked = any(row.checked_on is None for row in self.sets)
        return bool(self.missing) or unchecked or any(page.warns for page in self.auditions)


def labelled(line):
    """Return a line such as "Auditions https://…" as (words, address); no address: ("…", "")."""
    words, _, address = line.strip().rpartition(" ")
    try:
        is_url(address)
    except ValidationError:
        return line.strip(), ""
    return words or address, address
