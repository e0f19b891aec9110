"""The page of the trade's words in plain language."""

import html

import streamlit as st

from advisor.ui.look.own_units import unparted
from advisor.words.glossary import GROUPS

st.title("Words", anchor=False)
st.write("What the words on these pages, on bottles and in books on plating mean.")
wanted = st.text_input("Find a word", key="glossary_wanted", width=320)
found = {title: [word for word in words if word.fits(wanted)] for title, words in GROUPS.items()}
for title, words in found.items():
    if words:
        st.header(title, anchor=False)
        rows = []
        for word in words:
            also = f" ({', '.join(word.also)})" if word.also else ""
            source = f" <small>After {word.source}.</small>" if word.source else ""
            rows.append(f"<dt><b>{html.escape(word.word)}</b>{html.escape(also)}</dt>")
            rows.append(f"<dd>{unparted(word.meaning)}{source}</dd>")
        st.html(f"<dl class='words'>{''.join(rows)}</dl>")
if not any(found.values()):
    st.write("No such word here. Try a part of it, such as 'acid'.")
st.caption("The words are our own. ASTM B374 is the standard terminology of electroplating, read in part.")
