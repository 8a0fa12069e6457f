"""The forms that sign people in, in our own words."""

from allauth.account.adapter import get_adapter
from allauth.account.forms import (
    AddEmailForm,
    ChangePasswordForm,
    ConfirmLoginCodeForm,
    LoginForm,
    RequestLoginCodeForm,
    ResetPasswordForm,
    ResetPasswordKeyForm,
)
from allauth.mfa.base.forms import AuthenticateForm, ReauthenticateForm
from allauth.mfa.totp.forms import ActivateTOTPForm
from allauth.mfa.webauthn.forms import AddWebAuthnForm, EditWebAuthnForm

CODE = {"inputmode": "numeric", "autocomplete": "one-time-code", "spellcheck": "false"}


class Worded:
    """Label and explain the fields of a form of the program that signs people in.

    labels, helps: words by the field's name. digits: the field of a code that is all digits.
    """

    labels = {}
    helps = {}
    digits = None

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            field.label = self.labels.get(name, field.label)
            field.help_text = self.helps.get(name, field.help_text)
            field.widget.attrs.pop("placeholder", None)
        if self.digits:
            self.fields[self.digits].widget.attrs.update(CODE)


class SignInForm(Worded, LoginForm):
    """Ask for address and password."""

    labels = {"login": "E-mail", "remember": "Stay signed in on this computer"}


class CodeRequestForm(Worded, RequestLoginCodeForm):
    """Ask where a code shall go; too often for one address ends it for a while."""

    labels = {"email": "E-mail"}

    def clean_email(self):
        """Turn a refusal that is about how often, not what, into the page that says so."""
        return get_adapter().unless_too_often(super().clean_email)


class CodeForm(Worded, ConfirmLoginCodeForm):
    """Ask for the code that was sent."""

    labels = {"code": "Code from the message"}
    helps = {"code": "Capitals or not, with the hyphen or without."}


class ResetForm(Worded, ResetPasswordForm):
    """Ask where the link to a new password shall go."""

    labels = {"email": "E-mail"}


class NewPasswordForm(Worded, ResetPasswordKeyForm):
    """Choose a password after a lost one."""

    labels = {"password1": "New password", "password2": "New password again"}


class PasswordForm(Worded, ChangePasswordForm):
    """Change a password that is known."""

    labels = {"oldpassword": "Password now"} | NewPasswordForm.labels


class AddressForm(Worded, AddEmailForm):
    """Add an e-mail address."""

    labels = {"email": "E-mail"}


class SecondForm(Worded, AuthenticateForm):
    """Ask for the second factor at sign-in: a code of the app, or one kept for the worst day."""

    labels = {"code": "Code"}
    helps = {"code": "Six digits from your app, or one of your recovery codes."}
    digits = "code"


class AgainForm(Worded, ReauthenticateForm):
    """Ask for a code once more, where the account itself is concerned."""

    labels, helps, digits = SecondForm.labels, SecondForm.helps, "code"


class AppForm(Worded, ActivateTOTPForm):
    """Ask for the app's first code, which proves that it was set up."""

    labels = {"code": "Code that the app shows now"}
    helps = {"code": "Six digits."}
    digits = "code"


class PasskeyForm(Worded, AddWebAuthnForm):
    """Name a new passkey."""

    labels = {"name": "What it is called here", "passwordless": "Sign in with it alone"}
    helps = {
        "name": "For example: phone, laptop at the studio.",
        "passwordless": "Then no password is asked for. The device asks for your finger, face or "
        "PIN instead.",
    }


class PasskeyNameForm(Worded, EditWebAuthnForm):
    """Name a passkey anew."""

    labels = {"name": "What it is called here"}
