"""The first page: how each bath of the record is and what is due, and one tap to what people come for."""

import streamlit as st

from advisor.basis.fields import InputError
from advisor.record.logbook import Logbook, LogbookError
from advisor.ui.look import own_units
from advisor.ui.parts import home_parts

home_parts.go_on_to_an_example()
st.title("Your copper bath", anchor=False)
st.write("What brings you here?")
home_parts.ways_in()
count = 0
try:
    count = home_parts.baths(Logbook())
except (LogbookError, InputError) as error:
    st.error(str(error))
home_parts.how_to_begin(first_visit=count == 0)
own_units.choose()
