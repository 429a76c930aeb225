"""Invented exports that each hold one or more difficulties, with what a reader must make of them."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Variant:
    """A file and its readings: by (role, sensor) the count, first and last stamp, first and last value."""

    name: str
    text: str
    readings: dict[tuple[str, str | None], tuple[int, str, str, float, float]]
    encoding: str = "utf-8"
    utc: bool = False


VARIANTS = (
    Variant(
        "a header cell over two lines",
        '"Date\nand time","Temperature\n(°C)","Humidity\n(%RH)"\n2026-01-05 10:00,18.5,50\n2026-01-05 10:30,18.6,51\n',
        {("temperature", None): (2, "2026-01-05T10:00", "2026-01-05T10:30", 18.5, 18.6),
         ("humidity", None): (2, "2026-01-05T10:00", "2026-01-05T10:30", 50, 51)},
    ),
    Variant(
        "sensor names in a row above repeated headers",
        ",Hall,,Stair,\nTime,Temp (°C),RH (%),Temp (°C),RH (%)\n2026-01-05 10:00,18.5,50,16.5,60\n2026-01-05 10:30,18.6,51,16.6,61\n",
        {("temperature", "Hall"): (2, "2026-01-05T10:00", "2026-01-05T10:30", 18.5, 18.6),
         ("humidity", "Hall"): (2, "2026-01-05T10:00", "2026-01-05T10:30", 50, 51),
         ("temperature", "Stair"): (2, "2026-01-05T10:00", "2026-01-05T10:30", 16.5, 16.6),
         ("humidity", "Stair"): (2, "2026-01-05T10:00", "2026-01-05T10:30", 60, 61)},
    ),
    Variant(
        "one name repeated without sensors",
        "Time,Temp (°C),RH (%),Temp (°C),RH (%)\n2026-01-05 10:00,18.5,50,16.5,60\n2026-01-05 10:30,18.6,51,16.6,61\n",
        {("temperature", "1"): (2, "2026-01-05T10:00", "2026-01-05T10:30", 18.5, 18.6),
         ("humidity", "1"): (2, "2026-01-05T10:00", "2026-01-05T10:30", 50, 51),
         ("temperature", "2"): (2, "2026-01-05T10:00", "2026-01-05T10:30", 16.5, 16.6),
         ("humidity", "2"): (2, "2026-01-05T10:00", "2026-01-05T10:30", 60, 61)},
    ),
    Variant(
        "numbered names with units",
        "Time;CH1 [°C];CH2 [%RH];CH3 [lx]\n2026-01-05 10:00;18,5;50,1;120\n2026-01-05 10:30;18,6;51,2;130\n",
        {("temperature", None): (2, "2026-01-05T10:00", "2026-01-05T10:30", 18.5, 18.6),
         ("humidity", None): (2, "2026-01-05T10:00", "2026-01-05T10:30", 50.1, 51.2),
         ("light", None): (2, "2026-01-05T10:00", "2026-01-05T10:30", 120, 130)},
    ),
    Variant(
        "each sensor with its own time column",
        "Time,Hall temp (°C),Time,Stair temp (°C)\n2026-01-05 10:00,18.5,2026-01-05 10:07,16.5\n2026-01-05 10:30,18.6,2026-01-05 10:37,16.6\n"
        "2026-01-05 11:00,18.7,2026-01-05 11:07,16.7\n",
        {("temperature", "Hall"): (3, "2026-01-05T10:00", "2026-01-05T11:00", 18.5, 18.7),
         ("temperature", "Stair"): (3, "2026-01-05T10:07", "2026-01-05T11:07", 16.5, 16.7)},
    ),
    Variant(
        "words where readings should be, and events between",
        "Date Time;Temp °C;RH %;Note\n2026-01-05 10:00;18,5;50,1;\n2026-01-05 10:10;Logged;Logged;button\n2026-01-05 10:30;18,6;Err;\n"
        "2026-01-05 11:00;18,7;52,1;\n2026-01-05 11:05;;;battery changed\n",
        {("temperature", None): (3, "2026-01-05T10:00", "2026-01-05T11:00", 18.5, 18.7),
         ("humidity", None): (2, "2026-01-05T10:00", "2026-01-05T11:00", 50.1, 52.1)},
    ),
    Variant(
        "only means, highest and lowest",
        "Time,Temp avg (°C),Temp max (°C),Temp min (°C),RH avg (%),RH max (%),RH min (%)\n2026-01-05 10:00,18.5,19,18,50,51,49\n"
        "2026-01-05 11:00,18.6,19.1,18.1,51,52,50\n",
        {("temperature", None): (2, "2026-01-05T10:00", "2026-01-05T11:00", 18.5, 18.6),
         ("humidity", None): (2, "2026-01-05T10:00", "2026-01-05T11:00", 50, 51)},
    ),
    Variant(
        "a block of statistics below, with dates of its own",
        "Zeit;Temperatur (°C);Feuchte (%)\n05.01.2026 10:00;18,5;50,1\n05.01.2026 10:30;18,6;51,2\n25.01.2026 11:00;18,7;52,3\n\n"
        "Statistik;Temperatur;Feuchte\nMaximum;18,7;52,3\nam;25.01.2026 11:00;25.01.2026 11:00\nMittelwert;18,6;51,2\n",
        {("temperature", None): (3, "2026-01-05T10:00", "2026-01-25T11:00", 18.5, 18.7),
         ("humidity", None): (3, "2026-01-05T10:00", "2026-01-25T11:00", 50.1, 52.3)},
    ),
    Variant(
        "a block of statistics above",
        "Reading House, ground floor\nStart;04.01.2026 09:00\nMaximum;18,7;52,3\nMinimum;18,5;50,1\n\nZeit;Temperatur (°C);Feuchte (%)\n"
        "05.01.2026 10:00;18,5;50,1\n05.01.2026 10:30;18,6;51,2\n25.01.2026 11:00;18,7;52,3\n",
        {("temperature", None): (3, "2026-01-05T10:00", "2026-01-25T11:00", 18.5, 18.7),
         ("humidity", None): (3, "2026-01-05T10:00", "2026-01-25T11:00", 50.1, 52.3)},
    ),
    Variant(
        "thousands with apostrophes and blanks",
        "Zeit;Licht (lx);Temp (°C)\n2026-06-05 10:00;1'234,5;18,5\n2026-06-05 10:30;12 345,0;18,6\n2026-06-05 11:00;985,5;18,7\n",
        {("light", None): (3, "2026-06-05T10:00", "2026-06-05T11:00", 1234.5, 985.5),
         ("temperature", None): (3, "2026-06-05T10:00", "2026-06-05T11:00", 18.5, 18.7)},
    ),
    Variant(
        "kelvin, and humidity as a share of one",
        "time | T [K] | RH [0-1]\n2026-01-05 10:00 | 291.65 | 0.501\n2026-01-05 10:30 | 291.75 | 0.512\n",
        {("temperature", None): (2, "2026-01-05T10:00", "2026-01-05T10:30", 18.5, 18.6),
         ("humidity", None): (2, "2026-01-05T10:00", "2026-01-05T10:30", 50.1, 51.2)},
    ),
    Variant(
        "ultraviolet in two units",
        "time,Light (lx),UV (µW/lm),UV irradiance (mW/m²)\n2026-01-05 10:00,120,60,7.2\n2026-01-05 10:30,130,62,8.1\n",
        {("light", None): (2, "2026-01-05T10:00", "2026-01-05T10:30", 120, 130),
         ("ultraviolet", None): (2, "2026-01-05T10:00", "2026-01-05T10:30", 60, 62)},
    ),
    Variant(
        "ultraviolet per square centimetre",
        "time,UV (uW/cm2)\n2026-01-05 10:00,0.72\n2026-01-05 10:30,0.81\n",
        {("ultraviolet", None): (2, "2026-01-05T10:00", "2026-01-05T10:30", 7.2, 8.1)},
    ),
    Variant(
        "year of two digits in front, told by its size",
        "stamp;temp °C;rh %\n69.12.31 10:00;18,5;50,5\n69.12.31 10:30;18,6;51,5\n",
        {("temperature", None): (2, "1969-12-31T10:00", "1969-12-31T10:30", 18.5, 18.6),
         ("humidity", None): (2, "1969-12-31T10:00", "1969-12-31T10:30", 50.5, 51.5)},
    ),
    Variant(
        "order told by the header",
        "Datum (TT.MM.JJJJ);Zeit;Temp (°C)\n02.03.2026;10:00;18,5\n02.03.2026;10:30;18,6\n",
        {("temperature", None): (2, "2026-03-02T10:00", "2026-03-02T10:30", 18.5, 18.6)},
    ),
    Variant(
        "order told by the step across midnight",
        "Date/time,Temp (°C)\n02/03/2026 23:00,18.5\n02/03/2026 23:30,18.6\n03/03/2026 00:00,18.7\n03/03/2026 00:30,18.8\n",
        {("temperature", None): (4, "2026-03-02T23:00", "2026-03-03T00:30", 18.5, 18.8)},
    ),
    Variant(
        "unused columns behind, and rows that stop early",
        "Time,Temp (C),RH (%),,,\n2026-01-05 10:00,18.5,50\n2026-01-05 10:30,18.6,51,,,\n2026-01-05 11:00,18.7\n2026-01-05 11:30,18.8,53,,\n",
        {("temperature", None): (4, "2026-01-05T10:00", "2026-01-05T11:30", 18.5, 18.8),
         ("humidity", None): (3, "2026-01-05T10:00", "2026-01-05T11:30", 50, 53)},
    ),
    Variant(
        "a logger's serial number in each row",
        "Serial;Date;Time;Temperature [°C];Humidity [%rh]\nQX-0071;13.01.2026;10:00:00;18,5;50,1\nQX-0071;13.01.2026;10:30:00;18,6;51,2\n",
        {("temperature", "QX-0071"): (2, "2026-01-13T10:00", "2026-01-13T10:30", 18.5, 18.6),
         ("humidity", "QX-0071"): (2, "2026-01-13T10:00", "2026-01-13T10:30", 50.1, 51.2)},
    ),
    Variant(
        "marks before the header and between",
        "# made by hand\n# Time\tT (°C)\tRH (%)\n2026-01-05 10:00\t18.5\t50\n2026-01-05 10:30\t18.6\t51\n",
        {("temperature", None): (2, "2026-01-05T10:00", "2026-01-05T10:30", 18.5, 18.6),
         ("humidity", None): (2, "2026-01-05T10:00", "2026-01-05T10:30", 50, 51)},
    ),
    Variant(
        "every cell quoted, commas and decimal commas",
        '"Fecha/hora","Temperatura (°C)","Humedad relativa (%HR)"\n"31/01/2026 23:00:00","18,50","50,10"\n"31/01/2026 23:30:00","18,60","51,20"\n',
        {("temperature", None): (2, "2026-01-31T23:00", "2026-01-31T23:30", 18.5, 18.6),
         ("humidity", None): (2, "2026-01-31T23:00", "2026-01-31T23:30", 50.1, 51.2)},
    ),
    Variant(
        "long form with units beside, and a quantity that is not ours",
        "when;probe;what;reading;unit\n2026-01-05 10:00;A;Temperature;18,5;°C\n2026-01-05 10:00;A;Humidity;50,1;%\n2026-01-05 10:00;A;CO2;600;ppm\n"
        "2026-01-05 10:30;A;Temperature;18,6;°C\n2026-01-05 10:30;A;Humidity;51,2;%\n2026-01-05 10:30;A;CO2;620;ppm\n",
        {("temperature", "A"): (2, "2026-01-05T10:00", "2026-01-05T10:30", 18.5, 18.6),
         ("humidity", "A"): (2, "2026-01-05T10:00", "2026-01-05T10:30", 50.1, 51.2)},
    ),
    Variant(
        "long form without sensors, unit in the name",
        "Zeitstempel,Messgröße,Wert\n2026-01-05 10:00,Temperatur (°F),65.3\n2026-01-05 10:00,Feuchte (%),50.1\n"
        "2026-01-05 10:30,Temperatur (°F),66.2\n2026-01-05 10:30,Feuchte (%),51.2\n",
        {("temperature", None): (2, "2026-01-05T10:00", "2026-01-05T10:30", 18.5, 19.0),
         ("humidity", None): (2, "2026-01-05T10:00", "2026-01-05T10:30", 50.1, 51.2)},
    ),
    Variant(
        "rooms in rows, without the word sensor",
        "Time,Room,T (°C),RH (%)\n2026-01-05 10:00,Seed Hall,18.5,50\n2026-01-05 10:00,Orangery,20.5,60\n2026-01-05 10:30,Seed Hall,18.6,51\n"
        "2026-01-05 10:30,Orangery,20.6,61\n",
        {("temperature", "Seed Hall"): (2, "2026-01-05T10:00", "2026-01-05T10:30", 18.5, 18.6),
         ("humidity", "Seed Hall"): (2, "2026-01-05T10:00", "2026-01-05T10:30", 50, 51),
         ("temperature", "Orangery"): (2, "2026-01-05T10:00", "2026-01-05T10:30", 20.5, 20.6),
         ("humidity", "Orangery"): (2, "2026-01-05T10:00", "2026-01-05T10:30", 60, 61)},
    ),
    Variant(
        "surface and air",
        "Time;Lufttemperatur (°C);Oberflächentemperatur (°C);Rel. Luftfeuchte (%)\n13.01.2026 10:00;18,5;14,5;50,1\n13.01.2026 10:30;18,6;14,6;51,2\n",
        {("temperature", None): (2, "2026-01-13T10:00", "2026-01-13T10:30", 18.5, 18.6),
         ("surface_temperature", None): (2, "2026-01-13T10:00", "2026-01-13T10:30", 14.5, 14.6),
         ("humidity", None): (2, "2026-01-13T10:00", "2026-01-13T10:30", 50.1, 51.2)},
    ),
    Variant(
        "readings of three digits after the comma, settled by a column beside",
        "Zeit;Temperatur °C;Feuchte %;Akku V\n13.01.2026 10:00;18,500;50,100;3,6\n13.01.2026 10:30;18,600;51,200;3,6\n",
        {("temperature", None): (2, "2026-01-13T10:00", "2026-01-13T10:30", 18.5, 18.6),
         ("humidity", None): (2, "2026-01-13T10:00", "2026-01-13T10:30", 50.1, 51.2)},
    ),
    Variant(
        "the time column last",
        "T (°C),RH (%),Time\n18.5,50,2026-01-05 10:00\n18.6,51,2026-01-05 10:30\n",
        {("temperature", None): (2, "2026-01-05T10:00", "2026-01-05T10:30", 18.5, 18.6),
         ("humidity", None): (2, "2026-01-05T10:00", "2026-01-05T10:30", 50, 51)},
    ),
    Variant(
        "local time and UTC side by side",
        "Local time,UTC time,T (°C)\n2026-06-05 11:00,2026-06-05 10:00,18.5\n2026-06-05 11:30,2026-06-05 10:30,18.6\n",
        {("temperature", None): (2, "2026-06-05T10:00", "2026-06-05T10:30", 18.5, 18.6)},
        utc=True,
    ),
    Variant(
        "foot-candles",
        "Date,Time,Light (fc)\n3/13/2026,10:00 AM,10\n3/13/2026,10:30 AM,12\n",
        {("light", None): (2, "2026-03-13T10:00", "2026-03-13T10:30", 107.63910416709722, 129.16692500051666)},
    ),
    Variant(
        "Czech, semicolons, Windows code page of Western Europe cannot hold it",
        "Datum a čas;Teplota [°C];Vlhkost [%];Osvětlení [lx]\n13.01.2026 10:00;18,5;50,1;120\n13.01.2026 10:30;18,6;51,2;130\n",
        {("temperature", None): (2, "2026-01-13T10:00", "2026-01-13T10:30", 18.5, 18.6),
         ("humidity", None): (2, "2026-01-13T10:00", "2026-01-13T10:30", 50.1, 51.2),
         ("light", None): (2, "2026-01-13T10:00", "2026-01-13T10:30", 120, 130)},
        encoding="cp1250",
    ),
    Variant(
        "Dutch, bars, degrees in words",
        "Datum tijd | Temperatuur graden C | Luchtvochtigheid procent\n13-01-2026 10:00 | 18,5 | 50,1\n13-01-2026 10:30 | 18,6 | 51,2\n",
        {("temperature", None): (2, "2026-01-13T10:00", "2026-01-13T10:30", 18.5, 18.6),
         ("humidity", None): (2, "2026-01-13T10:00", "2026-01-13T10:30", 50.1, 51.2)},
    ),
    Variant(
        'a row of names, a row of sensors, a row of units',
        'Time,Hall,Hall\n,Temp,RH\n,°C,%\n2026-03-14 14:15,18.5,50.5\n2026-03-14 14:30,18.6,51.5\n',
        {("temperature", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 18.5, 18.6),
         ("humidity", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 50.5, 51.5)},
    ),
    Variant(
        'a degree sign read in the wrong code page',
        'Time,Temp (Â°C),RH (%)\n2026-03-14 14:15,18.5,50.5\n2026-03-14 14:30,18.6,51.5\n',
        {("temperature", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 18.5, 18.6),
         ("humidity", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 50.5, 51.5)},
    ),
    Variant(
        'a degree sign lost to a question mark, in Fahrenheit',
        'Time,Temp (?F),RH (%)\n2026-03-14 14:15,65.3,50.5\n2026-03-14 14:30,66.2,51.5\n',
        {("temperature", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 18.5, 19.0),
         ("humidity", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 50.5, 51.5)},
    ),
    Variant(
        'fractions of a second',
        'Time,Temp (°C),RH (%)\n2026-03-14T14:15:00.123,18.5,50.5\n2026-03-14T14:30:00.123,18.6,51.5\n',
        {("temperature", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 18.5, 18.6),
         ("humidity", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 50.5, 51.5)},
    ),
    Variant(
        'hours with an h between blanks',
        'Date;Temp (°C);HR (%)\n14/03/2026 14 h 15;18,5;50,5\n14/03/2026 14 h 30;18,6;51,5\n',
        {("temperature", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 18.5, 18.6),
         ("humidity", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 50.5, 51.5)},
    ),
    Variant(
        'unpadded stamps, year first',
        'Time,Temp (°C),RH (%)\n2026/3/14 14:15,18.5,50.5\n2026/3/14 14:30,18.6,51.5\n',
        {("temperature", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 18.5, 18.6),
         ("humidity", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 50.5, 51.5)},
    ),
    Variant(
        'month names with commas, quoted',
        'Time,Temp (°C),RH (%)\n"Mar 14, 2026, 2:15 PM",18.5,50.5\n"Mar 14, 2026, 2:30 PM",18.6,51.5\n',
        {("temperature", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 18.5, 18.6),
         ("humidity", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 50.5, 51.5)},
    ),
    Variant(
        'compact stamps in UTC',
        'Time,Temp (°C),RH (%)\n20260314T141500Z,18.5,50.5\n20260314T143000Z,18.6,51.5\n',
        {("temperature", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 18.5, 18.6),
         ("humidity", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 50.5, 51.5)},
        utc=True,
    ),
    Variant(
        'offsets without a colon',
        'Time,Temp (°C),RH (%)\n2026-03-14T15:15:00+0100,18.5,50.5\n2026-03-14T15:30:00+0100,18.6,51.5\n',
        {("temperature", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 18.5, 18.6),
         ("humidity", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 50.5, 51.5)},
        utc=True,
    ),
    Variant(
        'milliseconds in quotes',
        'time,Temp (°C),RH (%)\n"1773497700000","18.5","50.5"\n"1773498600000","18.6","51.5"\n',
        {("temperature", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 18.5, 18.6),
         ("humidity", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 50.5, 51.5)},
        utc=True,
    ),
    Variant(
        'a record number, and alarms in words',
        'Record,Time,Temp (°C),RH (%),Alarm\n1,2026-03-14 14:15,18.5,50.5,OK\n2,2026-03-14 14:30,18.6,51.5,RH too low\n',
        {("temperature", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 18.5, 18.6),
         ("humidity", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 50.5, 51.5)},
    ),
    Variant(
        'line ends of three kinds',
        'Time,Temp (°C),RH (%)\r\n2026-03-14 14:15,18.5,50.5\n2026-03-14 14:30,18.6,51.5\r',
        {("temperature", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 18.5, 18.6),
         ("humidity", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 50.5, 51.5)},
    ),
    Variant(
        'units within the cells, in Fahrenheit',
        'Time,Temp,RH\n2026-03-14 14:15,65.3 °F,50.5 %\n2026-03-14 14:30,66.2 °F,51.5 %\n',
        {("temperature", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 18.5, 19.0),
         ("humidity", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 50.5, 51.5)},
    ),
    Variant(
        'two languages in one header',
        'Zeit/Time,Temperatur/Temperature (°C),Feuchte/Humidity (%)\n2026-03-14 14:15,18.5,50.5\n2026-03-14 14:30,18.6,51.5\n',
        {("temperature", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 18.5, 18.6),
         ("humidity", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 50.5, 51.5)},
    ),
    Variant(
        'a first line that names the delimiter',
        'sep=;\nTime;Temp (°C);RH (%)\n2026-03-14 14:15;18,5;50,5\n2026-03-14 14:30;18,6;51,5\n',
        {("temperature", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 18.5, 18.6),
         ("humidity", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 50.5, 51.5)},
    ),
    Variant(
        'Portuguese',
        'Data/Hora;Temperatura (°C);Umidade (%)\n14/03/2026 14:15;18,5;50,5\n14/03/2026 14:30;18,6;51,5\n',
        {("temperature", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 18.5, 18.6),
         ("humidity", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 50.5, 51.5)},
    ),
    Variant(
        'Polish',
        'Data i czas;Temperatura [°C];Wilgotność [%]\n2026-03-14 14:15;18,5;50,5\n2026-03-14 14:30;18,6;51,5\n',
        {("temperature", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 18.5, 18.6),
         ("humidity", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 50.5, 51.5)},
    ),
    Variant(
        'a true minus sign, and thin blanks among thousands',
        'Time;Temp (°C);Light (lx)\n2026-03-14 14:15;−1,5;1\u2009234,5\n2026-03-14 14:30;−1,6;900,0\n',
        {("temperature", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", -1.5, -1.6),
         ("light", None): (2, "2026-03-14T14:15", "2026-03-14T14:30", 1234.5, 900)},
    ),
)  # fmt: skip
