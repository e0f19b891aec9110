"""The JSON that `check --json` and `history --json` print, as JSON Schemas (draft 2020-12) for other programs.

That of an entry is made from the fields of the kinds, so that it cannot fall behind them. An answer to a check may gain
keys: what stands here stays. Nothing here checks a document; that is a validator's work.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from advisor.basis.components import COMPONENTS, KEYS
from advisor.basis.fields import ChoiceField, QuantityField, fields_of
from advisor.record.done_steps import STEP_AMOUNTS
from advisor.record.due import Upkeep
from advisor.record.entries import CONTENTS, Check, Content, Withdrawn
from advisor.record.entry_text import named_with_unit

DRAFT = "https://json-schema.org/draft/2020-12/schema"
Schema = dict[str, Any]

NUMBER: Schema = {"type": "number"}
WORDS: Schema = {"type": "string"}
WHOLE: Schema = {"type": "integer"}
TRUTH: Schema = {"type": "boolean"}
SHARE: Schema = {"type": "number", "minimum": 0, "maximum": 1}  # exact
MOMENT: Schema = {"type": "string", "format": "date-time"}
LINES: Schema = {"type": "array", "items": WORDS}
STATES = ("in", "low", "high", "unsure", "not measured")


def schemas() -> dict[str, Schema]:
    """Return each schema by the command whose JSON it describes."""
    return {
        "check": {"$schema": DRAFT, "title": "advisor check --json", **_advice()},
        "history": {"$schema": DRAFT, "title": "advisor history --json", **_history()},
    }


def _object(properties: Mapping[str, Schema], optional: Sequence[str] = (), more: bool = False) -> Schema:
    """Return the schema of an object: all properties must be there but the optional ones; more: others may be too."""
    needed = [name for name in properties if name not in optional]
    return {"type": "object", "properties": dict(properties), "required": needed, "additionalProperties": more}


def _list(items: Schema) -> Schema:
    return {"type": "array", "items": items}


def _or_null(schema: Schema) -> Schema:
    return {"anyOf": [schema, {"type": "null"}]}


def _value(may_be_plain: bool = False) -> Schema:
    """Return the schema of a value with its standard uncertainty; may_be_plain: nobody need have typed a ±."""
    doubt: Schema = {"type": "number", "minimum": 0}
    return _object({"value": NUMBER, "standard_uncertainty": _or_null(doubt) if may_be_plain else doubt})


# --- A check --------------------------------------------------------------------------------------


def _advice() -> Schema:
    agreement = {
        "chi_squared": _or_null(NUMBER),
        "degrees_of_freedom": NUMBER,
        "p_value": _or_null(SHARE),
        "odd_one_out": _or_null(WORDS),
    }
    estimate = {
        **{KEYS[name]: _or_null(_value()) for name in COMPONENTS},
        "volume_L": {"type": "number", "exclusiveMinimum": 0},
        "correlation": _or_null({"type": "number", "minimum": -1, "maximum": 1}),
        "determined": _list({"enum": list(COMPONENTS)}),
        "agreement": _object(agreement, more=True),
    }
    after = {"volume_L": NUMBER, **{KEYS[name]: _or_null(NUMBER) for name in COMPONENTS}}
    correction = {
        "state": WORDS,
        "steps": _list(_step()),
        "after": _object(after, more=True),
        "probability_in": _or_null(SHARE),
        "cost": _or_null(NUMBER),
        "waste_L": NUMBER,
        "blocked_by": _or_null(WORDS),
        "keep_above_degC": _or_null(NUMBER),
    }
    verdict = {**{name: _verdict() for name in COMPONENTS}, "crystallises_below_degC": _or_null(NUMBER)}
    reading = {"kind": _or_null(WORDS), "question": _or_null(WORDS), "why": WORDS, "gain": _or_null(NUMBER)}
    salts = {"value": NUMBER, "standard_uncertainty": NUMBER, "reads_as_copper_sulfate_g_L": NUMBER}
    return _object(
        {
            "estimate": _object(estimate, more=True),
            "verdict": _object(verdict, more=True),
            "correction": _object(correction, more=True),
            "next_reading": _list(_object(reading, more=True)),
            "foreign_salts_g_L": _or_null(_object(salts, more=True)),
            "warnings": LINES,
            "cautions": LINES,
            "from_the_logbook": _object({"check": _or_null(WHOLE), "corrected_on": _or_null(WORDS), "said": LINES}),
        },
        optional=("from_the_logbook",),
        more=True,
    )


def _verdict() -> Schema:
    limits: Schema = {"type": "array", "items": NUMBER, "minItems": 2, "maxItems": 2}
    chances = {f"probability_{side}": _or_null(SHARE) for side in ("low", "in", "high")}
    return _object({"state": {"enum": list(STATES)}, **chances, "limits": _or_null(limits)}, more=True)


def _step() -> Schema:
    amounts = {"volume_L", "volume_mL", "mass_g", "strength_mass_fraction", "purity_mass_fraction"}
    known = {"do": {"enum": ["take out", "add"]}, "what": {"enum": list(STEP_AMOUNTS)}}
    return _object(known | dict.fromkeys(sorted(amounts), NUMBER), optional=sorted(amounts), more=True)


# --- A history ------------------------------------------------------------------------------------


def _history() -> Schema:
    kinds = [_check_entry(), *(_entry(table) for table in CONTENTS.values() if table is not Withdrawn)]
    task = {"task": {"enum": list(Upkeep)}, "what": WORDS, "when": WORDS, "is_due": TRUTH, "rule": WORDS}
    feed = {"from": MOMENT, "to": MOMENT, "dissolved_g": _value(), "deposited_g": _value(), "net_copper_g": _value()}
    return _object(
        {
            "bath": WORDS,
            "entries": _list({"oneOf": kinds}),
            "cannot_be_read": _list(_object({"id": WHOLE, "matter": WORDS})),
            "due": _list(_object(task)),
            "doses": _list(_dose()),
            "anodes": _list(_object(feed)),
        }
    )


def _head(kind: str) -> dict[str, Schema]:
    """Return what every entry has."""
    head = {"id": WHOLE, "when": MOMENT, "kind": {"const": kind}, "said": WORDS, "content": WORDS, "program": WORDS}
    return head | {"corrects": _or_null(WHOLE), "bath": WORDS}


def _check_entry() -> Schema:
    rest = {"advice": {"type": "object"}, "values": _object({}), "run": {"type": "null"}}
    return _object(_head(Check.kind) | rest, optional=["bath"])


def _entry(table: type[Content]) -> Schema:
    values: dict[str, Schema] = {}
    for name, field in fields_of(table).items():
        if isinstance(field, QuantityField):
            values[named_with_unit(name, field)] = _value(may_be_plain=True)
        else:
            values[name] = {"enum": list(field.choices)} if isinstance(field, ChoiceField) else WORDS
    run = {"copper_g": _value(), **{name: _or_null(_value()) for name in ("gained_g", "thickness_um", "efficiency")}}
    rest = {
        "advice": {"type": "null"},
        "values": _object(values, optional=list(values)),
        "run": _object(run) if table.kind == "plating run" else {"type": "null"},
    }
    return _object(_head(table.kind) | rest, optional=["bath"])


def _dose() -> Schema:
    given = {"when": MOMENT, "allowed_mL": _value(), "given_mL": _value(), "too_much": TRUTH}
    known = {
        "additive": WORDS,
        "due_mL": _value(),
        "is_due": TRUTH,
        "since": MOMENT,
        "ampere_hours": _value(),
        "days": NUMBER,
        "fresh_bath_L": _or_null(_value()),
        "surplus_mL": NUMBER,
        "doses": _list(_object(given)),
    }
    return _object(known)
