"""Keeps what stands in a field while a link is tapped: the link waits until the field has been read.

A field is sent when it is left, and a tap on a link leaves it and asks for another page in the same moment. Streamlit
joins two requests that come so close, and of the first one only buttons survive.
"""

from __future__ import annotations

import streamlit as st

LONGEST = 5000  # ms that a link waits; beyond, the server does not answer anyway (judgement)
_JS = """export default ({ data }) => {
  const once = document.documentElement.dataset
  if (once.keepsTyped) return
  once.keepsTyped = "yes"
  const now = document.activeElement // what was typed before this script was there counts too
  let typed = now?.matches("input, textarea") ? now : null, sent = 0, passing = false
  const state = () => document.querySelector('[data-testid="stApp"]')?.dataset.testScriptState
  addEventListener("input", event => { typed = event.target }, true)
  addEventListener("focusout", event => {
    if (event.target === typed) { typed = null; sent = performance.now() }
  }, true)
  addEventListener("click", event => {
    const link = event.target.closest?.("a[href]")
    if (!link || passing || link.target === "_blank" || link.getAttribute("href").startsWith("#")) return
    if (typed && typed === document.activeElement) typed.blur()
    if (!sent || performance.now() - sent > 1000) return
    event.preventDefault()
    event.stopImmediatePropagation()
    const begin = performance.now()
    let ran = false
    const look = () => {
      const running = state() !== "notRunning", waited = performance.now() - begin
      ran = ran || running
      if ((running || (!ran && waited < 400)) && waited < data.longest) return setTimeout(look, 20)
      sent = 0
      passing = true
      // The answer may have drawn the link anew, and the tapped one is then no part of the page.
      const links = [link, ...document.querySelectorAll("a[href]")]
      const drawn = links.find(one => one.isConnected && one.href === link.href)
      if (drawn) drawn.click()
      else location.assign(link.href)
      passing = false
    }
    look()
  }, true)
}"""
_mount = st.components.v2.component("keep_what_is_typed", html="<span></span>", js=_JS)


def watch() -> None:
    """Watch over the fields of the page; once for all pages."""
    with st.container(key="keep_typed"):
        _mount(key="keep_typed_watch", data={"longest": LONGEST})
