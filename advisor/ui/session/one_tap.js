// The second tap of a double tap on a tile is not heard: it would take off what the first one chose. The browser judges
// it, by when the fingers came down: to the server a tap comes later the longer the page was being drawn.
{
  const DOUBLE = DOUBLE_CLICK_MS // filled in from `state.py`
  const SURE = 1000 // ms more within which a click is still of that tap (judgement)
  let before = null, at = 0, second = false
  const tile = target => {
    const tapped = target.closest?.('[class*="st-key-tiles_"] button')
    return tapped && `${tapped.closest('[class*="st-key-tiles_"]').className.match(/st-key-tiles_\S+/)} ${tapped.textContent}`
  }

  addEventListener("pointerdown", ({ target, timeStamp }) => {
    const tapped = tile(target)
    second = Boolean(tapped) && tapped === before && timeStamp - at < DOUBLE
    if (!second) [before, at] = [tapped, timeStamp]
  }, true)
  for (const act of ["pointerdown", "mousedown", "pointerup", "mouseup", "click"]) addEventListener(act, event => {
    const byKeyboard = act === "click" && event.detail === 0
    if (!second || byKeyboard || event.timeStamp - at > DOUBLE + SURE || tile(event.target) !== before) return
    event.preventDefault()
    event.stopImmediatePropagation()
  }, true)
}
