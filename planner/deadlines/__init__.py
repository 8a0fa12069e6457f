"""What has to be done, by whom, and when must each thing be started?

Read `model` for what goes in and comes out, then `solve`. `closing` says when a deadline really
closes, `counting` counts working days, `wording` writes the sentences, `leads` holds the usual
lead times. Nothing here reads a clock: `Problem.now` and every zone are given.
"""

from planner.deadlines.counting import Workdays
from planner.deadlines.example import example
from planner.deadlines.leads import LEAD_TIMES, Kind, LeadTime
from planner.deadlines.model import (
    Answer,
    Deadline,
    Lead,
    Problem,
    Task,
    TaskDue,
    Unit,
    When,
)
from planner.deadlines.solve import answer

QUESTION = "What has to be done, by whom, and when must each thing be started?"

__all__ = [
    "LEAD_TIMES",
    "QUESTION",
    "Answer",
    "Deadline",
    "Kind",
    "Lead",
    "LeadTime",
    "Problem",
    "Task",
    "TaskDue",
    "Unit",
    "When",
    "Workdays",
    "answer",
    "example",
]
