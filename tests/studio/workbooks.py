"""Workbooks made up for tests, and a studio with something in every field."""

import csv
import io
from datetime import date, time
from decimal import Decimal

import openpyxl

from studio.accounts.models import Studio
from studio.entries.opening import open_studio
from studio.workbook.files import read_files
from studio.workbook.plan import plan
from studio.workbook.writing import tables, write_csvs, write_xlsx, write_zip
from tests import factories as make

STUDENTS = [["student", "instrument"], ["Sam Reyes", "Horn"], ["Mia Okafor", "Horn"]]
INSTRUMENTS = [["instrument", "family", "position"], ["Horn", "brass", 200]]
INSTITUTIONS = [["institution", "time zone"], ["Fairmont", "America/New_York"]]
AUDITIONS = [["institution", "season", "audition"], ["Fairmont", "2026–27", "BMus"]]
PIECES = [["composer", "work"], ["Invented", "Study 1"]]
EMPTY_STUDIO = {"season": make.SEASON, "time_zone": "America/Chicago", "bare": True}
WRITERS = {
    "xlsx": lambda studio: [("season.xlsx", write_xlsx(studio))],
    "zip": lambda studio: [("season.zip", write_zip(studio))],
    "csv": write_csvs,
}


def empty_studio(name="New Studio"):
    return open_studio(name=name, **EMPTY_STUDIO).studio


def xlsx(**sheets):
    """Return [(name, bytes)] of an .xlsx; a sheet is a list of rows."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        page = book.create_sheet(name.replace("_", " "))
        for row in rows:
            page.append(row)
    return [("season.xlsx", saved(book))]


def saved(book):
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def csv_file(name, rows, encoding="utf-8", delimiter=","):
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=delimiter).writerows(rows)
    return (f"{name}.csv", out.getvalue().encode(encoding))


def base(**sheets):
    """Return the files of a small sound workbook with some sheets replaced or added."""
    return xlsx(**{"instruments": INSTRUMENTS, "students": STUDENTS} | sheets)


def planned(files, studio=None):
    return plan(studio or empty_studio(), read_files(files))


def told(files, studio=None):
    """Return the problems of loading `files` as (sheet, row, column, value) and their advice."""
    problems = planned(files, studio).problems
    places = [(p.sheet, p.row, p.column, p.value) for p in problems]
    return places, " ".join(p.advice for p in problems)


def contents(studio):
    """Return every cell of the studio's workbook."""
    studio = Studio.objects.get(pk=studio.pk)
    return {sheet.name: rows for sheet, rows in tables(studio)}


