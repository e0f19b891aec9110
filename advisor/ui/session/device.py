"""Whose visit this is, as far as it can be told: by it drafts and preferences are kept."""

from __future__ import annotations

import hashlib

import streamlit as st

ONLY_HERE = ("localhost", "127.0.0.1", "::1")  # addresses of a server that no other device reaches
_FORWARDED = ("Forwarded", "X-Forwarded-For", "X-Real-IP")


def device() -> str | None:
    """Return a name for who types here, fit for a file; None where that cannot be told from others."""
    headers = st.context.headers
    named = st.get_option("browser.serverAddress")  # given where a server in front has a name of its own
    if any(name in headers for name in _FORWARDED) or named not in (None, *ONLY_HERE):
        return None
    address = st.context.ip_address
    if address is None:
        return "this_computer"
    return hashlib.sha256(f"{address} {headers.get('User-Agent', '')}".encode()).hexdigest()[:32]
