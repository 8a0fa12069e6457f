"""The studio's own pace: learned from its finished pieces, kept, and learned anew each week.

`bridge.readiness_settings` passes what is kept to every forecast.
"""

from datetime import timedelta
from itertools import groupby

from django.db import transaction
from django.db.models import Exists, F, OuterRef

from planner import codec, readiness
from planner.readiness import finished, prior
from studio.entries.bridge import readiness_check, readiness_settings
from studio.entries.models import Assignment, LearnedPace, LessonCheck
from studio.requirements.models import Said

EVERY = timedelta(days=7)


def learn_if_due(studio):
    """Learn the pace after what is being saved, if that is due; a failure takes nothing back."""
    kept = getattr(studio, "learned_pace", None)
    if kept is None or studio.today - kept.on >= EVERY:
        transaction.on_commit(lambda: learn(studio), robust=True)


def learn(studio):
    """Learn the studio's pace from its checks and keep it; return the LearnedPace.

    Two queries to learn, and those of keeping it.
    """
    ways = finished_pieces(studio)
    values = {
        "on": studio.today,
        "pieces": len(ways),
        "prior": codec.write(prior.learn(ways)),
    }
    kept, _ = LearnedPace.objects.update_or_create(studio=studio, defaults=values)
    return kept


def finished_pieces(studio):
    """Return the ways to ready, (weeks, points) each, of the studio's finished pieces.

    A piece counts once for each student. What was heard too seldom tells nothing, and is left out.
    """
    settings = readiness_settings(studio)
    pieces = groupby(_rows(studio), lambda row: (row.student_id, row.piece_id))
    ways = (finished.way(_piece(list(rows)), settings) for _, rows in pieces)
    return [way for way in ways if prior.tells(way)]


def _rows(studio):
    """The teacher's checks as bare rows, piece by piece, each oldest first: one query."""
    wanted = Assignment.objects.filter(
        entry__student=OuterRef("student"),
        piece=OuterRef("piece"),
        requirement__memory=Said.YES,
    )
    checks = LessonCheck.objects.filter(
        student__studio=studio, source=LessonCheck.Source.TEACHER, on__lte=studio.today
    ).annotate(goal=F("piece__target_tempo"), by_heart=Exists(wanted))
    fields = ("student_id", "piece_id", "on", "tempo", "target", "memory", "goal", "by_heart")
    named = checks.values_list(*fields, *LessonCheck.MARKS, named=True)
    return named.order_by("student_id", "piece_id", "on").iterator()


def _piece(checks):
    """The planner.readiness.Piece of one student's checks of one piece."""
    last = checks[-1]
    target = last.target or last.goal
    return readiness.Piece(
        key="",
        name="",
        checks=tuple(readiness_check(check) for check in checks),
        from_memory=last.by_heart,
        target=target and float(target),
    )
