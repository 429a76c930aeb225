"""Write the demo's logs: ``python -m tests.demo.make`` from the root of the repository."""

from __future__ import annotations

from pathlib import Path

from .loggers import make_files, make_world

LOGS = Path(__file__).parents[2] / "sample_logs" / "logs"


def main() -> None:
    """Write every file byte for byte."""
    LOGS.mkdir(parents=True, exist_ok=True)
    for name, content in make_files(make_world()).items():
        (LOGS / name).write_bytes(content)


if __name__ == "__main__":
    main()
