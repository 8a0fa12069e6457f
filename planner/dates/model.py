"""What goes into the question of dates, and what comes out. Money is in whole units."""

from dataclasses import dataclass, field
from datetime import date, datetime, time
from enum import StrEnum

from planner.travel import Model as RoadModel
from planner.travel import Place

HOME = ""  # the key of home among the stops


@dataclass(frozen=True)
class Offer:
    """A date on which an institution would hear the player.

    key: unique in the whole problem. starts, ends: wall times at the place; None where not stated,
    and then the whole day is taken (settings.day_starts to settings.day_ends). window: they are
    those of the institution's day, in which the player will be called some time; else the player's.
    book_by: the last day on which it can still be had. place: where it is another place than the
    institution's. rank: the student's own order of the dates, 1 is best, None is not ranked.
    """

    key: str
    on: date
    starts: time | None = None
    ends: time | None = None
    book_by: date | None = None
    place: Place | None = None
    rank: int | None = None
    window: bool = False


@dataclass(frozen=True)
class Audition:
    """One institution's audition with the dates that it offers.

    site: the same for auditions at the same institution. fixed: key of the offer that is assigned
    or confirmed; the others are then not looked at. kept: whether the plan is to hold it.
    worth: what it is worth to the student, 1 to 10. ready_on: from which day its music is
    expected to be ready; None where nobody knows. An audition whose fixed date lies before today
    is over: it has no part in the plan.
    """

    key: str
    name: str
    place: Place
    offers: tuple[Offer, ...]
    site: str = ""
    fixed: str | None = None
    kept: bool = True
    worth: int = 5
    ready_on: date | None = None


@dataclass(frozen=True)
class Own:
    """The teacher's own figures for one way between two stops, used in both directions.

    start, end: keys of auditions, or HOME; a date at another place than the institution's has no
    own figures. minutes: door to door. money: for one way.
    """

    start: str
    end: str
    minutes: int | None = None
    money: int | None = None


@dataclass(frozen=True)
class Closed:
    """Days, first to last, on which the student can be nowhere else: away, exams, a concert."""

    first: date
    last: date
    name: str


@dataclass(frozen=True)
class Weights:
    """What the family would pay, in money, to be spared one of each.

    hour: on the way. night: away, besides the room. school_day: missed. They are the teacher's to
    set; the defaults are common practice, no source.
    """

    hour: int = 12
    night: int = 40
    school_day: int = 60


@dataclass(frozen=True)
class Settings:
    """How one travels. All defaults: common practice, no source; the teacher sets them.

    leave_from: no journey begins earlier in the day, by the clocks at its start. home_by: nobody
    comes home later, by the clocks at home; a journey that would is made the next day, from
    leave_from on. Nor does anybody set out from home later, or come later to where a night is
    slept before an audition. A way that is longer than from leave_from to home_by takes more days,
    with the nights between away.
    margin_minutes: between arrival and the first note. long_minutes, zone_hours: after a journey
    that is longer, or that crosses as many hours of clocks, a night is slept at the place before
    the audition. rest_minutes: at home between two journeys.
    gap_days: how many days at most one stays out between two auditions without going home.
    fly: whether flying is thought of, from fly_from_km on (great circle); fly_fixed_minutes for
    the ways to and from the airports and the waiting, fly_km_per_hour in the air; fly_money and
    fly_money_per_1000_km are for one way. km_money: of 100 km by road. night_money: a room.
    day_starts, day_ends: of an audition whose times are not stated.
    school_from, school_to: by the clocks at home; a school day counts as missed when the student
    is away during any of it.
    """

    leave_from: time = time(6, 0)
    home_by: time = time(23, 0)
    margin_minutes: int = 60
    long_minutes: int = 240
    zone_hours: int = 2
    rest_minutes: int = 480
    gap_days: int = 3
    fly: bool = True
    fly_from_km: int = 500
    fly_fixed_minutes: int = 270
    fly_km_per_hour: int = 750
    fly_money: int = 120
    fly_money_per_1000_km: int = 80
    km_money: int = 25
    night_money: int = 110
    day_starts: time = time(9, 0)
    day_ends: time = time(17, 0)
    school_from: time = time(8, 0)
    school_to: time = time(15, 0)
    road: RoadModel = field(default_factory=RoadModel)


