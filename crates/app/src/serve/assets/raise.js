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

/** A new point's Confirm lies where the last one was: it is inert for so long, and while a finger that was down then is. */
const REST = 1000;
/** @type {Set<number>} */
const fingers = new Set();
let restsUntil = 0;
let resting = false;

/** What its Confirm would send. @param {Element} at */
const sends = (at) => {
  const form = at.querySelector("form.confirm");
  const hidden = [...form?.querySelectorAll("input[type=hidden]") ?? []].map((field) => field.getAttribute("value"));
  return [form?.getAttribute("action"), ...hidden].join(" ");
};

/** Marks Confirm as inert, or as ready. @param {Element} at */
function mark(at) {
  for (const button of at.querySelectorAll("form.confirm button")) {
    if (resting) button.setAttribute("aria-disabled", "true");
    else button.removeAttribute("aria-disabled");
  }
}

/** Ready once the time is over and no finger is down. */
function wake() {
  if (!resting || fingers.size > 0 || performance.now() < restsUntil) return;
  resting = false;
  mark(place);
}

/** @param {Element} at */
function rest(at) {
  resting = true;
  restsUntil = performance.now() + REST;
  setTimeout(wake, REST + 5);
  mark(at);
}

window.addEventListener("pointerdown", (event) => {
  if (event.isPrimary) fingers.clear();
  fingers.add(event.pointerId);
}, true);
for (const lifted of /** @type {const} */ (["pointerup", "pointercancel"])) {
  window.addEventListener(lifted, (event) => {
    fingers.delete(event.pointerId);
    // The click of that finger comes first.
    setTimeout(wake);
  }, true);
}
// What led here may have been pressed where Confirm is now.
rest(place);

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
  if (sends(fresh) !== sends(place)) rest(fresh);
  else mark(fresh);
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
  if (sending || (resting && form.matches(".confirm"))) return;
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
