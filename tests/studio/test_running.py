"""Running the site: its health, what its log holds, and whether the way to run it fits together."""

import io
import json
import logging
import logging.config
import re
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command, get_commands
from django.db import DatabaseError, connection
from django.db.migrations.recorder import MigrationRecorder
from django.test import Client

from studio.entries.views import part
from studio.running import checks, health
from studio.running.logs import JsonFormatter, configuration, last_words
from tests.visitors import HOST, Visitor, deployed, free_port

HERE = settings.BASE_DIR / "studio" / "running"
DEPLOY = HERE / "deploy"
MANUAL = (HERE / "RUNNING.md").read_text(encoding="utf-8")


# The health page


def asked(**headers):
    """What the health page says to a proxy that asks with a host and a scheme of its own."""
    answer = Client(headers=headers).get("/health/")
    return answer.status_code, answer.content.decode()


@pytest.mark.django_db
def test_it_is_well(settings):
    settings.SECURE_SSL_REDIRECT = True
    settings.ALLOWED_HOSTS = [HOST]
    assert asked(host="10.0.0.7:8000") == (200, "ok\n")
    assert Client().get("/", headers={"host": "10.0.0.7"}).status_code == 400


@pytest.mark.django_db
def test_it_says_that_a_migration_is_missing():
    MigrationRecorder(connection).record_unapplied("accounts", "0002_studio_check_days")
    assert asked() == (503, "migrations\n")


@pytest.mark.django_db
def test_it_says_that_the_database_cannot_be_written_to(monkeypatch):
    def fail():
        raise DatabaseError("attempt to write a readonly database")

    monkeypatch.setattr(health, "_try_to_write", fail)
    assert asked() == (503, "database\n")


@pytest.mark.django_db
def test_it_says_that_the_disk_is_full(monkeypatch):
    monkeypatch.setattr(health, "LEAST_FREE", 2**62)
    assert asked() == (503, "disk\n")


# The log


@pytest.fixture
def logged():
    """The log as a real site has it: a function that returns its lines so far."""
    names = (None, *configuration()["loggers"])
    kept = [(logging.getLogger(name), vars(logging.getLogger(name)).copy()) for name in names]
    text = io.StringIO()
    made = configuration()
    made["handlers"]["out"]["stream"] = text
    logging.config.dictConfig(made)
    yield lambda: [json.loads(line) for line in text.getvalue().splitlines()]
    for logger, state in kept:
        logger.handlers, logger.propagate = state["handlers"], state["propagate"]
        logger.setLevel(state["level"])


PRIVATE = ("Pia Castellan", "pia@castellan.example", "Fern Lane", "192.0.2.77")


def holds_nothing_private(lines):
    text = json.dumps(lines, ensure_ascii=False)
    return [word for word in (*PRIVATE, "@", "Castellan") if word in text] == []


@pytest.mark.django_db
def test_an_error_is_logged_with_its_place_and_without_what_was_typed(
    people, logged, monkeypatch, mailoutbox, settings
):
    settings.ADMINS = [("Owner", "owner@studio.example")]
    name, email, *_ = PRIVATE

    def fail(*_, **__):
        try:
            int(name)
        except ValueError as error:
            raise RuntimeError(f"cannot save {name} <{email}>") from error

    monkeypatch.setattr(part, "parts", fail)
    client = Client(raise_request_exception=False, REMOTE_ADDR=PRIVATE[3])
    client.force_login(people.sam.user)
    url = f"/pieces/1/log/?name={name}"
    answer = client.post(url, {"note": f"{name}, Fern Lane", "email": email})
    assert answer.status_code == 500
    assert holds_nothing_private(lines := logged())
    failed, request = lines
    assert [error["type"] for error in failed["error"]] == ["RuntimeError", "ValueError"]
    assert any(
        place.startswith("studio/entries/views/part.py:") for place in failed["error"][0]["at"]
    )
    assert failed["request"] == request["request"] == answer["X-Request-ID"]
    told = {key: request[key] for key in ("event", "method", "route", "status", "studio")}
    assert told == {
        "event": "request",
        "method": "POST",
        "route": "check_log",
        "status": 500,
        "studio": people.studio.pk,
    }
    assert mailoutbox == []


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("method", "url", "more"),
    [
        ("post", "/account/login/", {"login": PRIVATE[1], "password": PRIVATE[0]}),
        ("get", f"/students/{PRIVATE[0]}/", {"q": PRIVATE[1]}),
        ("get", "/part/", {"q": PRIVATE[1]}),
    ],
)
def test_requests_are_logged_without_what_they_ask_for(people, logged, method, url, more):
    getattr(Client(REMOTE_ADDR=PRIVATE[3]), method)(url, more)
    assert logged()[-1]["event"] == "request"
    assert holds_nothing_private(logged())


