"""Scales that are asked for: how a demand is written, and what several demands come to together."""

from planner.scales.demand import Keys, ScaleDemand, Sort
from planner.scales.drawing import around, draw, drawn_on
from planner.scales.notation import SCALES_HELP, read_scales, write_scales
from planner.scales.union import Row, Union, union
from planner.scales.words import spoken_scales

__all__ = [
    "SCALES_HELP",
    "Keys",
    "Row",
    "ScaleDemand",
    "Sort",
    "Union",
    "around",
    "draw",
    "drawn_on",
    "read_scales",
    "spoken_scales",
    "union",
    "write_scales",
]
