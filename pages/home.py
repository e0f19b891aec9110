"""The first page: how each bath of the record is and what is due, and one tap to what people come for."""

import streamlit as st

from advisor.basis.fields import InputError
from advisor.record.logbook import Logbook, LogbookError
from advisor.ui.look import style
from advisor.ui.parts import home_parts

home_parts.go_on_to_an_example()
logbook, recorded, trouble = Logbook(), False, ""
try:
    recorded = bool(logbook.baths())
except LogbookError as error:
    trouble = str(error)
style.first_title("Your baths" if recorded else "Your copper bath")
try:
    home_parts.baths(logbook)
except (LogbookError, InputError) as error:
    trouble = trouble or str(error)
if trouble:
    st.error(trouble)
if not recorded:
    home_parts.how_to_begin(first_visit=True)
st.header("What brings you here?", anchor=False)
home_parts.ways_in()
if recorded:
    home_parts.how_to_begin(first_visit=False)
home_parts.examples()
