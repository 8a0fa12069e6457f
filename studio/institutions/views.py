"""Institutions, their auditions of a season, deadlines and offered dates."""

from django.shortcuts import render
from django.urls import reverse

from studio.accounts.access import (
    add_or_404,
    change_or_404,
    may_add,
    read_or_404,
    remove_or_404,
    staff_or_404,
)
from studio.accounts.pages import form_page, quick_row, remove_page
from studio.institutions import contexts, queries
from studio.institutions.forms import AuditionForm, DeadlineForm, InstitutionForm, OfferedDateForm
from studio.institutions.models import Audition, Deadline, Institution, OfferedDate


def institutions(request):
    """Where the studio's students audition."""
    who = staff_or_404(request.who)
    q = request.GET.get("q", "").strip()
    found = queries.find(queries.institutions(who), q)
    context = {
        "title": "Institutions",
        "columns": contexts.COLUMNS,
        "rows": [contexts.institution_row(row) for row in found],
        "filtered": True,
        "q": q,
        "empty": contexts.no_institutions(who),
        "add_url": may_add(who, Institution) and reverse("institution_add"),
        "add_label": "Add an institution",
        "other_url": reverse("requirement_sets"),
        "other_label": "What they ask for",
    }
    return render(request, "partials/list_page.html", context)


def institution(request, pk):
    """One institution: where it is, what it holds this season, what it asks for."""
    who = staff_or_404(request.who)
    row = read_or_404(who, queries.whole_institutions(), pk=pk)
    context = {
        "page": contexts.InstitutionPage(row, who.studio),
        "institution": row,
        "may_edit": may_add(who, Institution),
    }
    return render(request, "institutions/institution.html", context)


def institution_add(request):
    """Add an institution."""
    add_or_404(request.who, Institution)
    return form_page(
        request,
        InstitutionForm,
        Institution(studio=request.who.studio),
        title="Add an institution",
        back=reverse("institutions"),
        then=Institution.get_absolute_url,
        again=True,
    )


def institution_edit(request, pk):
    """Change what is known of an institution."""
    row = change_or_404(request.who, Institution, pk=pk)
    return form_page(
        request,
        InstitutionForm,
        row,
        title=row.name,
        back=row.get_absolute_url(),
        remove_url=reverse("institution_remove", args=[pk]),
    )


def institution_remove(request, pk):
    """Remove an institution with its auditions and requirements."""
    row = remove_or_404(request.who, Institution, pk=pk)
    return remove_page(request, row, back=reverse("institutions"))


def audition_add(request, pk):
    """Add an audition to an institution."""
    place = change_or_404(request.who, Institution, pk=pk)
    return form_page(
        request,
        AuditionForm,
        Audition(institution=place, season=request.who.studio.season),
        title="Add an audition",
        over=place.name,
        back=place.get_absolute_url(),
        then=Audition.get_absolute_url,
        again=True,
    )


def audition(request, pk):
    """One audition: its deadlines, its dates, who is entered, and rows for adding to them."""
    row = read_or_404(request.who, queries.whole_auditions(), pk=pk)
    context = {"page": contexts.AuditionPage(row, request.who.studio), "audition": row}
    if may_add(request.who, Audition):
        context |= {
            "may_edit": True,
            "quick_deadline": quick_row(
                request,
                DeadlineForm,
                Deadline(audition=row),
                what="a deadline",
                name="deadline",
                action=reverse("deadline_add", args=[pk]),
            ),
            "quick_date": quick_row(
                request,
                OfferedDateForm,
                OfferedDate(audition=row),
                what="a date",
                name="date",
                action=reverse("date_add", args=[pk]),
            ),
        }
    return render(request, "institutions/audition.html", context)


def audition_edit(request, pk):
    """Change what is known of an audition."""
    row = change_or_404(request.who, Audition.objects.select_related("institution"), pk=pk)
    return form_page(
        request,
        AuditionForm,
        row,
        title=row.name,
        over=row.institution.name,
        back=row.get_absolute_url(),
        remove_url=reverse("audition_remove", args=[pk]),
    )


def audition_remove(request, pk):
    """Remove an audition with its deadlines, dates and entries."""
    row = remove_or_404(request.who, Audition.objects.select_related("institution"), pk=pk)
    return remove_page(request, row, back=row.institution.get_absolute_url())


def deadline_add(request, pk):
    """Add a deadline to an audition; its entries' tasks follow from it."""
    return _add_to_audition(request, pk, DeadlineForm, Deadline, "Add a deadline")


def deadline_edit(request, pk):
    """Change a deadline."""
    return _edit_in_audition(request, pk, DeadlineForm, Deadline, "deadline")


def deadline_remove(request, pk):
    """Remove a deadline with the tasks that came of it."""
    return _remove_from_audition(request, pk, Deadline)


def date_add(request, pk):
    """Add an offered date to an audition."""
    return _add_to_audition(request, pk, OfferedDateForm, OfferedDate, "Add a date")


def date_edit(request, pk):
    """Change an offered date."""
    return _edit_in_audition(request, pk, OfferedDateForm, OfferedDate, "date")


def date_remove(request, pk):
    """Remove a date that nobody has chosen."""
    return _remove_from_audition(request, pk, OfferedDate)


def _add_to_audition(request, pk, form_class, model, title):
    row = change_or_404(request.who, Audition.objects.select_related("institution"), pk=pk)
    back, over = row.get_absolute_url(), str(row)
    new = model(audition=row)
    return form_page(request, form_class, new, title=title, over=over, back=back, again=True)


def _edit_in_audition(request, pk, form_class, model, word):
    rows = model.objects.select_related("audition__institution")
    row = change_or_404(request.who, rows, pk=pk)
    return form_page(
        request,
        form_class,
        row,
        title=f"Edit the {word}",
        over=str(row.audition),
        back=row.audition.get_absolute_url(),
        remove_url=reverse(f"{word}_remove", args=[pk]),
    )


def _remove_from_audition(request, pk, model):
    rows = model.objects.select_related("audition__institution")
    row = remove_or_404(request.who, rows, pk=pk)
    return remove_page(request, row, back=row.audition.get_absolute_url())
