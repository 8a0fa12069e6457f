"""Your own sign-in: which seat you take, where you are signed in, what you sign in with."""

from allauth.mfa.adapter import get_adapter
from allauth.mfa.webauthn.views import RemoveWebAuthnView
from django.contrib import messages
from django.http import HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from studio.accounts import sessions as open_sessions
from studio.accounts.middleware import CHOSEN, seats_of


def account(request):
    """How the asker signs in, and as whom."""
    seats = seats_of(request.user).order_by("studio__name", "pk")
    context = {"title": "Your sign-in", "seats": seats}
    return render(request, "accounts/account.html", context)


@require_POST
def seat_choose(request, pk):
    """Take another of one's own seats."""
    chosen = get_object_or_404(seats_of(request.user), pk=pk)
    request.session[CHOSEN] = chosen.pk
    return redirect("home")


def sessions(request):
    """Where the asker is signed in; posted: end it everywhere else."""
    if request.method == "POST":
        open_sessions.elsewhere(request).delete()
        messages.success(request, "You are signed out everywhere else.")
        return redirect("sessions")
    context = {"title": "Where you are signed in", "sessions": open_sessions.signed_in(request)}
    return render(request, "accounts/sessions.html", context)


@require_POST
def session_end(request, pk):
    """End one of the asker's sessions in another browser."""
    get_object_or_404(open_sessions.elsewhere(request), pk=pk).delete()
    messages.success(request, "You are signed out there.")
    return redirect("sessions")


class PasskeyRemove(RemoveWebAuthnView):
    """Take a passkey away, unless it is the only second factor where one is asked for."""

    def form_valid(self, form):
        """Remove it, or say why it stays."""
        adapter = get_adapter()
        if adapter.can_delete_authenticator(self.object):
            return super().form_valid(form)
        messages.error(self.request, adapter.error_messages["cannot_delete_authenticator"])
        return HttpResponseRedirect(self.get_success_url())


passkey_remove = PasskeyRemove.as_view()
