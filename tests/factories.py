"""Invented rows for tests. Everything belongs to the studio that is given, or to a new one."""

from datetime import date, time, timedelta

import factory
from allauth.usersessions.models import UserSession
from factory.django import DjangoModelFactory

from studio.accounts.models import Membership, Role, Studio, User
from studio.days.models import AuditionDay
from studio.entries.models import (
    Assignment,
    DateWish,
    Entry,
    Hearing,
    KeyCheck,
    LeadTime,
    LessonCheck,
    PracticeDay,
    PracticeLog,
    Take,
    Task,
    TrialLesson,
    Wish,
)
from studio.institutions.models import Audition, Deadline, Institution, OfferedDate
from studio.requirements.models import (
    Erratum,
    Judgement,
    Piece,
    RecordingRules,
    Requirement,
    RequirementSet,
)
from studio.students.models import (
    Accompanist,
    DayAway,
    Guardian,
    Instrument,
    Recommender,
    Student,
    StudioDay,
)

SEASON = "2026–27"


class UserFactory(DjangoModelFactory):
    class Meta:
        model = User
        skip_postgeneration_save = True

    name = factory.Sequence(lambda n: f"Person {n}")
    email = factory.Sequence(lambda n: f"person{n}@studio.example")
    password = factory.django.Password("a long enough secret")


class StudioFactory(DjangoModelFactory):
    class Meta:
        model = Studio

    name = factory.Sequence(lambda n: f"Studio {n}")
    season = SEASON
    time_zone = "America/Chicago"


class MembershipFactory(DjangoModelFactory):
    class Meta:
        model = Membership

    studio = factory.SubFactory(StudioFactory)
    user = factory.SubFactory(UserFactory)
    role = Role.TEACHER


class UserSessionFactory(DjangoModelFactory):
    class Meta:
        model = UserSession

    user = factory.SubFactory(UserFactory)
    session_key = factory.Sequence(lambda n: f"{n:032}")
    ip = "192.0.2.1"
    user_agent = "Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0"


class InstrumentFactory(DjangoModelFactory):
    class Meta:
        model = Instrument
        django_get_or_create = ("studio", "name")

    studio = factory.SubFactory(StudioFactory)
    name = "Horn"
    family = "brass"
    position = 200
    semitones = -7


class StudentFactory(DjangoModelFactory):
    class Meta:
        model = Student

    studio = factory.SubFactory(StudioFactory)
    name = factory.Sequence(lambda n: f"Student Number{n}")
    instrument = factory.SubFactory(InstrumentFactory, studio=factory.SelfAttribute("..studio"))
    town = "Harbour Falls"
    latitude = 41.88
    longitude = -87.63
    practice_mon = 60


class DayAwayFactory(DjangoModelFactory):
    class Meta:
        model = DayAway

    student = factory.SubFactory(StudentFactory)
    first = date(2026, 12, 24)
    last = date(2027, 1, 2)
    reason = "Family"


class AccompanistFactory(DjangoModelFactory):
    class Meta:
        model = Accompanist

    studio = factory.SubFactory(StudioFactory)
    name = factory.Sequence(lambda n: f"Pianist {n}")


class GuardianFactory(DjangoModelFactory):
    class Meta:
        model = Guardian
        skip_postgeneration_save = True

    studio = factory.SubFactory(StudioFactory)
    name = factory.Sequence(lambda n: f"Parent {n}")

    @factory.post_generation
    def students(self, create, extracted, **_):
        if create and extracted:
            self.students.set(extracted)


class StudioDayFactory(DjangoModelFactory):
    class Meta:
        model = StudioDay
        skip_postgeneration_save = True

    studio = factory.SubFactory(StudioFactory)
    kind = "concert"
    name = factory.Sequence(lambda n: f"Brass evening {n}")
    first = date(2027, 2, 13)
    last = factory.SelfAttribute("first")


class RecommenderFactory(DjangoModelFactory):
    class Meta:
        model = Recommender

    student = factory.SubFactory(StudentFactory)
    name = factory.Sequence(lambda n: f"Teacher {n}")
    role = "Band director"


class InstitutionFactory(DjangoModelFactory):
    class Meta:
        model = Institution

    studio = factory.SubFactory(StudioFactory)
    name = factory.Sequence(lambda n: f"Institution {n}")
    town = "Fairmont"
    latitude = 39.96
    longitude = -83.0
    time_zone = "America/New_York"


