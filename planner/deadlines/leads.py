"""The usual lead times: what each kind of deadline brings with it, for the teacher to edit."""

from dataclasses import dataclass
from enum import StrEnum

from planner.deadlines.model import Lead, Unit

BASIS = "common practice, no source"
NONE = Lead()


class Kind(StrEnum):
    """What a deadline is for."""

    UNIVERSITY = "university application"
    MUSIC = "music application"
    SCHOLARSHIP = "scholarship"
    RECORDING = "recording"
    LETTER = "letter"
    REPERTOIRE = "repertoire list"
    TRANSCRIPT = "transcript"
    FEE = "fee"
    AID = "aid form"
    ESSAY = "essay"
    CV = "CV"
    PORTFOLIO = "portfolio"
    SPONSORSHIP = "sponsorship"
    ACCOMPANIST = "accompanist"
    REPLY = "reply"
    OTHER = "other"


@dataclass(frozen=True, slots=True)
class LeadTime:
    """One task that a kind of deadline brings.

    kind: a value of Kind, or a studio's own; doer as in Task.
    name: what to do, without the institution, which the site adds.
    basis: where the figures come from.
    """

    kind: str
    name: str
    doer: str
    lead: Lead = NONE
    takes: Lead = NONE
    basis: str = BASIS


def _days(count: int) -> Lead:
    return Lead(count)


def _working(count: int) -> Lead:
    return Lead(count, Unit.WORKING_DAYS)


LEAD_TIMES: tuple[LeadTime, ...] = (
    LeadTime(Kind.UNIVERSITY, "Start the university application", "student", _days(14)),
    LeadTime(Kind.UNIVERSITY, "Send the university application", "student", NONE, _days(2)),
    LeadTime(Kind.MUSIC, "Start the music application", "student", _days(7)),
    LeadTime(Kind.MUSIC, "Send the music application", "student", NONE, _days(2)),
    LeadTime(Kind.SCHOLARSHIP, "Start the scholarship application", "student", _days(14)),
    LeadTime(Kind.SCHOLARSHIP, "Send the scholarship application", "student", NONE, _days(2)),
    LeadTime(Kind.RECORDING, "Make the recording", "student", _days(14), _days(7)),
    LeadTime(Kind.RECORDING, "Choose the take and send it", "student", NONE, _days(2)),
    LeadTime(Kind.LETTER, "Ask for the letter", "student", _days(28)),
    LeadTime(Kind.LETTER, "Check that the letter is in", "student", _working(2)),
    LeadTime(Kind.LETTER, "Send the letter", "other"),
    LeadTime(Kind.REPERTOIRE, "Settle the repertoire", "teacher", _days(14)),
    LeadTime(Kind.REPERTOIRE, "Send the repertoire list", "student", NONE, _days(1)),
    LeadTime(Kind.TRANSCRIPT, "Ask for the transcript", "student", _working(10)),
    LeadTime(Kind.TRANSCRIPT, "Check that the transcript is in", "student", _working(2)),
    LeadTime(Kind.TRANSCRIPT, "Send the transcript", "other"),
    LeadTime(Kind.FEE, "Pay the fee", "student", NONE, _days(1)),
    LeadTime(Kind.AID, "Gather the papers for the aid form", "student", _days(14), _days(7)),
    LeadTime(Kind.AID, "Send the aid form", "student", NONE, _days(2)),
    LeadTime(Kind.ESSAY, "Write a first draft of the essay", "student", _days(14), _days(7)),
    LeadTime(Kind.ESSAY, "Read the draft and return it", "teacher", _days(7), _days(3)),
    LeadTime(Kind.ESSAY, "Send the essay", "student", NONE, _days(3)),
    LeadTime(Kind.CV, "Read the CV and return it", "teacher", _days(7), _days(2)),
    LeadTime(Kind.CV, "Send the CV", "student", NONE, _days(2)),
    LeadTime(Kind.PORTFOLIO, "Gather the portfolio", "student", _days(7), _days(14)),
    LeadTime(Kind.PORTFOLIO, "Send the portfolio", "student", NONE, _days(2)),
    LeadTime(Kind.SPONSORSHIP, "Ask the director to sponsor", "student", _days(21)),
    LeadTime(Kind.SPONSORSHIP, "Send the sponsorship", "other"),
    LeadTime(Kind.ACCOMPANIST, "Ask the accompanist", "teacher", _days(21)),
    LeadTime(Kind.ACCOMPANIST, "Send the accompanist the music", "student", NONE, _days(2)),
    LeadTime(Kind.REPLY, "Talk the offers through", "teacher", _days(14)),
    LeadTime(Kind.REPLY, "Send the reply", "student", NONE, _days(3)),
    LeadTime(Kind.OTHER, "Do it", "student"),
)
