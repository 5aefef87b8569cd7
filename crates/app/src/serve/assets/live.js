// @ts-check
// A page that shows the book is read again when the book has changed.

const shown = /** @type {HTMLElement | null} */ (document.querySelector("[data-live]"));
if (shown) follow(shown);

/** @param {HTMLElement} shown */
function follow(shown) {
  let known = "";
  const stream = new EventSource("/changes");
  stream.addEventListener("changed", async (event) => {
    if (known === event.data) return;
    const first = known === "";
    known = event.data;
    if (first) return;
    const page = await fetch(location.href);
    if (!page.ok) return;
    const fresh = new DOMParser().parseFromString(await page.text(), "text/html").getElementById(shown.id);
    if (fresh) shown.innerHTML = fresh.innerHTML;
  });
}
