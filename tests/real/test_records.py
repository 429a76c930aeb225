"""Records of real logs: every reading there, the right one at the right time."""

from __future__ import annotations

import shutil

import numpy as np
import pytest

from stillwall.logs.checkup import check_survey
from stillwall.logs.place import read_record
from stillwall.survey.read import read_survey

NO_SHIFT, UTC_PLUS_2 = np.timedelta64(0, "h"), np.timedelta64(2, "h")
HOUSES = {
    "larch-study-inner": "house-R3_indoor1.csv",
    "larch-bedroom-inner": "house-R3_indoor2.csv",
    "fern-study-inner": "house-R4_indoor1.csv",
    "fern-bedroom-inner": "house-R4_indoor2.csv",
}
NINE_ROOMS = {
    "kitchen-wall": "1",
    "living-room-wall": "2",
    "laundry-wall": "3",
    "office-wall": "4",
    "bathroom-wall": "5",
    "ironing-room-wall": "7",
    "east-bedroom-wall": "8",
    "west-bedroom-wall": "9",
}
FOUR_SIDES = {"sorting-north": "S1", "sorting-east": "S2", "sorting-south": "S3", "sorting-west": "S4"}


def holds(channel, fact, shift=NO_SHIFT):
    """A channel against count, ends, extremes and mean of all readings; the facts print six decimals."""
    assert len(channel.values) == fact["readings"]
    assert channel.times[0] + shift == np.datetime64(fact["first"][0])
    assert channel.times[-1] + shift == np.datetime64(fact["last"][0])
    assert channel.values[0] == pytest.approx(fact["first"][1], abs=1e-9)
    assert channel.values[-1] == pytest.approx(fact["last"][1], abs=1e-9)
    assert channel.values.min() == pytest.approx(fact["min"], abs=1e-6)
    assert channel.values.max() == pytest.approx(fact["max"], abs=1e-6)
    assert channel.values.mean() == pytest.approx(fact["mean"], abs=1e-6)


@pytest.mark.parametrize("name", ["houses", "nine_rooms", "office"])
def test_every_place_is_read_without_a_fault(folder_of, name):
    checkup = check_survey(read_survey(folder_of(name)))
    assert [file.name for file in checkup.files if file.error is not None] == []
    assert all(place.record is not None and place.record.channels for place in checkup.places)


@pytest.mark.parametrize(("place", "file"), HOUSES.items())
def test_house(opened, facts, place, file):
    record = opened("houses").site(place).record
    assert record.channels["temperature"].utc
    holds(record.channels["temperature"], facts[file]["channels"]["T"], UTC_PLUS_2)
    holds(record.channels["humidity"], facts[file]["channels"]["RH"], UTC_PLUS_2)
    assert not record.channels["humidity"].excluded.any()
    assert not record.channels["temperature"].excluded.any()


@pytest.mark.parametrize(("place", "house"), [("larch-study-inner", "R3"), ("fern-study-inner", "R4")])
def test_weather_outside_a_house(opened, facts, place, house):
    outdoors = opened("houses").site(place).record.outdoors
    assert outdoors is not None
    channels = facts[f"house-{house}_fmi.csv"]["channels"]
    holds(outdoors.channels["temperature"], channels["Te"], UTC_PLUS_2)
    holds(outdoors.channels["humidity"], channels["RHe"], UTC_PLUS_2)


@pytest.mark.parametrize(("place", "sensor"), NINE_ROOMS.items())
def test_one_of_nine_sensors_in_a_file(folder_of, facts, place, sensor):
    survey = read_survey(folder_of("nine_rooms"))
    record = read_record(survey, survey.places[place])
    channels = facts["nine-rooms_testing.csv"]["channels"]
    for role, column in (("temperature", f"T{sensor}"), ("humidity", f"RH_{sensor}")):
        channel, fact = record.channels[role], channels[column]
        assert len(channel.values) == fact["readings"]
        assert channel.values[0] == pytest.approx(fact["first"][1], abs=1e-9)
        assert channel.values[-1] == pytest.approx(fact["last"][1], abs=1e-9)
        assert channel.values.mean() == pytest.approx(fact["mean"], abs=1e-6)
        assert channel.values.max() == pytest.approx(fact["max"], abs=1e-6)
        assert channel.excluded.mean() < 0.005


def test_humidity_stuck_at_one_per_cent_is_left_out(opened, facts):
    """The sensor outdoors reads exactly 1 % in 359 rows from 9 April on."""
    outdoors = opened("nine_rooms").site("kitchen-wall").record.outdoors
    assert outdoors is not None
    channel = outdoors.channels["humidity"]
    at_floor = channel.values == 1.0
    assert at_floor.sum() == 359
    assert np.array_equal(channel.excluded, channel.values < 5.0)
    assert channel.times[channel.excluded].min() > np.datetime64("2016-04-07")
    assert len(channel.values) == facts["nine-rooms_testing.csv"]["channels"]["RH_6"]["readings"]


def test_a_clock_that_keeps_winter_time_is_told_and_settled(folder_of, tmp_path):
    """Three rows stand in the hour that summer time skips; the survey's zone for the logger settles them."""
    folder = folder_of("nine_rooms")
    settled = read_survey(folder)
    channel = read_record(settled, settled.places["kitchen-wall"]).channels["temperature"]
    assert "hour_that_never_was" not in {flag.name for flag in channel.flags}
    assert channel.times[0] == np.datetime64("2016-01-11T16:30:00")
    assert channel.times[-1] == np.datetime64("2016-05-27T16:40:00")

    shutil.copytree(folder, tmp_path / "open")
    text = (folder / "survey.toml").read_text("utf-8")
    (tmp_path / "open" / "survey.toml").write_text(text.replace('zone = "+01:00"', ""), "utf-8")
    open_clock = read_survey(tmp_path / "open")
    flags = read_record(open_clock, open_clock.places["kitchen-wall"]).channels["temperature"].flags
    assert [flag.count for flag in flags if flag.name == "hour_that_never_was"] == [3]


@pytest.mark.parametrize(
    ("role", "column"), [("temperature", "Temperature"), ("humidity", "Humidity"), ("light", "Light")]
)
def test_two_downloads_of_one_logger_are_joined(opened, facts, role, column):
    channel = opened("office").site("bursars-wall").record.channels[role]
    first, second = (
        facts[name]["channels"][column] for name in ("office_datatraining.txt", "office_datatest2.txt")
    )
    count = first["readings"] + second["readings"]
    assert len(channel.values) == count
    assert (np.diff(channel.times).astype(int) > 0).all()
    total = first["readings"] * first["mean"] + second["readings"] * second["mean"]
    assert channel.values.mean() == pytest.approx(total / count, abs=2e-6)
    assert channel.values.max() == pytest.approx(max(first["max"], second["max"]), abs=1e-9)
    longest = np.diff(channel.times).max().astype("timedelta64[m]").astype(int)
    assert longest == 29 * 60 + 15


@pytest.mark.parametrize(("place", "box"), FOUR_SIDES.items())
def test_four_sides_of_a_room(opened, facts, place, box):
    record = opened("office").site(place).record
    channels = facts["room-four-walls_Occupancy_Estimation.csv"]["channels"]
    for role, column in (("temperature", f"{box}_Temp"), ("light", f"{box}_Light")):
        channel, fact = record.channels[role], channels[column]
        assert len(channel.values) == fact["readings"]
        assert channel.values.mean() == pytest.approx(fact["mean"], abs=1e-6)
        assert (channel.values.min(), channel.values.max()) == (fact["min"], fact["max"])
    assert "humidity" not in record
