"""The pages every app has alike: a form, a list, and the question before a removal.

They take rows that the view has already looked up through access.py.
"""

from dataclasses import dataclass

from django.contrib import messages
from django.contrib.admin.utils import NestedObjects
from django.db import router
from django.db.models import RestrictedError
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.text import capfirst


@dataclass(frozen=True)
class Row:
    """One line of a list: where it leads, and what stands in its columns."""

    url: str
    cells: tuple


def next_url(request, default):
    """Return the page the asker came from, if it is one of ours, else `default`."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    safe = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, request.is_secure())
    return wanted if wanted and safe else default


def form_page(request, form_class, instance, *, title, back, submit="Save", intro="", again=False):
    """Show a form for `instance`, save what is posted and go on to `back` (a URL).

    again: after adding, offer the same form empty for the next one ("Save and add another").
    """
    form = form_class(request.POST or None, instance=instance, who=request.who)
    if request.method == "POST" and form.is_valid():
        saved = form.save()
        messages.success(request, f"{capfirst(str(saved))}: saved.", extra_tags=undo_tag(request))
        return redirect(request.path if "again" in request.POST else next_url(request, back))
    context = {
        "form": form,
        "title": title,
        "intro": intro,
        "submit_label": submit,
        "again": again,
        "cancel_url": next_url(request, back),
        "next": next_url(request, ""),
    }
    return render(request, "partials/form_page.html", context, status=422 if form.errors else 200)


def remove_page(request, row, *, back):
    """Ask before removing `row` with all that hangs on it; removal can be undone from the page."""
    if request.method == "POST":
        label = capfirst(str(row))
        try:
            row.delete()
        except RestrictedError as error:
            messages.error(request, in_use(label, error.restricted_objects))
            return redirect(request.path)
        messages.success(request, f"{label}: removed.", extra_tags=undo_tag(request))
        return redirect(back)
    context = {"title": f"Remove {row}", "lost": goes_with(row), "cancel_url": next_url(request, back)}
    return render(request, "partials/confirm_remove.html", context)


def in_use(label, rows):
    """Say why `label` cannot go: what still uses it, and what to do."""
    users = sorted({str(row) for row in rows})
    more = f" and {len(users) - 3} more" if len(users) > 3 else ""
    return f"{label} is still used by {'; '.join(users[:3])}{more}. Change these first."


def goes_with(row):
    """Return what a removal takes along, as words with counts: ["3 entries", "12 tasks"]."""
    nested = NestedObjects(using=router.db_for_write(type(row)))
    nested.collect([row])
    counts = {}
    for model, rows in nested.model_objs.items():
        name = model._meta
        number = len(rows) - (1 if model is type(row) else 0)
        if number and not model._meta.auto_created:
            counts[model] = f"{number} {name.verbose_name if number == 1 else name.verbose_name_plural}"
    return sorted(counts.values())


def undo_tag(request):
    """Mark a message so that the page offers to take this request's changes back."""
    return f"undo:{request.act.batch}"
