"""What goes into the readiness question and what comes out."""

from dataclasses import dataclass
from datetime import date

from .prior import CARRY_DAYS, Prior, sensible


@dataclass(frozen=True)
class Check:
    """What was heard of one piece on one day: a lesson, a mock audition, a practice log.

    on: the day. tempo: fastest clean tempo, beats a minute, > 0. target: target tempo at that
    time, same beat, > 0. marks: each 0 to 1. memory: 0 not yet, 0.5 partly, 1 secure.
    What was not looked at is None or empty; the last value known then stands.
    """

    on: date
    tempo: float | None = None
    target: float | None = None
    marks: tuple[float, ...] = ()
    memory: float | None = None


@dataclass(frozen=True)
class Piece:
    """One movement, study or excerpt as this student prepares it.

    from_memory: it must be played from memory somewhere. target: today's target tempo, > 0; when
    set, every check is measured against it, so that a raised target doesn't look like a gain.
    """

    key: str
    name: str
    checks: tuple[Check, ...] = ()
    from_memory: bool = False
    target: float | None = None


@dataclass(frozen=True)
class Slot:
    """One requirement of an audition.

    weight: > 0, shared equally by its pieces (piece keys) and those that are still to be chosen
    besides them (lacking, a count; without pieces one is lacking in any case).
    """

    name: str
    weight: float = 1.0
    pieces: tuple[str, ...] = ()
    lacking: int = 0


@dataclass(frozen=True)
class Audition:
    """One audition and what it asks for. on: its day, None when no date is chosen."""

    key: str
    name: str
    on: date | None
    slots: tuple[Slot, ...] = ()


@dataclass(frozen=True)
class Settings:
    """What the studio can set. All defaults are common practice, no source.

    ready_at: readiness in points (0 to 100) from which a piece counts as ready.
    tolerance: how far (0 to 1) one measure alone may stay below its need in a ready piece.
    *_weight: relative weight of each measure; measures never taken are left out.
    *_need: the value of each measure that counts as full: the target tempo itself, a mean mark
        of 0.9, secure memory.
    stale_after_days: from then on a piece loses forgetting_per_day points a day, at most
        forgetting_most; three weeks let a holiday pass.
    carry_days: for so long after a check the gain is taken to go on unheard.
    silent_after_days: with no check for longer than this there is no forecast.
    span_days: checks closer together than this show no pace.
    horizon_days: nothing is forecast further ahead. coverage: share of ranges that should hold.
    ease_days: a chance is that of being ready so many days before the audition.
    prior: what is usual before anything was heard.
    """

    ready_at: float = 95.0
    tolerance: float = 0.1
    tempo_weight: float = 0.5
    marks_weight: float = 0.3
    memory_weight: float = 0.2
    tempo_need: float = 1.0
    marks_need: float = 0.9
    memory_need: float = 1.0
    stale_after_days: int = 21
    forgetting_per_day: float = 0.3
    forgetting_most: float = 30.0
    carry_days: int = CARRY_DAYS
    silent_after_days: int = 42
    span_days: int = 5
    horizon_days: int = 365
    coverage: float = 0.8
    ease_days: int = 3
    prior: Prior = Prior()


@dataclass(frozen=True)
class Problem:
    """One student today: the pieces with their checks, and the auditions that ask for them."""

    today: date
    pieces: tuple[Piece, ...]
    auditions: tuple[Audition, ...] = ()
    settings: Settings = Settings()


@dataclass(frozen=True)
class PieceReadiness:
    """How ready one piece is, when it will be, and how sure that is.

    now: 0 to 100, None with no check. history: (day, points) at each check, nothing forgotten.
    limit: "tempo", "marks", "memory", "stale" or None (ready, or no check); limit_sentence says
    it: "clean at 96 of 112".
    ready_on: expected day; today when ready; None when unknown or not on this pace.
    earliest, latest: its range; latest alone None: open-ended; both None: no range.
    per_week: points gained a week as of the last check, None without a pace.
    chance: 0 to 1 of being ready ease_days before the next audition that asks for it, None
    without one or when unknown.
    known: "no checks", "one check" (or several too close together for a pace), "forecast",
    "ready", "not gaining", "stale" (no forecast until it is heard again) or "part checked"
    (ready by all that was checked, but memory is needed and never was).
    band: (day, low, middle, high) from today on in steps of a week, straight lines between: the
    level of its points, 0 to 100, with the range of Settings.coverage, to eight weeks after the
    last dated audition that asks for it. The middle reaches ready_at on ready_on, the edges on
    earliest and latest. () but for "forecast" and "not gaining", and where the points are there
    and one measure alone is missing.
    """

    key: str
    name: str
    now: float | None
    history: tuple[tuple[date, float], ...]
    limit: str | None
    limit_sentence: str
    ready_on: date | None
    earliest: date | None
    latest: date | None
    per_week: float | None
    known: str
    sentence: str
    chance: float | None = None
    band: tuple[tuple[date, float, float, float], ...] = ()


