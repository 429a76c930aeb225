"""Invented exports of loggers: one series of readings written in any of many styles.

A :class:`Style` is a choice on each of the dimensions in which exports differ; :func:`write` turns
readings into the bytes of a file. Titles, serial numbers and event words are made up.
"""

# ruff: noqa: DTZ001, PERF401
from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

LANGUAGES = {
    "en": {
        "datetime": ("Date Time", "Timestamp", "Date/time", "Logged at (date time)"),
        "date": "Date", "time": "Time", "temperature": ("Temperature", "Temp", "Air temp.", "T"),
        "humidity": ("Relative humidity", "RH", "Humidity", "Rel. humidity"),
        "light": ("Illuminance", "Light", "Light level"), "dew_point": "Dew point", "no": "No.",
        "months": "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec", "rh": "%RH", "max": "Max", "min": "Min",
        "avg": "Average", "event": "door opened", "sensor": "Sensor", "quantity": "Quantity", "value": "Value",
        "unit": "Unit", "battery": "Battery",
    },
    "de": {
        "datetime": ("Datum/Zeit", "Zeitstempel", "Datum Uhrzeit", "Messzeitpunkt"),
        "date": "Datum", "time": "Uhrzeit", "temperature": ("Temperatur", "Lufttemperatur", "Raumtemperatur"),
        "humidity": ("rel. Feuchte", "Luftfeuchtigkeit", "Relative Luftfeuchte", "rF"),
        "light": ("Beleuchtungsstärke", "Helligkeit", "Licht"), "dew_point": "Taupunkt", "no": "Nr.",
        "months": "Jan Feb Mär Apr Mai Jun Jul Aug Sep Okt Nov Dez", "rh": "%rF", "max": "Maximum", "min": "Minimum",
        "avg": "Mittelwert", "event": "Deckel auf", "sensor": "Fühler", "quantity": "Messgröße", "value": "Messwert",
        "unit": "Einheit", "battery": "Batterie",
    },
    "fr": {
        "datetime": ("Date/heure", "Horodatage", "Date et heure"),
        "date": "Date", "time": "Heure", "temperature": ("Température", "Temp. ambiante", "Température de l'air"),
        "humidity": ("Humidité relative", "HR", "Hygrométrie"),
        "light": ("Éclairement", "Luminosité", "Lumière"), "dew_point": "Point de rosée", "no": "N°",
        "months": "janv févr mars avr mai juin juil août sept oct nov déc", "rh": "%HR", "max": "Maximum",
        "min": "Minimum", "avg": "Moyenne", "event": "porte ouverte", "sensor": "Capteur", "quantity": "Grandeur",
        "value": "Valeur", "unit": "Unité", "battery": "Pile",
    },
    "es": {
        "datetime": ("Fecha/hora", "Fecha y hora", "Marca de tiempo"),
        "date": "Fecha", "time": "Hora", "temperature": ("Temperatura", "Temperatura del aire"),
        "humidity": ("Humedad relativa", "HR", "Humedad"),
        "light": ("Iluminancia", "Luz", "Nivel de luz"), "dew_point": "Punto de rocío", "no": "Núm.",
        "months": "ene feb mar abr may jun jul ago sep oct nov dic", "rh": "%HR", "max": "Máximo", "min": "Mínimo",
        "avg": "Promedio", "event": "puerta abierta", "sensor": "Sonda", "quantity": "Magnitud", "value": "Valor",
        "unit": "Unidad", "battery": "Batería",
    },
    "it": {
        "datetime": ("Data/ora", "Data e ora", "Data Ora"),
        "date": "Data", "time": "Ora", "temperature": ("Temperatura", "Temperatura aria"),
        "humidity": ("Umidità relativa", "UR", "Umidità"),
        "light": ("Illuminamento", "Luce", "Intensità luminosa"), "dew_point": "Punto di rugiada", "no": "N.",
        "months": "gen feb mar apr mag giu lug ago set ott nov dic", "rh": "%UR", "max": "Massimo", "min": "Minimo",
        "avg": "Media", "event": "porta aperta", "sensor": "Sensore", "quantity": "Grandezza", "value": "Valore",
        "unit": "Unità", "battery": "Batteria",
    },
    "nl": {
        "datetime": ("Datum/tijd", "Tijdstip", "Datum tijd"),
        "date": "Datum", "time": "Tijd", "temperature": ("Temperatuur", "Luchttemperatuur"),
        "humidity": ("Relatieve vochtigheid", "RV", "Luchtvochtigheid"),
        "light": ("Verlichtingssterkte", "Lichtsterkte", "Licht"), "dew_point": "Dauwpunt", "no": "Nr",
        "months": "jan feb mrt apr mei jun jul aug sep okt nov dec", "rh": "%RV", "max": "Maximum", "min": "Minimum",
        "avg": "Gemiddelde", "event": "deur open", "sensor": "Meter", "quantity": "Grootheid", "value": "Meetwaarde",
        "unit": "Eenheid", "battery": "Batterij",
    },
    "cs": {
        "datetime": ("Datum a čas", "Datum/čas", "Časová značka"),
        "date": "Datum", "time": "Čas", "temperature": ("Teplota", "Teplota vzduchu"),
        "humidity": ("Relativní vlhkost", "Vlhkost", "Rel. vlhkost"),
        "light": ("Osvětlení", "Osvětlenost", "Intenzita světla"), "dew_point": "Rosný bod", "no": "Č.",
        "months": "led úno bře dub kvě čvn čvc srp zář říj lis pro", "rh": "%RV", "max": "Maximum", "min": "Minimum",
        "avg": "Průměr", "event": "víko otevřeno", "sensor": "Čidlo", "quantity": "Veličina", "value": "Hodnota",
        "unit": "Jednotka", "battery": "Baterie",
    },
}  # fmt: skip

