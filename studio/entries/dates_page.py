"""The page of a student's dates: the plan in words, drawn, and each date with its price.

Nothing here queries.
"""

from dataclasses import dataclass
from functools import cached_property

from django.urls import reverse

from planner.dates.model import HOME, Price
from planner.dates.words import NO_PLAN
from planner.deadlines.wording import count_days, dated, listed
from studio.accounts.words import counted
from studio.answers import why_not
from studio.entries import dates_strip as strips
from studio.entries.dates import Offered, is_fixed, is_recorded
from studio.entries.dates_forms import JourneyForm, RanksForm
from studio.entries.dates_map import NARROW, WIDE, Map, Stop
from studio.entries.dates_words import day_of, hours_of, more, moves, points_of, price
from studio.entries.models import DateWish, Entry
from studio.entries.trips import Wording

WISHES = (
    (DateWish.Word.KEEP.value, "In any case"),
    (DateWish.Word.LIKE.value, "Rather"),
    (DateWish.Word.LEAVE.value, "Not this one"),
    ("", "No wish"),
)
NONE_KEPT = "No audition is in the plan. Plan for one of them below."
POINTS = (
    "Points are money too: what journeys cost, and what it is worth to be spared hours, nights and "
    "school days."
)


@dataclass(frozen=True)
class OfferLine:
    """A date on offer. mark: dates_strip's word for it. price: what it costs, or why it cannot be.

    notes: what else to know of it. rank: the bound field for its place in the order, or None.
    """

    offered: Offered
    when: str
    mark: str
    price: str
    notes: tuple[str, ...] = ()
    rank: object = None

    @property
    def wishes(self):
        """(word, label, whether it holds) of each wish."""
        return [(word, label, word == self.offered.word) for word, label in WISHES]

    @property
    def wish(self):
        """The wish that holds, in words; "" for none."""
        word = self.offered.word
        return dict(WISHES)[word].lower() if word else ""

    @property
    def state(self):
        """The class that it is drawn by."""
        return strips.CLASSES[self.mark]


@dataclass(frozen=True)
class AuditionLine:
    """An audition ahead. now, then: its date chosen and planned, in words, "" for none.

    takes: whether taking over the plan changes it. why: why it has no dates to choose from.
    """

    entry: Entry
    name: str
    now: str
    then: str = ""
    takes: bool = False
    why: str = ""
    offers: tuple[OfferLine, ...] = ()
    ranks: RanksForm | None = None
    journey: JourneyForm | None = None

    @property
    def settled(self):
        """Whether the date cannot be another any more."""
        return is_fixed(self.entry)