@dataclass(frozen=True)
class Problem:
    """One student's auditions and the dates on offer.

    home: with its point and zone. pinned: offers that have to be taken; banned: that must not be;
    preferred: that are liked better than others, at no price. closed: days that are taken.
    school_weekdays: Monday is 0; empty for somebody who goes to no school. school_off: days
    without school. explain: whether to work out second best, prices and ways out too.
    seconds: for the whole answer; what the clock cuts short is said to be unproven.
    """

    today: date
    home: Place
    auditions: tuple[Audition, ...]
    pinned: tuple[str, ...] = ()
    banned: tuple[str, ...] = ()
    preferred: tuple[str, ...] = ()
    closed: tuple[Closed, ...] = ()
    school_weekdays: tuple[int, ...] = (0, 1, 2, 3, 4)
    school_off: tuple[date, ...] = ()
    own: tuple[Own, ...] = ()
    weights: Weights = Weights()
    settings: Settings = Settings()
    explain: bool = True
    seconds: float = 8.0


class Mode(StrEnum):
    """How one travels."""

    ROAD = "by road"
    AIR = "by air"
    OWN = "as the teacher wrote"


@dataclass(frozen=True)
class Hop:
    """One way between two stops. start, end: keys of auditions, or HOME.

    leave, arrive: aware, by the clocks at the start and at the end.
    """

    start: str
    end: str
    leave: datetime
    arrive: datetime
    minutes: int
    mode: Mode
    money: int


@dataclass(frozen=True)
class Trip:
    """From home to home. auditions: keys, in order. school_days: those missed.

    saved: what it costs less, in points, than if each of its auditions were a trip of its own;
    0 for one audition.
    """

    hops: tuple[Hop, ...]
    auditions: tuple[str, ...]
    nights: int
    money: int
    school_days: tuple[date, ...]
    saved: int = 0


@dataclass(frozen=True)
class Burden:
    """What a plan asks of the family. minutes: on the way. points: all of it in the weights,
    money + hours x Weights.hour + nights x Weights.night + school days x Weights.school_day,
    rounded to whole numbers way by way."""

    minutes: int = 0
    money: int = 0
    nights: int = 0
    school_days: int = 0
    points: int = 0


@dataclass(frozen=True)
class Choice:
    """The offer taken for an audition. short_days: how many days before its music is expected to
    be ready; 0 where it is ready or nobody knows."""

    audition: str
    offer: str
    on: date
    short_days: int = 0


@dataclass(frozen=True)
class Plan:
    """Which dates, and the journeys. choices: in order of time. dislike: how far the choices are
    from the ranked, preferred and ready ones; plans of equal points are told apart by it."""

    choices: tuple[Choice, ...]
    trips: tuple[Trip, ...]
    burden: Burden
    dislike: int


@dataclass(frozen=True)
class Price:
    """What one date on offer costs. extra: by how many points the best plan with it is dearer than
    the best of all, 0 for those in it; None if there is no plan with it, or it was not worked out
    in time. more: the difference in burden, for words. why: a sentence where it cannot be had."""

    audition: str
    offer: str
    extra: int | None
    more: Burden | None = None
    why: str = ""


@dataclass(frozen=True)
class WayOut:
    """One smallest change after which there is a plan. kind: "leave out" (an audition), "open"
    (closed days), "free" (a fixed, pinned or banned date), "late" (a date whose booking has
    passed). keys: of auditions or offers; names of closed days. points: of the best plan then.
    sentence: says what to do."""

    kind: str
    keys: tuple[str, ...]
    points: int
    sentence: str


@dataclass(frozen=True)
class Answer:
    """The dates to take.

    plan: None if nothing fits. proven: there is no better one (or, with plan None, none at all).
    bound: no plan has fewer points; equal to the plan's when proven.
    second: the best plan with at least one other date, and second_extra what it costs more.
    prices: one for each offer of the kept auditions, in their order. conflict: keys of a smallest
    group of auditions that do not go together, or () . ways_out: cheapest first.
    sentence: what to tell somebody. reasons: how it came about. notes: what to be careful about.
    """

    plan: Plan | None
    proven: bool
    bound: int
    second: Plan | None
    second_extra: int | None
    prices: tuple[Price, ...]
    conflict: tuple[str, ...]
    ways_out: tuple[WayOut, ...]
    sentence: str
    reasons: tuple[str, ...]
    notes: tuple[str, ...]