STAMPS = (
    "%Y-%m-%d %H:%M:%S", "%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%SZ", "%Y-%m-%dT%H:%M:%S+01:00", "%Y/%m/%d %H:%M",
    "%d.%m.%Y %H:%M", "%d.%m.%y %H:%M:%S", "%d/%m/%Y %H:%M", "%m/%d/%Y %I:%M:%S %p", "%m/%d/%y %I:%M %p",
    "%d-%b-%Y %H:%M:%S", "%d %b %Y %H:%M", "%b %d, %Y %I:%M %p", "%Y%m%d %H%M", "%Y%m%d%H%M%S", "%Y%m%dT%H%M",
    "epoch_s", "epoch_ms", "serial", "%Y-%j %H:%M", "%d.%m.%Y %H.%M", "%d/%m/%Y %Hh%M", "%y-%m-%d %H:%M",
    "%-m/%-d/%Y %-H:%M", "%-d.%-m.%Y %-H:%M:%S", "%Y.%m.%d %H:%M:%S", "%d-%m-%Y, %H:%M", "%H:%M %d/%m/%Y",
)  # fmt: skip
DELIMITERS = (",", ";", "\t", "|", "aligned")
ENCODINGS = ("utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252")
ENDS = ("\n", "\r\n", "\r")
MISSING = ("", "---", "-999", "NaN", "NA", "OL", "-200", "9999", "Err")


@dataclass(frozen=True)
class Style:
    """One choice on each dimension."""

    language: str = "en"
    wording: int = 0
    delimiter: str = ","
    decimal: str = "."
    thousands: bool = False
    quoted: str = "none"  # none, header, text, all
    encoding: str = "utf-8"
    end: str = "\n"
    last_end: bool = True
    stamp: str = "%Y-%m-%d %H:%M:%S"
    split: bool = False
    preamble: int = 0
    units: str = "bracket"  # bracket, paren, comma, row, none, column
    temperature_unit: str = "degC"
    fraction: bool = False
    light_unit: str = "lx"
    light: bool = True
    counter: bool = False
    battery: bool = False
    statistics: bool = False
    events: str = "none"  # none, rows, column
    repeat_header: bool = False
    footer: bool = False
    missing: str = ""
    reverse: bool = False
    ragged: bool = False
    sensors: int = 1
    layout: str = "wide"  # wide, interleaved, long
    zone_in_header: bool = False
    padded: bool = False
    blank_lines: bool = False
    trailing: bool = False