class AuditionFactory(DjangoModelFactory):
    class Meta:
        model = Audition

    institution = factory.SubFactory(InstitutionFactory)
    season = SEASON
    name = "BMus performance"
    format = "face to face"


class DeadlineFactory(DjangoModelFactory):
    class Meta:
        model = Deadline

    audition = factory.SubFactory(AuditionFactory)
    kind = "music application"
    name = factory.Sequence(lambda n: f"music application {n}")
    on = date(2026, 12, 1)
    at = time(23, 59)
    zone = "America/New_York"


class OfferedDateFactory(DjangoModelFactory):
    class Meta:
        model = OfferedDate

    audition = factory.SubFactory(AuditionFactory)
    # From the 7th: tests write 6 February themselves, and an audition offers a day once.
    on = factory.Sequence(lambda n: date(2027, 2, 7) + timedelta(days=n % 20))


class PieceFactory(DjangoModelFactory):
    class Meta:
        model = Piece

    studio = factory.SubFactory(StudioFactory)
    composer = "Invented"
    work = factory.Sequence(lambda n: f"Study {n}")
    kind = "etude"
    target_tempo = 112


class RequirementSetFactory(DjangoModelFactory):
    class Meta:
        model = RequirementSet

    institution = factory.SubFactory(InstitutionFactory)
    season = SEASON
    instrument = factory.SubFactory(
        InstrumentFactory, studio=factory.SelfAttribute("..institution.studio")
    )
    degree = factory.Sequence(lambda n: f"degree {n}")


class RequirementFactory(DjangoModelFactory):
    class Meta:
        model = Requirement

    requirement_set = factory.SubFactory(RequirementSetFactory)
    name = factory.Sequence(lambda n: f"Etude {n}")
    kind = "etude"


class ErratumFactory(DjangoModelFactory):
    class Meta:
        model = Erratum

    requirement_set = factory.SubFactory(RequirementSetFactory)
    on = date(2026, 11, 22)
    text = factory.Sequence(lambda n: f"Bar {n + 1}: natural, not flat")


class JudgementFactory(DjangoModelFactory):
    class Meta:
        model = Judgement

    requirement = factory.SubFactory(RequirementFactory)
    piece = factory.SubFactory(
        PieceFactory,
        studio=factory.SelfAttribute("..requirement.requirement_set.institution.studio"),
    )


class RecordingRulesFactory(DjangoModelFactory):
    class Meta:
        model = RecordingRules

    requirement_set = factory.SubFactory(RequirementSetFactory)
    max_age = 6


class LeadTimeFactory(DjangoModelFactory):
    class Meta:
        model = LeadTime

    studio = factory.SubFactory(StudioFactory)
    kind = "music application"
    name = factory.Sequence(lambda n: f"Do step {n}")


class EntryFactory(DjangoModelFactory):
    class Meta:
        model = Entry

    student = factory.SubFactory(StudentFactory)
    audition = factory.SubFactory(
        AuditionFactory, institution__studio=factory.SelfAttribute("...student.studio")
    )
    instrument = factory.SelfAttribute("student.instrument")
    requirement_set = factory.SubFactory(
        RequirementSetFactory,
        institution=factory.SelfAttribute("..audition.institution"),
        instrument=factory.SelfAttribute("..student.instrument"),
    )
    chosen_date = factory.SubFactory(
        OfferedDateFactory, audition=factory.SelfAttribute("..audition")
    )
    date_state = "confirmed"


class AssignmentFactory(DjangoModelFactory):
    class Meta:
        model = Assignment

    entry = factory.SubFactory(EntryFactory)
    requirement = factory.SubFactory(
        RequirementFactory, requirement_set=factory.SelfAttribute("..entry.requirement_set")
    )
    piece = factory.SubFactory(PieceFactory, studio=factory.SelfAttribute("..entry.student.studio"))


class WishFactory(DjangoModelFactory):
    class Meta:
        model = Wish

    student = factory.SubFactory(StudentFactory)
    piece = factory.SubFactory(PieceFactory, studio=factory.SelfAttribute("..student.studio"))
    word = "keep"


class DateWishFactory(DjangoModelFactory):
    class Meta:
        model = DateWish

    entry = factory.SubFactory(EntryFactory)
    date = factory.SubFactory(
        OfferedDateFactory, audition=factory.SelfAttribute("..entry.audition")
    )
    rank = 1


