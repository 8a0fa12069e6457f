"""What an accompanist sees: the days on which they play, and what; nothing else of a student."""

from dataclasses import dataclass

from django.http import Http404
from django.shortcuts import render
from django.views.decorators.http import require_safe

from planner.deadlines.wording import listed
from studio.accounts.access import NOT_FOUND, accompanied
from studio.accounts.models import Role
from studio.accounts.words import long_date
from studio.days import queries
from studio.entries.checklist import clock
from studio.entries.models import Entry
from studio.requirements.models import Piano


@dataclass(frozen=True)
class Playing:
    """One audition at the piano. facts: (label, words) of what is known of the day."""

    date: str
    place: str
    student: str
    instrument: str
    state: str
    facts: tuple
    pieces: tuple


@require_safe
def accompanying(request):
    """The auditions ahead that the asker plays for, by date; those without a date last."""
    if request.who is None or request.who.role != Role.ACCOMPANIST:
        raise Http404(NOT_FOUND)
    season = request.who.studio.season
    live = {"audition__season": season, "result__in": queries.LIVE}
    mine = accompanied(request.who).filter(**live).values("pk")
    rows = [entry for entry in queries.day_entries().filter(pk__in=mine) if _is_ahead(entry)]
    rows.sort(key=lambda entry: (entry.on is None, entry.on))
    context = {"title": "At the piano", "playing": [playing(row, rows) for row in rows]}
    return render(request, "days/accompanying.html", context)


def _is_ahead(entry):
    return entry.on is None or entry.on >= entry.student.studio.today


def playing(entry, rows):
    """Return what an accompanist is told of an entry; rows: all that they play for."""
    day, place = getattr(entry, "day", None), entry.audition.institution
    facts = [("Audition at", day and day.call and f"{clock(day.call)}, time of the place")]
    facts += [(name, day and getattr(day, key)) for name, key in ROOMS]
    facts.append(("Also on that day", _elsewhere(entry, rows)))
    asked = entry.requirement_set.requirements.all() if entry.requirement_set else ()
    said = {row.pk: row.piano for row in asked}
    pieces = {each.piece: _piano(each, said) for each in entry.assignments.all()}
    return Playing(
        date=long_date(entry.on) if entry.on else "No date yet",
        place=place.name,
        student=entry.student.called,
        instrument=entry.instrument.name,
        state="" if entry.date_state == Entry.DateState.CONFIRMED else DATE_STATES[bool(entry.on)],
        facts=tuple((name, words) for name, words in facts if words),
        pieces=tuple(_piece(piece, pieces[piece]) for piece in sorted(pieces, key=_later(pieces))),
    )


def _elsewhere(entry, rows):
    """Return where else one has to play on the same day, and that this is not settled."""
    others = {
        row.audition.institution.name
        for row in rows
        if entry.on
        and row.on == entry.on
        and row.audition.institution != entry.audition.institution
    }
    return others and f"{listed(sorted(others))}: ask the teacher how both can be"


ROOMS = (
    ("Check-in", "check_in_place"),
    ("Warm-up room", "warm_up_room"),
    ("Audition room", "audition_room"),
    ("Panel", "panel"),
)
DATE_STATES = {True: "not confirmed yet: book nothing", False: ""}


PIANO_FIRST = (Piano.WITH, Piano.UNSTATED, Piano.WITHOUT)


def _piano(given, said):
    """Return whether the piano plays along: as the requirement says it, or else the piece."""
    asked = said.get(given.requirement_id, Piano.UNSTATED)
    return Piano(given.piece.piano if asked == Piano.UNSTATED else asked)


def _later(pieces):
    return lambda piece: PIANO_FIRST.index(pieces[piece])


def _piece(piece, piano):
    tempo = piece.target_tempo and f"{piece.beat or 'beat'} = {piece.target_tempo}"
    minutes = piece.minutes and f"{float(piece.minutes):g} min"
    along = "" if piano == Piano.UNSTATED else piano.label.lower()
    return str(piece), ", ".join(filter(None, (along, piece.edition, tempo, minutes)))
