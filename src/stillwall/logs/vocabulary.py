"""Words of headers in English, German, French, Spanish, Italian, Dutch and Czech.

Without accents, in small letters. Stems are looked for inside a header, words as whole words.
"""

# ruff: noqa: C409
from __future__ import annotations

from typing import Final


def _set(text: str) -> frozenset[str]:
    return frozenset(text.split())


def _stems(text: str) -> tuple[str, ...]:
    return tuple(text.split())


MONTHS: Final[dict[str, int]] = {
    word: number
    for number, words in enumerate(
        (
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
        ),
        start=1,
    )
    for word in words.split()
}

WEEKDAYS: Final = _set(
    """
    ct ctvrtek di dienstag dim dimanche dinsdag do dom domenica domingo donderdag donnerstag fr
    freitag fri friday gio giovedi jeu jeudi jue jueves lun lundi lunedi lunes ma maandag mar mardi
    martedi martes mer mercoledi mercredi mi mie miercoles mittwoch mo mon monday montag ne nedele
    pa patek po pondeli sa sab sabado sabato sam samedi samstag sat saturday so sobota sonnabend
    sonntag st streda sun sunday thu thur thurs thursday tue tues tuesday ut utery ven vendredi
    venerdi vie viernes vrijdag wed wednesday wo woensdag za zaterdag zo zondag
    """
)

MORNING: Final = _set(
    """
    a. a.m a.m. am dop dop. matin mattina v.m. vm vorm vorm.
    """
)
"""Marks of the hours before noon."""

AFTERNOON: Final = _set(
    """
    n.m. nachm nachm. nm odp odp. p. p.m p.m. pm pomeriggio soir
    """
)
"""Marks of the hours after noon."""

TIME_WORDS: Final = _set(
    """
    cas casova clock data dataora date dateheure datetime datum datumtijd datumzeit doba dt epoch
    fecha fechahora gmt heure hora horodatage horodate jour local logged messzeit messzeitpunkt
    moment ora orario recorded sample sampled stamp t temps tiempo tijd tijdstempel tijdstip time
    timestamp ts uhrzeit unix utc when zeit zeitpunkt zeitstempel znacka
    """
)

COUNTER_WORDS: Final = _set(
    """
    # anz anz. anzahl cislo count entry fila id idx index lfd lfdnr ligne n n. no no. nr nr. num
    number numer numero poradi pos radek rec record riga rij row sample seq unnamed zeile
    """
)
"""Running numbers of rows."""

HUMIDITY: Final = _stems(
    """
    humid feucht umidit humedad vocht vlhk hygrom hygroth relh rhum relhum rel.hum r.h. r.f. u.r.
    h.r. r.v. umidade fuktighet fukt kosteus wilgotn nedves paratartal
    """
)

DEW_POINT: Final = _stems(
    """
    dew taupunkt rosee rocio rugiada dauwpunt rosny rosneho rosn
    """
)

TEMPERATURE: Final = _stems(
    """
    temperat teplot temper temp thermo
    """
)

LIGHT: Final = _stems(
    """
    illumin illum lux licht light beleucht hellig eclair lumin lumier ilumin luz luce verlicht osvet
    svetl jas bright
    """
)

INTENSITY: Final = _stems(
    """
    intensity intensitat intensite intensidad intensita intensiteit intenzita
    """
)
"""Light only where the unit says so."""

SURFACE: Final = _stems(
    """
    surface oberflach superfic oppervlak povrch
    """
)

ULTRAVIOLET: Final = _stems(
    """
    ultravio ultrafial
    """
)

OTHER_QUANTITY: Final = _stems(
    """
    co2 carbon pressure druck pression presion pressione tlak luchtdruk battery batt batterie
    bateria batteria batterij baterie akku voltage volt spannung tension tensione napeti spanning
    current strom wind rain regen pluie lluvia pioggia precip snow radiation irradiance strahlung
    rayonnement globalstrahl sound noise larm bruit ruido rumore geluid hluk voc pm2 pm10 motion
    occupancy pir door signal rssi snr absolut absolue mixing ratio specific enthalp density dichte
    flow depth depression vpd deficit wetbulb wet nassk feuchtkug kugel globe bulbo heatindex heat
    index chill felt gefuhlt apparent ressenti humidex comfort setpoint sollwert consigne soil boden
    alarm event ereignis status state flag quality qualitat source uncert error fehler infrared ir
    nir uva uvb uvc rot grun blau red green blue melanopic par ppfd colour color clear orientation
    zenith
    """
)
"""Words of quantities that are not read; those of up to five letters are looked for as whole words."""

