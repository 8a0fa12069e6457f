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
from allauth.account.forms import ReauthenticateForm as ReauthenticatePasswordForm
from allauth.core.internal.cryptokit import normalize_user_code
from allauth.mfa import app_settings as totp
from allauth.mfa.adapter import get_adapter as mfa_adapter
from allauth.mfa.base.forms import AuthenticateForm, ReauthenticateForm
from allauth.mfa.models import Authenticator
from allauth.mfa.totp.forms import ActivateTOTPForm
from allauth.mfa.webauthn.forms import AddWebAuthnForm, EditWebAuthnForm
from django.core.cache import cache

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


class PasswordAgainForm(Worded, ReauthenticatePasswordForm):
    """Ask for the password once more, where the account itself is concerned."""


class PasswordForm(Worded, ChangePasswordForm):
    """Change a password that is known."""

    labels = {"oldpassword": "Password now"} | NewPasswordForm.labels


class AddressForm(Worded, AddEmailForm):
    """Add an e-mail address."""

    labels = {"email": "E-mail"}


class Once:
    """A code of the app opens the way once, for as long as it could be the right one.

    allauth itself forgets a used code after one period, but takes it for TOTP_TOLERANCE more.
    """

    def clean_code(self):
        """Refuse a code that has been used."""
        code = super().clean_code()
        if self.authenticator.type == Authenticator.Type.TOTP:
            seconds = totp.TOTP_PERIOD * (2 * totp.TOTP_TOLERANCE + 1)
            key = f"second-factor-used:{self.user.pk}:{normalize_user_code(code)}"
            if not cache.add(key, True, seconds):
                raise mfa_adapter().validation_error("incorrect_code")
        return code


class SecondForm(Once, Worded, AuthenticateForm):
    """Ask for the second factor at sign-in: a code of the app, or one kept for the worst day."""

    labels = {"code": "Code"}
    helps = {"code": "Six digits from your app, or one of your recovery codes."}
    digits = "code"


class AgainForm(Once, Worded, ReauthenticateForm):
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
