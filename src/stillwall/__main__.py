"""``python -m stillwall``: the command line."""

from stillwall.cli import main

main()
