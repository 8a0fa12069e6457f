"""Settings of the site. Everything that differs between machines comes from the environment."""

import os
import secrets
from pathlib import Path

os.environ["PYTHONTZPATH"] = ""  # the pinned tzdata package, never the machine's older zone files

import environ
from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured

from studio.running.logs import configuration

BASE_DIR = Path(__file__).resolve().parent.parent
env = environ.Env()
# What the site writes, of minors: database, uploads that wait, backups. For its owner alone.
RUN_DIR = Path(env.str("RUN_DIR", default=str(BASE_DIR / ".run")))
RUN_DIR.mkdir(mode=0o700, exist_ok=True)
BACKUP_DIR = Path(env.str("BACKUP_DIR", default=str(RUN_DIR / "backups")))

DEBUG = env.bool("DEBUG", default=False)
ALLOWED_HOSTS = env.list("ALLOWED_HOSTS", default=["localhost", "127.0.0.1", "[::1]"])
CSRF_TRUSTED_ORIGINS = env.list("CSRF_TRUSTED_ORIGINS", default=[])
HTTPS = env.bool("HTTPS", default=False)


def secret_key():
    """Return SECRET_KEY from the environment, or one drawn once and kept in .run/."""
    if key := env.str("SECRET_KEY", default=""):
        return key
    if HTTPS:
        raise ImproperlyConfigured(
            "Set SECRET_KEY to a long random text before serving over HTTPS."
        )
    kept = RUN_DIR / "secret-key"
    if not kept.exists():
        kept.touch(mode=0o600)
        kept.write_text(secrets.token_urlsafe(50))
    return kept.read_text()


SECRET_KEY = secret_key()
SECRET_KEY_FALLBACKS = env.list("SECRET_KEY_FALLBACKS", default=[])

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "allauth.usersessions",
    "django.contrib.humanize",
    "csp",
    "django_htmx",
    "studio.accounts",
    "studio.students",
    "studio.institutions",
    "studio.requirements",
    "studio.entries",
    "studio.days",
    "studio.week",
    "studio.score",
    "studio.handouts",
    "studio.feeds",
    "studio.workbook",
    "studio.reminders",
    "studio.privacy",
    "studio.running",
]

MIDDLEWARE = [
    "csp.middleware.CSPMiddleware",  # before all that answers by itself: health, files
    "studio.running.middleware.HealthMiddleware",
    "studio.running.middleware.LogMiddleware",
    "studio.running.middleware.PlainMiddleware",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "studio.accounts.middleware.SignInMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "studio.accounts.middleware.WhoMiddleware",
    "studio.accounts.middleware.TwoFactorMiddleware",
    "studio.privacy.middleware.ForgetMiddleware",
]

ROOT_URLCONF = "studio.urls"
WSGI_APPLICATION = "studio.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "studio.accounts.context.page",
            ],
        },
    },
]

