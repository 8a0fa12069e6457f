"""The workbook's page, what a file would do before it is loaded, loading it, and taking it home."""

from functools import wraps

from django.contrib import messages
from django.db import IntegrityError, transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.text import slugify
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_POST, require_safe

from studio.accounts.access import teacher_or_404
from studio.accounts.pages import undo_tag
from studio.workbook import uploads
from studio.workbook.applying import CannotApply, apply
from studio.workbook.contexts import Preview, description
from studio.workbook.files import MAX_UPLOAD, MEGABYTE, read_files, too_large
from studio.workbook.forms import WorkbookForm
from studio.workbook.grids import CannotRead
from studio.workbook.plan import plan
from studio.workbook.writing import TooLong, write_xlsx, write_zip

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
STALE = "The studio has changed since. This is what loading would do now."
GONE = "The upload is no longer here. Choose the file again."


def refuse_large(view):
    """Refuse an upload over the limit by its announced size, before a byte of it is read."""

    @csrf_exempt
    @wraps(view)
    def refusing(request):
        teacher_or_404(request.who)
        size = int(request.META.get("CONTENT_LENGTH") or 0)
        if size > MAX_UPLOAD + MEGABYTE // 10:
            form = WorkbookForm()
            return _page(request, form, refused=too_large(size), status=413)
        return csrf_protect(view)(request)

    return refusing


def workbook(request):
    """What the workbook is, how to take it home, and where to load one."""
    teacher_or_404(request.who)
    return _page(request, WorkbookForm())


def _page(request, form, refused="", status=200):
    context = {
        "title": "Workbook",
        "form": form,
        "refused": refused,
        "sheets": description(),
        "not_done": "Nothing is loaded yet.",
    }
    return render(request, "workbook/workbook.html", context, status=status)


@refuse_large
def workbook_check(request):
    """Show what a file would do (POST), or again what the one uploaded last would do (GET)."""
    if request.method != "POST":
        files = uploads.kept(request)
        return _preview(request, files) if files else redirect("workbook")
    form = WorkbookForm(request.POST, request.FILES)
    if not form.is_valid():
        return _page(request, form, status=422)
    files = [(upload.name, upload.read()) for upload in form.cleaned_data["files"]]
    try:
        response = _preview(request, files)
    except CannotRead as error:
        form.add_error("files", str(error))
        return _page(request, form, status=422)
    uploads.keep(request, files)
    return response


def _preview(request, files, told=""):
    """Render what loading `files` would do; told: why it is shown again."""
    made = plan(request.who.studio, read_files(files))
    shown = Preview(made, ", ".join(name for name, _ in files))
    context = {"preview": shown, "plan": made, "form": WorkbookForm(), "told": told}
    status = 422 if made.problems else 409 if told else 200
    return render(request, "workbook/workbook_check.html", context, status=status)


@require_POST
def workbook_apply(request):
    """Load the file that was shown, if it still does what was shown."""
    teacher_or_404(request.who)
    files = uploads.kept(request)
    if files is None:
        messages.error(request, GONE)
        return redirect("workbook")
    try:
        made, drawn = _load(request, files)
    except (IntegrityError, CannotApply):
        return _preview(request, files, told=STALE)
    uploads.drop(request)
    messages.success(request, _loaded(made, drawn), extra_tags=undo_tag(request))
    return redirect("workbook")


def _load(request, files):
    """Load `files` unless that would no longer do what was shown; raise CannotApply."""
    grids = read_files(files)
    with transaction.atomic():
        made = plan(request.who.studio, grids)
        if not made.problems and made.digest != request.POST.get("digest"):
            raise CannotApply(STALE)
        return made, apply(made, draw_up="draw_up" in request.POST)


def _loaded(made, drawn):
    told = f"Loaded: {made.created} added, {made.changed} changed, {made.same} left alone."
    return f"{told} Tasks drawn up from the deadlines: {drawn}." if drawn else told


@require_safe
def workbook_export(request):
    """The whole season as .xlsx."""
    who = teacher_or_404(request.who)
    try:
        return _file(who.studio, write_xlsx(who.studio), "xlsx", XLSX)
    except TooLong as error:
        return _page(request, WorkbookForm(), refused=str(error), status=422)


@require_safe
def workbook_export_csv(request):
    """The whole season as a .zip of .csv."""
    who = teacher_or_404(request.who)
    return _file(who.studio, write_zip(who.studio), "zip", "application/zip")


@require_safe
def workbook_empty(request):
    """A workbook with headings only."""
    who = teacher_or_404(request.who)
    return _file(who.studio, write_xlsx(who.studio, empty=True), "xlsx", XLSX, "empty workbook")


def _file(studio, content, ending, kind, what=""):
    name = slugify(f"{studio.name} {what or studio.season}".replace("–", "-")) or "workbook"
    response = HttpResponse(content, content_type=kind)
    response["Content-Disposition"] = f'attachment; filename="{name}.{ending}"'
    response["Cache-Control"] = "no-store"
    return response
