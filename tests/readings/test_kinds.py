"""What every kind of reading owes estimate and sheet: shapes, smooth finite predictions, a way back from TOML."""

import contextlib
import tomllib

import numpy as np
import pytest
import tomli_w

from advisor.basis.fields import InputError, fields_of, write_table
from advisor.readings import KINDS
from advisor.readings.model import Model, State

TITRATION = {"sample": "10 mL", "sample_with": "10 mL syringe", "used_with": "25 mL class B burette", "note": "slow"}
FIELDS = {
    "acid titration": TITRATION
    | {
        "diluted_to": "100 mL",
        "titrant": "sodium carbonate",
        "strength": "0.25 ± 0.002 mol/L",
        "used": "24,5 mL",
        "blank": "0.1 mL",
        "end_point": "pH meter",
        "end_point_pH": 3.9,
        "sample_label": "A",
    },
    "copper titration": TITRATION
    | {
        "method": "EDTA",
        "predilution": ["10 mL", "100 mL"],
        "strength": "18.6 g/L",
        "used": "16 ± 0.05 mL",
        "indicator": "murexide",
        "ammonia": "0.05 mol/L",
        "flask": "120 mL",
        "made_up_with": "100 mL graduated cylinder",
    },
    "hydrometer": {"value": "21.4 ± 0.1", "scale": "Baume", "temperature": "65 degF", "calibration": "0.1"},
    "weighed density": {"empty": "3.0 oz", "with_water": "184.7 g", "with_bath": "0.2010 kg", "temperature": "17 degC"},
    "plated-out copper": {"sample": "20 mL", "before": "12.00 g", "after": "13.01 g", "sample_label": "A"},
    "thinned conductivity": {
        "value": "560 ± 6 ppm",
        "factor": 0.5,
        "sample": "10 mL",
        "predilution": ["10 mL", "250 mL"],
        "thinned_to": "200 mL",
        "temperature": "19 degC",
        "compensation": "natural water",
        "water": "4 uS/cm",
        "standard": ["1413 uS/cm", "700 ppm"],
        "reference": ["215 ± 2 g/L", "55 g/L", "530 ppm"],
        "sample_with": "10 mL syringe",
        "predilution_with": "10 mL syringe",
        "made_up_with": "250 mL graduated cylinder",
        "thinned_to_with": "250 mL graduated cylinder",
        "sample_label": "A",
    },
    "thinned pH": {
        "value": "2.71 ± 0.05",
        "sample": "1 mL",
        "thinned_to": "500 mL",
        "temperature": "19 degC",
        "buffer": [4.01, 4.05],
        "second_buffer": [6.86, 6.88],
        "reference": ["215 ± 2 g/L", "55 g/L", 2.74],
    },
    "laboratory report": {
        "copper": "54.0 ± 1 g/L",
        "sulfuric_acid": "7.5 oz/gal",
        "chloride": "65 ppm",
        "iron": "800 mg/L",
        "zinc": "0.3 g/L",
        "nickel": "20 mg/L",
        "sodium": "1.1 g/L",
    },
    "cemented copper": {"sample": "10 mL", "diluted_to": "250 mL", "before": "12.00 g", "after": "12.52 g"},
    "chloride titration": TITRATION | {"strength": "0.01 mol/L", "used": "2 mL", "end_point": "turbidity"},
    "chloride strip": {"value": "35 mg/L", "dilution": 2.0},
    "chloride ladder": {"lower": "50 mg/L", "upper": "75 mg/L"},
    "make-up": {"crystals": "1 kg", "acid": "170 mL", "water": "4.5 L", "since": "evaporation only"},
    "previous check": {
        "copper_sulfate": "212 ± 6 g/L",
        "sulfuric_acid": "54 ± 2 g/L",
        "correlation": -0.5,
        "volume": "6 L",
    },
}


@pytest.fixture(params=FIELDS)
def reading(request, read):
    return read(request.param, **FIELDS[request.param])


def test_comes_back_from_a_sheet_the_same(reading, read):
    written = tomllib.loads(tomli_w.dumps(write_table(reading)))
    assert read(reading.kind, **written) == reading
    assert set(written) == set(FIELDS[reading.kind])


@pytest.mark.parametrize("shape", [(), (4,), (2, 3)])
def test_predicts_many_baths_at_once(reading, model, shape):
    found = model(reading)
    one = found.predict(State(200.0, 60.0, 1.0, 70.0, 0.5, 0.5, 0.5))
    many = found.predict(State(*(np.full(shape, value) for value in (200.0, 60.0, 1.0, 70.0, 0.5, 0.5, 0.5))))
    assert many.shape == (len(found.observed), *shape)
    assert many == pytest.approx(one.reshape(-1, *([1] * len(shape))) * np.ones(shape))


