// @ts-check
// What every page does where scripts run.

import { follow } from "./changes.js";

document.documentElement.classList.add("scripted");

/** What shows the book, each part by its name: read again when the book has changed. */
const parts = () => /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-live][id]"));
if (parts().length) follow(readAgain);

async function readAgain() {
  const page = await fetch(location.href);
  if (!page.ok) return;
  const read = new DOMParser().parseFromString(await page.text(), "text/html");
  for (const shown of parts()) {
    const fresh = read.getElementById(shown.id);
    // What did not change stays: nothing is taken from under a finger.
    if (fresh && !fresh.isEqualNode(shown)) shown.innerHTML = fresh.innerHTML;
  }
}
