"""What README and DEVELOPERS say is there."""

import re

import pytest
from django.conf import settings
from django.core.management import get_commands

from planner.__main__ import QUESTIONS

ROOT = settings.BASE_DIR
DOCS = {name: (ROOT / name).read_text(encoding="utf-8") for name in ("README.md", "DEVELOPERS.md")}
TEXT = "\n".join(DOCS.values())


def test_every_make_target_named_is_there():
    targets = set(re.findall(r"^(\w+):", (ROOT / "Makefile").read_text(), re.M))
    assert set(re.findall(r"\bmake (\w+)\b", TEXT)) - targets == set()


def test_every_management_command_named_is_there():
    named = set(re.findall(r"manage\.py (\w+)", TEXT))
    assert named - set(get_commands()) == set()


def test_every_setting_named_is_read():
    source = (ROOT / "studio" / "settings.py").read_text()
    named = set(re.findall(r"`([A-Z][A-Z_]+[A-Z])(?:=\d)?`", DOCS["README.md"]))
    assert {name for name in named if f'"{name}"' not in source} == set()


def test_every_question_named_is_asked():
    named = set(re.findall(r"python -m planner ([a-z]+)", TEXT))
    assert named - set(QUESTIONS) == set()


@pytest.mark.parametrize("picture", re.findall(r"!\[.*?\]\((.*?)\)", TEXT))
def test_every_picture_is_there(picture):
    assert (ROOT / picture).stat().st_size > 5_000


def test_the_floors_are_those_of_the_contract():
    contract = (ROOT / "pyproject.toml").read_text()
    named = re.findall(r"studio\.(\w+)", contract)
    floors = DOCS["DEVELOPERS.md"].split("## The floors")[1].split("```")[1]
    assert [name for name in named if name not in floors] == []
