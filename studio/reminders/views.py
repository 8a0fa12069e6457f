"""Whether one gets the weekly e-mail, what the next one would say, and how it is stopped."""

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods

from studio.accounts.access import NOT_FOUND
from studio.accounts.pages import undo_tag
from studio.reminders.forms import WeeklyForm
from studio.reminders.sending import letter_for, next_time, receiving, seat_at


def mail(request):
    """The asker's own weekly e-mail: on or off, when, and what it would say now."""
    seat = receiving_seat(request.who)
    posted = request.POST if request.method == "POST" else None
    form = WeeklyForm(posted, instance=seat, who=request.who)
    if form.is_valid():
        form.save()
        words = "comes on Mondays." if seat.weekly_mail else "does not come any more."
        messages.success(request, f"The weekly e-mail {words}", extra_tags=undo_tag(request))
        return redirect("mail")
    now = timezone.now()
    context = {"form": form, "letter": letter_for(seat, now), "next": next_time(seat, now)}
    return render(request, "reminders/mail.html", context)


def receiving_seat(who):
    """Return the asker's own seat, or 404 for one that no e-mail is written for."""
    seat = who and receiving().filter(pk=who.pk).first()
    if seat is None:
        raise Http404(NOT_FOUND)
    return seat


@login_not_required
@csrf_exempt  # RFC 8058: a mail program posts here by itself; the signed address is the key
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def mail_stop(request, token):
    """Stop a seat's weekly e-mail, or let it come again, without signing in."""
    seat = seat_at(token)
    if seat is None:
        return render(request, "reminders/mail_gone.html", status=404)
    if request.method == "POST":
        seat.weekly_mail = "again" in request.POST
        seat.save(update_fields=["weekly_mail"])
        return redirect(request.path)
    return render(request, "reminders/mail_stop.html", {"seat": seat})