def test_predictions_are_finite_and_straight_a_little_below_zero(reading, model):
    predict = model(reading).predict
    steps = np.linspace(-20.0, 20.0, 9)
    for copper, acid in ((0.0, 60.0), (200.0, 10.0)):
        line = predict(State(copper + steps, acid + 0.3 * steps, steps / 20, steps, steps / 20, steps / 20, steps / 20))
        assert np.all(np.isfinite(line))
        # No kink: second differences are small beside the whole rise.
        assert np.all(np.abs(np.diff(line, 2)) < 0.1 * np.ptp(line, axis=1, keepdims=True) + 1e-9)


def test_never_falls_with_what_it_measures(reading, model):
    base = model(reading).predict(State(200.0, 60.0, 1.0, 70.0, *[0.5] * 5))
    more = model(reading).predict(State(210.0, 63.0, 1.0, 73.5, *[0.6] * 5))
    assert np.all(more < base if reading.kind == "thinned pH" else more > base)


def test_stated_uncertainties_are_finite_and_of_one_length(reading, model):
    found = model(reading)
    assert found.random.shape == found.observed.shape
    assert np.all(found.random > 0)
    assert np.all(np.isfinite(found.random))
    for effect in found.systematic.values():
        assert np.all(np.isfinite(np.broadcast_to(effect, found.observed.shape)))


def test_an_unknown_key_is_refused_with_the_nearest_known(reading, read):
    known = next(iter(fields_of(KINDS[reading.kind])))
    with pytest.raises(InputError, match=f"did you mean {known}") as refused:
        read(reading.kind, **FIELDS[reading.kind], **{f"{known}s": "1"})
    assert refused.value.place == f"reading 1: {known}s"


def test_nothing_given_names_what_is_needed(reading, refusal):
    needed = [name for name, field in fields_of(type(reading)).items() if field.required]
    assert refusal(reading.kind).place == (f"reading 1: {needed[0]}" if needed else "reading 1")


def test_every_word_on_screen_is_there(reading):
    assert reading.label
    for name, field in fields_of(type(reading)).items():
        assert field.label, name
        assert not field.label.endswith("."), name


OTHERS: dict[str, object] = {
    "sample": "9 mL", "diluted_to": "200 mL", "titrant": "sodium hydroxide", "strength": "0.3 mol/L", "used": "20 mL",
    "blank": "0.2 mL", "end_point": "methyl orange", "end_point_pH": 3.7, "method": "iodometric", "indicator": "PAN",
    "scale": "Twaddell", "temperature": "22 degC", "calibration": "0.2", "before": "11.9 g", "after": "13.1 g",
    "factor": 0.7, "thinned_to": "250 mL", "compensation": "none", "water": "6 uS/cm",
    "standard": ["1413 uS/cm", "720 ppm"], "reference": ["210 g/L", "50 g/L", "520 ppm"],
    "predilution": ["5 mL", "250 mL"], "note": "another day",
}  # fmt: skip


@pytest.mark.parametrize("kind", ["acid titration", "copper titration", "hydrometer", "plated-out copper", "thinned conductivity"])  # fmt: skip
def test_readings_that_are_called_alike_predict_the_same(kind, read, model):
    def as_changed(key: str) -> list[dict]:
        without = {name: value for name, value in FIELDS[kind].items() if name != key}
        return [without, without | {key: OTHERS[key]}] if key in OTHERS else [without]

    typed = [FIELDS[kind], *(changed for key in FIELDS[kind] for changed in as_changed(key))]
    models = []
    for fields in typed:
        with contextlib.suppress(InputError):  # some changes do not fit the rest
            models += [
                model(read(kind, **fields), **around) for around in ({}, {"additives": True}, {"temperature": 25.0})
            ]
    state = State(np.linspace(120.0, 260.0, 5), np.linspace(90.0, 30.0, 5), 3.0, iron=1.0)
    shown = {}
    for each in models:
        shown.setdefault(each.alike, []).append(each.predict(state).tolist())
    assert None not in shown
    assert all(same == found[0] for found in shown.values() for same in found)
    assert 1 < len(shown) < len(models)


def test_only_what_measured_chloride_tells_of_it(reading):
    of_chloride = {"chloride titration", "chloride strip", "chloride ladder", "laboratory report"}
    assert reading.tells_chloride() == (reading.kind in of_chloride)


def test_models_are_told_apart_unless_they_are_said_to_predict_alike():
    alike, unlike = (
        [Model(np.asarray, np.ones(1), np.ones(1), alike=alike) for _ in range(2)] for alike in ("a", None)
    )
    assert alike[0].shows == alike[1].shows
    assert unlike[0].shows != unlike[1].shows
