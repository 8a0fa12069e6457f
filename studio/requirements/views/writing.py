"""The fast editor of a set, and what is understood of a notation while it is typed."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.html import format_html

from studio.accounts.access import change_or_404, staff_or_404
from studio.accounts.pages import undo_tag
from studio.requirements import contexts, queries
from studio.requirements.notation import NOTATION_FIELDS, NOTATIONS, READ_ALOUD, understood
from studio.requirements.writing.grid import Grid
from studio.requirements.writing.saving import save


def requirement_set_write(request, pk):
    """Write all requirements of a set, row by row; saved all at once, or nothing."""
    row = change_or_404(request.who, queries.written_sets(), pk=pk)
    grid = Grid(row, request.who, request.POST or None, more="more" in request.POST)
    if grid.is_valid():
        words = f"{contexts.asked_of(row)}: {save(grid)}."
        messages.success(request, words, extra_tags=undo_tag(request))
        return redirect(row)
    context = {"set": row, "title": contexts.asked_of(row), "grid": grid}
    context["notations"] = [NOTATIONS[name] for name in NOTATION_FIELDS]
    status = 422 if grid.wrong else 200
    return render(request, "requirements/write.html", context, status=status)


def notation(request):
    """How rules are written; for a form, what the program understands of one of its fields."""
    staff_or_404(request.who)
    name = request.GET.get("notation", "")
    if not request.htmx or name not in READ_ALOUD:
        context = {"notations": NOTATIONS.values()}
        return render(request, "requirements/notation.html", context)
    texts = (text for key, text in request.GET.items() if key.rpartition("-")[2] == name)
    text = next(texts, "").strip()
    try:
        return HttpResponse(format_html("{}", understood(name, text) if text else ""))
    except ValueError as error:
        return HttpResponse(format_html('<span class="red">{}</span>', error))
