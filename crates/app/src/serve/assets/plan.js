// @ts-check
// The plan view to move things on. Every figure comes from the program; here are only fingers and places.

import { BY_ITSELF, follow, pause, read } from "./changes.js";

/** @typedef {{aft_m: number, left_m: number} | {bay_x_m: number, bay_y_m: number}} PadPlace */
/** @typedef {{spot_m: number, offset_m: number, yaw_rad: number, backwards: boolean, pads: PadPlace[]}} Setup */
/**
 * @typedef {{api: string, question: Record<string, string>, setup: Setup, home: Setup, ways?: Record<string, Setup>, origin: [number, number],
 *   per_metre: number, step_m: number, step: string, made_from?: string}} Bay
 */
/** What is held, how it lay then, and where it was taken. @typedef {{what: Grip, setup: Setup, from: [number, number]}} Held */
/** The vehicle, or a pad by its place in the setup. @typedef {"vehicle" | number} Grip */

/** No more than one question in so many milliseconds: a picture every other frame follows a finger well. */
const PACE = 40;
/** So many milliseconds without an answer, and what stands there is no answer any more; then it is given up, and asked again. */
const LATE = 1500;
const GIVEN_UP = 20000;
const AGAIN = 1000;
/** A pad is taken from so near: metres in the bay, or so many points of the screen, whichever is more. */
const NEAR = 0.2;
const FINGER = 26;
/** Corners in the order of a setup's pads; turned round, the order is the other way. */
const CORNERS = ["front left", "front right", "rear left", "rear right"];
/** As whoever stands at the lift finds it: backwards by its arm. @param {Setup} setup @param {number} k */
const padName = (setup, k) => {
  const name = setup.backwards ? `${CORNERS[3 - k]} arm pad (under the vehicle's ${CORNERS[k]} corner)` : `${CORNERS[k]} pad`;
  return name.charAt(0).toUpperCase() + name.slice(1);
};


/** What stands below the drawing is of the setup with this number. */
let below = 0;

/** Until it is read anew, what stands below is of another setup. @returns {number} The number of the setup that is shown now. */
function outdate() {
  below += 1;
  const lower = /** @type {HTMLElement | null} */ (document.querySelector("#below"));
  if (!lower || lower.inert) return below;
  lower.inert = true;
  const line = document.createElement("p");
  line.id = "below-is-old";
  line.className = "lost";
  line.setAttribute("role", "status");
  line.textContent = "Not of this setup: what follows is of one before it, and is read again.";
  lower.before(line);
  return below;
}