def rich_studio():
    """Return a studio in which every field that the workbook knows holds something somewhere."""
    studio = open_studio(
        name="Quayside Brass Studio", season=make.SEASON, time_zone="America/Chicago"
    ).studio
    horn = studio.instruments.get(name="Horn")
    horns = make.InstrumentFactory(studio=studio, name='Horn; natural, "in D"', position=205)
    sam = make.StudentFactory(
        studio=studio,
        name="Sam Reyes",
        known_as="Sam",
        instrument=horn,
        school_year="=11",
        email="sam@studio.example",
        time_zone="America/New_York",
        since=date(2023, 9, 4),
        lesson_day=0,
        lesson_at=time(16, 30),
        at_school=False,
        practice_sun=95,
        latitude=41.878113,
        longitude=-87.6,
        notes="-1 lesson\n@home, says “hm”\n\n'til May",
    )
    sam.also_plays.add(horns, studio.instruments.get(name="Trumpet"))
    mia = make.StudentFactory(studio=studio, name="Mia Ökáfor-Đặng", instrument=horns)
    make.DayAwayFactory(student=sam, kind="exam")
    make.GuardianFactory(
        studio=studio,
        name="P. Reyes",
        email="p@home.example",
        phone="+1 555 0142",
        ticks=True,
        students=[sam, mia],
    )
    pianist = _people(studio, sam, mia)
    entry = make.full_entry(sam)
    place, audition = entry.audition.institution, entry.audition
    _fill(
        place,
        short_name="Fairmont",
        kind="school of music",
        website="https://fairmont.example/",
        links="Auditions https://fairmont.example/a\nHotel https://b.example",
        notes="+ parking",
        part_of=make.InstitutionFactory(studio=studio, name="University of Fairmont"),
    )
    _fill(
        audition,
        format="blind",
        date_choice="ranked",
        results_on=date(2027, 3, 1),
        notes="None",
        reply_by=date(2027, 4, 15),
        link="https://fairmont.example/b",
    )
    _fill_dates(entry)
    recording = audition.deadlines.get()
    make.DeadlineFactory(
        audition=audition,
        name="Recording",
        kind="recording",
        at=None,
        zone="",
        notes="one file",
        opens_on=date(2026, 9, 1),
        opens_after=recording,
        link="https://fairmont.example/r",
        round="early",
        late_until=date(2026, 12, 8),
        late_terms="=with a fee of 30",
        cost=Decimal("75.50"),
    )
    _fill(entry.chosen_date, starts=time(8, 30), ends=time(17), place="Arden Hall", notes="Sat")
    entry.chosen_date.instruments.add(horn, horns)
    asked = entry.requirement_set
    _fill(
        asked,
        level="undergraduate",
        source="https://fairmont.example/s",
        checked_by="Ines",
        checked_on=date(2026, 10, 2),
        reuse="yes",
        again="must not",
        together="minutes: at most 10; different composers",
        rubric="tone: 20; scales: 15, at least 7; memory slips: minus 2 each; pass: 25",
        notes="Repeats\nas printed",
    )
    make.RequirementSetFactory(institution=place, instrument=horns, degree="")
    bundle, choice = (
        make.RequirementFactory(
            requirement_set=asked, position=at, name=name, kind=kind, round="screening"
        )
        for at, name, kind in ((8, "All", "all of"), (9, "Solo or studies", "some of"))
    )
    _fill(choice, parent=bundle)
    solo = make.RequirementFactory(
        requirement_set=asked,
        parent=choice,
        position=7,
        name="Solo",
        kind="solo",
        round="screening",
        at_least=2,
        at_most=3,
        minutes=Decimal("2.5"),
        memory="yes",
        piano="with piano",
        fits="composer: Mozart or Haydn; section: first movement",
        together="contrasting; different composers",
        scales="major: to 4; octaves: 2; from memory",
        keys_at="concert",
        study_seconds=90,
        weight=4,
        details="First movement",
    )
    make.ErratumFactory(requirement_set=asked, requirement=solo, source="https://b.example/e")
    make.ErratumFactory(requirement_set=asked, text="= Page 3 is missing")
    piece = make.PieceFactory(
        studio=studio,
        composer="",
        work="@Fanfare",
        section="II",
        instrument=horns,
        kind="solo",
        book="Sixty, vol. 1",
        genre="fanfare",
        period="1750",
        year=1750,
        character="lyrical",
        language="none",
        level=3,
        bars="1 to 64",
        minutes=Decimal("4.0"),
        piano="without piano",
        edition="blue",
        hours=Decimal("12.5"),
        target_tempo=96,
        beat="quarter",
        notes="C or c",
    )
    make.JudgementFactory(requirement=solo, piece=piece, fits=False, reason="too short")
    make.JudgementFactory(requirement=solo, piece=entry.assignments.first().piece)
    make.WishFactory(student=sam, piece=piece, word="leave")
    mute = make.TaskFactory(
        entry=entry,
        name="Buy mute",
        doer="teacher",
        state="done",
        done_on=date(2026, 11, 2),
        note="=2+2",
    )
    drawn = entry.tasks.filter(deadline=recording).first()
    _fill(drawn, lead=14, lead_unit="working days", takes=3, after=mute)
    make.LeadTimeFactory(
        studio=studio,
        kind="audition day",
        of="school of music",
        after="Do step 1",
        needs="date confirmed",
        shared=True,
    )
    _recordings(entry, piece)
    _fill(
        sam.checks.first(),
        mark_1=7,
        mark_2=8,
        mark_3=9,
        mark_4=10,
        memory="partly",
        note="-",
        source="student",
    )
    make.PracticeLogFactory(student=sam, piece=piece)
    make.PracticeLogFactory(student=sam, entry=entry)
    make.PracticeLogFactory(student=sam)
    make.PracticeDayFactory(student=sam)
    make.KeyCheckFactory(student=sam, sort="harmonic minor", tonic="F#", source="student")
    make.KeyCheckFactory(student=sam)
    _fill_day(entry.day)
    _fill(
        entry,
        result="next round",
        result_on=date(2027, 2, 20),
        waiting_place=3,
        reply="declined",
        replied_on=date(2027, 3, 2),
        round="early",
        accompanist=pianist,
        teacher_comes=True,
        journey_minutes=95,
        journey_cost=40_000,
        kept=False,
        worth=9,
        errata_told=date(2026, 11, 23),
        notes="=HYPERLINK(1)",
    )
    make.TrialLessonFactory(
        student=sam,
        institution=place,
        reply="yes",
        on=date(2026, 12, 4),
        at=time(11, 15),
        held=True,
        cost=Decimal("60.25"),
        worked_on="Tone",
        questions="How many horns?\nWho plays first?",
        impressions="=kind",
    )
    _errands(sam, drawn)
    make.EntryFactory(
        student=mia,
        requirement_set=None,
        chosen_date=None,
        date_state="open",
        audition=make.AuditionFactory(institution__studio=studio, season="2027"),
    )
    return studio


