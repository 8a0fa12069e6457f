"""Which dates a student could take: rows in, planner.dates out, its plan against what is chosen.

Nothing here queries.
"""

from collections import Counter
from dataclasses import dataclass
from functools import cached_property

from planner import codec
from planner.dates import model
from planner.deadlines.wording import short_day
from planner.travel import Place, Point
from studio.accounts import journeys
from studio.answers import solve
from studio.entries.bridge import place_zone
from studio.entries.models import DateWish, Entry
from studio.institutions.models import Audition, OfferedDate
from studio.workers import Unsolved

SECONDS = 6  # for the whole answer: a page can wait so long
QUICK = 8  # so many auditions are answered in a blink, many more are not: those in a worker
FULL, GONE = "full", "gone by"
YEARS_AHEAD = 2  # whose public holidays are looked up


@dataclass(frozen=True)
class Offered:
    """A date that an entry's audition offers. why: why it cannot be had, or ""."""

    entry: Entry
    date: OfferedDate
    wish: DateWish | None = None
    why: str = ""

    @property
    def key(self):
        """What the planner calls it: two entries can be for one audition."""
        return f"{self.entry.pk}-{self.date.pk}"

    @property
    def word(self):
        """The teacher's word on it, "" for none."""
        return self.wish.word if self.wish else ""

    @property
    def rank(self):
        """Its place in the student's order, or None."""
        return self.wish and self.wish.rank

    @property
    def is_chosen(self):
        """Whether the entry has this date now."""
        return self.entry.chosen_date_id == self.date.pk


@dataclass(frozen=True)
class Turn:
    """An entry's date now and in the plan, each an Offered or None."""

    entry: Entry
    now: Offered | None
    planned: Offered | None

    @property
    def differs(self):
        """Whether the plan has another date than the one chosen."""
        return bool(self.planned) and self.planned != self.now

    @property
    def changes(self):
        """Whether taking over the plan would change the entry."""
        return self.differs and is_ours(self.entry) and not is_fixed(self.entry)


def is_fixed(entry):
    """Whether the entry's date cannot be another any more: it is confirmed or was assigned."""
    assigned = entry.audition.date_choice == Audition.DateChoice.ASSIGNED
    confirmed = entry.date_state == Entry.DateState.CONFIRMED
    return bool(entry.chosen_date_id) and (assigned or confirmed)


def is_ours(entry):
    """Whether the date is asked for by the applicant at all, rather than assigned."""
    return entry.audition.date_choice != Audition.DateChoice.ASSIGNED


def is_recorded(entry):
    """Whether nobody travels there."""
    return entry.audition.format == Audition.Format.RECORDED


class Dating:
    """The auditions ahead of a bridge.Season with the dates they offer, and the plan of them.

    season: its student loaded by `dates_queries.dated`. dates, concerts: as `dates_queries` gives
    them.
    """

    def __init__(self, season, dates, concerts):
        self.season, self.student = season, season.student
        self.studio, self.concerts = season.student.studio, concerts
        self._dates = {}
        for date in dates:
            self._dates.setdefault(date.entry_pk, []).append(date)

    # what is offered

    @cached_property
    def entries(self):
        """Entries still to be played, in the order of their dates, undated ones last."""
        today = self.season.today
        return [each for each in self.season.live_entries if not each.on or each.on >= today]

    @cached_property
    def offers(self):
        """Every Offered of each entry by its pk, in order of time."""
        return {entry.pk: self._offers(entry) for entry in self.entries}

    def _offers(self, entry):
        wishes = {wish.date_id: wish for wish in entry.date_wishes.all()}
        return [
            Offered(entry, date, wishes.get(date.pk), self._why(entry, date))
            for date in self._dates.get(entry.pk, ())
        ]

    def _why(self, entry, date):
        """Return why a date cannot be had, "" if it can; one that is settled can in any case."""
        if date.on < self.season.today:
            return GONE
        if is_fixed(entry) and date.pk == entry.chosen_date_id:
            return ""
        if date.full:
            return FULL
        return f"not for {entry.instrument}" if date.limited and not date.suits else ""

    def open(self, entry):
        """Return the Offereds of an entry that can be had."""
        return [each for each in self.offers[entry.pk] if not each.why]

    @cached_property
    def asked(self):
        """The entries whose dates are planned, those left out of the plan among them."""
        return [each for each in self.entries if not is_recorded(each) and self.open(each)]

    @property
    def kept(self):
        """The entries that the plan covers."""
        return [entry for entry in self.asked if entry.kept]

    @cached_property
    def offered(self):
        """The Offereds of the question by key."""
        return {each.key: each for entry in self.asked for each in self.open(entry)}

    # the question and its answer

    @cached_property
    def problem(self):
        """planner.dates.Problem; keys are str(pk) of entries and Offered.key."""
        return model.Problem(
            today=self.season.today,
            home=home(self.student),
            auditions=tuple(map(self._audition, self.asked)),
            pinned=self._said(DateWish.Word.KEEP),
            banned=self._said(DateWish.Word.LEAVE),
            preferred=tuple(key for key, each in self.offered.items() if _is_preferred(each)),
            closed=self.closed,
            **travelling(self.student, self.season.today),
            own=owns(self.asked),
            seconds=SECONDS,
        )

    def _audition(self, entry):
        fixed = next((o.key for o in self.open(entry) if o.is_chosen and is_fixed(entry)), None)
        return model.Audition(
            key=str(entry.pk),
            name=self.name(entry),
            place=place(entry.audition.institution),
            offers=tuple(map(_offer, self.open(entry))),
            site=str(entry.audition.institution_id),
            fixed=fixed,
            kept=entry.kept,
            worth=entry.worth,
            ready_on=self.season.audition_answers[entry.pk].ready_on,
        )

    def name(self, entry):
        """The institution's short name, with the audition's where the student has several there."""
        institution = entry.audition.institution
        same = [each for each in self.entries if each.audition.institution_id == institution.pk]
        return institution.short if len(same) < 2 else f"{institution.short}, {_apart(entry, same)}"

    def _said(self, word):
        """Return the keys with that word; of two dates wanted in any case only the first."""
        found = {}
        for key, each in self.offered.items():
            if each.word == word and not is_fixed(each.entry):
                found.setdefault(each.entry.pk, []).append(key)
        most = 1 if word == DateWish.Word.KEEP else None
        return tuple(key for keys in found.values() for key in keys[:most])

    @cached_property
    def closed(self):
        """The days on which the student can be nowhere else: away, exams, concerts."""
        found = [
            (day.first, day.last, day.reason or day.get_kind_display())
            for day in self.student.days_away.all()
        ]
        found += [(day.first, day.last, day.name) for day in self.concerts]
        found = sorted(each for each in found if each[1] >= self.season.today)
        times = Counter(what for _, _, what in found)
        return tuple(
            model.Closed(first, last, what if times[what] < 2 else _which(what, first, last))
            for first, last, what in found
        )

    @cached_property
    def answer(self):
        """planner.dates.Answer; raises workers.Unsolved."""
        return answered(self.problem)

    @property
    def digest(self):
        """What tells this plan from another."""
        return codec.digest(self.answer.plan)

    # the plan against what is chosen

    @cached_property
    def turns(self):
        """A Turn for each entry kept."""
        plan = self.answer.plan
        taken = {choice.audition: choice.offer for choice in plan.choices} if plan else {}
        return [self._turn(entry, taken.get(str(entry.pk))) for entry in self.kept]

    def _turn(self, entry, key):
        now = next((each for each in self.offers[entry.pk] if each.is_chosen), None)
        return Turn(entry, now, self.offered.get(key))


