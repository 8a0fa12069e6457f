"""The form that signs in, in our own words."""

from allauth.account.forms import LoginForm


class SignInForm(LoginForm):
    """Ask for address and password."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["remember"].label = "Stay signed in on this computer"
