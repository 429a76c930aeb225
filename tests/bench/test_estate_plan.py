"""The plan of an estate adds up: what is shared out is divided, what is not is not."""

from __future__ import annotations

from tests.bench.estate_plan import Costs, measured, table


def test_a_plan_adds_up():
    costs = Costs(
        cold_s=1.0, warm_s=0.01, csv_bytes=4e6, kept_bytes=5e4, sent_bytes=400.0, cell_s=0.005, cell_bytes=9e3
    )
    rows = {line.split(" | ")[0]: line.split(" | ")[1:] for line in table(costs, 2000)}
    assert rows["| a work ranked over all, nothing kept"] == ["10 s", "33 min", "17 min", "2 min", "41 s |"]
    assert rows["| a work ranked over all, all kept"] == ["30 s", "0 s", "30 s", "30 s", "30 s |"]
    # 14 houses of 150 walls and 300 works are 630,000 cells.
    assert rows["| every work at every wall of its house (14 houses, 300 works each)"][:2] == [
        "20 s",
        "52 min",
    ]
    assert table(costs, 2000)[-1].startswith("Logs: 8.0 GB. Kept: 100.0 MB. Sent to workers: 1.6 GB")


def test_costs_are_measured(tmp_path):
    costs = measured(tmp_path, walls=2, works=2, step_s=3600, days=40)
    assert costs.cold_s > 0
    assert costs.cell_s > 0
    assert costs.csv_bytes > 40 * 24 * 30
    assert costs.kept_bytes > 0
