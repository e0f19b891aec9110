// What a tap on a link does besides the browser's own.
// A link to a page of the app (`a.page`) turns the page as back and forward do: a new visit would begin with nothing.
// And a link waits until the field that was just left has been read: a field is sent when it is left, and a tap on a link
// leaves it and asks for another page in the same moment. Streamlit joins two requests that come so close, and of the
// first one only buttons survive; or it sends the field after the link, and the page comes back.
// The script stands in the page itself, so that no field is there before it.
{
  const LONGEST = 5000 // ms that a link waits; beyond, the server does not answer anyway (judgement)
  const CALM = 200 // ms without a run after one that may have begun before the field was sent (judgement)
  const FIELD = '[data-testid="stTextInput"], [data-testid="stTextArea"]', FORM = '[data-testid="stForm"]'
  let typed = null, sent = false, ran = false, calm = 0, timer = 0, limit = 0, waits = null, passing = false

  const app = () => document.querySelector('[data-testid="stApp"]')
  const isRunning = () => app().dataset.testScriptState !== "notRunning"
  const isSent = part => part.closest?.(FIELD) && !part.closest(FORM) // a form sends its fields with its button

  const runs = new MutationObserver(follow)
  function follow() {
    clearTimeout(timer)
    if (isRunning()) ran = true
    else if (ran) timer = setTimeout(read, calm)
  }

  function send(field) {
    if (typed !== field) return
    typed = null
    sent = true
    calm = isRunning() ? CALM : 0
    ran = isRunning()
    runs.observe(app(), { attributeFilter: ["data-test-script-state"] })
  }

  function read() {
    sent = false
    clearTimeout(limit)
    runs.disconnect()
    if (waits) go(waits)
  }

  function go(link) {
    waits = null
    if (link.matches("a.page")) return turn(link)
    // The answer may have drawn the link anew, and the tapped one is then no part of the page.
    const links = [link, ...document.querySelectorAll("a[href]")]
    const drawn = links.find(one => one.isConnected && one.href === link.href)
    passing = true
    if (drawn) drawn.click()
    else location.assign(link.href)
    passing = false
  }

  function turn(link) {
    history[link.href === location.href ? "replaceState" : "pushState"]({}, "", link.href)
    dispatchEvent(new PopStateEvent("popstate"))
    focusDrawnAnew(link, 50)
  }

  // The links are drawn anew for the page that comes, which takes the focus from the one that a keyboard had.
  function focusDrawnAnew(link, tries) {
    const drawn = [...document.querySelectorAll("a.page[aria-current]")].find(one => one.href === link.href && one.offsetParent)
    if (!link.isConnected && drawn && document.activeElement === document.body) drawn.focus({ preventScroll: true })
    else if (tries && [link, document.body].includes(document.activeElement)) setTimeout(focusDrawnAnew, 100, link, tries - 1)
  }

  addEventListener("input", ({ target }) => { if (isSent(target)) typed = target }, true)
  addEventListener("focusout", ({ target }) => send(target), true)
  addEventListener("keydown", ({ target, key }) => { if (key === "Enter") send(target) }, true)
  addEventListener("click", event => {
    const link = event.target.closest?.("a[href]")
    const isElsewhere = !link || link.target === "_blank" || link.getAttribute("href").startsWith("#")
    if (isElsewhere || passing || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return
    const field = document.activeElement // of a tap that did not move the focus
    if (field === typed) field?.blur()
    if (!sent && !link.matches("a.page")) return
    event.preventDefault()
    event.stopImmediatePropagation()
    if (!sent) return turn(link)
    if (!waits) limit = setTimeout(read, LONGEST)
    waits = link
  }, true)
}
