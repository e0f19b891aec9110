"""The page on which a bath is checked."""

import streamlit as st

st.title("Check your bath")
