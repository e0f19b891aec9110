"""Finds a field's widget on a page under test: its key ends in how often the fields have begun anew."""

import re


def has_sheet_field(widgets, name):
    return any(re.fullmatch(rf"{name}(_\d+)?", widget.key or "") for widget in widgets)


def sheet_field(widgets, name):
    """Return the widget of a name such as "sheet_bath_volume" among `app.text_input` or the like."""
    (found,) = [widget for widget in widgets if re.fullmatch(rf"{name}(_\d+)?", widget.key or "")]
    return found
