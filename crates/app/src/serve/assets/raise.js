// @ts-check
// A hold point is sent until the program has answered: what was pressed is never lost, and never written twice, because
// each form names the last event that its page knew.

import { follow, madeFrom, pause, read } from "./changes.js";

const WAITS = [500, 1000, 2000, 4000];

/** What is on the page now. */
const place = /** @type {HTMLElement} */ (document.querySelector("#raise"));
/** What is sent, and how it is taken back. @type {{form: HTMLFormElement, stop: AbortController} | null} */
let sending = null;
/** So many forms were sent. */
let posts = 0;

/** A new point's Confirm lies where the last one was: it is inert for so long, and while a finger that was down then is. */
const REST = 1000;
/** @type {Set<number>} */
const fingers = new Set();
let restsUntil = 0;
let resting = false;

/** Two taps within so long are one hand's; when "Not right" last led to its choices. */
const TWICE = 400;
let ledAt = -TWICE;

/** What its Confirm would send. @param {Element} at */
const sends = (at) => {
  const form = at.querySelector("form.confirm");
  const hidden = [...form?.querySelectorAll("input[type=hidden]") ?? []].map((field) => field.getAttribute("value"));
  return [form?.getAttribute("action"), ...hidden].join(" ");
};

/** The point that its Confirm is of. @param {Element} at */
const point = (at) => at.querySelector("form.confirm input[name=point]")?.getAttribute("value");

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
const at = () => place.dataset.at ?? location.pathname;

