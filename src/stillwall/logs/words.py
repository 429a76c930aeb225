"""Words that name quantities, times and statistics in headers: English, German, French, Spanish, Italian,
Dutch and Czech. Written without accents, in small letters."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

from stillwall.record import Role

MONTHS: dict[str, int] = {}
_MONTH_WORDS = (
    "jan january januar janvier janv enero ene gennaio gen januari leden ledna led janner jaenner",
    "feb february februar fevrier fevr fev febrero febbraio februari unor unora uno",
    "mar march marz maerz mrz mars marzo maart mrt brezen brezna bre",
    "apr april avril avr abril abr aprile duben dubna dub",
    "may mai mayo maggio mag mei kveten kvetna kve",
    "jun june juni juin junio giugno giu cerven cervna cvn",
    "jul july juli juillet juil julio luglio lug cervenec cervence cvc",
    "aug august aout aou agosto ago augustus srpen srpna srp",
    "sep sept september septembre septiembre set settembre zari zar",
    "oct october oktober okt octobre octubre ottobre ott rijen rijna rij",
    "nov november novembre noviembre listopad listopadu lis",
    "dec december dezember dez decembre diciembre dic dicembre prosinec prosince pro",
)
for _number, _words in enumerate(_MONTH_WORDS, 1):
    for _word in _words.split():
        MONTHS[_word] = _number

WEEKDAYS = frozenset(
    [
        "mon",
        "tue",
        "tues",
        "wed",
        "thu",
        "thur",
        "thurs",
        "fri",
        "sat",
        "sun",
        "monday",
        "tuesday",
        "wednesday",
        "thursday",
        "friday",
        "saturday",
        "sunday",
        "mo",
        "di",
        "mi",
        "do",
        "fr",
        "sa",
        "so",
        "montag",
        "dienstag",
        "mittwoch",
        "donnerstag",
        "freitag",
        "samstag",
        "sonnabend",
        "sonntag",
        "lun",
        "mar",
        "mer",
        "jeu",
        "ven",
        "sam",
        "dim",
        "lundi",
        "mardi",
        "mercredi",
        "jeudi",
        "vendredi",
        "samedi",
        "dimanche",
        "mie",
        "jue",
        "vie",
        "sab",
        "dom",
        "lunes",
        "martes",
        "miercoles",
        "jueves",
        "viernes",
        "sabado",
        "domingo",
        "gio",
        "lunedi",
        "martedi",
        "mercoledi",
        "giovedi",
        "venerdi",
        "sabato",
        "domenica",
        "ma",
        "wo",
        "za",
        "zo",
        "maandag",
        "dinsdag",
        "woensdag",
        "donderdag",
        "vrijdag",
        "zaterdag",
        "zondag",
        "po",
        "ut",
        "st",
        "ct",
        "pa",
        "ne",
        "pondeli",
        "utery",
        "streda",
        "ctvrtek",
        "patek",
        "sobota",
        "nedele",
    ]
)

MORNING = frozenset(
    ["am", "a.m.", "a.m", "a.", "vorm", "vorm.", "v.m.", "vm", "dop", "dop.", "matin", "mattina"]
)
AFTERNOON = frozenset(
    ["pm", "p.m.", "p.m", "p.", "nachm", "nachm.", "n.m.", "nm", "odp", "odp.", "soir", "pomeriggio"]
)

TIME_WORDS = frozenset(
    [
        "date",
        "time",
        "datetime",
        "timestamp",
        "stamp",
        "clock",
        "datum",
        "zeit",
        "uhrzeit",
        "zeitstempel",
        "zeitpunkt",
        "datumzeit",
        "messzeit",
        "messzeitpunkt",
        "heure",
        "horodatage",
        "horodate",
        "temps",
        "jour",
        "fecha",
        "hora",
        "tiempo",
        "data",
        "ora",
        "orario",
        "dataora",
        "tijd",
        "tijdstip",
        "tijdstempel",
        "datumtijd",
        "cas",
        "casova",
        "znacka",
        "doba",
        "moment",
        "when",
        "dt",
        "dateheure",
        "fechahora",
        "utc",
        "gmt",
        "local",
        "logged",
        "recorded",
        "sampled",
        "sample",
        "t",
        "ts",
        "epoch",
        "unix",
    ]
)

COUNTER_WORDS = frozenset(
    [
        "#",
        "no",
        "no.",
        "nr",
        "nr.",
        "num",
        "number",
        "index",
        "idx",
        "id",
        "row",
        "record",
        "rec",
        "sample",
        "anz",
        "anz.",
        "anzahl",
        "n",
        "n.",
        "lfd",
        "lfdnr",
        "numero",
        "numer",
        "zeile",
        "ligne",
        "fila",
        "riga",
        "rij",
        "radek",
        "poradi",
        "cislo",
        "count",
        "unnamed",
        "entry",
        "seq",
        "pos",
    ]
)

_HUMIDITY = [
    "humid",
    "feucht",
    "umidit",
    "humedad",
    "vocht",
    "vlhk",
    "hygrom",
    "hygroth",
    "relh",
    "rhum",
    "relhum",
    "rel.hum",
    "r.h.",
    "r.f.",
    "u.r.",
    "h.r.",
    "r.v.",
]
_DEW = ("dew", "taupunkt", "rosee", "rocio", "rugiada", "dauwpunt", "rosny", "rosneho", "rosn")
_TEMPERATURE = ("temperat", "teplot", "temper", "temp", "thermo")
_LIGHT = [
    "illumin",
    "illum",
    "lux",
    "licht",
    "light",
    "beleucht",
    "hellig",
    "eclair",
    "lumin",
    "lumier",
    "ilumin",
    "luz",
    "luce",
    "verlicht",
    "osvet",
    "svetl",
    "jas",
    "bright",
    "intensity",
    "intensitat",
    "intensite",
    "intensidad",
    "intensita",
    "intensiteit",
    "intenzita",
]
_SURFACE = ("surface", "oberflach", "superfic", "oppervlak", "povrch")
_ULTRAVIOLET = ("ultravio", "ultrafial")

OTHER_QUANTITY = [
    "co2",
    "carbon",
    "pressure",
    "druck",
    "pression",
    "presion",
    "pressione",
    "tlak",
    "luchtdruk",
    "battery",
    "batt",
    "batterie",
    "bateria",
    "batteria",
    "batterij",
    "baterie",
    "akku",
    "voltage",
    "volt",
    "spannung",
    "tension",
    "tensione",
    "napeti",
    "spanning",
    "current",
    "strom",
    "wind",
    "rain",
    "regen",
    "pluie",
    "lluvia",
    "pioggia",
    "precip",
    "snow",
    "radiation",
    "irradiance",
    "strahlung",
    "rayonnement",
    "globalstrahl",
    "sound",
    "noise",
    "larm",
    "bruit",
    "ruido",
    "rumore",
    "geluid",
    "hluk",
    "voc",
    "pm2",
    "pm10",
    "motion",
    "occupancy",
    "pir",
    "door",
    "signal",
    "rssi",
    "snr",
    "absolut",
    "absolue",
    "mixing",
    "ratio",
    "specific",
    "enthalp",
    "density",
    "dichte",
    "flow",
    "depth",
    "depression",
    "vpd",
    "deficit",
    "wetbulb",
    "wet",
    "nassk",
    "feuchtkug",
    "kugel",
    "globe",
    "bulbo",
    "heatindex",
    "heat",
    "index",
    "chill",
    "felt",
    "gefuhlt",
    "apparent",
    "ressenti",
    "humidex",
    "comfort",
    "setpoint",
    "sollwert",
    "consigne",
    "soil",
    "boden",
    "alarm",
    "event",
    "ereignis",
    "status",
    "state",
    "flag",
    "quality",
    "qualitat",
    "source",
    "uncert",
    "error",
    "fehler",
    "infrared",
    "ir",
    "nir",
    "uva",
    "uvb",
    "uvc",
    "rot",
    "grun",
    "blau",
    "red",
    "green",
    "blue",
    "melanopic",
    "par",
    "ppfd",
    "colour",
    "color",
    "clear",
    "orientation",
    "zenith",
]

_STATISTIC: tuple[tuple[str, frozenset[str]], ...] = (
    (
        "mean",
        frozenset(
            [
                "avg",
                "average",
                "mean",
                "mittel",
                "mittelwert",
                "durchschnitt",
                "moyenne",
                "moy",
                "media",
                "medio",
                "promedio",
                "gemiddeld",
                "gemiddelde",
                "gem",
                "prumer",
                "prumerna",
                "prum",
                "avr",
                "mw",
            ]
        ),
    ),
    (
        "highest",
        frozenset(
            [
                "max",
                "maximum",
                "maximal",
                "maximale",
                "massimo",
                "massima",
                "maximo",
                "maxima",
                "hoch",
                "high",
                "highest",
                "maximalni",
            ]
        ),
    ),
    (
        "lowest",
        frozenset(
            [
                "min",
                "minimum",
                "minimal",
                "minimale",
                "minimo",
                "minima",
                "tief",
                "low",
                "lowest",
                "minimalni",
            ]
        ),
    ),
    (
        "spread",
        frozenset(
            [
                "std",
                "stdev",
                "stddev",
                "sd",
                "dev",
                "deviation",
                "abweichung",
                "stdabw",
                "ecart",
                "desviacion",
                "scarto",
                "standaardafwijking",
                "odchylka",
                "sigma",
                "var",
                "variance",
                "range",
                "spannweite",
            ]
        ),
    ),
)

SENSOR_WORDS = frozenset(
    [
        "sensor",
        "logger",
        "probe",
        "channel",
        "device",
        "station",
        "node",
        "location",
        "place",
        "room",
        "site",
        "serial",
        "sn",
        "tag",
        "name",
        "fuhler",
        "messfuhler",
        "kanal",
        "gerat",
        "messstelle",
        "standort",
        "ort",
        "raum",
        "geraet",
        "seriennummer",
        "capteur",
        "sonde",
        "voie",
        "appareil",
        "lieu",
        "salle",
        "emplacement",
        "canal",
        "sonda",
        "dispositivo",
        "lugar",
        "sala",
        "ubicacion",
        "sensore",
        "canale",
        "luogo",
        "stanza",
        "posizione",
        "kanaal",
        "meter",
        "locatie",
        "ruimte",
        "cidlo",
        "senzor",
        "misto",
        "mistnost",
        "kanalu",
        "sonda",
        "unit",
    ]
)

QUANTITY_WORDS = frozenset(
    [
        "quantity",
        "parameter",
        "measurement",
        "measurand",
        "variable",
        "type",
        "messgrosse",
        "messgroesse",
        "grosse",
        "groesse",
        "kenngrosse",
        "grandeur",
        "parametre",
        "mesure",
        "magnitud",
        "parametro",
        "variabel",
        "variabile",
        "grandezza",
        "grootheid",
        "velicina",
        "metric",
        "field",
        "kind",
        "what",
    ]
)

VALUE_WORDS = frozenset(
    [
        "value",
        "reading",
        "wert",
        "messwert",
        "valeur",
        "valor",
        "lectura",
        "valore",
        "lettura",
        "misura",
        "waarde",
        "meetwaarde",
        "hodnota",
        "val",
        "result",
    ]
)

UNIT_WORDS = frozenset(["unit", "units", "einheit", "unite", "unidad", "unita", "eenheid", "jednotka", "uom"])

AIR_WORDS = frozenset(
    [
        "air",
        "luft",
        "room",
        "raum",
        "ambient",
        "umgebung",
        "indoor",
        "innen",
        "ambiante",
        "ambient",
        "ambiente",
        "aire",
        "aria",
        "lucht",
        "ruimte",
        "vzduch",
        "vzduchu",
        "interieur",
        "interior",
        "interno",
        "binnen",
        "kamer",
        "okolni",
        "mistnosti",
        "dry",
        "bulb",
        "drybulb",
    ]
)

NUMBERED = re.compile(
    r"^(?:ch|chan|channel|col|column|field|val|value|sensor|probe|in|input|kanal|spalte|wert|messwert|fuhler|voie|"
    r"canal|colonne|valeur|capteur|columna|valor|canale|colonna|valore|sensore|kanaal|kolom|waarde|sloupec|"
    r"hodnota|senzor|cidlo|ain|ai|a|v|x|y|c|s)?[ ._#:-]*\d{1,3}$"
)

UNUSED_MARKS = (
    "", "-", "--", "---", "----", "-----", "_", "*", "**", "***", "****", "?", "??", ".", "x", "X", "/",
    "NaN", "nan", "NAN", "-nan", "NA", "N/A", "n/a", "na", "#N/A", "#NV", "#VALUE!", "#WERT!", "NULL", "null", "nil",
    "None", "none", "OL", "O.L", "OL.", "-OL", "0L", "ovl", "OVL", "OVER", "over", "Over", "UNDER", "under", "LO",
    "HI", "Lo", "Hi", "low", "high", "ERR", "Err", "err", "ERROR", "Error", "error", "Fehler", "FEHLER", "erreur",
    "Erreur", "errore", "Errore", "fout", "Fout", "chyba", "Chyba", "fallo", "FAIL", "fail", "Fail", "fault",
    "Fault", "OPEN", "open", "Open", "SHORT", "short", "NC", "n.c.", "invalid", "Invalid", "INVALID", "missing",
    "Missing", "no data", "No data", "NO DATA", "nodata", "NoData", "bad", "Bad", "BAD", "off", "inf", "-inf", "Inf",
    "-Inf", "INF", "k.A.", "k. A.", "ungültig", "no sensor", "Sensor error", "sensor error", "s/o", "n.d.", "ND", "nd",
    "n.v.t.", "#", "##", "###", "####", "#####", "######", "–", "—", "−", "…", "...", "..",
)  # fmt: skip
"""Cells that stand for no reading."""


@lru_cache(maxsize=8192)
def plain(text: str) -> str:
    """Small letters without accents; blanks made single."""
    text = text.replace("ß", "ss").replace("µ", "u").replace("μ", "u")
    stripped = unicodedata.normalize("NFKD", text)
    letters = "".join(char for char in stripped if not unicodedata.combining(char))
    return re.sub(r"\s+", " ", letters).strip().lower()


@lru_cache(maxsize=8192)
def words(text: str) -> tuple[str, ...]:
    """Words of a header cell: camel case and digits parted (``RelHumidity2`` gives rel, humidity, 2)."""
    spaced = re.sub(r"(?<=[a-zà-ž])(?=[A-Z])|(?<=[A-Za-z])(?=\d)|(?<=\d)(?=[A-Za-z])", " ", text)
    return tuple(re.findall(r"[a-z]+|\d+|[#%]", plain(spaced)))


def names_time(text: str) -> bool:
    """Whether a header cell names a date or a time."""
    found = words(text)
    whole = "".join(found)
    return any(word in TIME_WORDS and word != "t" for word in found) or whole in TIME_WORDS


def names_counter(text: str) -> bool:
    """Whether a header cell names a running number."""
    found = plain(text)
    return found in COUNTER_WORDS or (bool(found) and words(text)[:1] == ("unnamed",))


def statistic_of(text: str) -> str | None:
    """``mean``, ``highest``, ``lowest`` or ``spread`` where a header says that its column is one."""
    found = words(text)
    for kind, known in reversed(_STATISTIC):
        if any(word in known for word in found):
            return kind
    return None


def without_statistic(text: str) -> tuple[str, ...]:
    """The words of a header that do not speak of a statistic; each once."""
    known = frozenset().union(*(names for _, names in _STATISTIC))
    return tuple(dict.fromkeys(word for word in words(text) if word not in known))


def role_of(name: str, unit: str | None) -> Role | None:
    """Role that a header's words, with its unit where it has one, give a column; None where they give none.

    ``unit`` is a unit as :func:`stillwall.logs.quantities.unit_of` writes it.
    """
    text = plain(name)
    found = words(name)
    compact = "".join(found)
    if unit == "%RH":
        return "humidity" if not any(stem in text for stem in _DEW) else None
    if unit is not None and unit.startswith("other"):
        return None
    if any(stem in text for stem in _DEW) or found[:1] in (("td",), ("dp",)) or "dewpt" in compact:
        return None if unit in ("%", "fraction", "lx") else "dew_point"
    if "uv" in found or any(stem in text for stem in _ULTRAVIOLET):
        return "ultraviolet" if "index" not in found else None
    if _names_other(text, found):
        return None
    if any(stem in text for stem in _HUMIDITY) or _short_humidity(found, unit):
        return "humidity" if unit in (None, "%", "fraction") else None
    if compact in ("temps", "tempo"):
        return None
    if any(stem in text for stem in _TEMPERATURE) or _short_temperature(found, unit):
        if unit not in (None, "degC", "degF", "K"):
            return None
        return "surface_temperature" if any(stem in text for stem in _SURFACE) else "temperature"
    if any(stem in text for stem in _LIGHT):
        if unit in ("lx", "klx", "fc", "hlx"):
            return "light"
        return "light" if unit is None and any(stem in text for stem in _LIGHT[:-7]) else None
    return _by_unit(unit, name)


def _by_unit(unit: str | None, name: str) -> Role | None:
    if unit in ("degC", "degF"):
        return "temperature"
    if unit in ("lx", "klx", "fc", "hlx"):
        return "light"
    if unit in ("uW/lm",):
        return "ultraviolet"
    if unit == "%" and re.search(r"r\.?\s?[hfv]|h\.?\s?r|u\.?\s?r", plain(name)):
        return "humidity"
    return None


def _names_other(text: str, found: tuple[str, ...]) -> bool:
    for word in OTHER_QUANTITY:
        if len(word) <= 5:
            if word in found:
                return True
        elif word in text:
            return True
    return "abs" in found and any(stem in text for stem in _HUMIDITY)


def _short_humidity(found: tuple[str, ...], unit: str | None) -> bool:
    short = {"rh", "rf", "rv", "rlf", "hum", "hygro", "rhe", "rhi", "hrel", "rhin", "rhout"}
    if any(word in short for word in found) or "".join(found) in short:
        return True
    if unit in ("%", "fraction"):
        return bool({"hr", "ur", "h", "u", "f", "phi", "r", "rel"} & set(found))
    letters = [word for word in found if word.isalpha()]
    return letters[-1:] in (["hr"], ["ur"]) and not {"time", "zeit", "hour", "per", "quantity"} & set(found)


def _short_temperature(found: tuple[str, ...], unit: str | None) -> bool:
    short = {"t", "ta", "te", "ti", "tair", "tamb", "tmp", "tc", "tf", "tin", "tout", "tl", "tr", "theta"}
    if unit in ("degC", "degF", "K"):
        return bool(short & set(found)) or unit != "K"
    if unit is not None or not found:
        return False
    letters = [word for word in found if word.isalpha()]
    return found[0] in short or (len(found) <= 4 and letters[-1:] == ["t"] and len(letters[0]) <= 2)
