"""Every route of the site: who comes in, and what its address is made of.

The access walk and the accessibility walk both go through this table; a new route needs a line.
"""

from dataclasses import dataclass, field

from studio.accounts.history import acting
from studio.accounts.models import Invitation, Membership, Role
from tests.factories import StudentFactory, full_entry

TEACHERS = frozenset({"owner", "teacher"})
STAFF = TEACHERS | {"assistant"}
OWN = frozenset({"sam"})
EVERY_SEAT = STAFF | {"sam", "mia", "otto"}
PUBLIC = EVERY_SEAT | {"nobody"}
NONE = frozenset()


@dataclass(frozen=True)
class Route:
    """Who comes in by GET and by POST, and what the address is made of.

    args: a function of the studio's rows. A frozenset left empty means nobody.
    """

    get: frozenset = NONE
    post: frozenset = NONE
    args: object = field(default=lambda rows: [])


def page(who, key=None):
    """A page, with or without a form: whoever may see it may post to it."""
    return Route(get=who, post=who, args=_args(key))


def act(who, key=None):
    """An act without a page of its own: posted only."""
    return Route(post=who, args=_args(key))


def _args(key):
    return (lambda rows: [rows[key]]) if key else (lambda rows: [])


ROUTES = {
    # the program that signs people in
    "account_login": page(PUBLIC),
    "account_logout": page(PUBLIC),
    "account_signup": page(PUBLIC),
    "account_inactive": page(PUBLIC),
    "account_email_verification_sent": page(PUBLIC),
    "account_confirm_email": Route(get=PUBLIC, post=PUBLIC, args=lambda rows: ["no-such-key"]),
    "account_reset_password": page(PUBLIC),
    "account_reset_password_done": page(PUBLIC),
    "account_reset_password_from_key": Route(
        get=PUBLIC, post=PUBLIC, args=lambda rows: ["1", "no-such-key"]
    ),
    "account_reset_password_from_key_done": page(PUBLIC),
    "account_reauthenticate": page(EVERY_SEAT),
    "account_change_password": page(EVERY_SEAT),
    "account_set_password": page(EVERY_SEAT),
    "account_email": page(EVERY_SEAT),
    # accounts
    "home": page(EVERY_SEAT),
    "studio": page(TEACHERS | {"otto"}),
    "people": page(TEACHERS | {"otto"}),
    "membership_remove": page(TEACHERS, "assistant_seat"),
    "invitation": page(PUBLIC, "invitation"),
    "history": page(TEACHERS | {"otto"}),
    "undo": act(TEACHERS, "batch"),
    # the part
    "part": Route(get=EVERY_SEAT),
    "student": Route(get=STAFF, args=_args("student")),
    "check_log": act(OWN, "piece"),
    "task_tick": act(STAFF | OWN, "task"),
    # days
    "days": page(STAFF | {"otto"}),
    "day_settings": page(TEACHERS | {"otto"}),
    "day": page(STAFF | OWN, "entry"),
    "day_edit": page(TEACHERS, "entry"),
    "day_remove": page(TEACHERS, "entry"),
    # the score
    "score": Route(get=STAFF | {"otto"}),
    "cues": Route(get=STAFF | {"otto"}),
    # handouts
    "day_sheet": Route(get=STAFF | OWN, args=_args("entry")),
    "day_sheets": Route(get=STAFF, args=_args("day_date")),
    "part_sheet": Route(get=frozenset({"sam", "mia"})),
    "student_part_sheet": Route(get=STAFF, args=_args("student")),
    # the workbook
    "workbook": page(TEACHERS | {"otto"}),
    "workbook_check": page(TEACHERS | {"otto"}),
    "workbook_apply": act(TEACHERS | {"otto"}),
    "workbook_export": Route(get=TEACHERS | {"otto"}),
    "workbook_export_csv": Route(get=TEACHERS | {"otto"}),
    "workbook_empty": Route(get=TEACHERS | {"otto"}),
    # feeds: whoever knows the address of a calendar may read it
    "student_feed": Route(get=PUBLIC, args=_args("student_token")),
    "studio_feed_calendar": Route(get=PUBLIC, args=_args("studio_token")),
    "studio_feed": page(TEACHERS | {"otto"}),
    "studio_feed_renew": act(TEACHERS | {"otto"}),
    "student_feed_address": page(TEACHERS, "student"),
    "student_feed_renew": act(TEACHERS, "student"),
    "part_feed": page(frozenset({"sam", "mia"})),
    "part_feed_renew": act(frozenset({"sam", "mia"})),
}


def make_rows(people):
    """Return what the addresses are made of: rows of Ines's studio, those of a student Sam's."""
    entry = full_entry(people.sam_student)
    with acting(None) as removal:
        StudentFactory(studio=people.studio, name="Removed Student").delete()
    seat = Membership.objects.create(studio=people.studio, role=Role.ASSISTANT)
    assignment, task = entry.assignments.first(), entry.tasks.first()
    return {
        "assistant_seat": people.ana.pk,
        "invitation": Invitation.issue(seat, "new@studio.example").split("/")[-2],
        "batch": removal.batch,
        "student": people.sam_student.pk,
        "student_token": people.sam_student.feed_token,
        "studio_token": people.studio.feed_token,
        "entry": entry.pk,
        "day_date": entry.chosen_date.on,
        "assignment": assignment.pk,
        "task": task.pk,
        "piece": assignment.piece_id,
    }