def answered(problem):
    """Return planner.dates' answer; raises workers.Unsolved, also where rows make no sense."""
    try:
        slow = problem.explain and len(problem.auditions) > QUICK
        return solve("dates", problem, slow=slow)
    except ValueError as error:
        raise Unsolved(f"The dates cannot be planned: {error}.") from error


def _is_preferred(offered):
    """Liked better, or chosen already: a plan should not move for nothing."""
    word = DateWish.Word
    return offered.word == word.LIKE or offered.word != word.LEAVE and offered.is_chosen


def _offer(offered):
    date = offered.date
    starts, ends = wall_times(offered.entry, date)
    # Where it is held elsewhere only a name is known: the institution is near enough to plan by.
    return model.Offer(
        key=offered.key,
        on=date.on,
        starts=starts,
        ends=ends,
        book_by=date.book_by,
        rank=offered.rank,
        window=True,  # the institution's day; who is called when is not known before
    )


def _apart(entry, same):
    """Tell an entry from others at the same place."""
    twins = [each for each in same if each.audition.name == entry.audition.name]
    return entry.audition.name if len(twins) < 2 else str(entry.instrument)


def _which(what, first, last):
    """Tell days from others of the same name: the engine knows them by it."""
    days = short_day(first) if first == last else f"{short_day(first)} to {short_day(last)}"
    return f"{what} ({days})"


# what trips are reckoned from as well


def home(student):
    """Return the planner's Place of a student's home."""
    return Place("home", _point(student), student.home_zone)


def place(institution):
    """Return the planner's Place of an institution; a school without a point is at its university.

    0, 0 is open sea: an empty cell of a spreadsheet.
    """
    within = institution.part_of
    point = _point(institution) or (within and _point(within)) or None
    return Place(institution.short, point, place_zone(institution))


def _point(row):
    if not row.latitude and not row.longitude:
        return None
    return Point(row.latitude, row.longitude)


def owns(entries):
    """Return the teacher's own figures between home and each entry, as the planner's Owns."""
    found = (
        model.Own(model.HOME, str(entry.pk), own_minutes(entry), entry.journey_cost)
        for entry in entries
    )
    return tuple(own for own in found if own.minutes is not None or own.money is not None)


def own_minutes(entry):
    """Return the minutes that the teacher gave for the journey, of entry or day, or None."""
    day = getattr(entry, "day", None)
    return day.travel_minutes if entry.journey_minutes is None and day else entry.journey_minutes


def call_of(entry):
    """Return the time of the audition itself, by the clocks there; None where it is not known."""
    day = getattr(entry, "day", None)
    return _whole_minute(day.call) if day else None


def wall_times(entry, date):
    """Return when a date begins and ends for an entry, None where not stated.

    The call, where it is known, narrows the date that is chosen.
    """
    call = call_of(entry) if entry.chosen_date_id == date.pk else None
    starts, ends = call or _whole_minute(date.starts), _whole_minute(date.ends)
    return starts, None if starts and ends and ends < starts else ends


def _whole_minute(clock):
    return clock and clock.replace(second=0, microsecond=0)


def travelling(student, today):
    """Return what a Problem needs to know of school and of how the studio's families travel."""
    studio = student.studio
    years = tuple(range(today.year, today.year + YEARS_AHEAD))
    return {
        "school_weekdays": journeys.school_weekdays(studio) if student.at_school else (),
        "school_off": tuple(studio.days_off(years)),
        "weights": journeys.weights(studio),
        "settings": journeys.settings(studio),
    }
