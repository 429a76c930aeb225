"""A small house in which every name is hostile: in the survey, in its files, and inside its loggers' CSV."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

from tests.faults.house import readings

NAMES = {
    "script": "<script>alert(1)<!--<img src=x onerror=alert(2)>",
    "quotes": 'O\'Hara "the" {{ 7 * 7 }} #panic() $x$ `y`, =1+1',
    "long": "Verylongname" * 18,
    "right to left": "שרכים בדמדומים, נוף עם גשר",
    "emoji": "🖼️ ferns 🌿 👩‍🎨",
}
TURNED = "\u202e drawkcab \u202c"
"""Text that turns the writing round; a survey refuses it, and the text of a CSV is not shown."""


def log(name: str, place: str) -> str:
    """A log of two sensors in one file, with the name as title, in a header and as the name of a sensor."""
    head, *rows = readings(place).splitlines()
    columns = head.split(",")[:3]
    made = io.StringIO()
    written = csv.writer(made, lineterminator="\n")
    written.writerow([f"Title: {name} {TURNED}"])
    written.writerow([columns[0], "Sensor", *columns[1:], f"Remark {name} {TURNED}"])
    for row in rows:
        time, temperature, humidity, *_ = row.split(",")
        for sensor in (name, "other"):
            written.writerow([time, sensor, temperature, humidity, name])
    return made.getvalue()


def house(folder: Path, name: str) -> Path:
    """Write the house into a folder, which is made."""
    (folder / "logs").mkdir(parents=True)
    file = f"logs/{name.replace('/', '')}.csv"
    broken = f"logs/broken {name.replace('/', '')}.csv"
    (folder / file).write_text(log(name, "hall"), encoding="utf-8", newline="")
    (folder / broken).write_text(f"{name}\nnothing,{name}\n", encoding="utf-8", newline="")
    text = json.dumps(name, ensure_ascii=False)
    logged, spoilt = (json.dumps(each, ensure_ascii=False) for each in (file, broken))
    tables = f"""\
[survey]
name = {text}
units = "us"
seed = 3
surveyed_on = 2026-04-10
surveyed_by = {text}

[[building]]
id = "orangery"
name = {text}
latitude = 53.2
longitude = -6.9
timezone = "Europe/Dublin"

[[room]]
id = "hall"
name = {text}
building = "orangery"
size = "10 ft x 20 ft x 30 ft"
logs = [{{ file = {logged}, sensor = {text} }}]

[[wall]]
id = "hall-north"
name = {text}
room = "hall"
span = "20 ft"
height = "9 ft"

[[wall]]
id = "hall-south"
name = {text}
room = "hall"
logs = [{spoilt}]

[[work]]
id = "lime-avenue"
title = {text}
kind = "painting_canvas"
medium = "oil-on-canvas"
framed = "3 ft x 4 ft"

[[note]]
date = 2026-03-12
room = "hall"
text = {text}

[logger.{logged}]
calibration_due = 2026-03-01
"""
    (folder / "survey.toml").write_text(tables, encoding="utf-8", newline="")
    return folder