/** @param {HTMLElement} figure */
function live(figure) {
  /** @type {Bay} */
  const bay = JSON.parse(figure.dataset.bay ?? "{}");
  const svg = /** @type {SVGSVGElement} */ (figure.querySelector("svg"));
  const picture = /** @type {SVGGElement} */ (figure.querySelector("#picture"));
  const letters = /** @type {HTMLElement} */ (figure.querySelector(".letters"));
  const answer = /** @type {HTMLElement} */ (document.querySelector("#answer"));
  const trouble = /** @type {HTMLOutputElement} */ (figure.querySelector("#trouble"));
  const said = /** @type {HTMLOutputElement} */ (figure.querySelector("#said"));
  let setup = bay.setup;
  /** The setup that is shown. */
  let at = JSON.stringify(setup);
  /** @type {Held | null} */
  let held = null;
  /** What a key moved last: told once it rests. @type {Grip | null} */
  let keyed = null;
  /** The same in numbers, where a page has fields for them. */
  const form = /** @type {HTMLFormElement | null} */ (document.querySelector("form[data-fields]"));
  let typed = false;
  let asking = false;
  let again = false;
  /** Asks again by itself while the program is not heard. @type {ReturnType<typeof setTimeout> | undefined} */
  let retry;

  /** What stands there is of another setup: until the program answers, nothing is said of this one, and nothing done by it. */
  const unchecked = (words = "The program does not answer: what you see is the last setup that was checked. It is asked again by itself.") => {
    const head = answer.querySelector(".head");
    const verdict = answer.querySelector(".verdict");
    if (!head || !verdict) {
      trouble.value = words;
      return;
    }
    if (answer.querySelector(".lost")) return;
    const line = document.createElement("p");
    line.className = "lost";
    line.setAttribute("role", "alert");
    line.textContent = words;
    verdict.className = "verdict unchecked";
    verdict.querySelector(".sign")?.replaceChildren("?");
    verdict.querySelector("h1")?.replaceChildren("Not checked");
    verdict.after(line);
    for (const button of answer.querySelectorAll("button:not([data-home])")) {
      if (button instanceof HTMLButtonElement) button.disabled = true;
    }
  };

  /** Metres ahead and to the left in the bay. @param {PointerEvent} event @returns {[number, number]} */
  const place = (event) => {
    const matrix = svg.getScreenCTM();
    if (!matrix) return [0, 0];
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
    return [(bay.origin[1] - at.y) / bay.per_metre, (bay.origin[0] - at.x) / bay.per_metre];
  };

  /** Ahead and to the left in the bay. @param {Setup} setup @param {PadPlace} pad @returns {[number, number]} */
  const inBay = (setup, pad) => {
    if ("bay_x_m" in pad) return [pad.bay_x_m, pad.bay_y_m];
    const way = setup.backwards ? -1 : 1;
    const [c, s] = [way * Math.cos(setup.yaw_rad), way * Math.sin(setup.yaw_rad)];
    return [setup.spot_m - pad.aft_m * c - pad.left_m * s, setup.offset_m - pad.aft_m * s + pad.left_m * c];
  };

  /** So many metres are a point of the screen. */
  const point = () => 1 / (bay.per_metre * (svg.getScreenCTM()?.a ?? 1));

  /** What a finger there would take. @param {[number, number]} at @returns {Grip} */
  const taken = ([x, y]) => {
    const far = setup.pads.map((pad) => {
      const [px, py] = inBay(setup, pad);
      return Math.hypot(px - x, py - y);
    });
    const index = far.indexOf(Math.min(...far));
    return (far[index] ?? 9) < Math.max(NEAR, FINGER * point()) ? index : "vehicle";
  };

  /** @param {Setup} from @param {Grip} what @param {number} ahead @param {number} left @returns {Setup} */
  const moved = (from, what, ahead, left) => {
    const pad = what === "vehicle" ? undefined : from.pads[what];
    if (what === "vehicle" || !pad) return { ...from, spot_m: from.spot_m + ahead, offset_m: from.offset_m + left };
    const [x, y] = inBay(from, pad);
    const pads = [...from.pads];
    pads[what] = { bay_x_m: x + ahead, bay_y_m: y + left };
    return { ...from, pads };
  };

  /** @param {boolean} [byItself] */
  const ask = async (byItself = false) => {
    if (asking) {
      again = true;
      return;
    }
    asking = true;
    const began = performance.now();
    const asked = setup;
    clearTimeout(retry);
    const takes = typed;
    /** Asked by itself, of what is shown: only the book may have changed. */
    const still = byItself && !typed && JSON.stringify(asked) === at;
    /** @type {string | undefined} */
    let now;
    const late = setTimeout(unchecked, LATE);
    try {
      const where = typed && form ? { fields: Object.fromEntries(new FormData(form)) } : { setup };
      typed = false;
      const body = JSON.stringify({ ...bay.question, ...where, named: held === null });
      const headers = { "Content-Type": "application/json", ...(byItself ? BY_ITSELF : {}) };
      const sent = await fetch(bay.api, { method: "POST", headers, body, signal: AbortSignal.timeout(GIVEN_UP) });
      const told = await sent.json();
      if (sent.ok) {
        picture.innerHTML = told.picture;
        picture.setAttribute("aria-label", told.describes);
        // While something is held the picture has no letters.
        letters.classList.toggle("old", held !== null);
        if (held === null) letters.innerHTML = told.key;
        // What did not change stays: nothing is taken from under a finger.
        const fresh = document.createElement("div");
        fresh.innerHTML = told.told;
        if (fresh.innerHTML !== answer.innerHTML) answer.innerHTML = told.told;
        if (standing && held === null) standing.innerHTML = told.standing;
        const rests = !again && held === null;
        if (takes || rests) setup = told.setup;
        if (!typed) fill(told.fields ?? {});
        grips(rests ? setup : asked);
        if (bay.made_from && told.made_from !== bay.made_from) other();
        else if (!still) lower(rests ? told.page : undefined);
        if (rests) at = JSON.stringify(setup);
      } else {
        outdate();
        refused(told);
      }
      now = told.now ?? "";
      trouble.value = "";
      // Read by whoever measures it: from the question to the picture.
      figure.dataset.took = String(Math.round(performance.now() - began));
    } catch {
      typed ||= takes;
      unchecked();
      retry = setTimeout(() => void ask(true), AGAIN);
    }
    clearTimeout(late);
    await new Promise((resolve) => setTimeout(resolve, PACE - (performance.now() - began)));
    asking = false;
    if (again) {
      again = false;
      void ask();
    }
    return now;
  };

  const standing = document.querySelector("#standing");
  /** Lift, vehicle, job or limits are others than those that this page was made from: it is made anew, where somebody asks for that. */
  const other = () => {
    outdate();
    unchecked("What this plan was made from has changed. ");
    const again = document.createElement("a");
    again.href = location.href;
    again.textContent = "Look at it as it is now.";
    (answer.querySelector(".lost") ?? trouble).append(again);
  };
  // The lift may be taken, or out of service, or its check of the day be missing, since the page was shown.
  if (standing) {
    follow(async () => {
      while (held !== null || asking) await pause(PACE);
      const now = await ask(true);
      if (now === undefined) throw new Error("not answered");
      return now;
    });
  }

  window.addEventListener("online", () => {
    if (answer.querySelector(".lost") || trouble.value) void ask();
  });

  /** Whether the browser's Back or Forward led here: the entry is there, with its address. */
  let led = false;
  /** Reload shows what was moved; Back what was there before anything was, and Forward what was moved again. @param {string} page */
  const remember = (page) => {
    const way = led || history.state?.moved ? "replaceState" : "pushState";
    const moved = led ? Boolean(history.state?.moved) : true;
    history[way]({ setup, moved }, "", led ? undefined : page);
    led = false;
  };
  if (document.querySelector("#below")) {
    if (!history.state) history.replaceState({ setup, moved: false }, "");
    window.addEventListener("popstate", (event) => {
      if (!event.state?.setup || held) return;
      setup = event.state.setup;
      led = true;
      void ask();
    });
  }

  /** What is below the drawing is of another setup now; for where things rest it is read, and the address says it too. @param {string | undefined} page */
  const lower = async (page) => {
    const own = outdate();
    const shown = /** @type {HTMLElement | null} */ (document.querySelector("#below"));
    if (page === undefined) return;
    if (keyed !== null) said.value = spoken(keyed);
    keyed = null;
    if (!shown) return;
    remember(page);
    while (own === below) {
      const fresh = await read(page).then((one) => one.page.querySelector("#below"), () => null);
      // An answer that is not to the last question is none.
      if (own !== below) return;
      if (fresh) {
        const open = [...shown.querySelectorAll("details")].map((one) => one.open);
        fresh.querySelectorAll("details").forEach((one, k) => { one.open = open[k] ?? one.open; });
        shown.innerHTML = fresh.innerHTML;
        shown.inert = false;
        document.querySelector("#below-is-old")?.remove();
        return;
      }
      await pause(AGAIN);
    }
  };

  /** For whoever hears the page. @param {Grip} what */
  const spoken = (what) => {
    /** @param {string} css */
    const text = (css) => answer.querySelector(css)?.textContent?.trim() ?? "";
    const where = what === "vehicle" ? `Front wheel ${text(".wheel strong")}` : `${padName(setup, what)}: ${text(`[data-pad="${what}"] dl`)}`;
    return [where, text(".verdict h1"), text(".least")].filter((words) => words).join(". ");
  };

  /** @param {Record<string, string>} fields */
  const fill = (fields) => {
    for (const [name, value] of Object.entries(fields)) {
      const field = form?.elements.namedItem(name);
      if (field instanceof HTMLInputElement || field instanceof HTMLSelectElement) field.value = value;
    }
  };
  form?.addEventListener("change", (event) => {
    const way = event.target instanceof HTMLSelectElement ? bay.ways?.[event.target.value] : undefined;
    if (way) setup = way;
    else typed = true;
    void ask();
  });

  /** No setup that can be computed: the answer keeps its place, without its figures. @param {{title: string, reasons: string[]}} told */
  const refused = (told) => {
    const verdict = answer.querySelector(".verdict");
    if (!verdict) {
      trouble.value = [told.title, ...told.reasons].join(" ");
      return;
    }
    const line = answer.querySelector(".lost") ?? document.createElement("p");
    line.className = "lost";
    line.setAttribute("role", "alert");
    line.textContent = told.reasons.join(" ");
    verdict.className = "verdict refused";
    verdict.querySelector(".sign")?.replaceChildren("✕");
    verdict.querySelector("h1")?.replaceChildren("Cannot be computed so");
    verdict.after(line);
    for (const figure of answer.querySelectorAll(".arm dd, .wheel strong")) figure.textContent = "–";
    answer.querySelector(".least")?.replaceChildren("Least reserve –");
    for (const bar of answer.querySelectorAll(".bar rect")) bar.setAttribute("width", "0");
    for (const arm of answer.querySelectorAll("[data-load]")) arm.setAttribute("data-load", "");
    // Nothing is left of what was said of the setup before but the way back.
    for (const part of answer.querySelectorAll(".head > .note, .rest > *")) {
      if (part instanceof HTMLElement && !part.querySelector("[data-home]")) part.hidden = true;
    }
    for (const button of answer.querySelectorAll("button:not([data-home])")) {
      if (button instanceof HTMLButtonElement) button.disabled = true;
    }
    grips(setup);
  };

  /** @param {string} name @param {Record<string, string>} says */
  const made = (name, says) => {
    const element = /** @type {SVGElement} */ (document.createElementNS(svg.namespaceURI, name));
    for (const [key, value] of Object.entries(says)) element.setAttribute(key, value);
    return element;
  };
  // Rings to take the pads by, each with what its pad carries while things move.
  const rings = CORNERS.map(() => {
    const ring = made("circle", { class: "grip", r: "2.9", tabindex: "0", role: "button" });
    const load = made("text", { class: "carries", "font-size": "3.5", "text-anchor": "middle", "aria-hidden": "true" });
    svg.append(load, ring);
    return { ring, load };
  });
  /** As the picture shows it. @param {Setup} setup */
  const grips = (setup) => {
    const middle = setup.pads.reduce((sum, pad) => sum + inBay(setup, pad)[0] / setup.pads.length, 0);
    for (const [k, { ring, load }] of rings.entries()) {
      const pad = setup.pads[k];
      if (!pad) continue;
      const legend = form?.querySelector(`legend[data-names="${k}"]`);
      if (legend) legend.textContent = padName(setup, k);
      const [ahead, left] = inBay(setup, pad);
      const [x, y] = [bay.origin[0] - left * bay.per_metre, bay.origin[1] - ahead * bay.per_metre];
      ring.setAttribute("aria-label", `${padName(setup, k)}: arrows move it ${bay.step}`);
      ring.setAttribute("cx", String(x));
      ring.setAttribute("cy", String(y));
      load.setAttribute("x", String(x));
      load.setAttribute("y", String(y + (ahead > middle ? -4.2 : 6.8)));
      const arm = answer.querySelector(`[data-pad="${k}"]`);
      load.textContent = held && arm instanceof HTMLElement ? (arm.dataset.load ?? "") : "";
    }
  };
  svg.setAttribute("tabindex", "0");
  svg.setAttribute("role", "group");
  svg.setAttribute("aria-label", `Vehicle: arrows move it ${bay.step}`);
  grips(setup);

  svg.addEventListener("pointerdown", (event) => {
    event.preventDefault();
    const what = taken(place(event));
    led = false;
    (what === "vehicle" ? svg : rings[what]?.ring)?.focus({ preventScroll: true });
    svg.setPointerCapture(event.pointerId);
    held = { what, setup, from: place(event) };
    svg.classList.add("held");
    if (what !== "vehicle") rings[what]?.ring.classList.add("held");
  });
  svg.addEventListener("pointermove", (event) => {
    if (!held) return;
    const [x, y] = place(event);
    setup = moved(held.setup, held.what, x - held.from[0], y - held.from[1]);
    void ask();
  });
  const release = () => {
    if (!held) return;
    held = null;
    svg.classList.remove("held");
    for (const { ring } of rings) ring.classList.remove("held");
    void ask();
  };
  svg.addEventListener("pointerup", release);
  svg.addEventListener("pointercancel", release);

  svg.addEventListener("keydown", (event) => {
    /** @type {Record<string, [number, number]>} */
    const ways = { ArrowUp: [1, 0], ArrowDown: [-1, 0], ArrowLeft: [0, 1], ArrowRight: [0, -1] };
    const way = ways[event.key];
    if (!way || held) return;
    event.preventDefault();
    const index = rings.findIndex(({ ring }) => ring === event.target);
    keyed = index < 0 ? "vehicle" : index;
    led = false;
    const far = event.shiftKey ? 10 * bay.step_m : bay.step_m;
    setup = moved(setup, keyed, far * way[0], far * way[1]);
    grips(setup);
    void ask();
  });

  document.addEventListener("click", (event) => {
    const at = event.target instanceof Element ? event.target.closest("[data-home], [data-turn]") : null;
    if (!(at instanceof HTMLElement)) return;
    event.preventDefault();
    if (at.dataset.turn) {
      setup = { ...setup, yaw_rad: setup.yaw_rad + (Number(at.dataset.turn) * Math.PI) / 180 };
    } else {
      setup = bay.home;
    }
    keyed = "vehicle";
    led = false;
    void ask();
  });
}

