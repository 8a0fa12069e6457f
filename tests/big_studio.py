"""A studio of any size, built in bulk: for benchmarks, query counts and looking at pages.

Every student has four entries at shared auditions, four pieces with ten weeks of checks, tasks at
each deadline, somebody who writes for them and a day for each entry; the studio has accompanists
and days of its own. All of it is reckoned back and forth from `today`.
"""

from datetime import time, timedelta
from itertools import islice

from studio.accounts.models import Role
from studio.days.models import AuditionDay
from studio.entries.models import Assignment, Entry, LessonCheck, Task
from studio.institutions.models import Deadline, OfferedDate
from studio.requirements.models import Erratum, Kind, Piece, Requirement, RequirementSet
from studio.students.models import Accompanist, DayAway, Instrument, Recommender, Student, StudioDay
from tests.factories import SEASON, AuditionFactory, InstitutionFactory, StudioFactory, seat

PLACES = ("Fairmont", "Lake Ardent", "Hollins Bay", "Norwood", "Carrow", "Arden Hall")
SLOTS = ("Solo", "Lyrical study", "Technical study", "Excerpts")
LINES = (("Trumpet", "brass", 10), ("Horn", "brass", 20), ("Viola", "strings", 60))
ENTRIES_EACH = 4
WEEKS = 10
SEASON_WEEKS = 36


def build(students, today):
    """Return the studio's owner (a Membership); the studio has so many students."""
    studio = StudioFactory(name=f"Studio of {students}", country="US")
    owner = seat(studio, Role.OWNER, name="R. Amadi")
    instruments = Instrument.objects.bulk_create(
        Instrument(studio=studio, name=name, family=family, position=position)
        for name, family, position in LINES
    )
    players = Student.objects.bulk_create(
        Student(
            studio=studio,
            name=f"{'Maximiliana ' * (n % 7 == 0)}Student Number {n}",
            instrument=instruments[n % len(instruments)],
            latitude=41.9,
            longitude=-87.6,
            practice_mon=60,
        )
        for n in range(students)
    )
    offers = [_audition(studio, place, today, weeks) for weeks, place in enumerate(PLACES, start=3)]
    needs = _requirements(offers, instruments, today)
    entries = _entries(players, offers, needs)
    _company(studio, players, today)
    _music(studio, players, entries, needs, today)
    _days(players, entries, today)
    return owner


def _company(studio, players, today):
    """Give every player a recommender, and the studio two accompanists and days of its own."""
    Recommender.objects.bulk_create(
        Recommender(student=player, name="T. Okonjo", role="Band director") for player in players
    )
    concert, _ = StudioDay.objects.bulk_create(
        StudioDay(studio=studio, kind=kind, name=kind, first=on, last=on)
        for kind, on in (
            ("concert", today + timedelta(weeks=4)),
            ("day off", today + timedelta(days=3)),
        )
    )
    concert.students.set(players[1::2])
    Accompanist.objects.bulk_create(
        Accompanist(studio=studio, name=name, most=40) for name in ("C. Ruiz", "D. Lenz")
    )


def _audition(studio, place, today, weeks):
    institution = InstitutionFactory(studio=studio, name=f"{place} School", short_name=place)
    audition = AuditionFactory(institution=institution)
    date = OfferedDate.objects.create(audition=audition, on=today + timedelta(weeks=weeks))
    kinds = ("university application", "music application", "recording")
    deadlines = [
        Deadline(
            audition=audition,
            kind=kind,
            name=kind,
            on=today + timedelta(days=9 * weeks - 40 + 6 * n),
            at=time(23, 59),
            zone="America/New_York",
        )
        for n, kind in enumerate(kinds)
    ]
    return audition, date, Deadline.objects.bulk_create(deadlines)


def _requirements(offers, instruments, today):
    """Return requirements by (audition pk, instrument pk), every other set's inside a choice.

    Two of the three studies are asked for there; nobody plays the third.
    """
    needs = {}
    for n, (audition, _, _) in enumerate(offers):
        for instrument in instruments:
            asked = RequirementSet.objects.create(
                institution=audition.institution, season=SEASON, instrument=instrument
            )
            needs[audition.pk, instrument.pk] = Requirement.objects.bulk_create(
                Requirement(requirement_set=asked, position=place, name=name, weight=place)
                for place, name in enumerate(SLOTS, start=1)
            )
            if n % 2:
                _choice(asked, needs[audition.pk, instrument.pk][1:3], today)
    return needs


def _choice(asked, studies, today):
    asked.together = "different works"
    asked.save()
    choice = Requirement.objects.create(
        requirement_set=asked, position=2, name="Studies", kind=Kind.SOME_OF, at_least=2
    )
    for study in studies:
        study.parent, study.fits = choice, "composer: Invented"
        study.save()
    Requirement.objects.create(
        requirement_set=asked, parent=choice, position=5, name="Third study", kind=Kind.ETUDE
    )
    Erratum.objects.create(
        requirement_set=asked, on=today - timedelta(weeks=5), text="Bar 1: piano, not forte"
    )


