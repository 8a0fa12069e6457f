"""Signing in by invitation, the people of a studio, its settings and its history."""

import re

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.db import IntegrityError
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from planner.readiness.prior import PIECES_NEEDED
from studio.accounts import history, queries, sessions, versions
from studio.accounts.access import STAFF, TEACHERS, may_take_back, remove_or_404, teacher_or_404
from studio.accounts.forms import AcceptForm, InvitationForm, StudioSettingsForm
from studio.accounts.journeys import JourneysForm
from studio.accounts.middleware import CHOSEN
from studio.accounts.models import Invitation, Membership, Role, User
from studio.accounts.pages import next_url, remove_page, settings_page, undo_tag

PLACES = (
    ("People", "people", "Who may open this studio, and invitations."),
    ("Instruments", "instruments", "The studio's list, in score order."),
    ("Accompanists", "accompanists", "Who plays the piano, and for how many on one day."),
    ("Own days", "own_days", "Concerts, days off, days on which somebody is away."),
    ("Lead times", "lead_times", "Which tasks a deadline brings, and how long before."),
    ("Journeys", "journey_settings", "What audition dates are weighed by."),
    ("Practice", "practice_settings", "How the minutes of each day are planned."),
    ("Workbook", "workbook", "The whole season in and out as a spreadsheet."),
    ("Calendar", "studio_feed", "The studio's dates in any calendar program."),
    ("History", "history", "What was changed, by whom, and the way back."),
    ("Bin", "bin", "What was removed, and the way back."),
    ("Privacy", "privacy", "What is stored about students, and erasing it for good."),
)
FIRST = {Role.ACCOMPANIST: "accompanying"}
PAGE = re.compile(r"\d{1,18}")
BACKEND = "django.contrib.auth.backends.ModelBackend"


def home(request):
    """Send everybody to their first page."""
    if request.who is None:
        return render(request, "accounts/no_studio.html", {"title": "No studio yet"})
    return redirect("score" if request.who.role in STAFF else FIRST.get(request.who.role, "part"))


def studio(request):
    """The studio's settings; teachers only."""
    who = teacher_or_404(request.who)
    form = StudioSettingsForm(request.POST or None, who=who)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "The studio's settings are saved.")
        return redirect("studio")
    context = {
        "form": form,
        "title": who.studio.name,
        "places": places(),
        "pace": _pace(who.studio),
        "needed": PIECES_NEEDED,
    }
    return render(request, "accounts/studio.html", context, status=422 if form.errors else 200)


def _pace(studio):
    """Return what is known of the studio's usual pace, in words."""
    learned = getattr(studio, "learned_pace", None)
    return learned.words if learned else "Not learned yet: no lesson has been saved"


def places():
    """Return the pages that belong to the studio as a whole."""
    return [{"label": label, "url": reverse(name), "text": text} for label, name, text in PLACES]


def journey_settings(request):
    """What journeys cost, and how the studio's families travel."""
    who = teacher_or_404(request.who)
    form = JourneysForm(request.POST or None, studio=who.studio)
    page, saved = "accounts/journey_settings.html", "The journeys are saved."
    return settings_page(request, form, page, title="Journeys", saved=saved)


def people(request):
    """Who belongs to the studio, and who has been invited."""
    who = teacher_or_404(request.who)
    form = InvitationForm(request.POST or None, studio=who.studio)
    link = None
    if request.method == "POST" and form.is_valid():
        seat = Membership.objects.create(studio=who.studio, role=form.cleaned_data["role"])
        link = request.build_absolute_uri(Invitation.issue(seat, form.cleaned_data["email"]))
    context = {"people": queries.people(who), "form": form, "link": link, "title": "People"}
    return render(request, "accounts/people.html", context, status=422 if form.errors else 200)


def membership_remove(request, pk):
    """Take a seat away, with the sign-in it gave; never the asker's own or the owner's."""
    who = teacher_or_404(request.who)
    seats = Membership.objects.exclude(role=Role.OWNER).exclude(pk=who.pk)
    gone = remove_or_404(who, seats, pk=pk)
    if request.method == "POST" and gone.user_id and gone.is_teacher:
        _move_calendar(request)
    return remove_page(request, gone, back=reverse("people"))