# SQLite with several writers: take the write lock when a transaction begins, and wait for it.
# synchronous=FULL: what was answered is on disk, and survives a power cut too (4 ms a transaction).
SQLITE_OPTIONS = {
    "transaction_mode": "IMMEDIATE",
    "timeout": 5,
    "init_command": (
        "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON;"
        "PRAGMA secure_delete=ON;"  # what is erased is written over, not only let go of
        "PRAGMA cache_size=-20000; PRAGMA mmap_size=134217728; PRAGMA temp_store=MEMORY;"
    ),
}
DATABASES = {"default": env.db("DATABASE_URL", default=f"sqlite:///{RUN_DIR}/studio.sqlite3")}
DATABASES["default"] |= {"CONN_MAX_AGE": None, "CONN_HEALTH_CHECKS": True}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    DATABASES["default"]["OPTIONS"] = SQLITE_OPTIONS
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "accounts.User"
AUTHENTICATION_BACKENDS = [
    "django.contrib.auth.backends.ModelBackend",
    "allauth.account.auth_backends.AuthenticationBackend",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
]
LOGIN_REDIRECT_URL = "home"
LOGIN_URL = "account_login"
ACCOUNT_ADAPTER = "studio.accounts.adapter.InvitedOnly"
ACCOUNT_FORMS = {
    "login": "studio.accounts.sign_in.SignInForm",
    "request_login_code": "studio.accounts.sign_in.CodeRequestForm",
    "confirm_login_code": "studio.accounts.sign_in.CodeForm",
    "reset_password": "studio.accounts.sign_in.ResetForm",
    "reset_password_from_key": "studio.accounts.sign_in.NewPasswordForm",
    "reauthenticate": "studio.accounts.sign_in.PasswordAgainForm",
    "change_password": "studio.accounts.sign_in.PasswordForm",
    "add_email": "studio.accounts.sign_in.AddressForm",
}
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*", "password1*", "password2*"]
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_EMAIL_VERIFICATION = "none"  # an address is proven by the invitation that was sent to it
ACCOUNT_EMAIL_UNKNOWN_ACCOUNTS = False
ACCOUNT_PREVENT_ENUMERATION = True
ACCOUNT_LOGIN_BY_CODE_ENABLED = True
ACCOUNT_LOGIN_BY_CODE_TIMEOUT = 600  # seconds: three minutes are few where mail is slow
ACCOUNT_REAUTHENTICATION_TIMEOUT = 900
ACCOUNT_EMAIL_NOTIFICATIONS = True  # of a new password, address or second factor
ACCOUNT_EMAIL_SUBJECT_PREFIX = "Anacrusis: "
# How often, by where it comes from (ip) and by the address that is tried (key), known or not.
ACCOUNT_RATE_LIMITS = {
    "login": "30/m/ip",
    "login_failed": "10/m/ip,5/5m/key",
    "request_login_code": "20/m/ip,3/10m/key",
    "reset_password": "20/m/ip,3/10m/key",
}
MFA_ADAPTER = "studio.accounts.adapter.TwoFactors"
MFA_FORMS = {
    "authenticate": "studio.accounts.sign_in.SecondForm",
    "reauthenticate": "studio.accounts.sign_in.AgainForm",
    "activate_totp": "studio.accounts.sign_in.AppForm",
    "add_webauthn": "studio.accounts.sign_in.PasskeyForm",
    "edit_webauthn": "studio.accounts.sign_in.PasskeyNameForm",
}
MFA_ALLOW_UNVERIFIED_EMAIL = True  # nobody signs up: the main address is proven from the start
MFA_SUPPORTED_TYPES = ["totp", "webauthn", "recovery_codes"]
MFA_PASSKEY_LOGIN_ENABLED = True
MFA_RECOVERY_CODES_SHOW_ONCE = False
MFA_TOTP_ISSUER = "Anacrusis"
MFA_TOTP_TOLERANCE = 1  # a phone's clock may be half a minute off
MFA_WEBAUTHN_ALLOW_INSECURE_ORIGIN = DEBUG
# Behind one proxy the caller's address is the last one it wrote down; without this all callers
# share one bucket of the rate limits.
ALLAUTH_TRUSTED_PROXY_COUNT = env.int("TRUSTED_PROXIES", default=1 if HTTPS else 0)
MAIL_IN_BACKGROUND = True  # so that the time of an answer does not tell who has an account

# Printed on a real site, letters and sign-in codes would stand in its log.
EMAIL_BACKEND = f"django.core.mail.backends.{'dummy' if HTTPS else 'console'}.EmailBackend"
if EMAIL_URL := env.str("EMAIL_URL", default=""):
    vars().update(env.email("EMAIL_URL"))
SITE_URL = env.str("SITE_URL", default="http://127.0.0.1:8000").rstrip("/")  # for links in e-mail
DEFAULT_FROM_EMAIL = env.str("DEFAULT_FROM_EMAIL", default="Anacrusis <studio@localhost>")

LANGUAGE_CODE = "en-gb"
TIME_ZONE = "UTC"
USE_I18N = True
USE_TZ = True

STATIC_URL = "static/"
STATICFILES_DIRS = [BASE_DIR / "static"]
STATIC_ROOT = RUN_DIR / "static"
STATIC_ROOT.mkdir(parents=True, exist_ok=True)
WHITENOISE_USE_FINDERS = (
    True  # serves static/ as it is; `collectstatic` only matters behind a proxy
)

CACHES = {
    # Rate limits count in the database, so that all web processes count together.
    "default": {
        "BACKEND": "django.core.cache.backends.db.DatabaseCache",
        "LOCATION": "cache",
        "OPTIONS": {"MAX_ENTRIES": 20_000},  # or made-up addresses would push a count out
    },
    # Printed sheets tell of minors: kept in memory only, never in files that outlive an erasure,
    # and apart from the default cache, out of which they would push the sign-in rate limits.
    "sheets": {
        "BACKEND": "django.core.cache.backends.locmem.LocMemCache",
        "LOCATION": "sheets",
        "TIMEOUT": 86_400,
        "OPTIONS": {"MAX_ENTRIES": 120},
    },
}
SOLVER_WORKERS = env.int("SOLVER_WORKERS", default=1)  # solver processes of each web process
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_500_000
DATA_UPLOAD_MAX_NUMBER_FIELDS = 5_000

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    }
}
SECURE_CONTENT_TYPE_NOSNIFF = True
# Keeps secret addresses from other sites. "no-referrer" would do so too, but then browsers send
# "Origin: null" with our own forms, and every one of them is refused.
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_HTTPONLY = True
if HTTPS:  # browsers take a cookie of such a name from this very host alone, and over HTTPS alone
    SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = "__Host-session", "__Host-csrf"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT = HTTPS
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = HTTPS
if HTTPS:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

MESSAGE_STORAGE = "django.contrib.messages.storage.session.SessionStorage"
FORMS_URLFIELD_ASSUME_HTTPS = True  # what Django 6 does by itself
FORM_RENDERER = "django.forms.renderers.DjangoTemplates"

LOGS = env.str("LOGS", default="json" if HTTPS else "plain")
if LOGS == "json":
    LOGGING = configuration()
