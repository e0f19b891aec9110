// A tab that is loaded anew goes on with what was typed in it. To the server it is a new visit: which draft was this
// tab's, a cookie tells it that lasts as long as a connection takes. A new visit begins with nothing.
{
  const NAME = "COOKIE_OF_A_RELOAD", SECONDS = 60 // until a slow server has connected (judgement)
  if (performance.getEntriesByType("navigation")[0]?.type !== "reload") sessionStorage.removeItem(NAME)
  const left = sessionStorage.getItem(NAME) || ""
  document.cookie = `${NAME}=${left}; path=/; SameSite=Strict; max-age=${left ? SECONDS : 0}`
  for (const act of ["visibilitychange", "pagehide"]) addEventListener(act, () => {
    const mark = document.querySelector(".st-key-draft_mark input") // not there before the page is drawn
    if (mark) sessionStorage.setItem(NAME, mark.value)
  })
}
