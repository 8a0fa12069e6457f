"""How people and history are read, always beginning with who is asking."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import (
    BooleanField,
    Count,
    ExpressionWrapper,
    Max,
    OuterRef,
    Q,
    Subquery,
    Window,
)
from django.db.models.functions import RowNumber
from django.http import Http404

from studio.accounts.access import NOT_FOUND, may_take_back, readable
from studio.accounts.models import Change, Invitation, Membership, Role, User

SHOWN_BATCHES = 60
LINES_A_BATCH = 8


def whose(email):
    """Return the user who proved that an address is theirs, be it not their main one; or None."""
    proven = Q(emailaddress__email__iexact=email, emailaddress__verified=True)
    return User.objects.filter(Q(email__iexact=email) | proven).first()


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
    """What one person did in one go. for_good: whoever asks may not take it back."""

    batch: UUID
    at: datetime
    by: str
    lines: tuple
    more: int
    for_good: bool
    last: int


def recent_batches(who, before=None):
    """Return what was done in the studio lately, newest first. Two queries.

    before: the key of a Change; only batches that ended earlier.
    """
    changes = readable(who, Change).order_by()
    counted = changes.values("batch").annotate(last=Max("pk"), rows=Count("pk"))
    if before is not None:
        counted = counted.filter(last__lt=before)
    sizes = {row["batch"]: row["rows"] for row in counted.order_by("-last")[:SHOWN_BATCHES]}
    place = Window(RowNumber(), partition_by="batch", order_by="-pk")
    first = changes.filter(batch__in=sizes).annotate(place=place).filter(place__lte=LINES_A_BATCH)
    lines = defaultdict(list)
    for row in first.select_related("by").order_by("-pk"):
        lines[row.batch].append(row)
    return [_batch(who, lines[batch], size) for batch, size in sizes.items()]


def _batch(who, rows, size):
    lines = tuple(f"{row.label}: {row.get_action_display()}" for row in rows)
    by = str(rows[0].by) if rows[0].by else "The program"
    for_good = not all(may_take_back(who, row) for row in rows)
    more = size - len(lines)
    return Batch(rows[0].batch, rows[0].at, by, lines, more, for_good, rows[0].pk)


def batch_or_404(who, batch):
    """Return the Changes of one batch of the studio, in the order in which they were made."""
    rows = list(readable(who, Change).filter(batch=batch).select_related("by").order_by("pk"))
    if not rows:
        raise Http404(NOT_FOUND)
    return rows


def undoable_or_404(who, batch):
    """Return the batch's changes: a teacher may take back any of the studio's, others their own."""
    rows = list(Change.objects.filter(batch=batch, studio=who.studio_id)) if who else []
    if not rows or not all(may_take_back(who, row) for row in rows):
        raise Http404(NOT_FOUND)
    return rows
