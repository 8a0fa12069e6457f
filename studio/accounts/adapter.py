"""How allauth behaves here: nobody signs up without an invitation."""

from allauth.account.adapter import DefaultAccountAdapter


class InvitedOnly(DefaultAccountAdapter):
    """Nobody signs up: seats are given by invitation."""

    def is_open_for_signup(self, request):
        """Never."""
        return False
