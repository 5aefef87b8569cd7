// @ts-check
// What every page does where scripts run.

document.documentElement.classList.add("scripted");

/** What shows the book, each part by its name: read again when the book has changed. */
const parts = () => /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-live][id]"));
if (parts().length) follow();

function follow() {
  let known = "";
  const stream = new EventSource("/changes");
  stream.addEventListener("changed", async (event) => {
    if (known === event.data) return;
    const first = known === "";
    known = event.data;
    if (first) return;
    const page = await fetch(location.href);
    if (!page.ok) return;
    const read = new DOMParser().parseFromString(await page.text(), "text/html");
    for (const shown of parts()) {
      const fresh = read.getElementById(shown.id);
      // What did not change stays: nothing is taken from under a finger.
      if (fresh && !fresh.isEqualNode(shown)) shown.innerHTML = fresh.innerHTML;
    }
  });
}
