"""A student's season around today: the server runs beside the tests, so no clock stands still."""

from datetime import time, timedelta

from tests import factories as make

CALL = time(10, 40)


def entry_around_today(student, place="Fairmont University"):
    """Return an entry of `student` seven weeks ahead: two pieces, checks, cues, a day with a call.

    The cues: one of the student's is overdue, one due in three days and one done; one of the
    teacher's is due in four days.
    """
    today = student.studio.today
    entry = make.EntryFactory(
        student=student,
        audition__institution__name=place,
        chosen_date__on=today + timedelta(weeks=7),
    )
    for _ in range(2):
        _piece_with_checks(entry, today)
    _cues(entry, today)
    make.AuditionDayFactory(entry=entry, call=CALL)
    return entry


def _piece_with_checks(entry, today):
    piece = make.AssignmentFactory(entry=entry).piece
    for week in (4, 3, 2, 1):
        make.LessonCheckFactory(
            student=entry.student,
            piece=piece,
            on=today - timedelta(weeks=week),
            tempo=100 - 6 * week,
            mark_1=8 - week,
        )


def _cues(entry, today):
    deadline = make.DeadlineFactory(audition=entry.audition, on=today + timedelta(days=3))
    make.TaskFactory(entry=entry, name="Send the music application", deadline=deadline, on=None)
    make.TaskFactory(entry=entry, name="Ask for a letter", on=today - timedelta(days=2))
    make.TaskFactory(
        entry=entry, name="Write the letter", doer="teacher", on=today + timedelta(days=4)
    )
    make.TaskFactory(
        entry=entry,
        name="Send the transcript",
        on=today - timedelta(days=9),
        state="done",
        done_on=today - timedelta(days=10),
    )
