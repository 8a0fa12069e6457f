"""The pages every app has alike: a form, a list, and the question before a removal.

They take rows that the view has already looked up through access.py.
"""

from dataclasses import dataclass
from itertools import groupby
from urllib.parse import urlencode

from django.contrib import messages
from django.db.models import RestrictedError
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.text import capfirst

from studio.accounts import removal
from studio.accounts.history import Recorded
from studio.accounts.models import Change


@dataclass(frozen=True)
class Row:
    """One line of a list: where it leads, and what stands in its columns."""

    url: str
    cells: tuple


@dataclass(frozen=True)
class Group:
    """Lines of a list under a heading of their own."""

    title: str
    rows: tuple


@dataclass(frozen=True)
class Order:
    """A way in which a list can be put; `url` changes to it."""

    label: str
    url: str
    current: bool


@dataclass(frozen=True)
class QuickRow:
    """A short form in the page that adds one row: Enter saves it, and the next can be typed."""

    what: str
    action: str
    next: str
    fields: tuple


def quick_row(request, form_class, instance, *, what, name, action):
    """Return a QuickRow of the form's `quick` fields that comes back to this page.

    what: what it adds, "a deadline".
    name: unlike that of any other quick row of the page. What does not pass the form is shown
    again on the form's own page, with all its fields.
    """
    form = form_class(instance=instance, who=request.who, auto_id=f"{name}_%s")
    fields = tuple(form[field] for field in form_class.quick)
    for bound in fields:
        bound.field.help_text = ""
    if request.GET.get("added") == name:
        fields[0].field.widget.attrs["autofocus"] = True
    return QuickRow(what, action, f"{request.path}?added={name}", fields)


def orders(request, choices):
    """Return the orders to choose from and the one in use (`?order=`; the first is the usual).

    choices: label by name.
    """
    wanted = request.GET.get("order")
    usual = next(iter(choices))
    chosen = wanted if wanted in choices else usual
    found = {"q": q} if (q := request.GET.get("q", "").strip()) else {}
    links = [
        Order(label, "?" + urlencode({**found, "order": name}), name == chosen)
        for name, label in choices.items()
    ]
    return links, chosen


def grouped(rows, heading, line):
    """Return Groups of lines from `rows`, which come sorted by `heading` (a function of a row)."""
    return [Group(title, tuple(map(line, some))) for title, some in groupby(rows, heading)]


def next_url(request, default):
    """Return the page the asker came from, if it is one of ours, else `default`."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    safe = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, request.is_secure())
    return wanted if wanted.startswith("/") and safe else default


def form_page(request, form_class, instance, *, title, back, then=None, initial=None, **words):
    """Show a form for `instance`, save what is posted and go on to `back` (a URL).

    then: a function of the saved row, for going on to a page of its own instead.
    initial: what stands in the empty form.
    words: the rest of the page: `submit_label`, `intro`, `over` (a line above the title),
        `remove_url`, `invite` (url, label) to let somebody sign in, and `again`: after adding,
        offer the same form empty for the next one.
    """
    form = form_class(request.POST or None, instance=instance, who=request.who, initial=initial)
    if request.method == "POST" and form.is_valid():
        saved = form.save()
        messages.success(request, f"{capfirst(str(saved))}: saved.", extra_tags=undo_tag(request))
        if "again" in request.POST:
            return redirect(request.get_full_path())
        return redirect(next_url(request, then(saved) if then else back))
    context = {
        "form": form,
        "title": title,
        "cancel_url": next_url(request, back),
        "next": next_url(request, ""),
        **words,
    }
    return render(request, "partials/form_page.html", context, status=422 if form.errors else 200)


def settings_page(request, form, template, *, title, saved):
    """Show a form of the studio's own figures; save what is posted, say so and stay on the page."""
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, saved, extra_tags=undo_tag(request))
        return redirect(request.path)
    context = {"form": form, "title": title}
    return render(request, template, context, status=422 if form.errors else 200)


def remove_page(request, row, *, back):
    """Ask before removing `row` with all that hangs on it; removal can be undone from the page."""
    label = capfirst(str(row))
    in_use = removal.in_use(row, label)
    if request.method == "POST":
        try:
            if in_use:
                raise RestrictedError(in_use, {row})
            row.delete()
        except RestrictedError:  # somebody may have begun to use it meanwhile
            messages.error(request, in_use or removal.in_use(row, label))
            return redirect(request.path)
        messages.success(request, f"{label}: removed.", extra_tags=undo_tag(request))
        return redirect(back)
    context = {
        "title": f"Remove {row}",
        "lost": removal.goes_with(row),
        "in_use": in_use,
        "undoable": isinstance(row, Recorded),
        "cancel_url": next_url(request, back),
    }
    return render(request, "partials/confirm_remove.html", context)


def undo_tag(request):
    """Mark a message so that the page offers to take this request's changes back, if any."""
    changed = Change.objects.filter(batch=request.act.batch).exists()
    return f"undo:{request.act.batch}" if changed else ""
