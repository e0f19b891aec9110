// A photograph with its jars marked. A tap where no mark is asks for a jar there, a tap on a mark takes it away, and the
// arrow keys move the mark that is in focus. What is a jar is kept on the other side: every act says where it was done.
const STEP = 0.01, DOUBLE_TAP = 400 // share of the picture an arrow key moves by; ms in which a second tap is none

export default function ({ data, parentElement, setTriggerValue }) {
  const frame = parentElement.querySelector(".jars"), picture = frame.querySelector("img")
  const marks = frame.querySelector(".marks")
  if (picture.getAttribute("src") !== data.picture) picture.src = data.picture
  picture.alt = data.words
  const inFocus = parentElement.activeElement ?? document.activeElement
  const kept = inFocus?.dataset?.jar

  const act = (kind, x, y, more = {}) => {
    const now = performance.now()
    if (kind !== "move" && now - (frame.lastTap ?? -DOUBLE_TAP) < DOUBLE_TAP) return
    if (kind !== "move") frame.lastTap = now
    setTriggerValue("act", { kind, x, y, ...more })
  }
  picture.onclick = (tap) => {
    const box = picture.getBoundingClientRect()
    act("tap", (tap.clientX - box.left) / box.width, (tap.clientY - box.top) / box.height)
  }
  marks.replaceChildren(...data.whites.map(place), ...data.jars.map(button))
  marks.querySelector(`[data-jar="${kept}"]`)?.focus()

  function place({ x0, y0, x1, y1 }, kind) {
    const mark = document.createElement(kind === "button" ? "button" : "i")
    mark.style.cssText = `left:${100 * x0}%;top:${100 * y0}%;width:${100 * (x1 - x0)}%;height:${100 * (y1 - y0)}%`
    return mark
  }

  function button(jar) {
    const mark = place(jar, "button"), x = (jar.x0 + jar.x1) / 2, y = (jar.y0 + jar.y1) / 2
    const shown = document.createElement("span")
    shown.textContent = jar.sure ? jar.name : `${jar.name} ?`
    mark.type = "button"
    mark.dataset.jar = jar.id
    mark.classList.toggle("unsure", !jar.sure)
    mark.setAttribute("aria-label", jar.words)
    mark.append(shown)
    mark.onclick = () => act("drop", x, y)
    mark.onkeydown = (key) => {
      const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[key.key]
      if (!way) return
      key.preventDefault()
      act("move", x, y, { dx: STEP * way[0], dy: STEP * way[1] })
    }
    return mark
  }
}