@dataclass(frozen=True)
class Readings:
    """What is written: local times and, by sensor, temperature (degC), humidity (%) and light (lx)."""

    times: list[dt.datetime]
    temperature: np.ndarray
    humidity: np.ndarray
    light: np.ndarray
    gaps: frozenset[int] = field(default_factory=frozenset)
    """Rows in which humidity has no reading."""


def example(
    count: int = 400, step_min: int = 30, seed: int = 1, sensors: int = 1, start: str = "2026-01-08T00:00"
) -> Readings:
    """Readings that move by the hour, rounded as loggers round."""
    random = np.random.default_rng(seed)
    begin = dt.datetime.fromisoformat(start)
    times = [begin + dt.timedelta(minutes=step_min * row) for row in range(count)]
    hours = np.arange(count)[:, None] * step_min / 60
    shift = np.arange(sensors)[None, :]
    temperature = 19 + 2 * np.sin(hours / 24 * 6.28) + shift + random.normal(0, 0.2, (count, sensors))
    humidity = 50 - 6 * np.sin(hours / 24 * 6.28) + 2 * shift + random.normal(0, 0.6, (count, sensors))
    light = np.clip(300 * np.sin((hours % 24 - 6) / 12 * 3.14159), 0, None) * random.uniform(
        0.6, 1.4, (count, sensors)
    )
    gaps = frozenset(random.choice(count, min(5, count), replace=False).tolist()) - {0, count - 1}
    return Readings(times, temperature.round(2), humidity.round(1), light.round(1), gaps)


def in_file(value: float, unit: str) -> float:
    """A value of the kept unit as the file's unit has it, rounded as it is printed."""
    if unit == "degF":
        return round(value * 1.8 + 32, 2)
    if unit == "K":
        return round(value + 273.15, 2)
    if unit == "fraction":
        return round(value / 100, 3)
    if unit == "klx":
        return round(value / 1000, 4)
    if unit == "fc":
        return round(value / 10.763910416709722, 2)
    return value


def _number(value: float, decimals: int, style: Style) -> str:
    text = f"{value:,.{decimals}f}" if style.thousands else f"{value:.{decimals}f}"
    if style.decimal == ",":
        text = text.replace(",", "\0").replace(".", ",").replace("\0", ".")
    return f"{text:>9}" if style.padded else text


def _stamp(moment: dt.datetime, style: Style) -> list[str]:
    form = style.stamp
    if form == "epoch_s":
        return [str(int(moment.replace(tzinfo=dt.UTC).timestamp()))]
    if form == "epoch_ms":
        return [str(int(moment.replace(tzinfo=dt.UTC).timestamp() * 1000))]
    if form == "serial":
        days = (moment - dt.datetime(1899, 12, 30)) / dt.timedelta(days=1)
        text = f"{days:.6f}"
        return [text.replace(".", style.decimal)]
    if "%b" in form:
        form = form.replace("%b", LANGUAGES[style.language]["months"].split()[moment.month - 1])
    text = moment.strftime(form)
    if style.split and " " in text and "%b" not in style.stamp and "," not in text and form[:2] != "%H":
        date, time = text.split(" ", 1)
        return [date, time]
    return [text]


def units_of(style: Style) -> dict[str, str]:
    """Unit of each role, in the reader's spelling."""
    return {
        "temperature": style.temperature_unit, "humidity": "fraction" if style.fraction else "%", "light": style.light_unit,
    }  # fmt: skip


