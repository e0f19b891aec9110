"""The record of a bath: its time line, where the losses go, every entry, and ways in and out of the logbook."""

import streamlit as st

from advisor.basis.fields import InputError
from advisor.basis.places import PAGES
from advisor.record.at_hand import at_hand
from advisor.record.logbook import Logbook, LogbookError
from advisor.ui.fields import plain
from advisor.ui.parts import answers, record_parts
from advisor.words.names import shown_name, warned_of

st.title("Logbook", anchor=False)
logbook = Logbook()
try:
    baths = logbook.baths()
    if baths:
        bath = st.selectbox("Bath", baths, format_func=shown_name, key="logbook_bath")
        for warning in warned_of(baths):
            st.caption(plain(warning))
        known = at_hand(logbook, bath)
        record_parts.cannot_be_read(logbook, known.left_out)
        if known.entries:
            with st.container(key="logbook_answer"):
                record_parts.trend_of(known)
                record_parts.last_advice(known)
            answers.let_through()
            record_parts.charts(known, logbook)
            record_parts.where_the_losses_go(known)
        record_parts.add_entry(logbook, bath)
        record_parts.table(logbook, bath)
    else:
        st.write("Nothing is recorded yet. Check a bath that has a name, and save the check from its page.")
        st.page_link(PAGES / "check.py", label="Check a bath →")
    record_parts.files(logbook)
except (LogbookError, InputError) as error:
    st.error(plain(str(error)))