def _move_calendar(request):
    """Give the studio's calendar another address once somebody who knew it has left."""
    request.who.studio.renew_feed()
    messages.info(
        request,
        "The studio’s calendar has a new address, because they knew the old one. "
        "Whoever subscribes to it needs the new one.",
    )


@login_not_required
@never_cache
def invitation(request, secret):
    """Show an invitation (GET) and take the seat (POST), so that mail scanners burn nothing."""
    invited = Invitation.open(secret)
    if invited is None:
        context = {"title": "This invitation is not open"}
        return render(request, "accounts/invitation_over.html", context, status=404)
    user = queries.whose(invited.email)
    if user is not None:
        return _accept_known(request, invited, user)
    form = AcceptForm(request.POST or None, email=invited.email)
    if request.method == "POST" and form.is_valid():
        return _seat_new(request, invited, form.cleaned_data)
    context = {"form": form, "invited": invited, "title": f"Join {invited.membership.studio}"}
    status = 422 if form.errors else 200
    return render(request, "accounts/invitation.html", context, status=status)


def _seat_new(request, invited, values):
    try:
        user = User.objects.create_user(invited.email, values["password"], name=values["name"])
    except IntegrityError:  # a second click was quicker
        return redirect(request.path)
    return _seat(request, invited, user)


def _accept_known(request, invited, user):
    """Somebody with an account must be signed in as themselves to take the seat."""
    if request.method == "POST" and request.user == user:
        seat = invited.membership
        alike = STAFF if seat.role in STAFF else {seat.role}
        if seat.studio.memberships.filter(user=user, role__in=alike).exists():
            messages.error(request, "You have a seat in this studio already: nothing has changed.")
            return redirect("home")
        return _seat(request, invited, user)
    context = {"invited": invited, "known": user, "title": f"Join {invited.membership.studio}"}
    return render(request, "accounts/invitation.html", context)


def _seat(request, invited, user):
    if not invited.accept(user):
        return redirect(request.path)
    login(request, user, backend=BACKEND)
    sessions.begun(request)
    request.session[CHOSEN] = invited.membership_id
    return redirect("home")


def history_list(request):
    """What was changed lately, by whom, and the way back; older things page by page."""
    who = teacher_or_404(request.who)
    before = request.GET.get("before", "")
    batches = queries.recent_batches(who, int(before) if PAGE.fullmatch(before) else None)
    older = batches[-1].last if len(batches) == queries.SHOWN_BATCHES else None
    context = {"batches": batches, "older": older, "title": "History"}
    return render(request, "accounts/history.html", context)


def history_batch(request, batch):
    """One batch of changes, each value before and after."""
    who = teacher_or_404(request.who)
    rows = queries.batch_or_404(who, batch)
    shown = versions.versions(rows)
    context = {
        "title": "What was changed",
        "batch": rows[0],
        "versions": shown,
        "more": len(rows) - len(shown),
        "for_good": not all(may_take_back(who, row) for row in rows),
    }
    return render(request, "accounts/history_batch.html", context)


def bin(request):
    """What was removed and not brought back yet."""
    who = teacher_or_404(request.who)
    context = {"binned": versions.binned(who), "title": "Bin"}
    return render(request, "accounts/bin.html", context)


@require_POST
def undo(request, batch):
    """Take back one batch of the studio's changes: teachers any, others their own."""
    rows = queries.undoable_or_404(request.who, batch)
    there = next_url(request, "home")
    done = "brought back" if there == reverse("bin") else "taken back"
    try:
        history.undo(batch, request.who.studio)
        if any(map(_was_a_teacher, rows)):
            _move_calendar(request)
        messages.success(request, f"{done.capitalize()}.", extra_tags=undo_tag(request))
    except history.CannotUndo as error:
        messages.error(request, f"Nothing was {done}. {error}")
    return redirect(there)


def _was_a_teacher(change):
    """Whether taking a Change back takes the seat from somebody who taught here."""
    if change.model != "accounts.membership" or not change.after:
        return False
    seat, before = change.after, change.before or {}
    holder = seat["user_id"]
    return seat["role"] in TEACHERS and holder is not None and before.get("user_id") != holder