class TaskFactory(DjangoModelFactory):
    class Meta:
        model = Task

    entry = factory.SubFactory(EntryFactory)
    name = factory.Sequence(lambda n: f"Send form {n}")
    on = date(2026, 12, 1)


class LessonCheckFactory(DjangoModelFactory):
    class Meta:
        model = LessonCheck

    student = factory.SubFactory(StudentFactory)
    piece = factory.SubFactory(PieceFactory, studio=factory.SelfAttribute("..student.studio"))
    on = date(2026, 11, 20)
    tempo = 96
    target = 112


class KeyCheckFactory(DjangoModelFactory):
    class Meta:
        model = KeyCheck

    student = factory.SubFactory(StudentFactory)
    sort = "major"
    tonic = "Bb"
    on = date(2026, 11, 20)
    tempo = 72


class PracticeLogFactory(DjangoModelFactory):
    class Meta:
        model = PracticeLog

    student = factory.SubFactory(StudentFactory)
    on = date(2026, 11, 20)
    minutes = 25


class PracticeDayFactory(DjangoModelFactory):
    class Meta:
        model = PracticeDay

    student = factory.SubFactory(StudentFactory)
    on = date(2026, 11, 20)
    minutes = 30


class TakeFactory(DjangoModelFactory):
    class Meta:
        model = Take
        skip_postgeneration_save = True

    entry = factory.SubFactory(EntryFactory)
    rules = factory.SubFactory(
        RecordingRulesFactory, requirement_set=factory.SelfAttribute("..entry.requirement_set")
    )
    made_on = date(2026, 11, 14)
    file = factory.Sequence(lambda n: f"take-{n}.wav")

    @factory.post_generation
    def pieces(self, create, extracted, **kwargs):
        """`pieces=[…]` says what is on it."""
        if create and extracted:
            self.pieces.set(extracted)


class HearingFactory(DjangoModelFactory):
    class Meta:
        model = Hearing
        skip_postgeneration_save = True

    entry = factory.SubFactory(EntryFactory)
    on = date(2026, 11, 21)
    heard_by = "Two colleagues"
    points = "Tone: 7; Rhythm: 6"

    @factory.post_generation
    def pieces(self, create, extracted, **kwargs):
        """`pieces=[…]` says what was played; without it, all of the entry's."""
        if create and extracted:
            self.pieces.set(extracted)


class TrialLessonFactory(DjangoModelFactory):
    class Meta:
        model = TrialLesson

    student = factory.SubFactory(StudentFactory)
    institution = factory.SubFactory(
        InstitutionFactory, studio=factory.SelfAttribute("..student.studio")
    )
    teacher = factory.Sequence(lambda n: f"Professor {n}")
    asked_on = date(2026, 11, 2)


class AuditionDayFactory(DjangoModelFactory):
    class Meta:
        model = AuditionDay

    entry = factory.SubFactory(EntryFactory)
    call = time(10, 40)
    minutes = 12
    check_in_place = "Lobby, Arden Hall"


def seat(studio, role, **user):
    """Return a seated member of the studio."""
    return MembershipFactory(studio=studio, role=role, user=UserFactory(**user))


def full_entry(student, pieces=2, checks=3):
    """Return an entry of `student` with music, checks, deadlines, tasks and a day."""
    entry = EntryFactory(student=student)
    for _ in range(pieces):
        piece = AssignmentFactory(entry=entry).piece
        for week in range(checks):
            LessonCheckFactory(
                student=student,
                piece=piece,
                on=date(2026, 11, 1) + timedelta(weeks=week),
                tempo=80 + 6 * week,
            )
    deadline = DeadlineFactory(audition=entry.audition)
    TaskFactory(entry=entry, deadline=deadline, on=None)
    AuditionDayFactory(entry=entry)
    return entry


def with_scales(entry, scales, **fields):
    """Let an entry's set ask these scales of an instrument with a range; two are measured."""
    instrument = entry.instrument
    instrument.lowest, instrument.highest = "F#2", "C6"
    instrument.save()
    for source in ("teacher", "student"):
        KeyCheckFactory(student=entry.student, source=source)
    return RequirementFactory(
        requirement_set=entry.requirement_set, kind="scales", scales=scales, **fields
    )
