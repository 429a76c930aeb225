"""Python without a network: with this folder on ``PYTHONPATH`` every process raises where it would reach out."""

import sys
from socket import AF_UNIX

REACHES_OUT = frozenset(
    {
        *("socket.connect", "socket.bind", "socket.sendto", "socket.sendmsg"),
        *("socket.getaddrinfo", "socket.gethostbyname", "socket.gethostbyaddr", "urllib.Request"),
    }
)


def _refuse(event, told):
    if event in REACHES_OUT and getattr(told[0], "family", None) != AF_UNIX:
        raise RuntimeError(f"network used: {event} {told[1:]}")


sys.addaudithook(_refuse)
