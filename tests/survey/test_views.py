"""What belongs to what in a survey."""

from __future__ import annotations

from pathlib import Path

from tests.survey.folders import SMALL, survey

HOUSE = (
    SMALL
    + """
[[wall]]
id = "hall-south"
room = "hall"

[[room]]
id = "stair"
building = "orangery"

[[pedestal]]
id = "stair-foot"
room = "stair"

[[place]]
id = "van"

[[place]]
id = "shed"
building = "orangery"

[[door]]
id = "front"
room = "hall"

[[door]]
id = "to-stair"
wall = "hall-north"

[[window]]
id = "south-window"
wall = "hall-south"

[[opening]]
id = "roof"
kind = "skylight"
room = "hall"

[[opening]]
id = "arch"
kind = "arch"
room = "stair"

[[heat_source]]
id = "hearth"
room = "hall"
kind = "hearth"

[[lamp]]
id = "pendant"
kind = "led"
room = "hall"

[[lamp]]
id = "spot"
kind = "led"
wall = "hall-north"
"""
)


def test_what_belongs_to_a_room(tmp_path: Path) -> None:
    read = survey(tmp_path, HOUSE)
    hall, stair = read.rooms["hall"], read.rooms["stair"]
    assert [door.id for door in read.doors_of(hall)] == ["front", "to-stair"]
    assert [window.id for window in read.windows_of(hall)] == ["south-window", "roof"]
    assert [source.id for source in read.heat_of(hall)] == ["hearth"]
    assert [*read.doors_of(stair), *read.windows_of(stair), *read.heat_of(stair)] == []


def test_what_belongs_to_a_place(tmp_path: Path) -> None:
    read = survey(tmp_path, HOUSE)
    assert list(read.places) == ["hall-north", "hall-south", "stair-foot", "van", "shed"]
    assert [lamp.id for lamp in read.lamps_of(read.walls["hall-north"])] == ["spot"]
    assert [lamp.id for lamp in read.lamps_of(read.walls["hall-south"])] == ["pendant"]
    assert read.room_of(read.places["stair-foot"]) is read.rooms["stair"]
    assert read.building_of(read.places["stair-foot"]) is read.buildings["orangery"]
    assert read.building_of(read.places["shed"]) is read.buildings["orangery"]
    assert read.room_of(read.places["van"]) is None
    assert read.building_of(read.places["van"]) is None


def test_a_work_bears_its_title_or_else_its_id(tmp_path: Path) -> None:
    assert survey(tmp_path, SMALL).works["lime-avenue"].name == "lime-avenue"
    assert survey(tmp_path, SMALL + 'title = "Lime Avenue"\n').works["lime-avenue"].name == "Lime Avenue"