def _unit_words(style: Style) -> dict[str, str]:
    return {
        "temperature": {"degC": "°C", "degF": "°F", "K": "K"}[style.temperature_unit],
        "humidity": "0-1" if style.fraction else LANGUAGES[style.language]["rh"],
        "light": {"lx": "lx", "klx": "klx", "fc": "fc"}[style.light_unit],
    }


def _header_name(role: str, style: Style) -> str:
    choices = LANGUAGES[style.language][role]
    return choices[style.wording % len(choices)] if isinstance(choices, tuple) else choices


def _title(role: str, style: Style, sensor: str | None) -> str:
    name = _header_name(role, style)
    unit = _unit_words(style)[role]
    if sensor:
        name = f"{sensor} {name}"
    if style.units == "bracket":
        return f"{name} [{unit}]"
    if style.units == "paren":
        return f"{name} ({unit})"
    if style.units == "comma":
        return f"{name}, {unit}"
    return name


def roles_of(style: Style) -> list[str]:
    """Quantities that the file holds."""
    return ["temperature", "humidity", "light"] if style.light else ["temperature", "humidity"]


_DECIMALS = {"degC": 2, "degF": 2, "K": 2, "%": 1, "fraction": 3, "lx": 1, "klx": 4, "fc": 2}


def _cell(readings: Readings, role: str, row: int, sensor: int, style: Style) -> str:
    unit = units_of(style)[role]
    if role == "humidity" and row in readings.gaps:
        return style.missing
    value = float(getattr(readings, role)[row, sensor])
    return _number(in_file(value, unit), _DECIMALS[unit], style)


def _quoted(cell: str, style: Style, delimiter: str, *, header: bool) -> str:
    needs = delimiter in cell or '"' in cell
    number = cell.strip().replace(".", "").replace(",", "").replace("-", "").isdigit()
    wants = (
        style.quoted == "all"
        or (style.quoted == "header" and header)
        or (style.quoted == "text" and not number)
    )
    return f'"{cell}"' if needs or wants else cell


def table_of(readings: Readings, style: Style) -> tuple[list[list[str]], list[list[str]]]:
    """Header rows and rows of cells."""
    words = LANGUAGES[style.language]
    stamps = words["datetime"]
    head = (
        [words["date"], words["time"]]
        if len(_stamp(readings.times[0], style)) == 2
        else [stamps[style.wording % len(stamps)]]
    )
    if style.zone_in_header and style.stamp[0] == "%" and not style.stamp.endswith(("Z", "00")):
        head[-1] += " GMT+01:00"
    roles = roles_of(style)
    names = [f"Z{number + 1}" for number in range(style.sensors)]
    rows: list[list[str]] = []
    order = range(len(readings.times))
    for row in reversed(order) if style.reverse else order:
        stamp = _stamp(readings.times[row], style)
        if style.layout == "long":
            for sensor, name in enumerate(names):
                for role in roles:
                    unit = _unit_words(style)[role]
                    rows.append(
                        [
                            *stamp,
                            name,
                            _header_name(role, style),
                            _cell(readings, role, row, sensor, style),
                            unit,
                        ]
                    )
        elif style.layout == "interleaved":
            for sensor, name in enumerate(names):
                rows.append([*stamp, name, *(_cell(readings, role, row, sensor, style) for role in roles)])
        else:
            cells: list[str] = []
            for sensor in range(style.sensors):
                for role in roles:
                    cells.append(_cell(readings, role, row, sensor, style))
                    if style.units == "column":
                        cells.append(_unit_words(style)[role])
            if style.battery:
                cells.append(_number(3.6 - row * 0.0001, 2, style))
            if style.statistics:
                cells += [cells[0], cells[0]]
            rows.append([*stamp, *cells])
    if style.layout == "long":
        head += [words["sensor"], words["quantity"], words["value"], words["unit"]]
    elif style.layout == "interleaved":
        head += [words["sensor"], *(_title(role, style, None) for role in roles)]
    else:
        for name in names:
            for role in roles:
                head.append(_title(role, style, name if style.sensors > 1 else None))
                if style.units == "column":
                    head.append(words["unit"])
        if style.battery:
            head.append(f"{words['battery']} [V]")
        if style.statistics:
            base = _header_name("temperature", style)
            unit = _unit_words(style)["temperature"]
            head += [f"{base} {words['max']} [{unit}]", f"{base} {words['min']} [{unit}]"]
    heads = [head]
    if style.units == "row" and style.layout == "wide":
        stamp_width = len(_stamp(readings.times[0], style))
        units = [_unit_words(style)[role] for _ in names for role in roles]
        heads.append([*[""] * stamp_width, *units, *[""] * (len(head) - stamp_width - len(units))])
    return heads, rows