/** What a person fills in, beside Confirm. */
const FIELDS = "input:not([type=hidden]), textarea, select";
/** @typedef {HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement} Field */
/** @param {Element} at @returns {Field[]} */
const fields = (at) => [.../** @type {NodeListOf<Field>} */ (at.querySelectorAll(FIELDS))];
/** Who stands beside a learner is asked for outside of the form. @param {HTMLFormElement} form */
const fieldsOf = (form) => /** @type {Field[]} */ ([...form.elements].filter((one) => one.matches(FIELDS)));
/** What a form says, whatever is filled in. @param {HTMLFormElement} form */
const says = (form) => [form.getAttribute("action"), form.querySelector("input[type=hidden][name=what]")?.getAttribute("value")].join(" ");
/** @param {HTMLFormElement} form */
const isNotRight = (form) => form.matches("[action$='/not-right']");
/** By somebody here; what was refused comes back as it was filled in. @param {Field} field */
const isFilled = (field) => {
  if (field instanceof HTMLSelectElement) return field.value !== "";
  const back = field.form !== null && "back" in field.form.dataset;
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
    const same = [...fresh.querySelectorAll("form")].find((one) => says(one) === says(form));
    if (!same || (form.matches(".confirm") && point(fresh) !== point(place))) continue;
    for (const field of fieldsOf(form).filter(isFilled)) {
      const into = fields(fresh).find((one) => one.form === same && one.name === field.name);
      if (!into) continue;
      into.value = field.value;
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
  line.textContent = point(fresh) === point(place) && now === place.querySelector("h1")?.textContent
    ? "Something was written in this raise meanwhile. The point is still this one, and what you fill in is kept: touch the page beside the field, and look what was written, before it is confirmed."
    : `This raise went on. Next is now: ${now} The point on this page is passed; what you fill in is kept.`;
}

/** Shows where it is, once nobody is at a form. */
function catchUp() {
  if (ahead && !sending && fingers.size === 0 && !isAtAForm()) put(ahead);
}
place.addEventListener("focusout", () => setTimeout(catchUp));

/** What was pressed under "Not right" and is not written, as nobody was signed in. */
let unwritten = "";

/** Where to sign in, and from there back to here with what was said under "Not right". */
function signInAddress() {
  const draft = new URLSearchParams(unwritten && { what: unwritten });
  for (const form of [...place.querySelectorAll("form")].filter(isNotRight)) {
    for (const field of fieldsOf(form).filter(isFilled)) draft.set(field.name, field.value);
  }
  const then = draft.size > 0 ? `${at().split("?")[0]}?${draft}` : at();
  return `/sign-in?${new URLSearchParams({ then })}`;
}

/** Nobody is signed in, or another: what is filled in goes along, whenever the link is followed. @param {Element} link */
function goesAlong(link) {
  if (!(link instanceof HTMLAnchorElement) || !link.pathname.startsWith("/sign-in")) return;
  link.addEventListener("click", () => { link.href = signInAddress(); });
}

/** The page that was asked for is another: somebody must sign in first. */
function signIn() {
  say("Nobody is signed in here any more, and nothing was written. Sign in again, then look where the raise stands; what you said under “Not right” stays.");
  const link = document.createElement("a");
  link.href = signInAddress();
  link.className = "button big main";
  link.textContent = "Sign in";
  goesAlong(link);
  document.querySelector("#line")?.append(" ", link);
}

/** What was answered to a form. @param {Response} answer @param {string} text @param {HTMLFormElement} form @param {URLSearchParams} body */
function answered(answer, text, form, body) {
  const page = new DOMParser().parseFromString(text, "text/html");
  const fresh = /** @type {HTMLElement | null} */ (page.querySelector("#raise"));
  unwritten = !fresh && isNotRight(form) ? body.get("what") ?? "" : "";
  if (!fresh && (answer.redirected || answer.status === 401)) return signIn();
  if (!fresh) {
    // Refused as a whole: what was filled in stays, to be sent once that is put right.
    const why = [...page.querySelectorAll("main .look li, main p.look")].map((one) => one.textContent);
    say(["Not written.", ...why].join(" "));
    const ways = page.querySelectorAll("main .ways-on a");
    ways.forEach(goesAlong);
    document.querySelector("#line")?.append(...ways);
    return;
  }
  now(madeFrom(page));
  keepTyped(fresh, form);
  // What was filled in before somebody signed in is written, or no more of this raise.
  if (location.search) history.replaceState(null, "", location.pathname);
  place.dataset.at = fresh.dataset.at;
  place.replaceChildren(...fresh.childNodes);
  ahead = null;
  rest(place);
  window.scrollTo({ top: 0 });
  toHeading();
}

/** What is not right overtakes whatever else waits to be sent. @param {HTMLFormElement | null} form */
const overtakes = (form) => form !== null && isNotRight(form) && sending !== null && !isNotRight(sending.form);

/** While something is sent nothing else is pressed, but what overtakes it. */
function lock() {
  for (const button of place.querySelectorAll("button")) button.disabled = sending !== null && !overtakes(button.form);
}

/** What waits is sent no more; the program may have it already, and then what is not right comes after it. */
function takeBack() {
  if (!sending || isNotRight(sending.form)) return;
  sending.stop.abort();
  sending = null;
  posts += 1;
  lock();
  say("Taken back: what was pressed is not sent again. If the program has it already, what is not right is written after it.");
}

/** An answer in time, or none. @param {HTMLFormElement} form @param {URLSearchParams} body @param {AbortSignal} stopped */
async function asked(form, body, stopped) {
  const attempt = new AbortController();
  const end = () => attempt.abort();
  const late = setTimeout(end, 8000);
  stopped.addEventListener("abort", end);
  try {
    const answer = await fetch(form.action, { method: "POST", body, signal: attempt.signal });
    if (answer.status === 408 || answer.status >= 500) throw new Error(answer.statusText);
    return { answer, text: await answer.text() };
  } catch {
    return null;
  } finally {
    clearTimeout(late);
    stopped.removeEventListener("abort", end);
  }
}

/** @param {HTMLFormElement} form @param {HTMLElement | null} pressed */
async function send(form, pressed) {
  const body = new URLSearchParams();
  for (const [name, value] of new FormData(form, pressed)) body.append(name, String(value));
  const stop = new AbortController();
  sending = { form, stop };
  posts += 1;
  lock();
  for (let tries = 0; ; tries += 1) {
    const got = await asked(form, body, stop.signal);
    if (stop.signal.aborted) return;
    if (got) {
      answered(got.answer, got.text, form, body);
      break;
    }
    const also = isNotRight(form) ? "" : " If something is not right, say so below: that takes it back.";
    say(`No connection. Nothing is written yet; it is sent again until the program answers. Do not go on.${also}`);
    await pause(WAITS[Math.min(tries, WAITS.length - 1)] ?? 4000);
    if (stop.signal.aborted) return;
  }
  sending = null;
  lock();
}

place.addEventListener("submit", (event) => {
  const form = event.target;
  if (!(form instanceof HTMLFormElement) || !("once" in form.dataset)) return;
  event.preventDefault();
  if (sending ? !overtakes(form) : (resting || ahead) && form.matches(".confirm")) return;
  // The second tap of two at once lies where the first one led.
  if (isNotRight(form) && performance.now() - ledAt < TWICE) return;
  takeBack();
  void send(form, event.submitter);
});
// Whoever begins to say what is not right has taken back what waits, and taps no second time.
place.addEventListener("input", (event) => {
  ledAt = -TWICE;
  if (event.target instanceof Element && overtakes(event.target.closest("form"))) takeBack();
});
place.addEventListener("click", (event) => {
  if (!(event.target instanceof Element && event.target.closest("a.not-right"))) return;
  takeBack();
  ledAt = performance.now();
});

const now = follow(async () => {
  let [asked, where, { answer, page }] = [posts, at(), await read(at())];
  // What was sent meanwhile is not in it, or may not be.
  while (sending || asked !== posts || where !== at()) {
    await pause(100);
    [asked, where, { answer, page }] = [posts, at(), await read(at())];
  }
  const fresh = page.querySelector("#raise");
  if (!fresh && answer.redirected) signIn();
  if (!fresh) return madeFrom(page);
  // What was last refused here stays, as long as the raise stands where it stood then.
  const said = place.querySelector(":scope > .told[role=alert]");
  const stays = said && !fresh.querySelector(":scope > .told[role=alert]") && sends(fresh) === sends(place);
  if (stays) fresh.prepend(said.cloneNode(true));
  // What did not change stays: a button is not taken from under a finger.
  mark(fresh);
  if (!ahead && fresh.isEqualNode(place)) return madeFrom(page);
  if (isAtAForm()) wait(fresh);
  else put(fresh);
  return madeFrom(page);
});
