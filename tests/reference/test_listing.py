"""The listing of limits, and the command that prints it."""

import json
import subprocess
import sys

import pytest

from stillwall.reference.library import load_library
from stillwall.reference.listing import limits, listing_document, listing_text
from stillwall.reference.sources import CHECKED_WORDS

LIBRARY = load_library()


def test_every_limit_has_an_id_of_its_own():
    ids = [limit.id for limit in limits(LIBRARY)]
    assert len(ids) == len(set(ids))


def test_every_limit_of_the_document_has_a_source_of_the_bibliography():
    document = listing_document(LIBRARY)
    assert document["stillwall"] == 1
    for limit in document["limits"]:
        assert set(limit) == {"id", "value", "unit", "source", "locator", "checked"}
        assert limit["source"] in LIBRARY.sources
        assert limit["checked"] in CHECKED_WORDS
        assert limit["unit"]
    assert json.loads(json.dumps(document, allow_nan=False)) == document


@pytest.mark.parametrize(
    ("name", "value", "unit", "checked"),
    [
        ("guideline.bizot-2023.humidity.low", 40, "%RH", "secondary"),
        ("guideline.ashrae-2019-b.temperature.seasonal_low", -20, "K", "memory"),
        ("guideline.en-15757-2010.own_history.floor", 10, "%RH", "memory"),
        ("medium.watercolour.light.responsivity", "R2", "class", "memory"),
        ("medium.oil-on-panel.moisture.bulk_t95", 624, "h", "memory"),
        ("medium.watercolour.mould_class", "very_sensitive", "class", "judgement"),
        ("medium.wax.hearth_bar", True, "bar", "judgement"),
        ("medium.bronze-active-corrosion.corrosion.active_chlorides.above_pct", 35, "%RH", "primary"),
        ("medium.bronze-active-corrosion.corrosion.active_chlorides.hours_per_year", 88, "h", "judgement"),
    ],
)
def test_limits_of_every_kind_are_listed(name, value, unit, checked):
    found = {limit["id"]: limit for limit in listing_document(LIBRARY)["limits"]}
    assert (found[name]["value"], found[name]["unit"], found[name]["checked"]) == (value, unit, checked)


def test_all_figures_and_effects_are_listed():
    names = {limit.id for limit in limits(LIBRARY)}
    assert names >= LIBRARY.figures.keys()
    for measure in LIBRARY.measures.values():
        for effect in measure.effects:
            assert f"measure.{measure.id}.{effect.hazard}.{effect.on}" in names


def test_the_text_says_in_words_how_each_limit_was_checked():
    text = listing_text(LIBRARY)
    line = next(line for line in text.splitlines() if "martens-2012" in line)
    assert "[from memory, to be confirmed]" in line
    assert "GUIDELINES" in text
    assert "martens-2012: M. H. J. Martens (2012). Climate risk assessment in museums" in text


def test_the_command_prints_the_document_and_loads_nothing_heavy():
    code = (
        "import sys; from stillwall.cli.sources import sources; sources(as_json=True, out=None);"
        "heavy = {'pandas', 'matplotlib', 'pint', 'scipy'} & set(sys.modules);"
        "print(sorted(heavy), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert json.loads(done.stdout) == listing_document(LIBRARY)
    assert done.stderr.strip() == "[]"


def test_the_command_writes_a_file(tmp_path):
    from stillwall.cli.sources import sources

    sources(as_json=False, out=tmp_path / "limits.txt")
    assert (tmp_path / "limits.txt").read_text("utf-8").strip() == listing_text(LIBRARY).strip()