@dataclass(frozen=True)
class SlotReadiness:
    """How ready a student is for one requirement: as of an audition that asks for it alone."""

    name: str
    now: float | None
    covered: float
    ready_on: date | None
    earliest: date | None
    latest: date | None
    chance: float | None
    slowest: str | None


@dataclass(frozen=True)
class AuditionReadiness:
    """How ready a student is for one audition.

    now: 0 to 100, weighted over the pieces that were checked; covered: the share of the weight
    (0 to 1) that these have. ready_on, earliest, latest: the latest of its pieces' own; None if
    any has none. days_in_hand: on minus ready_on, negative when short. late: True when what is
    known already shows that it won't be ready in time. chance: 0 to 1 that every piece is ready
    ease_days before `on`, taking pieces as independent; None when any is unknown. slowest: a
    piece's key. slots: the same figures for each requirement, in order.
    history: (day, points) at each check of its pieces and today, each as `now` would have been
    on that day. forecast: (day, points) from today on, straight lines between; () if there is
    none. unknown: what isn't known, a sentence each. short: for a margin, "5 days in hand".
    """

    key: str
    name: str
    on: date | None
    now: float | None
    covered: float
    ready_on: date | None
    earliest: date | None
    latest: date | None
    days_in_hand: int | None
    late: bool
    chance: float | None
    slowest: str | None
    history: tuple[tuple[date, float], ...]
    forecast: tuple[tuple[date, float], ...]
    unknown: tuple[str, ...]
    sentence: str
    short: str
    slots: tuple[SlotReadiness, ...] = ()


@dataclass(frozen=True)
class Answer:
    """Readiness of every piece and audition, in the problem's order.

    now: that of the next audition (`next`: key of the earliest from today on); without one the
    mean of the pieces that were checked. notes: what was assumed and what was left out.
    chance, ready_on, earliest, latest, slowest: the student's, those of the next audition.
    """

    pieces: tuple[PieceReadiness, ...]
    auditions: tuple[AuditionReadiness, ...]
    now: float | None
    next: str | None
    notes: tuple[str, ...]
    chance: float | None = None
    ready_on: date | None = None
    earliest: date | None = None
    latest: date | None = None
    slowest: str | None = None


def validate(problem: Problem) -> None:
    """Raise ValueError, saying what to change, unless the problem makes sense."""
    _check_settings(problem.settings)
    keys = _unique([piece.key for piece in problem.pieces], "pieces")
    _unique([audition.key for audition in problem.auditions], "auditions")
    for piece in problem.pieces:
        if piece.target is not None and not piece.target > 0:
            raise ValueError(f"{piece.name}: the target tempo must be above 0, not {piece.target}")
        for check in piece.checks:
            _check_values(piece, check)
    for audition in problem.auditions:
        for slot in audition.slots:
            where = f"{audition.name}, {slot.name}"
            if not slot.weight > 0:
                raise ValueError(f"{where}: the weight must be above 0, not {slot.weight}")
            missing = [key for key in slot.pieces if key not in keys]
            if missing:
                raise ValueError(f'{where}: no piece has the key "{missing[0]}"')
            _unique(slot.pieces, f"the pieces of {where}")


def _unique(keys, what):
    if len(set(keys)) < len(keys):
        twice = next(key for key in keys if list(keys).count(key) > 1)
        raise ValueError(f'{what}: the key "{twice}" occurs more than once')
    return set(keys)


def _check_values(piece: Piece, check: Check) -> None:
    where = f"{piece.name}, check of {check.on.isoformat()}"
    for word, value in (("clean tempo", check.tempo), ("target tempo", check.target)):
        if value is not None and not 0 < value < float("inf"):
            raise ValueError(f"{where}: the {word} must be above 0, not {value}")
    for mark in check.marks:
        if not 0 <= mark <= 1:
            raise ValueError(f"{where}: a mark must be 0 to 1, not {mark}")
    if check.memory is not None and not 0 <= check.memory <= 1:
        raise ValueError(f"{where}: memory must be 0 to 1, not {check.memory}")


def _check_settings(settings: Settings) -> None:
    weights = (settings.tempo_weight, settings.marks_weight, settings.memory_weight)
    needs = (settings.tempo_need, settings.marks_need, settings.memory_need)
    losses = (settings.forgetting_per_day, settings.forgetting_most)
    for good, message in (
        (0 < settings.ready_at <= 100, "ready_at must be above 0 and at most 100"),
        (0 <= settings.tolerance <= 1, "the tolerance must be 0 to 1"),
        (min(weights) > 0, "each weight must be above 0"),
        (min(needs) > 0, "each need must be above 0"),
        (min(losses) >= 0, "forgetting must be 0 or more"),
        (0 < settings.coverage < 1, "the coverage must be between 0 and 1"),
        (settings.horizon_days >= 1, "the horizon must be a day or more"),
        (settings.span_days >= 1, "the span must be a day or more"),
        (settings.ease_days >= 0, "the days of ease must be 0 or more"),
        (
            sensible(settings.prior),
            "each scale, doubt and weight of the prior must be above 0, none above 1000",
        ),
    ):
        if not good:
            raise ValueError(f"settings: {message}")
