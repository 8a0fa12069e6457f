"""The usual lead times: what each kind of deadline brings with it, for the teacher to edit."""

from dataclasses import dataclass
from enum import StrEnum

from planner.deadlines.model import Lead, Unit

BASIS = "common practice, no source"
NONE = Lead()
DAY = "audition day"  # no deadline of an institution's: tasks counted back from the day itself
NEEDS = ("", "pieces ready", "date confirmed")
UNIVERSITY, SCHOOL, HONOUR, YOUTH, ELSEWHERE = PLACES = (
    "university",
    "school of music",
    "honour ensembles",
    "youth orchestra",
    "other",
)


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

    kind: a value of Kind, DAY, or a studio's own; doer as in Task.
    name: what to do, without the institution, which the site adds.
    basis: where the figures come from.
    after: name of the task of the same kind that is done before; "": none.
    needs: what has to be so before it can be begun, one of NEEDS.
    shared: one such task serves all deadlines that ask for the same thing.
    of: the kinds of institution it belongs to, of PLACES; (): all.
    """

    kind: str
    name: str
    doer: str
    lead: Lead = NONE
    takes: Lead = NONE
    basis: str = BASIS
    after: str = ""
    needs: str = ""
    shared: bool = False
    of: tuple[str, ...] = ()


def _days(count: int) -> Lead:
    return Lead(count)


def _working(count: int) -> Lead:
    return Lead(count, Unit.WORKING_DAYS)


LEAD_TIMES: tuple[LeadTime, ...] = (
    LeadTime(Kind.UNIVERSITY, "Start the university application", "student", _days(14)),
    LeadTime(Kind.UNIVERSITY, "Send the university application", "student", NONE, _days(2),
             after="Start the university application"),
    LeadTime(Kind.MUSIC, "Start the music application", "student", _days(7)),
    LeadTime(Kind.MUSIC, "Send the music application", "student", NONE, _days(2),
             after="Start the music application"),
    LeadTime(Kind.SCHOLARSHIP, "Start the scholarship application", "student", _days(14)),
    LeadTime(Kind.SCHOLARSHIP, "Send the scholarship application", "student", NONE, _days(2),
             after="Start the scholarship application"),
    LeadTime(Kind.RECORDING, "Make the recording", "student", _days(14), _days(7),
             needs="pieces ready"),
    LeadTime(Kind.RECORDING, "Choose the take and send it", "student", NONE, _days(2),
             after="Make the recording"),
    LeadTime(Kind.LETTER, "Ask for the letter", "student", _days(28), shared=True),
    LeadTime(Kind.LETTER, "Check that the letter is in", "student", _working(2),
             after="Send the letter"),
    LeadTime(Kind.LETTER, "Send the letter", "other", after="Ask for the letter"),
    LeadTime(Kind.REPERTOIRE, "Settle the repertoire", "teacher", _days(14)),
    LeadTime(Kind.REPERTOIRE, "Send the repertoire list", "student", NONE, _days(1),
             after="Settle the repertoire"),
    LeadTime(Kind.TRANSCRIPT, "Ask for the transcript", "student", _working(10), shared=True),
    LeadTime(Kind.TRANSCRIPT, "Check that the transcript is in", "student", _working(2),
             after="Send the transcript"),
    LeadTime(Kind.TRANSCRIPT, "Send the transcript", "other", after="Ask for the transcript"),
    LeadTime(Kind.FEE, "Pay the fee", "student", NONE, _days(1)),
    LeadTime(Kind.AID, "Gather the papers for the aid form", "student", _days(14), _days(7)),
    LeadTime(Kind.AID, "Send the aid form", "student", NONE, _days(2),
             after="Gather the papers for the aid form"),
    LeadTime(Kind.ESSAY, "Write a first draft of the essay", "student", _days(14), _days(7)),
    LeadTime(Kind.ESSAY, "Read the draft and return it", "teacher", _days(7), _days(3),
             after="Write a first draft of the essay"),
    LeadTime(Kind.ESSAY, "Send the essay", "student", NONE, _days(3),
             after="Read the draft and return it"),
    LeadTime(Kind.CV, "Read the CV and return it", "teacher", _days(7), _days(2)),
    LeadTime(Kind.CV, "Send the CV", "student", NONE, _days(2), after="Read the CV and return it"),
    LeadTime(Kind.PORTFOLIO, "Gather the portfolio", "student", _days(7), _days(14)),
    LeadTime(Kind.PORTFOLIO, "Send the portfolio", "student", NONE, _days(2),
             after="Gather the portfolio"),
    LeadTime(Kind.SPONSORSHIP, "Ask the director to sponsor", "student", _days(21)),
    LeadTime(Kind.SPONSORSHIP, "Send the sponsorship", "other",
             after="Ask the director to sponsor"),
    LeadTime(Kind.ACCOMPANIST, "Ask the accompanist", "teacher", _days(21)),
    LeadTime(Kind.ACCOMPANIST, "Send the accompanist the music", "student", NONE, _days(2),
             after="Ask the accompanist"),
    LeadTime(Kind.REPLY, "Talk the offers through", "teacher", _days(14)),
    LeadTime(Kind.REPLY, "Send the reply", "student", NONE, _days(3),
             after="Talk the offers through"),
    LeadTime(Kind.OTHER, "Do it", "student"),
)  # fmt: skip

# Counted back from the audition's own date; kept apart, as DAY is no Kind of deadline.
DAY_TIMES: tuple[LeadTime, ...] = (
    LeadTime(DAY, "Ask the pianist for the day", "teacher", _days(42), needs="date confirmed",
             of=(UNIVERSITY, SCHOOL)),
    LeadTime(DAY, "Book the journey", "student", _days(21), needs="date confirmed"),
    LeadTime(DAY, "Send the pianist the music", "student", _days(14), _days(2),
             after="Ask the pianist for the day", of=(UNIVERSITY, SCHOOL)),
    LeadTime(DAY, "Look for corrections to the music", "teacher", _days(14), of=(HONOUR,)),
    LeadTime(DAY, "Play the whole programme through", "student", _days(7), needs="pieces ready"),
    LeadTime(DAY, "Copy the music for the panel", "student", _days(3), _days(1)),
    LeadTime(DAY, "Print the repertoire list", "student", _days(3), of=(UNIVERSITY, SCHOOL)),
    LeadTime(DAY, "Check the place and the time of the call", "student", _days(3),
             needs="date confirmed"),
    LeadTime(DAY, "Print the day sheet and pack", "student", _days(1)),
)  # fmt: skip
