"""Sets of requirements: what an institution asks of one instrument, level and degree."""

from django.shortcuts import render
from django.urls import reverse

from studio.accounts.access import (
    change_or_404,
    may_add,
    read_or_404,
    remove_or_404,
    staff_or_404,
)
from studio.accounts.pages import form_page, grouped, remove_page
from studio.institutions.models import Institution
from studio.requirements import contexts, queries
from studio.requirements.forms import FillForm, RequirementSetForm
from studio.requirements.models import RequirementSet
from studio.requirements.set_page import SetPage


def requirement_sets(request):
    """All that is asked for, institution by institution, and whether it has been checked."""
    who = staff_or_404(request.who)
    found = queries.requirement_sets(who)
    context = {
        "title": "Requirements",
        "intro": "Verify with the institution itself: the commonest disaster is last year’s list.",
        "columns": contexts.SET_COLUMNS,
        "groups": grouped(found, lambda row: row.institution.name, contexts.set_row),
        "empty": contexts.NO_SETS | {"url": reverse("institutions")},
    }
    if context["groups"] and may_add(who, RequirementSet):
        context |= {
            "other_url": reverse("requirement_sets_roll"),
            "other_label": "Copy to a new season",
        }
    return render(request, "partials/list_page.html", context)


def requirement_set(request, pk):
    """One set: what speaks against it, what it asks for, who checked it, who is entered."""
    who = staff_or_404(request.who)
    row = read_or_404(who, queries.whole_sets(), pk=pk)
    heard = queries.heard(row.entries.all())
    page = SetPage(row, who.studio, queries.library(who), heard)
    may_edit = may_add(who, RequirementSet)
    context = {"page": page, "set": row, "may_edit": may_edit}
    if may_edit and page.is_empty:
        context["fill"] = FillForm(who=who, target=row)
    return render(request, "requirements/requirement_set.html", context)


def requirement_set_add(request, pk):
    """Begin a set of requirements of an institution; its slots come next."""
    place = change_or_404(request.who, Institution, pk=pk)
    return form_page(
        request,
        RequirementSetForm,
        RequirementSet(institution=place, season=request.who.studio.season),
        title="Add requirements",
        over=place.name,
        intro="For one instrument at one level. What is asked comes next.",
        back=place.get_absolute_url(),
        then=RequirementSet.get_absolute_url,
    )


def requirement_set_edit(request, pk):
    """Change what a set is for, its source, its own rules or its check."""
    row = change_or_404(request.who, queries.named_sets(), pk=pk)
    return form_page(
        request,
        RequirementSetForm,
        row,
        title=contexts.asked_of(row),
        over=row.institution.name,
        back=row.get_absolute_url(),
        remove_url=reverse("requirement_set_remove", args=[pk]),
    )


def requirement_set_remove(request, pk):
    """Remove a set that no entry uses."""
    row = remove_or_404(request.who, queries.named_sets(), pk=pk)
    return remove_page(request, row, back=row.institution.get_absolute_url())
