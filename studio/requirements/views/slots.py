"""One requirement of a set: a slot, or a group of slots."""

from django.urls import reverse

from studio.accounts.access import change_or_404, remove_or_404
from studio.accounts.pages import form_page, remove_page
from studio.requirements import queries
from studio.requirements.forms import RequirementForm
from studio.requirements.models import Requirement


def requirement_add(request, pk):
    """Add a requirement to a set."""
    row = change_or_404(request.who, queries.named_sets(), pk=pk)
    return form_page(
        request,
        RequirementForm,
        Requirement(requirement_set=row, position=queries.next_position(row)),
        title="Add a requirement",
        over=str(row),
        back=row.get_absolute_url(),
        again=True,
    )


def requirement_edit(request, pk):
    """Change a requirement."""
    row = change_or_404(request.who, queries.named_requirements(), pk=pk)
    return form_page(
        request,
        RequirementForm,
        row,
        title=row.name,
        over=str(row.requirement_set),
        back=row.requirement_set.get_absolute_url(),
        remove_url=reverse("requirement_remove", args=[pk]),
    )


def requirement_remove(request, pk):
    """Remove a requirement with the pieces chosen for it."""
    row = remove_or_404(request.who, queries.named_requirements(), pk=pk)
    return remove_page(request, row, back=row.requirement_set.get_absolute_url())
