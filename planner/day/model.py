"""What goes into the question of the audition day, and what comes out."""

from dataclasses import dataclass, field, fields
from datetime import date, datetime, time
from enum import StrEnum

from planner import travel
from planner.travel import Place

LONGEST_STEP = 1440  # minutes in a day: anything longer is a slip of the keyboard


class Format(StrEnum):
    """How the panel listens."""

    FACE_TO_FACE = "face to face"
    BLIND = "blind"
    RECORDED = "recorded"


class Key(StrEnum):
    """The steps of a day, in order; extras stand where their time puts them."""

    LEAVE_HOME = "leave_home"
    PARK = "park"
    CHECK_IN = "check_in"
    FIND_ROOMS = "find_rooms"
    WARM_UP = "warm_up"
    WAIT = "wait"
    AUDITION = "audition"
    EXTRA = "extra"


class Certainty(StrEnum):
    """Where the minutes of a step come from."""

    GIVEN = "given"
    DEFAULT = "default"
    ESTIMATED = "estimated"
    UNKNOWN = "unknown"


def _check_minutes(lengths: object) -> None:
    for each in fields(lengths):
        minutes = getattr(lengths, each.name)
        if minutes is not None and not 0 <= minutes <= LONGEST_STEP:
            raise ValueError(f"{each.name}: give minutes from 0 to {LONGEST_STEP}")


@dataclass(frozen=True)
class Usual:
    """The minutes of each step where nobody gave any: common practice, no source.

    Together they bring the student to the desk 45 minutes before the call; institutions ask for
    15 to 45. walk is parking and the way to the desk. Raises ValueError outside 0 to 1440.
    """

    audition: int = 10
    wait: int = 5
    warm_up: int = 20
    find_rooms: int = 10
    check_in: int = 10
    walk: int = 15

    def __post_init__(self):
        _check_minutes(self)


@dataclass(frozen=True)
class Given:
    """The minutes somebody did give for this day, None for the rest; they win over Usual.

    Raises ValueError outside 0 to 1440.
    """

    audition: int | None = None
    wait: int | None = None
    warm_up: int | None = None
    find_rooms: int | None = None
    check_in: int | None = None
    walk: int | None = None

    def __post_init__(self):
        _check_minutes(self)


@dataclass(frozen=True)
class Limits:
    """Where a day becomes too much: common practice, no source.

    longest_warm_up: minutes; a longer one is cut.
    earliest_leaving: home time; leaving before it on the day begs for a night away.
    longest_journey: minutes; a longer one begs for a night away.
    most_clocks_ahead: minutes; from here on, clocks ahead of home beg for a night away.
    Raises ValueError for minutes below 0.
    """

    longest_warm_up: int = 30
    earliest_leaving: time = time(5, 30)
    longest_journey: int = 240
    most_clocks_ahead: int = 120

    def __post_init__(self):
        if min(self.longest_warm_up, self.longest_journey, self.most_clocks_ahead) < 0:
            raise ValueError("a limit cannot be below 0 minutes")


@dataclass(frozen=True)
class Rooms:
    """Where things are, as the institution calls them; None for what is not known.

    parking "" means that nobody parks: they come on foot or are dropped off.
    """

    audition: str | None = None
    warm_up: str | None = None
    check_in: str | None = None
    entrance: str | None = None
    parking: str | None = None


@dataclass(frozen=True)
class Extra:
    """Something else on the programme: a theory test, an interview, a tour.

    at: wall time at the place; None if not known. minutes: None if not known. place: "" if not
    known. on: its date, if that is not the day of the audition.
    Raises ValueError for minutes outside 0 to 1440.
    """

    title: str
    at: time | None = None
    minutes: int | None = None
    place: str = ""
    on: date | None = None

    def __post_init__(self):
        if self.minutes is not None and not 0 <= self.minutes <= LONGEST_STEP:
            raise ValueError(f"{self.title}: give minutes from 0 to {LONGEST_STEP}")


@dataclass(frozen=True)
class Problem:
    """One student's day at one audition. None and "" mean: not known.

    day, call: date and wall time of the first note, at the place.
    home, place: names, points and zones; see planner.travel.
    panel: a few words about who listens.
    check_in_by: wall time at which the institution wants the student at the desk, at the latest.
    arrive_before: minutes before the call at which it wants that; the earlier of the two counts.
    warm_up_from: wall time from which the warm-up room is free.
    own_km, own_minutes: the teacher's own figures for the journey, door to door.
    Raises ValueError for a year outside 1900 to 2200 or minutes outside 0 to 1440.
    """

    day: date
    call: time | None = None
    place: Place = Place("the place")
    home: Place = Place("home")
    format: Format | None = None
    panel: str = ""
    rooms: Rooms = Rooms()
    given: Given = Given()
    check_in_by: time | None = None
    arrive_before: int | None = None
    warm_up_from: time | None = None
    extras: tuple[Extra, ...] = ()
    own_km: float | None = None
    own_minutes: int | None = None
    usual: Usual = Usual()
    limits: Limits = Limits()
    travel_model: travel.Model = field(default_factory=travel.Model)

    def __post_init__(self):
        for day in (self.day, *(extra.on for extra in self.extras if extra.on)):
            if not 1900 <= day.year <= 2200:
                raise ValueError(f"{day.isoformat()}: give a year from 1900 to 2200")
        if self.arrive_before is not None and not 0 <= self.arrive_before <= LONGEST_STEP:
            raise ValueError(f"arrive_before: give minutes from 0 to {LONGEST_STEP}")
        # Checked here already, so that the message comes with the problem and not with the answer.
        travel.Problem(self.home, self.place, None, self.own_km, self.own_minutes)


@dataclass(frozen=True)
class Step:
    """One line of the day.

    starts: aware, in the zone where the student then is; None if it cannot be computed.
    day, wall: the same as date and wall time. Without the place's zone they are still given for
        steps at the place, as the institution writes its times; None where there is no time.
    zone: "EST", or "" if not known.
    other: the wall time of the other end, "07:35 EST", where the clocks differ; else "".
    minutes: how long; None if not known. certainty: whose minutes they are.
    """

    key: Key
    title: str
    detail: str
    starts: datetime | None
    day: date | None
    wall: time | None
    zone: str
    other: str
    minutes: int | None
    certainty: Certainty


@dataclass(frozen=True)
class NightAway:
    """Whether the day begs for a night away; None if that cannot be said. why: sentences."""

    advised: bool | None
    why: tuple[str, ...]


@dataclass(frozen=True)
class Answer:
    """The day.

    steps: in order of time; what has no time stands where it belongs, extras without one last.
    leave_home: aware, home time (the place's if the home zone is not known); arrive: at the
    parking; call, ends: the audition. None for what cannot be computed.
    zone_sentence: "EST, one hour ahead of home", or "".
    hint: what to do before the panel, by the format.
    clashes: what cannot all be done as it stands. notes: what else to know. unknown: what is
    missing, and whom to ask.
    """

    steps: tuple[Step, ...]
    leave_home: datetime | None
    arrive: datetime | None
    call: datetime | None
    ends: datetime | None
    zone_sentence: str
    hint: str
    journey: travel.Answer
    night_away: NightAway
    clashes: tuple[str, ...]
    notes: tuple[str, ...]
    unknown: tuple[str, ...]