def write(readings: Readings, style: Style) -> bytes:
    """The file as bytes."""
    heads, rows = table_of(readings, style)
    words = LANGUAGES[style.language]
    width = len(heads[0])
    if style.counter:
        heads = [[words["no"] if place == 0 else "", *head] for place, head in enumerate(heads)]
        rows = [[str(number), *row] for number, row in enumerate(rows, 1)]
        width += 1
    if style.events == "column":
        heads = [[*head, "Event" if place == 0 else ""] for place, head in enumerate(heads)]
        rows = [[*row, words["event"] if number % 97 == 5 else ""] for number, row in enumerate(rows)]
        width += 1
    if style.events == "rows":
        stamp_at = 1 if style.counter else 0
        stamp_width = len(_stamp(readings.times[0], style))
        for at in (len(rows) // 3, len(rows) // 2):
            event = [""] * width
            event[stamp_at : stamp_at + stamp_width] = rows[at][stamp_at : stamp_at + stamp_width]
            if style.counter:
                event[0] = rows[at][0]
            event[-1] = "" if style.events == "column" else event[-1]
            rows.insert(at, event)
    if style.trailing:
        heads = [[*head, ""] for head in heads]
        rows = [[*row, ""] for row in rows]
    delimiter = style.delimiter
    lines: list[str] = []
    for number in range(style.preamble):
        lines.append(("Larkmoor Botanical Society", "Place: Seed Hall, north wall", "Made 02/03/2024 11:12:13", "Interval 30 min",
                      "Start = 2026-01-01 00:00", "", "Serial KX-2207", "-----")[number % 8])  # fmt: skip
    texts = [_joined(head, style, delimiter, header=True) for head in heads]
    body = [_joined(row, style, delimiter, header=False) for row in rows]
    if delimiter == "aligned":
        texts, body = _aligned(heads, rows)
    if style.ragged and delimiter != "aligned":
        body = [line.rstrip(delimiter) if line.endswith(delimiter) else line for line in body]
        body[7] = body[7] + delimiter + delimiter
    if style.repeat_header:
        body[len(body) // 2 : len(body) // 2] = texts
    if style.blank_lines:
        body[len(body) // 4 : len(body) // 4] = ["", ""]
    if style.footer:
        body += ["", f"{words['max']}: 25", f"{words['avg']}: 20", "*** 17 ***"]
    lines += texts + body
    text = style.end.join(lines) + (style.end if style.last_end else "")
    return text.encode(style.encoding, errors="strict")


def _joined(cells: Sequence[str], style: Style, delimiter: str, *, header: bool) -> str:
    return delimiter.join(_quoted(cell, style, delimiter, header=header) for cell in cells)


def _aligned(heads: list[list[str]], rows: list[list[str]]) -> tuple[list[str], list[str]]:
    widths = [max(len(line[place]) for line in [*heads, *rows]) + 3 for place in range(len(heads[0]))]
    make = [
        [
            "".join(f"{cell:<{width}}" for cell, width in zip(line, widths, strict=True)).rstrip()
            for line in part
        ]
        for part in (heads, rows)
    ]
    return make[0], make[1]