def _entries(players, offers, needs):
    rows = []
    for n, player in enumerate(players):
        for audition, date, _ in islice(
            offers * 2, n % len(offers), n % len(offers) + ENTRIES_EACH
        ):
            asked = needs[audition.pk, player.instrument_id][0].requirement_set
            rows.append(
                Entry(
                    student=player,
                    audition=audition,
                    instrument=player.instrument,
                    requirement_set=asked,
                    chosen_date=date,
                    date_state="confirmed",
                )
            )
    entries = Entry.objects.bulk_create(rows)
    deadlines = {audition.pk: rows for audition, _, rows in offers}
    Task.objects.bulk_create(
        Task(entry=entry, deadline=deadline, name=f"Send: {deadline.name}")
        for entry in entries
        for deadline in deadlines[entry.audition_id]
    )
    return entries


def _music(studio, players, entries, needs, today):
    pieces = Piece.objects.bulk_create(
        Piece(studio=studio, composer="Invented", work=f"Study {n}", target_tempo=112, minutes=4)
        for n in range(4 * 8)
    )
    chosen = {player.pk: pieces[4 * (n % 8) : 4 * (n % 8) + 4] for n, player in enumerate(players)}
    Assignment.objects.bulk_create(
        Assignment(entry=entry, requirement=need, piece=piece)
        for entry in entries
        for need, piece in zip(
            needs[entry.audition_id, entry.instrument_id], chosen[entry.student_id], strict=True
        )
    )
    LessonCheck.objects.bulk_create(
        LessonCheck(
            student=player,
            piece=piece,
            on=today - timedelta(weeks=WEEKS - week),
            tempo=70 + week * (2 + n % 3) + (5 * week + n) % 4,
            target=112,
            mark_1=4 + week // 2,
            mark_2=5 + (week + n) % 4,
            memory=("", "not yet", "partly", "secure")[week // 3],
        )
        for n, player in enumerate(players)
        for piece in chosen[player.pk]
        for week in range(WEEKS)
    )


def add_seasons(owner, today, seasons=2):
    """Add weekly checks of so many seasons, this one included, to the students of `build`.

    Seven pieces a season, of which auditions ask for four: about 250 checks a student and season.
    What no audition of today asks for was ready after some 30 weeks. The student logs the four.
    """
    pieces = list(Piece.objects.filter(studio=owner.studio).order_by("pk"))
    rows = []
    for n, player in enumerate(Student.objects.filter(studio=owner.studio).order_by("pk")):
        given = pieces[4 * (n % 8) :] + pieces[: 4 * (n % 8)]
        for piece in given[:4]:
            rows += _weekly(player, piece, today - timedelta(weeks=SEASON_WEEKS), 26, 1.0)
            if seasons > 1:
                rows += _weekly(player, piece, today - timedelta(weeks=SEASON_WEEKS), 36, 1.0, True)
        for piece in given[4:7]:
            rows += _weekly(player, piece, today - timedelta(weeks=SEASON_WEEKS), 36, 1.6 + n % 3)
        for season in range(1, seasons):
            for piece in given[7 * season : 7 * season + 7]:
                first = today - timedelta(weeks=52 * season + SEASON_WEEKS)
                rows += _weekly(player, piece, first, 36, 1.6 + n % 3)
    LessonCheck.objects.bulk_create(rows, 500)


def _weekly(player, piece, first, weeks, pace, own=False):
    source = LessonCheck.Source
    return [
        LessonCheck(
            student=player,
            piece=piece,
            on=first + timedelta(weeks=week),
            source=source.STUDENT if own else source.TEACHER,
            tempo=min(45 + round(pace * week) + 3 * (week * (player.pk + piece.pk) % 3), 114),
            target=112,
            mark_1=None if own else min(4 + week // 5, 10),
            mark_2=None if own else min(5 + week // 6, 10),
            memory="" if own else ("not yet", "partly", "secure")[min(week // 10, 2)],
        )
        for week in range(weeks)
    ]


def _days(players, entries, today):
    AuditionDay.objects.bulk_create(
        AuditionDay(
            entry=entry,
            call=time(9 + n % 8, 10 * (n % 6)),
            minutes=12,
            check_in_place="Lobby",
            warm_up_room="118",
            audition_room="214",
            extras="15:30 Theory test, hall B (45 min)",
            contacts="Desk on the day: 555 0142",
            bring="Originals\nValve oil\nWater",
        )
        for n, entry in enumerate(entries)
    )
    DayAway.objects.bulk_create(
        DayAway(student=player, first=today + timedelta(days=14), last=today + timedelta(days=18))
        for player in players[::3]
    )
