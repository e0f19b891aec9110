// Streamlit names a box or a field for a screen reader by its label as it is written, with the marks of Markdown in it:
// those are for the eye, and are taken out of the name.
{
  const MARKED = '[aria-label*="\\\\"], [aria-label*="**"]'
  const plain = text => text.replace(/\*\*|\\(?=[!-/:-@[-`{-~])/g, "")
  let waits = 0
  const mend = () => {
    waits = 0
    for (const part of document.querySelectorAll(MARKED)) {
      const name = plain(part.ariaLabel)
      if (name !== part.ariaLabel) part.ariaLabel = name // what is set anew is looked at anew
    }
  }
  new MutationObserver(() => { waits ||= requestAnimationFrame(mend) })
    .observe(document, { childList: true, subtree: true, attributeFilter: ["aria-label"] })
}
