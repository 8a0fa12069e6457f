"""The dates of a student's auditions: read by staff; wished for, ranked and taken by teachers."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from studio.accounts.access import add_or_404, change_or_404, read_or_404, staff_or_404
from studio.accounts.pages import undo_tag
from studio.accounts.words import counted
from studio.entries.bridge import Season
from studio.entries.dates import Dating
from studio.entries.dates_accept import accept
from studio.entries.dates_forms import DateWishForm, JourneyForm
from studio.entries.dates_page import DatesPage, ranks_form
from studio.entries.dates_queries import concerts, dated, offered
from studio.entries.models import DateWish, Entry
from studio.entries.plan_forms import KeptForm
from studio.workers import Unsolved

OTHER_PLAN = "Nothing was taken over: the plan is another by now. Look at it again."
NOT_SAVED = "Nothing was saved: choose among what the page offers."
OTHER_DAY = "Call and rooms were written down for another date, check the day: {}."


@require_safe
def dates_plan(request, pk):
    """Which dates a student could take, and what each would cost."""
    staff_or_404(request.who)
    return _page(request, _dating(request, pk))


def _page(request, dating, status=200, **posted):
    page = DatesPage(dating, request.who, **posted)
    context = {"page": page, "student": page.student}
    return render(request, "entries/dates.html", context, status=status)


def _dating(request, pk, lookup=read_or_404):
    student = lookup(request.who, dated(request.who), pk=pk)
    return Dating(Season(student), list(offered(student)), list(concerts(student)))


def _entry(request, pk):
    entries = Entry.objects.select_related("student__studio", "audition__institution")
    return change_or_404(request.who, entries, pk=pk)


def _back(request, entry):
    place = f"#audition-{entry.pk}"
    return redirect(reverse("dates_plan", args=[entry.student_id]) + place)


@require_POST
def date_wish(request, pk):
    """Write down what the teacher wishes of one date of an entry's audition."""
    add_or_404(request.who, DateWish)
    entry = _entry(request, pk)
    form = DateWishForm(request.POST, entry=entry)
    if form.is_valid():
        messages.success(request, f"{form.save()}.", extra_tags=undo_tag(request))
    else:
        messages.error(request, NOT_SAVED)
    return _back(request, entry)


@require_POST
def date_ranks(request, pk):
    """Write down the student's order of the dates of an entry's audition."""
    add_or_404(request.who, DateWish)
    entry = _entry(request, pk)
    dating = _dating(request, entry.student_id, change_or_404)
    entry = next((each for each in dating.entries if each.pk == pk), None)
    if entry is None:
        messages.error(request, NOT_SAVED)
        return redirect("dates_plan", dating.student.pk)
    form = ranks_form(dating, entry, request.POST)
    if not form.is_valid():
        return _page(request, dating, 422, posted={pk: form})
    ranked = counted(form.save(), "date") or "no date"
    text = f"{entry.audition.institution.short}: {ranked} ranked."
    messages.success(request, text, extra_tags=undo_tag(request))
    return _back(request, entry)


@require_POST
def date_journey(request, pk):
    """Write down the teacher's own figures for the way to an audition."""
    entry = _entry(request, pk)
    form = JourneyForm(request.POST, instance=entry, who=request.who, prefix=f"journey-{pk}")
    if not form.is_valid():
        return _page(request, _dating(request, entry.student_id), 422, posted={pk: form})
    form.save()
    text = f"{entry.audition.institution.short}: the journey is saved."
    messages.success(request, text, extra_tags=undo_tag(request))
    return _back(request, entry)


@require_POST
def date_kept(request, pk):
    """Take an audition into the plan or out of it."""
    entry = _entry(request, pk)
    form = KeptForm(request.POST, instance=entry, who=request.who)
    form.is_valid()  # a box is ticked or not: nothing can be wrong
    form.save()
    said = "in the plan" if entry.kept else "left out of the plan"
    text = f"{entry.audition.institution.short}: {said}."
    messages.success(request, text, extra_tags=undo_tag(request))
    return _back(request, entry)


@require_POST
def dates_accept(request, pk):
    """Choose the dates of the plan: all, or one audition's; if the plan is still the same.

    Posted: `plan`, the digest of the plan that was shown; `entry`, a key, or nothing.
    """
    dating = _dating(request, pk, change_or_404)
    try:
        same = dating.answer.plan and request.POST.get("plan") == dating.digest
    except Unsolved as error:
        messages.error(request, f"Nothing was taken over. {error}")
        return redirect("dates_plan", pk)
    if not same:
        messages.warning(request, OTHER_PLAN)
        return redirect("dates_plan", pk)
    taken = accept(dating, request.POST.get("entry", ""))
    text = f"Taken over: {counted(len(taken), 'date')}." if taken else "Nothing has changed."
    messages.success(request, text, extra_tags=undo_tag(request))
    if moved := [dating.name(each) for each in taken if hasattr(each, "day")]:
        messages.warning(request, OTHER_DAY.format(", ".join(moved)))
    return redirect(reverse("dates_plan", args=[pk]) + "#dates")