/** The states of the job are walked through where they stand. */
function walk() {
  document.addEventListener("click", async (event) => {
    const to = event.target instanceof Element ? event.target.closest("#states a") : null;
    if (!(to instanceof HTMLAnchorElement) || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    const rel = to.rel;
    const own = below;
    try {
      const sent = await fetch(to.href);
      const fresh = new DOMParser().parseFromString(await sent.text(), "text/html").querySelector("#states");
      const states = document.querySelector("#states");
      if (own !== below) return;
      if (!sent.ok || !fresh || !states) return location.assign(to.href);
      states.innerHTML = fresh.innerHTML;
      const next = (rel && states.querySelector(`a[rel=${rel}]`)) || states.querySelector("[aria-current=step]");
      if (next instanceof HTMLElement) next.focus({ preventScroll: true });
    } catch {
      location.assign(to.href);
    }
  });
}

/** What is picked anew is not what is answered, until it is asked for. */
function pick() {
  const form = document.querySelector("form.pick[action='/plan']");
  const plan = /** @type {HTMLElement | null} */ (document.querySelector("div.plan"));
  if (!form || !plan) return;
  const picks = [...form.querySelectorAll("select")];
  const asked = picks.map((one) => ([...one.options].find((option) => option.defaultSelected) ?? one.options[0])?.value);
  const look = () => {
    const other = picks.some((one, k) => one.value !== asked[k]);
    plan.inert = other;
    document.querySelector("main")?.classList.toggle("unasked", other);
    if (!other) return document.querySelector("#unasked")?.remove();
    if (document.querySelector("#unasked")) return;
    const line = document.createElement("p");
    line.id = "unasked";
    line.className = "lost";
    line.setAttribute("role", "status");
    line.textContent = "What is answered below is not of what you picked: press Plan.";
    form.closest(".picks")?.after(line);
  };
  form.addEventListener("change", look);
  // Coming back, a browser fills in again what was picked.
  window.addEventListener("pageshow", look);
}

const figure = /** @type {HTMLElement | null} */ (document.querySelector(".stage[data-bay]"));
if (figure) live(figure);
walk();
pick();
