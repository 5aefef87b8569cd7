// @ts-check
// A hold point is sent until the program has answered: what was pressed is never lost, and never written twice, because
// each form names the last event that its page knew.

import { follow, madeFrom, pause, read } from "./changes.js";

const WAITS = [500, 1000, 2000, 4000];

/** What is on the page now. */
const place = /** @type {HTMLElement} */ (document.querySelector("#raise"));
let sending = false;
/** So many forms were sent. */
let posts = 0;

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

/** Where the raise is now, while somebody fills in a form of where it was. @type {Element | null} */
let ahead = null;

/** Marks Confirm as inert, or as ready. @param {Element} at */
function mark(at) {
  for (const button of at.querySelectorAll("form.confirm button")) {
    if (resting || ahead) button.setAttribute("aria-disabled", "true");
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
    setTimeout(catchUp);
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

/** What a person fills in, beside Confirm. */
const FIELDS = "input:not([type=hidden]), textarea, select";
/** @typedef {HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement} Field */
/** @param {Element} at @returns {Field[]} */
const fields = (at) => [.../** @type {NodeListOf<Field>} */ (at.querySelectorAll(FIELDS))];
/** Who stands beside a learner is asked for outside of the form. @param {HTMLFormElement} form */
const fieldsOf = (form) => /** @type {Field[]} */ ([...form.elements].filter((one) => one.matches(FIELDS)));
/** By somebody here; what was refused comes back as it was filled in. @param {Field} field */
const isFilled = (field) => {
  if (field instanceof HTMLSelectElement) return field.value !== "";
  const back = field.form !== null && "back" in field.form.dataset;
  if (field instanceof HTMLInputElement && field.type === "radio") return field.checked && (back || !field.defaultChecked);
  return field.value !== (back ? "" : field.defaultValue);
};

/** Whether somebody is at a form now: it is not taken from under them. */
function isAtAForm() {
  const focused = document.activeElement;
  const form = focused && "form" in focused ? focused.form : null;
  if (!focused || !(form instanceof HTMLFormElement) || !place.contains(form)) return false;
  return focused.matches(FIELDS) || fieldsOf(form).some(isFilled);
}

/**
 * What was filled in stays, in the form of the same address; nothing of a point that was passed.
 * @param {Element} fresh
 * @param {HTMLFormElement} [sent] What was sent is done with, or comes back by itself.
 */
function keepTyped(fresh, sent) {
  for (const form of place.querySelectorAll("form")) {
    if (form === sent) continue;
    const action = form.getAttribute("action");
    const same = [...fresh.querySelectorAll("form")].find((one) => one.getAttribute("action") === action);
    if (!same || (form.matches(".confirm") && sends(fresh) !== sends(place))) continue;
    for (const field of fieldsOf(form).filter(isFilled)) {
      const into = fields(fresh).filter((one) => one.form === same).find((one) => one.name === field.name && (one.type !== "radio" || one.value === field.value));
      if (!into) continue;
      if (into instanceof HTMLInputElement && field instanceof HTMLInputElement && into.type === "radio") into.checked = field.checked;
      else into.value = field.value;
      into.closest("details")?.setAttribute("open", "");
    }
  }
}

/** @param {Element} fresh */
function put(fresh) {
  ahead = null;
  if (sends(fresh) !== sends(place)) rest(fresh);
  else mark(fresh);
  keepTyped(fresh);
  const wasAtHeading = document.activeElement?.matches("#raise h1");
  place.replaceChildren(...fresh.childNodes);
  if (wasAtHeading) toHeading();
}

/** Where whoever uses keys, or hears the page, goes on. */
function toHeading() {
  const heading = /** @type {HTMLElement | null} */ (place.querySelector("h1"));
  if (!heading) return;
  if (!heading.hasAttribute("tabindex")) heading.tabIndex = -1;
  heading.focus({ preventScroll: true });
}

/** The raise went on while a form is filled in: loud, and nothing is confirmed by what stands there. @param {Element} fresh */
function wait(fresh) {
  ahead = fresh;
  mark(place);
  let line = document.querySelector("#went-on");
  if (!line) {
    line = document.createElement("p");
    line.id = "went-on";
    line.className = "lost";
    line.setAttribute("role", "alert");
    place.prepend(line);
  }
  const now = fresh.querySelector("h1")?.textContent ?? "It has ended.";
  line.textContent = `This raise went on. Next is now: ${now} The point on this page is passed; what you fill in is kept.`;
}

/** Shows where it is, once nobody is at a form. */
function catchUp() {
  if (ahead && !sending && fingers.size === 0 && !isAtAForm()) put(ahead);
}
place.addEventListener("focusout", () => setTimeout(catchUp));

/** The page that was asked for is another: somebody must sign in first. @param {string} address */
function signIn(address) {
  say("Nobody is signed in here any more, so nothing was written. Sign in again, then look where the raise stands.");
  const link = document.createElement("a");
  link.href = address;
  link.className = "button big main";
  link.textContent = "Sign in";
  document.querySelector("#line")?.append(" ", link);
}

/** What was answered to a form. @param {Response} answer @param {HTMLFormElement} form */
async function answered(answer, form) {
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const fresh = page.querySelector("#raise");
  if (!fresh && answer.redirected) return signIn(answer.url);
  if (!fresh) {
    // Refused as a whole: what was filled in stays, to be sent once that is put right.
    const why = [...page.querySelectorAll("main .look li, main p.look")].map((one) => one.textContent);
    say(["Not written.", ...why].join(" "));
    document.querySelector("#line")?.append(...page.querySelectorAll("main .ways-on a"));
    return;
  }
  now(madeFrom(page));
  keepTyped(fresh, form);
  place.replaceChildren(...fresh.childNodes);
  ahead = null;
  rest(place);
  window.scrollTo({ top: 0 });
  toHeading();
}

/** @param {HTMLFormElement} form */
async function send(form) {
  const body = new URLSearchParams();
  for (const [name, value] of new FormData(form)) body.append(name, String(value));
  const buttons = [...place.querySelectorAll("button")].filter((button) => !button.disabled);
  for (const button of buttons) button.disabled = true;
  for (let tries = 0; ; tries += 1) {
    try {
      const answer = await fetch(form.action, { method: "POST", body, signal: AbortSignal.timeout(8000) });
      if (answer.status === 408 || answer.status >= 500) throw new Error(answer.statusText);
      await answered(answer, form);
      break;
    } catch {
      say("No connection. Nothing is written yet; it is sent again until the program answers. Do not go on.");
      await pause(WAITS[Math.min(tries, WAITS.length - 1)] ?? 4000);
    }
  }
  for (const button of buttons) button.disabled = false;
}

place.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!(form instanceof HTMLFormElement) || !("once" in form.dataset)) return;
  event.preventDefault();
  if (sending || ((resting || ahead) && form.matches(".confirm"))) return;
  sending = true;
  posts += 1;
  await send(form);
  sending = false;
});

const now = follow(async () => {
  let [asked, { answer, page }] = [posts, await read(at)];
  // What was sent meanwhile is not in it, or may not be.
  while (sending || asked !== posts) {
    await pause(100);
    [asked, { answer, page }] = [posts, await read(at)];
  }
  const fresh = page.querySelector("#raise");
  if (!fresh && answer.redirected) signIn(answer.url);
  if (!fresh) return madeFrom(page);
  // What was last said here stays.
  const said = place.querySelector(":scope > .told");
  if (said) fresh.prepend(said.cloneNode(true));
  // What did not change stays: a button is not taken from under a finger.
  mark(fresh);
  if (!ahead && fresh.isEqualNode(place)) return madeFrom(page);
  if (isAtAForm()) wait(fresh);
  else put(fresh);
  return madeFrom(page);
});
