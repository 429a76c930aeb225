"""The reader of the reference data: what it accepts, and that it tells every fault at once."""

import shutil
from importlib.resources import files

import pytest

from stillwall.errors import ReferenceDataError
from stillwall.reference.library import load_library
from stillwall.reference.sources import CHECKED_WORDS

SOURCE = '{ key = "judgement", locator = "test", checked = "judgement" }'


@pytest.fixture
def data(tmp_path):
    """A copy of the package's data that a test may break."""
    return shutil.copytree(str(files("stillwall") / "data"), tmp_path / "data")


def faults_of(data):
    with pytest.raises(ReferenceDataError) as caught:
        load_library(data)
    return [str(fault) for fault in caught.value.faults]


def test_the_packages_own_data_are_read_once():
    assert load_library() is load_library()


def test_figures_are_named_by_file_group_and_name(data):
    (data / "hazards" / "draught.toml").write_text(
        f"""
unit = "K"
source = {SOURCE}
plain = 3
[door]
note = "for people who read the file"
unit = "m"
near = 1.5
far = {{ value = 3, low = 2, high = 4 }}
[door.lobby]
source = {{ key = "common-practice", checked = "practice" }}
near = {{ value = 2, unit = "ft" }}
"""
    )
    library = load_library(data)
    assert library.figure("draught.plain") == 3
    assert library.figures["draught.plain"].unit == "K"
    assert library.figures["draught.door.far"].high == 4
    assert library.figures["draught.door.far"].source.key == "judgement"
    assert library.figures["draught.door.lobby.near"].unit == "ft"
    assert library.figures["draught.door.lobby.near"].source.checked == "practice"


def test_a_medium_takes_shared_parts_by_name():
    library = load_library()
    panel, canvas = library.media["oil-on-panel"], library.media["oil-on-canvas"]
    assert panel.moisture is not None
    assert canvas.moisture is not None
    assert panel.moisture.bulk_t95.value > canvas.moisture.bulk_t95.value
    assert [threshold.name for threshold in library.media["bronze"].corrosion] == ["sound copper alloy"]


def test_every_fault_of_every_file_is_told_at_once(data):
    (data / "guidelines" / "broken.toml").write_text(
        f"""
id = "other-name"
title = 7
year = 2020
status = "in-force"
source = {SOURCE}
colour = "red"
[humidity]
low = "40"
high = 60
source = {SOURCE}
"""
    )
    (data / "hazards" / "syntax.toml").write_text("[door\n")
    (data / "hazards" / "list.toml").write_text(f'unit = "m"\nsource = {SOURCE}\nnear = [1, 2]\n')
    told = "\n".join(faults_of(data))
    for words in (
        "guidelines/broken.toml: id: 'other-name'; expected 'broken'",
        "guidelines/broken.toml (other-name): title: 7",
        "guidelines/broken.toml (other-name): colour: 'red'",
        "guidelines/broken.toml (other-name): humidity.low: '40'",
        "hazards/syntax.toml: ",
        "hazards/list.toml: list.near: [1, 2]",
    ):
        assert words in told


@pytest.mark.parametrize(
    ("figure", "told"),
    [
        ("near = { value = 5, low = 6, high = 7 }", "low <= value <= high"),
        ("near = { value = 1, unit = '' }", "no unit"),
        ("near = inf", "not finite"),
        ("near = { value = nan }", "not finite"),
        ("near = true", "a number or a table"),
        ("near = { value = '5' }", "valid number"),
        ("near = { value = 5, colour = 'red' }", "colour"),
        ("near = { value = 5, source = { key = 'no-such-work', checked = 'primary' } }", "'no-such-work'"),
        ("near = { value = 5, source = { key = 'judgement', checked = 'surely' } }", "'surely'"),
        ("near = { value = 5, source = { key = 'judgement' } }", "checked: nothing"),
    ],
)
def test_a_faulty_figure_is_refused(data, figure, told):
    (data / "hazards" / "draught.toml").write_text(f'unit = "m"\nsource = {SOURCE}\n{figure}\n')
    assert any(told in fault and "draught" in fault for fault in faults_of(data))


@pytest.mark.parametrize(
    ("humidity", "told"),
    [
        ("low = 60\nhigh = 40", "low < mean_low < mean_high < high"),
        ("low = 40\nmean_low = 39\nhigh = 60", "low < mean_low < mean_high < high"),
        ("low = 40\nhigh = 60\nshort_term = 0", "humidity.short_term"),
        ("low = 40\nhigh = 60\nshort_term_h = -1", "humidity.short_term_h"),
        ("low = 40\nhigh = 60\nseasonal_low = 5", "humidity.seasonal_low"),
        ("low = 40\nhigh = 60\nseasonal_high = -5", "humidity.seasonal_high"),
        ("low = 40\nhigh = 60\ncentre = 70", "humidity.centre"),
        ("low = 40\nhigh = 60\nfollows_history = true", "the centre to assume"),
    ],
)
def test_a_faulty_band_is_refused(data, humidity, told):
    (data / "guidelines" / "draught.toml").write_text(
        f"""
id = "draught"
title = "Draught"
status = "proposal"
source = {SOURCE}
[humidity]
{humidity}
source = {SOURCE}
"""
    )
    assert any(told in fault for fault in faults_of(data))