def line_of(name, message, *args, **more):
    record = logging.LogRecord(name, logging.INFO, __file__, 7, message, args, None)
    return json.loads(JsonFormatter().format(record))


def test_a_message_from_elsewhere_gives_its_pattern_or_its_place():
    name = PRIVATE[0]
    assert line_of("django.x", "No room for %s", name)["event"] == "No room for %s"
    assert line_of("django.x", f"No room for {name}")["event"] == "test_running.py:7"
    assert line_of("gunicorn.error", "Worker %s of %s", 3, 4)["event"] == "Worker 3 of 4"
    assert line_of("studio.x", "seat %s", "of 12")["event"] == "seat of 12"


def test_an_error_that_ends_a_command_is_told_without_its_text(logged):
    try:
        raise ValueError(PRIVATE[0])
    except ValueError as error:
        last_words(type(error), error, error.__traceback__)
    (line,) = logged()
    assert (line["level"], line["error"][0]["type"]) == ("critical", "ValueError")
    assert holds_nothing_private(line)


def test_our_own_messages_are_patterns_too():
    """An f-string would put into the log whatever it is made of."""
    own = re.compile(r"\blog\.(?:debug|info|warning|error|exception|critical)\(\s*f[\"']")
    found = [
        path
        for path in (settings.BASE_DIR / "studio").rglob("*.py")
        if own.search(path.read_text())
    ]
    assert found == []


@pytest.fixture
def served(tmp_path):
    """The site as it is deployed, without tables: (port, a function that ends it, with its log)."""
    port, log = free_port(), tmp_path / "log"
    gunicorn = Path(sys.executable).parent / "gunicorn"
    with log.open("wb") as out:
        server = subprocess.Popen(  # noqa: S603
            [gunicorn, "-c", "python:studio.running.serving", "studio.wsgi"],
            env=deployed(tmp_path, BIND=f"127.0.0.1:{port}"),
            cwd=settings.BASE_DIR,
            stdout=out,
            stderr=out,
        )

    def ended():
        server.terminate()
        server.wait(30)
        return log.read_text()

    try:
        yield port, ended
    finally:
        server.kill()
        server.wait()


def when_up(visitor, url, seconds=60):
    """Return what a page answers, once the server answers at all."""
    until = time.monotonic() + seconds
    while True:
        try:
            return visitor.get(url)
        except OSError:
            if time.monotonic() > until:
                raise
            time.sleep(0.1)


def test_the_server_as_it_is_deployed_logs_json_alone_and_nothing_private(served):
    port, ended = served
    visitor = Visitor(port)
    status, body, _ = when_up(visitor, "/health/")
    assert (status, body) == (503, b"migrations\n")
    name, email, *_ = PRIVATE
    assert visitor.get(f"/nowhere/{name.replace(' ', '%20')}/?q={email}")[0] == 404
    status, body, headers = visitor.post("/account/login/", login=email, password=name)
    assert status == 500  # there are no tables
    assert b"OperationalError" not in body
    visitor.leave()
    lines = [json.loads(line) for line in ended().splitlines()]
    assert holds_nothing_private(lines)
    failed = next(line for line in lines if line.get("request") == headers["X-Request-ID"])
    assert "OperationalError" in [error["type"] for error in failed["error"]]
    assert {line["route"] for line in lines if line["event"] == "request"} == {
        None,
        "account_login",
    }


# The way to run it


