// @ts-check
// A hold point is sent until the program has answered: what was pressed is never lost, and never written twice, because
// each form names the last event that its page knew.

import { follow } from "./changes.js";

const WAITS = [500, 1000, 2000, 4000];

/** What is on the page now. */
const place = /** @type {HTMLElement} */ (document.querySelector("#raise"));
let sending = false;

/** @param {number} ms */
const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

/** @param {string} words */
function say(words) {
  let line = document.querySelector("#line");
  if (!line) {
    line = document.createElement("p");
    line.id = "line";
    line.className = "moved";
    line.setAttribute("role", "status");
    place.prepend(line);
  }
  line.textContent = words;
}

/** Where the raise is asked for; a form's own address takes no reading. */
const at = place.dataset.at ?? location.pathname;

/**
 * @param {Response} answer
 * @param {boolean} own Whether somebody pressed a button here; else the book changed, and what was last said here stays.
 */
async function show(answer, own) {
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const fresh = page.querySelector("#raise");
  if (!fresh) {
    if (!own || !answer.redirected) return location.assign(at);
    say("Nobody is signed in here any more, so nothing was confirmed. Sign in again, then look where the raise stands.");
    const link = document.createElement("a");
    link.href = answer.url;
    link.className = "button big main";
    link.textContent = "Sign in";
    document.querySelector("#line")?.append(" ", link);
    return;
  }
  const said = own ? null : place.querySelector(":scope > .told");
  if (said) fresh.prepend(said.cloneNode(true));
  // What did not change stays: a button is not taken from under a finger.
  if (fresh.isEqualNode(place)) return;
  place.innerHTML = fresh.innerHTML;
  if (own) window.scrollTo({ top: 0 });
}

/** @param {HTMLFormElement} form */
async function send(form) {
  const body = new URLSearchParams();
  for (const [name, value] of new FormData(form)) body.append(name, String(value));
  for (const button of place.querySelectorAll("button")) button.disabled = true;
  for (let tries = 0; ; tries += 1) {
    try {
      const answer = await fetch(form.action, { method: "POST", body, signal: AbortSignal.timeout(8000) });
      await show(answer, true);
      return;
    } catch {
      say("No connection. Nothing is confirmed yet; it is sent again until the program answers. Do not go on.");
      await pause(WAITS[Math.min(tries, WAITS.length - 1)] ?? 4000);
    }
  }
}

place.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!(form instanceof HTMLFormElement) || !("once" in form.dataset)) return;
  event.preventDefault();
  if (sending) return;
  sending = true;
  await send(form);
  sending = false;
});

async function changed() {
  if (sending || place.contains(document.activeElement) && document.activeElement?.matches("input, textarea, select")) return;
  try {
    await show(await fetch(at), false);
  } catch {
    say("No connection: this is the last that was known.");
  }
}

follow(changed, {
  lost: () => say("No connection: this is the last that was known. Do not go on by it."),
  back: () => {
    if (!sending) document.querySelector("#line")?.remove();
  },
});
