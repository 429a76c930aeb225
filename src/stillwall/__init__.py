"""Environmental-risk assessor for the places where works of art hang.

``open_survey("folder")`` opens a survey with its logs at hand; its ``rank``, ``rank_wall``, ``vet``,
``matrix``, ``moves`` and ``season`` give frozen answers. Importing the package loads nothing heavy: what it
offers is fetched when it is first asked for.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from stillwall.assess import Assessment, open_survey
    from stillwall.errors import InputError, LogError, StillwallError, SurveyError

__all__ = [
    "Assessment",
    "InputError",
    "LogError",
    "StillwallError",
    "SurveyError",
    "__version__",
    "open_survey",
]

_HOMES = {
    "Assessment": "stillwall.assess",
    "open_survey": "stillwall.assess",
    "InputError": "stillwall.errors",
    "LogError": "stillwall.errors",
    "StillwallError": "stillwall.errors",
    "SurveyError": "stillwall.errors",
}


def __getattr__(name: str) -> Any:
    """What the package offers, imported when it is first asked for."""
    if name == "__version__":
        from importlib.metadata import version

        return version("stillwall")
    if name in _HOMES:
        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'stillwall' has no attribute {name!r}")


def __dir__() -> list[str]:
    """The public names, as ``dir`` and completion show them."""
    return sorted(__all__)
