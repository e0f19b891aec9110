"""The keeper's month: what is due, what was given and plated, and forms to write down whatever was done."""

import datetime

import streamlit as st

from advisor.basis.fields import InputError
from advisor.basis.places import PAGES
from advisor.record.logbook import Logbook, LogbookError
from advisor.record.upkeep import upkeep_of
from advisor.ui.fields import plain
from advisor.ui.parts import due, focus, several_parts, upkeep_parts
from advisor.words.names import shown_name

st.title("Upkeep", anchor=False)
logbook = Logbook()
try:
    baths = logbook.baths()
    if baths:
        bath = st.selectbox("Bath", baths, format_func=shown_name, key=due.BATH)
        now = datetime.datetime.now(datetime.UTC)
        upkeep = upkeep_of(logbook, bath, now)
        st.header("What is due", anchor=False)
        due.listed(logbook, bath, upkeep, now)
        due.calendar(bath, upkeep.tasks, now)
        st.header("Write down what you did", anchor=False)
        upkeep_parts.write_down(logbook, bath, upkeep.doses)
        st.header("Additives", anchor=False)
        upkeep_parts.additives(upkeep)
        st.header("Runs and anodes", anchor=False)
        upkeep_parts.runs_and_anodes(upkeep)
        st.header("What you wrote down last", anchor=False)
        upkeep_parts.newest(logbook, upkeep.entries)
        st.header("Several baths", anchor=False)
        several_parts.folded(logbook, bath, baths, now)
    else:
        st.write("Nothing is recorded yet. Check a bath that has a name, and save the check from its page.")
        st.page_link(PAGES / "check.py", label="Check a bath →")
except (LogbookError, InputError) as error:
    st.error(plain(str(error)))
focus.go()
