"""What is stored about a student, why, who sees it and for how long: one line for each kind of row.

A test fails for a model, or a field of Student, that is about a student and has no line here.
"""

from dataclasses import dataclass

from django.apps import apps
from django.db.models import Count, OuterRef, Subquery, Value

from studio.students.models import Student

STAFF = "teachers and assistants"
TEACHERS = "teachers"
FAMILY = f"{STAFF}; the student and their guardians"
WITH_STUDENT = "as long as the student is here; erased with them"
WITH_ACCOUNT = "as long as the account; erased with it"
USUAL = f"Where nothing else is said: seen by {FAMILY}; kept {WITH_STUDENT}."
# What the student and their guardians see of a line.
NOTHING, LINE, ROWS = range(3)


@dataclass(frozen=True)
class Holding:
    """One line. model: its label; path: the lookup from a row to the student's key.

    shown: what those who are no staff see: NOTHING, the LINE, or the line and the ROWS in what
    they take along. private: those rows are the student's own, and no guardian's.
    fields: those of Student the line is about (of other models: all), in `taken` those that a
    file for others than staff holds, if not all.
    """

    model: str
    path: str
    what: str
    why: str
    seen_by: str
    kept: str = WITH_STUDENT
    shown: int = ROWS
    private: bool = False
    fields: tuple = ()
    taken: tuple = ()

    @property
    def exception(self):
        """Who sees it and for how long, where that is not as usual; "" where it is."""
        seen = "" if self.seen_by == FAMILY else f"Seen by {self.seen_by}. "
        kept = "" if self.kept == WITH_STUDENT else f"Kept {self.kept}."
        return (seen + kept).strip()

    @property
    def rows(self):
        """The model's manager."""
        return apps.get_model(self.model)._base_manager

    def of(self, student):
        """Return the rows about a student (a key, or a reference to one)."""
        return self.rows.filter(**{self.path: student}).order_by().distinct()


def _student(fields, what, why, seen_by=FAMILY, shown=ROWS):
    names = tuple(fields.split())
    return Holding("students.student", "pk", what, why, seen_by, shown=shown, fields=names)


def _account(model, path, what, why, seen_by, kept=WITH_ACCOUNT, shown=ROWS):
    return Holding(model, path, what, why, seen_by, kept, shown, private=True)


