// The second tap of a double tap on a tile is not heard: it would take off what the first one chose. The browser judges
// it, by when the fingers came down: to the server a tap comes later the longer the page was being drawn.
{
  const DOUBLE = 600 // ms, as `DOUBLE_CLICK` of `state.py`
  let before = null, at = 0, second = false
  const tile = target => target.closest?.('[class*="st-key-tiles_"] button')?.textContent

  addEventListener("pointerdown", ({ target, timeStamp }) => {
    const tapped = tile(target)
    second = Boolean(tapped) && tapped === before && timeStamp - at < DOUBLE
    if (!second) [before, at] = [tapped, timeStamp]
  }, true)
  for (const act of ["pointerdown", "mousedown", "pointerup", "mouseup", "click"]) addEventListener(act, event => {
    const byKeyboard = act === "click" && event.detail === 0
    if (!second || byKeyboard || tile(event.target) !== before) return
    event.preventDefault()
    event.stopImmediatePropagation()
  }, true)
}
