"""Whether a set is right: its check, and the errata that an institution publishes."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.urls import reverse

from studio.accounts.access import change_or_404, remove_or_404
from studio.accounts.pages import form_page, remove_page, undo_tag
from studio.requirements import changes, contexts, queries
from studio.requirements.forms import ErratumForm
from studio.requirements.models import Erratum
from studio.requirements.set_page import SetPage


def requirement_set_verify(request, pk):
    """Read the set against the institution's own page, then record who did so and when."""
    who = request.who
    if request.method == "POST":
        row = change_or_404(who, queries.named_sets(), pk=pk)
        row.checked_by, row.checked_on = who.name[:80], who.studio.today
        row.save()
        messages.success(request, "Checked today, by you.", extra_tags=undo_tag(request))
        return redirect(row)
    row = change_or_404(who, queries.whole_sets(), pk=pk)
    context = {
        "set": row,
        "page": SetPage(row, who.studio),
        "changed": changes.since_check(row),
        "errata": contexts.errata_since_check(row),
        "copied": _from_source(row),
    }
    return render(request, "requirements/verify.html", context)


def _from_source(row):
    """Return what is different from the set that an unverified copy was made of, or None."""
    if row.checked_on is not None or row.copied_from_id is None:
        return None
    return changes.from_source(queries.compared_sets().get(pk=row.copied_from_id), row)


def erratum_add(request, pk):
    """Write a correction down that the institution has published."""
    row = change_or_404(request.who, queries.named_sets(), pk=pk)
    return form_page(
        request,
        ErratumForm,
        Erratum(requirement_set=row, on=request.who.studio.today),
        title="Add a correction",
        over=str(row),
        intro="What the institution has corrected in its list or its music since.",
        back=row.get_absolute_url(),
        again=True,
    )


def erratum_edit(request, pk):
    """Change a correction."""
    row = change_or_404(request.who, queries.named_errata(), pk=pk)
    return form_page(
        request,
        ErratumForm,
        row,
        title="A correction",
        over=str(row.requirement_set),
        back=row.requirement_set.get_absolute_url(),
        remove_url=reverse("erratum_remove", args=[pk]),
    )


def erratum_remove(request, pk):
    """Remove a correction."""
    row = remove_or_404(request.who, queries.named_errata(), pk=pk)
    return remove_page(request, row, back=row.requirement_set.get_absolute_url())
