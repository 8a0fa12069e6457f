"""Taking over a plan: what is assigned becomes what the plan says, in one go or piece by piece."""

from django.db import transaction

from studio.accounts.history import bulk_create
from studio.entries.models import Assignment


def accept(planning, entry="", piece=""):
    """Make assignments those of the plan and return (added, removed), lists of Assignments.

    All of it, or of one entry only, or of one piece only (keys as they are posted; one that is
    none takes nothing over). One piece comes to the slots where the plan has it, in place of what
    the plan drops there if it would be too much, and goes from those where the plan has it no
    more. Slots that are not planned, and entries that are left out, stay as they are.
    """
    places = [place for place in planning.places if entry in {"", str(place.entry.pk)}]
    if not piece:
        added = [_assignment(place, each) for place in places for each in place.added]
        removed = [each for place in places for each in place.dropped]
    else:
        added, removed = _of_one(places, piece)
    with transaction.atomic():
        Assignment.objects.filter(pk__in=[each.pk for each in removed]).delete()
        bulk_create(added)
    return added, removed


def _of_one(places, key):
    added, removed = [], []
    for place in places:
        coming = [piece for piece in place.added if str(piece.pk) == key]
        going = [each for each in place.dropped if str(each.piece_id) == key]
        if coming:
            going = place.dropped[: place.surplus(len(coming))]
        added += [_assignment(place, piece) for piece in coming]
        removed += going
    return added, removed


def _assignment(place, piece):
    return Assignment(entry=place.entry, requirement=place.requirement, piece=piece)