def test_a_guideline_without_any_band_is_refused(data):
    (data / "guidelines" / "draught.toml").write_text(
        f'id = "draught"\ntitle = "Draught"\nstatus = "proposal"\nsource = {SOURCE}\n'
    )
    assert any("no band" in fault for fault in faults_of(data))


MEDIUM = """
[[medium]]
id = "{id}"
title = "Felt"
group = "textile"
hygroscopic = true
{more}
[medium.light]
responsivity = "{responsivity}"
span = ["R1", "R2"]
source = {source}
"""


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({"id": "felt", "responsivity": "R3", "more": ""}, "a span that holds the class"),
        ({"id": "felt", "responsivity": "R9", "more": ""}, "'R9'"),
        ({"id": "silk", "responsivity": "R2", "more": ""}, "'silk' a second time"),
        ({"id": "felt", "responsivity": "R2", "more": 'moisture = "sponge"'}, "'sponge'; expected one of"),
        ({"id": "felt", "responsivity": "R2", "more": "hygroscopy = 1"}, "hygroscopy"),
        (
            {
                "id": "felt",
                "responsivity": "R2",
                "more": f'corrosion = [{{ name = "moth", source = {SOURCE} }}]',
            },
            "above_pct, below_pct or both",
        ),
    ],
)
def test_a_faulty_medium_is_refused(data, fields, told):
    (data / "media" / "zz.toml").write_text(MEDIUM.format(source=SOURCE, **fields))
    assert any(told in fault for fault in faults_of(data))


SECOND = f"""
[[measure.effects]]
hazard = "light_dose"
on = "dose"
value = false
source = {SOURCE}
"""
EFFECT = """
[[measure]]
id = "shutters"
title = "Shutters"
cost = 2
reversible = true
{more}
[[measure.effects]]
hazard = "light_dose"
on = "{on}"
{effect}
source = {source}
"""


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({"on": "dose", "effect": "low = 0.5\nmid = 0.4\nhigh = 0.6", "more": ""}, "0 <= low <= mid <= high"),
        ({"on": "dose", "effect": "low = 0.5\nhigh = 0.6", "more": ""}, "low, mid and high, or value"),
        ({"on": "dose", "effect": "", "more": ""}, "low, mid and high, or value"),
        (
            {"on": "dose", "effect": "low = 0.5\nmid = 0.5\nhigh = 0.6\nvalue = 1", "more": ""},
            "low, mid and high, or value",
        ),
        ({"on": "", "effect": "value = true", "more": ""}, "no hazard or part"),
        ({"on": "dose", "effect": "value = true", "more": 'excludes = ["no-such"]'}, "'no-such'"),
        ({"on": "dose", "effect": "value = true", "more": SECOND}, "two effects on light_dose dose"),
    ],
)
def test_a_faulty_measure_is_refused(data, fields, told):
    (data / "measures" / "zz.toml").write_text(EFFECT.format(source=SOURCE, **fields))
    assert any(told in fault for fault in faults_of(data))


def test_a_measure_may_set_a_fact_or_multiply(data):
    (data / "measures").mkdir(exist_ok=True)
    (data / "measures" / "zz.toml").write_text(
        EFFECT.format(source=SOURCE, on="dose", effect="low = 0.1\nmid = 0.2\nhigh = 0.3", more="")
    )
    effect = load_library(data).measures["shutters"].effects[0]
    assert (effect.low, effect.mid, effect.high, effect.value) == (0.1, 0.2, 0.3, None)


def test_a_file_that_is_not_text_is_refused(data):
    (data / "hazards" / "draught.toml").write_bytes(b"\xff\xfe\x00")
    assert any("hazards/draught.toml" in fault and "UTF-8" in fault for fault in faults_of(data))


def test_a_stray_table_is_refused(data):
    (data / "media" / "zz.toml").write_text("[[media]]\nid = 'felt'\n")
    assert any("zz.toml: media" in fault for fault in faults_of(data))


def test_every_mark_of_checking_has_words():
    library = load_library()
    marks = {figure.source.checked for figure in library.figures.values()}
    marks |= {guideline.source.checked for guideline in library.guidelines.values()}
    assert marks <= set(CHECKED_WORDS)
    assert CHECKED_WORDS["memory"] == "from memory, to be confirmed"


def test_the_two_sources_that_are_no_documents_say_so():
    sources = load_library().sources
    assert "without a published source" in sources["common-practice"].title
    assert "Judgement" in sources["judgement"].title
