// Puts a menu of units into each field that is named, and asks a phone for its decimal keypad there. It only adds to what
// Streamlit drew: where a field is not found, nothing happens. A unit that is chosen is told to the other side.
const LETTERS = "± or other…"

export default function ({ data, setTriggerValue }) {
  const waiting = { frame: 0 }

  function dress(key, { label, units, unit }) {
    const field = document.querySelector(`.st-key-${CSS.escape(key)}`)
    const root = field?.querySelector('[data-testid="stTextInputRootElement"]'), input = root?.querySelector("input")
    if (!input) return
    let menu = field.querySelector("select.unit-menu")
    if (!menu) {
      menu = document.createElement("select")
      menu.className = "unit-menu"
      field.append(menu) // beside what one types in: going on to a part of that does not count as leaving it
      field.classList.add("with-unit-menu")
      input.inputMode = "decimal"
    }
    const told = JSON.stringify([label, units, unit])
    if (menu.dataset.told !== told) {
      menu.dataset.told = told
      menu.setAttribute("aria-label", `Unit of ${label}`)
      menu.replaceChildren(...(unit ? [] : [new Option("unit", "")]), ...units.map((name) => new Option(name, name)), new Option(LETTERS, LETTERS))
      menu.value = unit
    }
    menu.onchange = () => {
      if (menu.value === LETTERS) { // letters and ± are typed on the whole keypad
        menu.value = unit
        input.inputMode = "text"
        input.focus()
      } else if (menu.value) setTriggerValue("unit", { key, unit: menu.value, text: input.value })
    }
  }
  const dressAll = () => { waiting.frame = 0; Object.entries(data.menus).forEach(([key, menu]) => dress(key, menu)) }
  const later = () => { waiting.frame ||= requestAnimationFrame(dressAll) }
  dressAll()
  const observer = new MutationObserver(later)
  observer.observe(document.body, { childList: true, subtree: true })
  return () => { observer.disconnect(); cancelAnimationFrame(waiting.frame) }
}
