// @ts-check
// What every page does where scripts run.

import { follow, madeFrom, read } from "./changes.js";

document.documentElement.classList.add("scripted");

/** What shows the book, each part by its name: read again when the book has changed. */
const parts = () => /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-live][id]"));
if (parts().length) follow(readAgain);

/** So long a form is not sent again by itself; the program writes it once however often it is sent. */
const SENT = 10000;
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented || !(form instanceof HTMLFormElement) || form.method !== "post") return;
  if ("sent" in form.dataset) return event.preventDefault();
  const free = () => {
    delete form.dataset.sent;
    form.removeAttribute("aria-busy");
  };
  form.dataset.sent = "";
  form.setAttribute("aria-busy", "true");
  setTimeout(free, SENT);
  // Back on the page, it can be sent again.
  window.addEventListener("pageshow", free, { once: true });
});

async function readAgain() {
  const { answer, page } = await read(location.href);
  // Whoever was here is signed out: the way back leads through their PIN.
  if (answer.redirected) location.reload();
  for (const shown of parts()) {
    const fresh = page.getElementById(shown.id);
    // What did not change stays: nothing is taken from under a finger.
    if (fresh && !fresh.isEqualNode(shown)) shown.innerHTML = fresh.innerHTML;
  }
  document.dispatchEvent(new Event("read-again"));
  return madeFrom(page);
}