HOLDINGS = (
    _student("name known_as", "Name, and how they are called", "to know who is meant"),
    _student("id studio membership", "Whose student, and in which seat", "to know what is theirs"),
    _student(
        "instrument also_plays school_year since",
        "Instruments, school year, since when",
        "to find what is asked of them",
    ),
    _student("email", "E-mail address", "to invite them to sign in"),
    _student(
        "town latitude longitude time_zone",
        "Home town and where it lies",
        "to reckon journeys and times",
    ),
    _student(
        "lesson_day lesson_at at_school practice_mon practice_tue practice_wed practice_thu "
        "practice_fri practice_sat practice_sun",
        "Lesson, school, minutes to practise",
        "to plan practice and dates",
    ),
    _student("notes", "The teacher’s notes", "what a teacher has to bear in mind", STAFF, NOTHING),
    _student("feed_token", "Address of their calendar", "so that a calendar program can read it"),
    _student("erase_on", "Day of erasure", "to erase everything on it"),
    Holding(
        "students.dayaway", "student", "Days away and exams", "to plan no audition then", FAMILY
    ),
    Holding(
        "students.guardian",
        "students",
        "Parents or guardians: name, e-mail, telephone",
        "to reach them, and let them read the part",
        f"{STAFF}; each guardian their own",
        "until the last of their children is erased",
        shown=LINE,
    ),
    Holding(
        "students.studioday",
        "students",
        "Own days they are needed on",
        "to keep these days free",
        FAMILY,
        "until the day is removed; without them once they are erased",
        taken=("kind", "name", "first", "last", "starts", "ends"),
    ),
    Holding(
        "students.recommender",
        "student",
        "Who writes letters for them: name, role, e-mail",
        "to ask in time",
        FAMILY,
    ),
    Holding(
        "entries.entry",
        "student",
        "Auditions: where, when, what came of it",
        "to plan the season",
        f"{FAMILY}; who plays the piano",
    ),
    Holding(
        "entries.assignment",
        "entry__student",
        "Chosen pieces",
        "to know what is played where",
        f"{FAMILY}; who plays the piano",
    ),
    Holding(
        "entries.wish",
        "student",
        "The teacher’s wishes when music is planned",
        "to plan the music",
        STAFF,
        shown=NOTHING,
    ),
    Holding(
        "entries.datewish",
        "entry__student",
        "Wishes among offered dates",
        "to plan the dates",
        STAFF,
        shown=NOTHING,
    ),
    Holding(
        "entries.lessoncheck",
        "student",
        "Checks of pieces: tempo, marks, memory",
        "to say how ready a piece is",
        FAMILY,
    ),
    Holding(
        "entries.keycheck", "student", "Tempos of scales", "to say how ready scales are", FAMILY
    ),
    Holding(
        "entries.take",
        "entry__student",
        "Recordings: where the file is, never the file",
        "to hold them against what is asked",
        FAMILY,
    ),
    Holding(
        "entries.hearing",
        "entry__student",
        "Hearings of the whole programme: points and notes",
        "to say what a panel might",
        FAMILY,
    ),
    Holding("entries.practicelog", "student", "Minutes practised", "to plan practice", FAMILY),
    Holding("entries.practiceday", "student", "Minutes on single days", "to plan practice", FAMILY),
    Holding("entries.task", "entry__student", "Tasks", "so that nothing is forgotten", FAMILY),
    Holding(
        "entries.triallesson",
        "student",
        "Trial lessons: with whom, when, what they thought",
        "to choose where to study",
        FAMILY,
    ),
    Holding(
        "days.auditionday",
        "entry__student",
        "Audition days, hour by hour",
        "to be there in time",
        f"{FAMILY}; who plays the piano",
    ),
    _account(
        "accounts.membership",
        "student",
        "Seat in the studio",
        "to let them in, and nobody else",
        FAMILY,
        WITH_STUDENT,
    ),
    _account(
        "accounts.invitation",
        "membership__student",
        "Invitations: address and dates, a hash of the link",
        "to let them in once",
        TEACHERS,
        WITH_STUDENT,
    ),
    _account(
        "accounts.reminder",
        "membership__student",
        "When weekly e-mails were sent; not what they said",
        "to send each once",
        "nobody",
        WITH_STUDENT,
    ),
    _account(
        "accounts.user",
        "memberships__student",
        "Account: name, e-mail, when last signed in; a hash of the password",
        "to sign in",
        "teachers; themselves",
        "until its last seat is erased",
    ),
    _account(
        "account.emailaddress",
        "user__memberships__student",
        "E-mail addresses of the account",
        "to sign in, and to send codes",
        "themselves",
    ),
    _account(
        "account.emailconfirmation",
        "email_address__user__memberships__student",
        "Confirmations of an address",
        "to prove an address",
        "nobody",
    ),
    _account(
        "mfa.authenticator",
        "user__memberships__student",
        "Second factors, as far as they were set up",
        "to sign in safely",
        "themselves, without what is secret",
    ),
    _account(
        "usersessions.usersession",
        "user__memberships__student",
        "Where they are signed in: browser, and since when",
        "so that they can end it elsewhere",
        "themselves",
    ),
    Holding(
        "accounts.change",
        "student_pk",
        "History: every change, with before and after",
        "to take back a slip of the hand",
        "teachers; in the file also the student and their guardians",
    ),
)
# What cannot be counted in a query, or is about nobody in particular.
ELSEWHERE = (
    ("Sessions", "An opaque key for each browser, until it signs out or two weeks are over."),
    ("Printed sheets and answers", "In memory only, for a day at most; forgotten at an erasure."),
    ("An uploaded workbook", "Between its preview and its loading, for a day at most."),
    ("The studio’s usual pace", "Figures learned from all finished pieces, without a name."),
    ("Log of the server", "Which page was asked for, and when; no names, nothing that was typed."),
    (
        "Files and paper",
        "A workbook, a sheet or a file that somebody saved or printed is theirs to destroy.",
    ),
    (
        "Backups",
        "Copies of everything. They are not opened to erase somebody: they go when they are old "
        "enough. After restoring one, put down again whoever was erased since it was made.",
    ),
)


def shown_to(staff):
    """Return the lines that staff sees, or the student and their guardians."""
    return [line for line in HOLDINGS if staff or line.shown != NOTHING]


def counts(student, lines):
    """Return how many rows each line has about a student, in one query for all."""
    columns = {f"count_{n}": Subquery(_count(line)) for n, line in enumerate(lines)}
    found = Student._base_manager.filter(pk=student.pk).values_list(*columns.values()).get()
    return [number or 0 for number in found]


def _count(line):
    rows = line.rows.filter(**{line.path: OuterRef("pk")}).order_by()
    return rows.annotate(one=Value(1)).values("one").annotate(n=Count("pk")).values("n")
