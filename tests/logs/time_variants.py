"""Invented exports whose stamps are the difficulty: half days, 24:00, days of the year, offsets, serial days."""

from __future__ import annotations

from tests.logs.variants import Variant

TIME_VARIANTS = (
    Variant(
        "afternoon words in German",
        "Protokoll Nr. 7\n\nZeitpunkt;Temperatur in °C;Feuchte in %\n"
        "14.01.2026 11:30 vorm.;18,2;51\n14.01.2026 12:00 nachm.;18,3;50,5\n14.01.2026 12:30 nachm.;18,4;50\n"
        "14.01.2026 1:00 nachm.;18,5;49,5\n",
        {("temperature", None): (4, "2026-01-14T11:30", "2026-01-14T13:00", 18.2, 18.5),
         ("humidity", None): (4, "2026-01-14T11:30", "2026-01-14T13:00", 51, 49.5)},
    ),
    Variant(
        "afternoon words in Czech, time before noon and after",
        "Čas měření\tTeplota\tRelativní vlhkost\n14.1.2026 11:45 dop.\t17,5 °C\t55 %\n14.1.2026 12:15 odp.\t17,6 °C\t54 %\n"
        "14.1.2026 12:45 odp.\t17,7 °C\t54 %\n",
        {("temperature", None): (3, "2026-01-14T11:45", "2026-01-14T12:45", 17.5, 17.7),
         ("humidity", None): (3, "2026-01-14T11:45", "2026-01-14T12:45", 55, 54)},
    ),
    Variant(
        "afternoon words in Spanish",
        "Fecha,Hora,Temperatura (°C),Humedad (%)\n31/03/2026,11:50 a. m.,20.1,40\n31/03/2026,12:20 p. m.,20.4,41\n"
        "31/03/2026,12:50 p. m.,20.6,41\n",
        {("temperature", None): (3, "2026-03-31T11:50", "2026-03-31T12:50", 20.1, 20.6),
         ("humidity", None): (3, "2026-03-31T11:50", "2026-03-31T12:50", 40, 41)},
    ),
    Variant(
        "midnight at twelve AM",
        "Date,Time,Temp (F),RH (%)\n3/13/2026,11:00 PM,66.2,45\n3/14/2026,12:00 AM,66.0,45\n3/14/2026,1:00 AM,65.8,46\n",
        {("temperature", None): (3, "2026-03-13T23:00", "2026-03-14T01:00", 19.0, 18.777777777777779),
         ("humidity", None): (3, "2026-03-13T23:00", "2026-03-14T01:00", 45, 46)},
    ),
    Variant(
        "24:00 in a column of its own",
        "Datum;Uhrzeit;Temp [°C];rF [%]\n30.01.2026;23:00;18,1;50,1\n30.01.2026;24:00;18,0;50,2\n31.01.2026;01:00;17,9;50,3\n",
        {("temperature", None): (3, "2026-01-30T23:00", "2026-01-31T01:00", 18.1, 17.9),
         ("humidity", None): (3, "2026-01-30T23:00", "2026-01-31T01:00", 50.1, 50.3)},
    ),
    Variant(
        "clock without colons",
        "Date,HHMM time,Temp (degC),RH (%)\n2026-02-01,2330,18.1,50\n2026-02-02,0,18.0,50\n2026-02-02,30,17.9,51\n2026-02-02,100,17.8,51\n",
        {("temperature", None): (4, "2026-02-01T23:30", "2026-02-02T01:00", 18.1, 17.8),
         ("humidity", None): (4, "2026-02-01T23:30", "2026-02-02T01:00", 50, 51)},
    ),
    Variant(
        "clock with points, as in Italy",
        "Data;Ora;Temperatura °C;Umidità relativa %\n13/02/2026;09.30;18,5;48,2\n13/02/2026;10.00;18,7;48,0\n13/02/2026;10.30;18,9;47,8\n",
        {("temperature", None): (3, "2026-02-13T09:30", "2026-02-13T10:30", 18.5, 18.9),
         ("humidity", None): (3, "2026-02-13T09:30", "2026-02-13T10:30", 48.2, 47.8)},
        encoding="cp1252",
    ),
    Variant(
        "day of year in columns",
        "Year,Day of year,Time,T [deg C],RH [%]\n2024,60,2300,18.0,50\n2024,60,2330,18.1,50\n2024,61,0,18.2,51\n2024,61,30,18.3,51\n",
        {("temperature", None): (4, "2024-02-29T23:00", "2024-03-01T00:30", 18.0, 18.3),
         ("humidity", None): (4, "2024-02-29T23:00", "2024-03-01T00:30", 50, 51)},
    ),
    Variant(
        "day of year in the stamp",
        "timestamp,temp_c,rh_pct\n2026-031 23:00,18.0,50\n2026-032 00:00,18.1,50\n2026-032 01:00,18.2,51\n",
        {("temperature", None): (3, "2026-01-31T23:00", "2026-02-01T01:00", 18.0, 18.2),
         ("humidity", None): (3, "2026-01-31T23:00", "2026-02-01T01:00", 50, 51)},
    ),
    Variant(
        "year, month, day, hour, minute in columns",
        "Year,Month,Day,Hour,Minute,Temp_F,RH\n2026,2,28,23,0,64.4,50\n2026,2,28,23,30,66.2,50\n2026,3,1,0,0,68.0,51\n",
        {("temperature", None): (3, "2026-02-28T23:00", "2026-03-01T00:00", 18.0, 20.0),
         ("humidity", None): (3, "2026-02-28T23:00", "2026-03-01T00:00", 50, 51)},
    ),
    Variant(
        "weekday before the date",
        "When,Temperature C,Humidity %\nMon 12 Jan 2026 09:00,18.5,50\nMon 12 Jan 2026 09:15,18.6,50\nTue 13 Jan 2026 09:30,18.7,51\n",
        {("temperature", None): (3, "2026-01-12T09:00", "2026-01-13T09:30", 18.5, 18.7),
         ("humidity", None): (3, "2026-01-12T09:00", "2026-01-13T09:30", 50, 51)},
    ),
    Variant(
        "month names in French, accents and all",
        "Horodatage;Température (°C);Hygrométrie (%)\n28 févr. 2026 23:30;18,5;50\n1 mars 2026 00:00;18,6;50\n1 mars 2026 00:30;18,7;51\n",
        {("temperature", None): (3, "2026-02-28T23:30", "2026-03-01T00:30", 18.5, 18.7),
         ("humidity", None): (3, "2026-02-28T23:30", "2026-03-01T00:30", 50, 51)},
    ),
    Variant(
        "offset written in each stamp, changing",
        "time,temperature_degC,humidity_pct\n2026-03-29T00:30:00+00:00,18.5,50\n2026-03-29T02:00:00+01:00,18.6,50\n"
        "2026-03-29T02:30:00+01:00,18.7,51\n",
        {("temperature", None): (3, "2026-03-29T00:30", "2026-03-29T01:30", 18.5, 18.7),
         ("humidity", None): (3, "2026-03-29T00:30", "2026-03-29T01:30", 50, 51)},
        utc=True,
    ),
    Variant(
        "zone in the preamble",
        "Larkmoor, Reading House\nTime zone: UTC+02:00\nDownloaded 05.04.2026 10:11\nZeit;T (°C);F (%)\n"
        "2026-03-01 00:00;18,5;50,5\n2026-03-01 00:30;18,6;50,5\n2026-03-01 01:00;18,7;51,5\n",
        {("temperature", None): (3, "2026-02-28T22:00", "2026-02-28T23:00", 18.5, 18.7),
         ("humidity", None): (3, "2026-02-28T22:00", "2026-02-28T23:00", 50.5, 51.5)},
        utc=True,
    ),
    Variant(
        "epoch with decimals",
        "ts,temp,hum\n1770000000.25,18.5,50\n1770000300.25,18.6,50\n1770000600.25,18.7,51\n",
        {("temperature", None): (3, "2026-02-02T02:40", "2026-02-02T02:50", 18.5, 18.7),
         ("humidity", None): (3, "2026-02-02T02:40", "2026-02-02T02:50", 50, 51)},
        utc=True,
    ),
    Variant(
        "spreadsheet days with whole numbers among them",
        "Datum Uhrzeit;Temperatur °C;rel. Feuchte %\n46054,75;18,5;50,0\n46055;18,6;50,5\n46055,25;18,7;51,0\n46055,5;18,8;51,5\n",
        {("temperature", None): (4, "2026-02-01T18:00", "2026-02-02T12:00", 18.5, 18.8),
         ("humidity", None): (4, "2026-02-01T18:00", "2026-02-02T12:00", 50, 51.5)},
    ),
)  # fmt: skip
