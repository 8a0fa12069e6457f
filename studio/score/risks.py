"""Who is most at risk of not being ready in time for the next audition, and why."""

from dataclasses import dataclass
from datetime import date, timedelta
from math import prod

from django.urls import reverse

from studio.entries.chances import chance_words
from studio.entries.words import count
from studio.score.players import short_day

MOST = 4  # lines above the score
# Common practice, no source: from this chance on nobody is at risk, and what is not known of an
# audition is a risk of its own in the weeks before it.
LIKELY = 0.8
NEAR = timedelta(weeks=8)
LATE = 0.5  # what is expected after the audition is ready before it in half of all cases at most
SILENT = timedelta(weeks=3)  # a piece unheard for longer is said to be


@dataclass(frozen=True)
class Standing:
    """How one student stands before the next audition with a date.

    chance: 0 to 1 of being ready in time, None: not known. most: what it cannot exceed where only
    some pieces are known, 0 to 1. late: on this pace it is too late.
    """

    key: int
    on: date
    chance: float | None = None
    most: float = 1.0
    late: bool = False

    @property
    def bound(self):
        """The chance, or the most it can be; None: not known."""
        if self.chance is None and self.late:
            return min(self.most, LATE)
        return self.chance


def rank(standings, today):
    """Return the Standings that are at risk, what needs somebody first at the head.

    At risk is who is less likely than LIKELY to be ready, or late; and within NEAR of the audition
    also who may be either, because too little was heard. The lowest chance comes first. One that is
    late without a known chance counts as likely as it can be at most. Whatever is known comes
    before what is not; equals come by date, then by key.
    """
    standings = list(standings)
    known = [each for each in standings if each.bound is not None]
    unknown = [each for each in standings if each.bound is None]
    likely = [each for each in known if each.bound < LIKELY or each.late]
    near = [each for each in unknown if each.on - today <= NEAR]
    return [
        *sorted(likely, key=lambda each: (each.bound, each.on, each.key)),
        *sorted(near, key=lambda each: (each.on, each.key)),
    ]


class Risks:
    """The students of these bridge.Seasons who are most at risk of not being ready in time."""

    def __init__(self, seasons, today):
        by_key = {season.student.pk: season for season in seasons if season.next_entry}
        ranked = rank(map(standing, by_key.values()), today)
        self.lines = [risk(by_key[each.key], each) for each in ranked[:MOST]]
        self.more = max(len(ranked) - MOST, 0)
        self.dated = bool(by_key)

    @property
    def none(self):
        """What to say where nobody is at risk; "" where nobody has an audition with a date."""
        if self.lines or not self.dated:
            return ""
        return "Nobody is at risk: whoever plays in the next eight weeks is likely to be ready."


@dataclass(frozen=True)
class Risk:
    """One line: the student, the next audition, the chance and the reasons in words."""

    name: str
    place: str
    on: date
    chance: str
    why: str
    url: str
    practice: str

    @property
    def day(self):
        """The day in short."""
        return short_day(self.on)


def standing(season):
    """Return the Standing of a bridge.Season that has a next audition."""
    entry, answer = season.next_entry, season.next_answer
    given = {each.piece_id for each in entry.assignments.all()}
    chances = [season.piece_answers[pk].chance for pk in given]
    return Standing(
        key=season.student.pk,
        on=entry.on,
        chance=answer.chance,
        most=prod(chance for chance in chances if chance is not None),
        late=answer.late,
    )


def risk(season, standing):
    """Return the Risk of a season that is at risk."""
    student, entry = season.student, season.next_entry
    words = chance_words(standing.bound)
    if standing.chance is None and words.startswith("about"):
        words = f"at most {words}"
    return Risk(
        name=student.name,
        place=entry.audition.institution.short,
        on=entry.on,
        chance=words or "not known",
        why=_sentence(why(season)),
        url=reverse("readiness", args=[student.pk]),
        practice=reverse("practice", args=[student.pk]),
    )


def why(season):
    """Return what limits the next audition of a season, the most telling first."""
    answer, today = season.next_answer, season.today
    slow = season.piece_answers[int(answer.slowest)] if answer.slowest else None
    reasons = []
    if slow:
        reasons.append(_slow(slow, today))
    elif answer.now is None:
        reasons.append("nothing checked yet")
    if answer.late:
        reasons.append(answer.short)
    if answer.now is not None:
        reasons += _unknown(answer, slow)
    undated = [each.audition.institution.short for each in season.live_entries if not each.on]
    if undated:
        reasons.append(f"no date for {' and '.join(dict.fromkeys(undated))}")
    return reasons


def _slow(piece, today):
    """The piece to see to first, and what holds it back."""
    unheard = today - piece.history[-1][0]
    weeks = f"not heard for {count(unheard.days // 7, 'weeks')}"
    if piece.known == "stale":
        return f"{piece.name}, {weeks}"
    said = f"{piece.name}, {piece.limit_sentence}"
    return f"{said}, {weeks}" if unheard > SILENT and piece.limit != "stale" else said


def _unknown(answer, slow):
    """What is not known beside the slowest piece: the first of it, and how much more."""
    about_slow = f"{slow.name}:" if slow else "\n"
    rest = [each.rstrip(".") for each in answer.unknown if not each.startswith(about_slow)]
    if len(rest) > 1:
        return [f"{rest[0]}, and {len(rest) - 1} more not known"]
    return rest


def _sentence(reasons):
    words = "; ".join(reasons)
    return f"{words[:1].upper()}{words[1:]}." if words else ""
