"""Text from files as it may be shown: what a terminal obeys, or what turns text round, is spelled out."""

from __future__ import annotations

import unicodedata
from dataclasses import replace

from stillwall.errors import Fault, LogError
from stillwall.record import Channel

LONGEST = 600
"""Characters of a message about a file; longer ones are cut."""


def shown(text: str) -> str:
    """One line of text in which every character can be seen; ``\\\\x1b`` stands for an escape."""
    return text if text.isprintable() else "".join(map(_seen, text))


def shown_lines(text: str) -> str:
    """The same for text that may have several lines."""
    return "\n".join(map(shown, text.split("\n")))


def _seen(char: str) -> str:
    if char.isprintable():
        return char
    if char in "\n\t\r" or unicodedata.category(char) == "Zs":
        return " "
    return char.encode("ascii", "backslashreplace").decode() if ord(char) > 127 else f"\\x{ord(char):02x}"


def shown_channel(channel: Channel) -> Channel:
    """A channel whose sensor's name may be shown."""
    if channel.sensor is None or channel.sensor.isprintable():
        return channel
    return replace(channel, sensor=shown(channel.sensor).strip())


def shown_error(error: LogError) -> LogError:
    """The same error in text that may be shown. Lines to copy spell such characters out already."""
    return LogError(
        Fault(shown(fault.where), _cut(fault.found), _cut(fault.expected), shown_lines(fault.fix))
        for fault in error.faults
    )


def _cut(text: str) -> str:
    text = shown_lines(text)
    return text if len(text) <= LONGEST else f"{text[: LONGEST - 1]}…"