class DatesPage:
    """A dates.Dating as `who` sees it. posted: {entry pk: a form that is wrong}."""

    def __init__(self, dating, who, posted=None):
        self.dating, self.student = dating, dating.student
        self.who, self.may_edit = who, who.is_teacher
        self.currency, self.today = dating.studio.currency, dating.season.today
        self.posted = posted or {}

    @cached_property
    def empty(self):
        """What to do where there is nothing to plan; None where there is."""
        if self.dating.entries:
            return None
        return {
            "title": "No auditions ahead",
            "text": f"As soon as {self.student.called} is entered for auditions, their dates are "
            "weighed here against the journeys.",
            "url": self.may_edit and reverse("entry_add", args=[self.student.pk]),
            "label": "Add an audition",
        }

    # the answer

    @cached_property
    def trouble(self):
        """Why there is no answer, in words; "" if there is one."""
        if not self.dating.asked:
            return ""
        if not self.dating.kept:
            return NONE_KEPT
        return why_not(self)

    @property
    def answer(self):
        """planner.dates.Answer."""
        return self.dating.answer

    @property
    def sentence(self):
        """What the plan comes to; the engine knows of money, not in which currency."""
        return self.answer.sentence.replace(" in money", f" {self.currency}")

    @property
    def plan(self):
        """planner.dates.Plan, or None."""
        return self.answer.plan if self.solved else None

    @property
    def solved(self):
        """Whether the engine answered."""
        return bool(self.dating.kept) and not self.trouble

    @property
    def points(self):
        """What the plan comes to, and how far from the best it may be."""
        answer, points = self.answer, points_of(self.plan.burden.points)
        if answer.proven:
            return f"{points} in all."
        return f"{points} in all; no plan can have fewer than {answer.bound:,}."

    @cached_property
    def wording(self):
        """The trips.Wording of the question."""
        return Wording(self.dating.problem, self.currency)

    @cached_property
    def trips(self):
        """A TripLine for each trip of the plan."""
        return self.wording.lines(self.plan) if self.plan else ()

    @property
    def ways_out(self):
        """(the engine's WayOut, (pk, name) of each entry that it leaves out) of each."""
        return [(way, self._left_out(way)) for way in self.answer.ways_out]

    def _left_out(self, way):
        keys = way.keys if way.kind == "leave out" else ()
        return [(int(key), self.wording.name(key)) for key in keys]

    @property
    def second(self):
        """The second best plan, in words; "" if there is none."""
        second, extra = self.answer.second, self.answer.second_extra
        if not second or not self.plan:
            return ""
        names = {each.key: each.name for each in self.dating.problem.auditions}
        said = more(_difference(second.burden, self.plan.burden), self.currency)
        costs = f"{points_of(extra)} more" if extra else "as many points"
        return f"{moves(self.plan, second, names)}: {f'{said}, ' if said else ''}{costs}."

    @property
    def notes(self):
        """How it is reckoned, what was assumed, and what to be careful about."""
        return [*self.answer.reasons, POINTS, *self.answer.notes]

    @property
    def changes(self):
        """How many dates taking over would change, in words; "" for none."""
        turns = [turn for turn in self.dating.turns if turn.changes]
        new = sum(turn.now is None for turn in turns)
        others = counted(len(turns) - new, "other date")
        return ", ".join(filter(None, (counted(new, "new date"), others)))

    # the auditions

    @cached_property
    def auditions(self):
        """An AuditionLine for each audition ahead."""
        return [self._audition(entry) for entry in self.dating.entries]

    def _audition(self, entry):
        name, chosen = self.dating.name(entry), entry.chosen_date
        now = f"{day_of(chosen)}, {entry.get_date_state_display().lower()}" if chosen else ""
        if entry not in self.dating.asked:
            return AuditionLine(entry, name, now, why=self._why(entry))
        turn = self._turns.get(entry.pk)
        then = turn and turn.planned
        offered = self._shown(entry)
        may = self.may_edit and not is_fixed(entry) and len(offered) > 1
        ranks = self._ranks(entry) if may else None
        return AuditionLine(
            entry,
            name,
            now,
            then=day_of(then.date) if then else "",
            takes=bool(turn and turn.changes),
            offers=tuple(self._offer(each, ranks) for each in offered),
            ranks=ranks,
            journey=self._journey(entry) if self.may_edit else None,
        )

    def _shown(self, entry):
        """The Offereds of an entry; where the date is settled the others are of no interest."""
        offered = self.dating.offers[entry.pk]
        return [o for o in offered if o.is_chosen] if is_fixed(entry) else offered

    def _why(self, entry):
        if is_recorded(entry):
            return "It is recorded: nobody travels."
        found = {each.why for each in self.dating.offers[entry.pk]}
        if not found:
            return "No dates are written down yet."
        return f"No date can be had: {listed(sorted(found))}."

    @cached_property
    def _turns(self):
        return {turn.entry.pk: turn for turn in self.dating.turns} if self.solved else {}

    @cached_property
    def _prices(self):
        return {each.offer: each for each in self.answer.prices} if self.solved else {}

    def _ranks(self, entry):
        posted = self.posted.get(entry.pk)
        if isinstance(posted, RanksForm):
            return posted
        return ranks_form(self.dating, entry)

    def _journey(self, entry):
        posted = self.posted.get(entry.pk)
        if isinstance(posted, JourneyForm):
            return posted
        return JourneyForm(instance=entry, who=self.who, prefix=f"journey-{entry.pk}")

    # the dates

    def mark(self, offered):
        """Return dates_strip's word for a date."""
        turn, priced = self._turns.get(offered.entry.pk), self._prices.get(offered.key)
        if turn and turn.planned == offered:
            return strips.TAKEN
        if offered.is_chosen:
            return strips.CHOSEN
        return strips.NOT if offered.why or (priced and _is_refused(priced)) else strips.OPEN

    def _offer(self, offered, ranks):
        date, mark, priced = offered.date, self.mark(offered), self._prices.get(offered.key)
        said = ""
        if offered.why:
            said = offered.why
        elif priced and mark != strips.TAKEN and priced.why != NO_PLAN:
            said = price(priced, self.currency)
        when = ", ".join(filter(None, (day_of(date), hours_of(date))))
        rank = ranks.field(date) if ranks else None
        return OfferLine(offered, when, mark, said, tuple(self._notes(offered)), rank)

    def _notes(self, offered):
        date, ready = offered.date, self._ready.get(str(offered.entry.pk))
        if date.place:
            yield f"held at {date.place}; the journey is reckoned to the institution"
        if date.book_by and not offered.why:
            yield f"to be had until {dated(date.book_by, self.today, full=False)}"
        if ready and date.on < ready and not offered.why:
            yield f"{count_days((ready - date.on).days)} before its music is expected to be ready"
        if date.notes:
            yield date.notes

    @cached_property
    def _ready(self):
        return {each.key: each.ready_on for each in self.dating.problem.auditions}

    # the drawings

    @cached_property
    def strip(self):
        """The weeks with dates."""
        rows = [
            (
                self.dating.name(entry),
                f"#audition-{entry.pk}",
                [
                    (each.date.on, self.mark(each), each.why)
                    for each in self._shown(entry)
                    if each.date.on >= self.today
                ],
            )
            for entry in self.dating.kept
        ]
        return strips.strip(rows, self.dating.closed)

    @cached_property
    def maps(self):
        """(class, Map) for a laptop and for a phone; none where fewer than two places are known."""
        stops = self._stops
        if len(stops) < 2:
            return []
        trips = [
            (line.number, [line.trip.hops[0].start, *(hop.end for hop in line.trip.hops)])
            for line in self.trips
        ]
        return [("wide", Map(stops, trips, WIDE)), ("narrow", Map(stops, trips, NARROW))]

    @cached_property
    def _stops(self):
        problem, found = self.dating.problem, {}
        on = {choice.audition: choice.on for choice in self.plan.choices} if self.plan else {}
        for each in problem.auditions:
            if each.place.point and each.kept:
                day = on.get(each.key)
                words = (each.name, *([f"{day.day} {day:%b}"] if day else []))
                found.setdefault(each.place.point, []).append((each.key, words))
        stops = [_stop(point, dict(held), on) for point, held in found.items()]
        point = problem.home.point
        home = [Stop(("home",), point.latitude, point.longitude, (HOME,))] if point else []
        return home + stops

    @property
    def unplaced(self):
        """What is not on the map, in words; "" if all is."""
        problem = self.dating.problem
        names = [each.name for each in problem.auditions if each.kept and not each.place.point]
        names = [*names, *([] if problem.home.point else ["home"])]
        return f"Not on the map, as it is not known where: {listed(names)}." if names else ""


def ranks_form(dating, entry, *data):
    """Return the form for the order of an entry's dates that can be had."""
    dates = [each.date for each in dating.open(entry)]
    return RanksForm(*data, entry=entry, dates=dates, wishes=entry.date_wishes.all())


def _stop(point, held, on):
    """Return the Stop of what is held there: words by the audition's key."""
    words = tuple(word for words in held.values() for word in words)
    return Stop(words, point.latitude, point.longitude, tuple(held), bool(held.keys() & on.keys()))


def _is_refused(priced: Price):
    """Whether a date cannot be had for its own sake, not because nothing fits yet."""
    return priced.extra is None and priced.why not in {"", NO_PLAN}


def _difference(then, now):
    """Return by how much one burden is more than another."""
    pairs = zip(vars(then).values(), vars(now).values(), strict=True)
    return type(then)(*(a - b for a, b in pairs))
