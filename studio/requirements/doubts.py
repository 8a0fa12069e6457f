"""Why a requirement set may be the wrong one for an entry, or out of date: the red pencil.

Every page and sheet that doubts a set asks here. Nothing here queries: the set comes with its
requirements, its errata and its instrument, the entry with its assignments.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from planner.readiness.words import day
from studio.requirements.models import Erratum
from studio.requirements.tree import tree, walk

ADVICE = "verify with the institution itself"
NAMED = 2  # pieces in one sentence


@dataclass(frozen=True)
class Doubt:
    """One reason to look again.

    text: for those who teach. part: the same for the player, who cannot put it right. short: for
    a margin. urgent: it may be the wrong music that is practised, and a margin has to say so.
    erratum: the one it is about, or None.
    """

    text: str
    part: str
    short: str
    urgent: bool = True
    erratum: Erratum | None = None


def doubts(entry, today: date, check_days: int, heard: Mapping[int, date]) -> tuple[Doubt, ...]:
    """Return every reason to doubt the set that `entry` goes by; () where there is none.

    check_days: so many days before the audition a check must not be older. heard: the day of the
    teacher's first check by piece key.
    """
    asked = entry.requirement_set
    if asked is None:
        return ()
    found = [_instrument(entry, asked), _season(entry, asked), _check(entry, today, check_days)]
    return (*filter(None, found), *_errata(entry, today, heard))


def look_again_from(entry, today: date, check_days: int) -> date | None:
    """Return the day, still to come, from which the last check will be too old; None: it never is.

    An audition on 6 February with a limit of 30 days wants a check made on 7 January or later. On
    that day an older check becomes a doubt; until then it is none, but the day is told. Without a
    date, or with the audition gone by or decided, a check does not age.
    """
    limit = _limit(entry, today, check_days)
    checked = entry.requirement_set and entry.requirement_set.checked_on
    return limit if limit and checked and checked < limit and today < limit else None


def _limit(entry, today, check_days):
    """The first day of a check that is young enough for the audition."""
    if entry.on is None or _is_over(entry, today):
        return None
    return entry.on - timedelta(days=check_days)


def _is_over(entry, today):
    return not entry.is_live or entry.on is not None and entry.on < today


def _instrument(entry, asked):
    if asked.instrument_id == entry.instrument_id:
        return None
    own = entry.instrument.name
    return Doubt(
        text=f"They are for {asked.instrument}, the entry is on {own}.",
        part=f"These are the requirements of another instrument, not of {own}: {ADVICE}.",
        short="wrong instrument",
    )


def _season(entry, asked):
    season = entry.audition.season
    if asked.season == season:
        return None
    return Doubt(
        text=f"They are those of {asked.season}, the audition is in {season}.",
        part=f"These are the requirements of {asked.season}: {ADVICE}.",
        short="another season’s list",
    )


def _check(entry, today, check_days):
    asked = entry.requirement_set
    limit = _limit(entry, today, check_days)
    due = limit is not None and today >= limit
    if asked.checked_on is None:
        copied = asked.copied_from_id is not None
        begin = "They are copied, and nobody" if copied else "Nobody"
        return Doubt(
            text=f"{begin} has looked at them again yet: {ADVICE}.",
            part=f"Not verified yet: {ADVICE}.",
            short="copied, not verified" if copied else "not verified",
            urgent=due,
        )
    if not due or asked.checked_on >= limit:
        return None
    last = day(asked.checked_on, today)
    return Doubt(
        text=f"Last checked on {last}, more than {check_days} days before the audition: look "
        "again.",
        part=f"Last checked on {last}: {ADVICE} that nothing has changed.",
        short="check too old",
        urgent=False,
    )


def _errata(entry, today, heard):
    """Doubts about corrections that came after a piece was learned and are not passed on yet.

    A piece is learned from the teacher's first check of it on; one that was never checked may have
    been, so it counts as learned before.
    """
    if _is_over(entry, today):
        return
    for erratum in entry.requirement_set.errata.all():
        told = entry.errata_told is not None and erratum.on <= entry.errata_told
        pieces = [] if told else _learned_before(entry, erratum, heard)
        if pieces:
            on, names = day(erratum.on, today), _named(pieces)
            yield Doubt(
                text=f"Corrected on {on}: “{erratum}”. It concerns {names}: pass it on.",
                part=f"Corrected on {on}: “{erratum}”. Ask your teacher about {names}.",
                short="erratum to pass on",
                erratum=erratum,
            )


def _learned_before(entry, erratum, heard):
    """The names of the entry's pieces that `erratum` concerns and that were learned without it."""
    concerned = _concerned(entry.requirement_set, erratum)
    found = {
        str(each.piece): None
        for each in entry.assignments.all()
        if each.requirement_id in concerned and heard.get(each.piece_id, date.min) < erratum.on
    }
    return list(found)


def _named(pieces):
    """Name two pieces at most: the rest is counted."""
    if len(pieces) <= NAMED:
        return " and ".join(pieces)
    return f"{', '.join(pieces[:NAMED])} and {len(pieces) - NAMED} more"


def _concerned(asked, erratum):
    """The keys of the requirements that it is about: one, all in a group, or all of the set."""
    nodes = list(walk(tree(asked.requirements.all())))
    if erratum.requirement_id is not None:
        nodes = [node for node in nodes if node.requirement.pk == erratum.requirement_id]
    return {each.requirement.pk for each in walk(nodes)}
