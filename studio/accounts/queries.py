"""How people and history are read, always beginning with who is asking."""

from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from uuid import UUID

from django.db.models import BooleanField, ExpressionWrapper, OuterRef, Q, Subquery
from django.http import Http404

from studio.accounts.access import NOT_FOUND, TEACHERS, readable
from studio.accounts.models import Change, Invitation, Membership, Role

SHOWN_CHANGES = 400
LINES_A_BATCH = 8


def people(who):
    """Return the seats of the asker's studio with the address that was invited to each."""
    may_go = ~Q(role=Role.OWNER) & ~Q(pk=who.pk)
    invited = Invitation.objects.filter(membership=OuterRef("pk")).order_by("-pk")
    return (
        readable(who, Membership)
        .select_related("user", "student")
        .annotate(
            invited=Subquery(invited.values("email")[:1]),
            may_go=ExpressionWrapper(may_go, BooleanField()),
        )
        .order_by("role", "user__name", "pk")
    )


@dataclass(frozen=True)
class Batch:
    """What one person did in one go."""

    batch: UUID
    at: datetime
    by: str
    lines: tuple
    more: int


def recent_batches(who):
    """Return the studio's latest changes, grouped by what was done together, newest first."""
    changes = readable(who, Change).select_related("by")[:SHOWN_CHANGES]
    return [_batch(batch, list(rows)) for batch, rows in groupby(changes, lambda row: row.batch)]


def _batch(batch, rows):
    lines = tuple(f"{row.label}: {row.get_action_display()}" for row in rows[:LINES_A_BATCH])
    by = str(rows[0].by) if rows[0].by else "The program"
    return Batch(batch, rows[0].at, by, lines, len(rows) - len(lines))


def undoable_or_404(who, batch):
    """Return the batch's changes: a teacher may take back any of the studio's, others their own."""
    if who is None:
        raise Http404(NOT_FOUND)
    rows = Change.objects.filter(batch=batch, studio=who.studio_id)
    if who.role not in TEACHERS:
        rows = rows.filter(by=who.user_id)
    if not rows.exists():
        raise Http404(NOT_FOUND)
    return rows
