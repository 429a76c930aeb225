"""Rooms, season against season."""

from stillwall.season.alerts import change_words, tell_sensors
from stillwall.season.look import look, rooms_logged
from stillwall.season.model import Alert, ChannelSeason, Logged, Season, Spot, season_of

__all__ = [
    "Alert",
    "ChannelSeason",
    "Logged",
    "Season",
    "Spot",
    "change_words",
    "look",
    "rooms_logged",
    "season_of",
    "tell_sensors",
]