def _people(studio, sam, mia):
    """Give the studio an accompanist, days of its own and somebody who writes; return the first."""
    pianist = make.AccompanistFactory(
        studio=studio, email="p@studio.example", phone="+1 555 0101", most=4, notes="Not Sundays"
    )
    make.StudioDayFactory(
        studio=studio, kind="accompanist away", accompanist=pianist, last=date(2027, 2, 14)
    )
    concert = make.StudioDayFactory(
        studio=studio, starts=time(18), ends=time(20, 30), notes="@Arden Hall"
    )
    concert.students.add(sam, mia)
    make.RecommenderFactory(student=sam, is_ours=True, email="r@studio.example")
    return pianist


def _fill_dates(entry):
    """Offer a second date and a deadline that is counted from the date; wish for both dates."""
    audition = entry.audition
    other = make.OfferedDateFactory(
        audition=audition, on=date(2027, 3, 6), book_by=date(2027, 1, 15), full=True
    )
    make.DateWishFactory(entry=entry, date=entry.chosen_date, rank=2)
    make.DateWishFactory(entry=entry, date=other, rank=None, word="leave")


def _recordings(entry, piece):
    rules = make.RecordingRulesFactory(
        requirement_set=entry.requirement_set,
        files="one file",
        fixed_order="yes",
        editing="no",
        piano="with piano",
        video="yes",
        camera="Fixed",
        speaking="no",
        names="no",
        max_minutes=20,
        notes="No hall",
    )
    pieces = [piece, *make.PieceFactory.create_batch(2, studio=entry.student.studio)]
    pieces[1].work = 'Airs; for "horn" | and piano, op. 2'
    pieces[1].save()
    take = make.TakeFactory(
        entry=entry,
        rules=rules,
        pieces=pieces,
        piano="yes",
        edited="no",
        minutes=Decimal("11.5"),
        order_seen=True,
        camera_seen=True,
        silence_seen=True,
        names_seen=True,
        chosen=True,
        sent_on=date(2026, 11, 30),
        note="Take 3",
    )
    make.HearingFactory(
        entry=entry,
        kind="recording",
        heard_by="=Both",
        take=take,
        pieces=pieces[:2],
        points="tone: 15; scales: 6; memory slips: 1",
        note="'Better",
    )
    make.HearingFactory(entry=entry, heard_by="", points="")


def _errands(student, drawn):
    """Let tasks wait for those of another entry: one of a deadline, one of the day."""
    other = make.EntryFactory(student=student)
    letter = make.TaskFactory(
        entry=other,
        name=drawn.name,
        shared=True,
        needs="pieces ready",
        after=drawn,
        recommender=student.recommenders.get(),
    )
    make.TaskFactory(entry=other, name="Book the train", on=None, of_day=True, after=letter)
    days_before = make.DeadlineFactory(
        audition=other.audition,
        name="Repertoire list",
        on=None,
        before=7,
        before_unit="working days",
    )
    make.TaskFactory(entry=other, name="Write the list", on=None, deadline=days_before)


def _fill(row, **values):
    for name, value in values.items():
        setattr(row, name, value)
    row.save()


def _fill_day(day):
    _fill(
        day,
        check_in_by=time(10, 10),
        entrance="North door",
        parking="P2",
        walk_minutes=6,
        warm_up_room="B12",
        warm_up_from=time(9, 45),
        warm_up_minutes=25,
        audition_room="204",
        panel="three",
        travel_minutes=140,
        travel_km=210,
        contacts="Desk: 555 0142",
        extras="11:30 Theory test, hall B (45 min)",
        bring="Oil\nMute",
        notes="Back by six",
    )