SENSOR_WORDS: Final = _set(
    """
    appareil canal canale capteur channel cidlo device dispositivo emplacement fuhler geraet gerat
    kanaal kanal kanalu lieu locatie location logger lugar luogo messfuhler messstelle meter
    mistnost misto name node ort place posizione probe raum room ruimte sala salle sensor sensore
    senzor serial seriennummer site sn sonda sonde standort stanza station tag ubicacion unit voie
    """
)

QUANTITY_WORDS: Final = _set(
    """
    field grandeur grandezza groesse grootheid grosse kenngrosse kind magnitud measurand measurement
    messgroesse messgrosse mesure metric parameter parametre parametro quantity type variabel
    variabile variable velicina what
    """
)
"""Headers of a column that names the quantity of each row."""

VALUE_WORDS: Final = _set(
    """
    hodnota lectura lettura meetwaarde messwert misura reading result val valeur valor valore value
    waarde wert
    """
)

UNIT_WORDS: Final = _set(
    """
    eenheid einheit jednotka unidad unit unita unite units uom
    """
)

AIR_WORDS: Final = _set(
    """
    air aire ambiante ambient ambiente aria binnen bulb dry drybulb indoor innen interieur interior
    interno kamer lucht luft mistnosti okolni raum room ruimte umgebung vzduch vzduchu
    """
)
"""Words that say that a temperature is the air's."""

STATISTICS: Final[tuple[tuple[str, frozenset[str]], ...]] = (
    (
        "mean",
        _set(
            """
            average avg avr durchschnitt gem gemiddeld gemiddelde mean media medio mittel
            mittelwert moy moyenne mw promedio prum prumer prumerna
            """
        ),
    ),
    (
        "highest",
        _set(
            """
            high highest hoch massima massimo max maxima maximal maximale maximalni maximo
            maximum
            """
        ),
    ),
    (
        "lowest",
        _set(
            """
            low lowest min minima minimal minimale minimalni minimo minimum tief
            """
        ),
    ),
    (
        "spread",
        _set(
            """
            abweichung desviacion dev deviation ecart odchylka range scarto sd sigma
            spannweite standaardafwijking std stdabw stddev stdev var variance
            """
        ),
    ),
)

UNUSED_MARKS: Final = tuple(
    [
        "",
        "-",
        "--",
        "---",
        "----",
        "-----",
        "_",
        "*",
        "**",
        "***",
        "****",
        "?",
        "??",
        ".",
        "x",
        "X",
        "/",
        "NaN",
        "nan",
        "NAN",
        "-nan",
        "NA",
        "N/A",
        "n/a",
        "na",
        "#N/A",
        "#NV",
        "#VALUE!",
        "#WERT!",
        "NULL",
        "null",
        "nil",
        "None",
        "none",
        "OL",
        "O.L",
        "OL.",
        "-OL",
        "0L",
        "ovl",
        "OVL",
        "OVER",
        "over",
        "Over",
        "UNDER",
        "under",
        "LO",
        "HI",
        "Lo",
        "Hi",
        "low",
        "high",
        "ERR",
        "Err",
        "err",
        "ERROR",
        "Error",
        "error",
        "Fehler",
        "FEHLER",
        "erreur",
        "Erreur",
        "errore",
        "Errore",
        "fout",
        "Fout",
        "chyba",
        "Chyba",
        "fallo",
        "FAIL",
        "fail",
        "Fail",
        "fault",
        "Fault",
        "OPEN",
        "open",
        "Open",
        "SHORT",
        "short",
        "NC",
        "n.c.",
        "invalid",
        "Invalid",
        "INVALID",
        "missing",
        "Missing",
        "no data",
        "No data",
        "NO DATA",
        "nodata",
        "NoData",
        "bad",
        "Bad",
        "BAD",
        "off",
        "inf",
        "-inf",
        "Inf",
        "-Inf",
        "INF",
        "k.A.",
        "k. A.",
        "ungültig",
        "no sensor",
        "Sensor error",
        "sensor error",
        "s/o",
        "n.d.",
        "ND",
        "nd",
        "n.v.t.",
        "#",
        "##",
        "###",
        "####",
        "#####",
        "######",
        "–",
        "—",
        "−",
        "…",
        "...",
        "..",
    ]
)
"""Cells that stand for no reading, the empty one first."""