@pytest.mark.skipif(connection.vendor != "sqlite", reason="a SQLite file")
def test_an_upgrade_passes_the_deployment_checks_and_backs_up_first(tmp_path, migrated):
    shutil.copy(migrated.name, tmp_path / "studio.sqlite3")
    done = subprocess.run(  # noqa: S603
        [sys.executable, "manage.py", "upgrade"],
        env=deployed(tmp_path),
        cwd=settings.BASE_DIR,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert "no issues" in done.stdout
    assert len(list((tmp_path / "backups").glob("anacrusis-*.zip"))) == 1


@pytest.mark.django_db
def test_no_upgrade_with_settings_that_are_not_safe(settings, tmp_path):
    settings.BACKUP_DIR = tmp_path / "backups"
    with pytest.raises(CommandError, match="Nothing is changed"):
        call_command("upgrade", stdout=io.StringIO())
    assert not (tmp_path / "backups").exists()


@pytest.mark.parametrize(
    ("check", "wrong", "right"),
    [
        (checks.mail_goes_somewhere, {"EMAIL_URL": ""}, {"EMAIL_URL": "smtp://mail.example"}),
        (
            checks.links_lead_here,
            {"SITE_URL": "http://studio.example"},
            {"SITE_URL": "https://studio.example"},
        ),
        (
            checks.links_lead_here,
            {"SITE_URL": "https://elsewhere.example"},
            {"SITE_URL": "https://studio.example"},
        ),
    ],
)
def test_what_a_real_site_needs_besides_is_checked(settings, check, wrong, right):
    settings.ALLOWED_HOSTS = [HOST]
    for found, some in ((1, wrong), (0, right)):
        for name, value in some.items():
            setattr(settings, name, value)
        assert len(check()) == found


def test_every_command_of_the_manual_and_the_units_is_there():
    units = "\n".join(path.read_text() for path in DEPLOY.glob("*.service"))
    named = set(re.findall(r"(?:deploy/manage|manage\.py|`manage) ([a-z_]+)", MANUAL + units))
    assert named - set(get_commands()) == set()
    assert {"backup", "restore", "upgrade", "send_reminders"} <= named


def test_every_setting_of_the_manual_is_read_and_the_other_way_round():
    source = (settings.BASE_DIR / "studio" / "settings.py").read_text()
    read = set(re.findall(r'env(?:\.\w+)?\(\s*"([A-Z_]+)"', source))
    read |= set(re.findall(r'environ\.get\("([A-Z_]+)"', (HERE / "serving.py").read_text()))
    table = MANUAL.split("## Settings")[1].split("## ")[0]
    named = set(re.findall(r"^\| (.*?) \|", table, re.M)) - {"name", "---"}
    named = {name for cell in named for name in re.findall(r"`([A-Z_]+)`", cell)}
    assert read - named == {"DEBUG"}
    assert named - read == set()
    example = re.findall(r"^(?:# )?([A-Z_]+)=", (DEPLOY / "example.env").read_text(), re.M)
    assert set(example) - read == set()


def test_every_unit_that_is_named_is_there():
    units = {path.name for path in DEPLOY.glob("anacrusis-*")}
    named = set(re.findall(r"anacrusis-(\w+)\.timer", MANUAL))
    for group in re.findall(r"anacrusis-\{([\w,]+)\}\.timer", MANUAL):
        named |= set(group.split(","))
    assert {f"anacrusis-{name}.{kind}" for name in named for kind in ("service", "timer")} <= units
    assert "anacrusis-web.service" in units


def pins(path):
    """Return the pinned versions of a lock with their hashes, by package."""
    text = path.read_text()
    found = re.findall(r"^([\w.-]+)(?:\[[\w,]+\])?==(\S+)((?:.*\\\n)*.*)", text, re.M)
    return {name: (version, set(re.findall(r"sha256:\w+", rest))) for name, version, rest in found}


def test_what_is_deployed_is_what_is_tested():
    deployed_pins, tested = (
        pins(DEPLOY / "requirements.txt"),
        pins(settings.BASE_DIR / "requirements.txt"),
    )
    assert {name: pin for name, pin in deployed_pins.items() if tested.get(name) != pin} == {}
    assert {"django", "gunicorn", "psycopg"} <= set(deployed_pins)
    assert {"pytest", "playwright"}.isdisjoint(deployed_pins)
