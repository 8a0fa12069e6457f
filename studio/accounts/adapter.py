"""How allauth behaves here: nobody signs up without an invitation."""

from allauth.account.adapter import DefaultAccountAdapter


class InvitedOnly(DefaultAccountAdapter):
    def is_open_for_signup(self, request):
        return False
