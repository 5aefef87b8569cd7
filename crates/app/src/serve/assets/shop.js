// @ts-check
// The board: a vehicle is dragged onto a bay. Every answer comes from the program; here are only fingers and places.

/** @typedef {{lift: string, short: string, may_be_used: boolean, plan: string | null}} BayAnswer */

const tray = /** @type {HTMLElement | null} */ (document.querySelector("#tray"));
const seek = /** @type {HTMLFormElement | null} */ (document.querySelector("form[data-tray]"));
if (tray && seek) shop(tray, seek);

/** @param {HTMLElement} tray @param {HTMLFormElement} form */
function shop(tray, form) {
  const fits = /** @type {HTMLElement} */ (document.querySelector("#fits"));
  const find = /** @type {HTMLInputElement} */ (form.elements.namedItem("find"));
  const job = /** @type {HTMLSelectElement} */ (form.elements.namedItem("job"));
  /** What is held, and where it was taken. @type {{chip: HTMLElement, ghost: HTMLElement | null, from: [number, number]} | null} */
  let held = null;
  let asked = 0;
  /** What is on the way was asked of the board as it was. @type {[string, string | null] | null} */
  let open = null;
  /** The vehicle that was asked about last, listed or not. */
  let chosen = new URLSearchParams(location.search).get("vehicle") ?? "";
  /** By which words what is listed was found. */
  let listed = find.value;
  /** What was dragged is no touch. */
  let dragged = false;

  const bays = () => /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-lift]"));

  /** What every bay says; told in each bay, and in full where a bay was pointed at. @param {string} vehicle @param {string | null} on */
  const ask = async (vehicle, on) => {
    const question = ++asked;
    open = [vehicle, on];
    clear();
    if (on !== null) {
      fits.replaceChildren(note("Every bay is asked …"));
      fits.scrollIntoView({ block: "nearest" });
    }
    try {
      const body = JSON.stringify({ vehicle, job: job.value, on: on ?? "" });
      const sent = await fetch("/api/bays", { method: "POST", headers: { "Content-Type": "application/json" }, body });
      const said = await sent.json();
      if (question !== asked) return;
      open = null;
      if (sent.ok) mark(said.bays, said.asked);
      if (on === null) return;
      if (sent.ok) fits.innerHTML = said.told;
      else fits.replaceChildren(...said.reasons.map(note));
      fits.scrollIntoView({ block: "nearest" });
    } catch {
      if (question !== asked) return;
      const what = job.value ? `${vehicle}, ${job.selectedOptions[0]?.text ?? job.value}` : vehicle;
      if (on !== null) fits.replaceChildren(note(`${what}: the program does not answer. Try again.`));
    }
  };

  /** No bay says anything of what was asked before. */
  const clear = () => {
    for (const bay of bays()) {
      bay.querySelector(".fit")?.replaceChildren();
      bay.querySelector("[data-plan]")?.setAttribute("href", `/plan?${new URLSearchParams({ lift: bay.dataset.lift ?? "" })}`);
    }
  };

  /** @param {BayAnswer[]} said @param {string} what */
  const mark = (said, what) => {
    for (const bay of bays()) {
      const own = said.find((one) => one.lift === bay.dataset.lift);
      const line = bay.querySelector(".fit");
      if (line) line.textContent = own?.may_be_used ? `${what}: ${own.short}` : "";
      const plan = bay.querySelector("[data-plan]");
      if (plan && own?.plan) plan.setAttribute("href", own.plan);
    }
  };

  /** @param {string} words */
  const note = (words) => {
    const line = document.createElement("p");
    line.textContent = words;
    return line;
  };

  /** Asks in full; the address says it too, for whoever comes back to it. @param {string} vehicle @param {string} on */
  const choose = (vehicle, on) => {
    history.replaceState(null, "", `/today?${new URLSearchParams({ vehicle, job: job.value, on })}`);
    chosen = vehicle;
    markChosen();
    void ask(vehicle, on);
  };

  const markChosen = () => {
    for (const chip of tray.querySelectorAll("[data-vehicle]")) {
      if (chip instanceof HTMLElement && chip.dataset.vehicle === chosen) chip.setAttribute("aria-current", "true");
      else chip.removeAttribute("aria-current");
    }
  };

  /** The bay under a finger. @param {PointerEvent} event */
  const under = (event) => {
    const at = document.elementFromPoint(event.clientX, event.clientY)?.closest("[data-lift]");
    return at instanceof HTMLElement ? at : null;
  };

  /** @param {HTMLElement | null} bay */
  const point = (bay) => {
    for (const one of bays()) one.classList.toggle("over", one === bay);
  };

  tray.addEventListener("pointerdown", (event) => {
    const chip = event.target instanceof Element ? event.target.closest("[data-vehicle]") : null;
    if (!(chip instanceof HTMLElement) || event.button !== 0) return;
    dragged = false;
    held = { chip, ghost: null, from: [event.clientX, event.clientY] };
    chip.setPointerCapture(event.pointerId);
  });

  tray.addEventListener("pointermove", (event) => {
    const FAR = 8;
    if (!held) return;
    if (!held.ghost) {
      if (Math.hypot(event.clientX - held.from[0], event.clientY - held.from[1]) < FAR) return;
      held.ghost = /** @type {HTMLElement} */ (held.chip.cloneNode(true));
      held.ghost.classList.add("ghost");
      document.body.append(held.ghost);
      void ask(held.chip.dataset.vehicle ?? "", null);
    }
    held.ghost.style.transform = `translate(${event.clientX}px, ${event.clientY}px) translate(-50%, -50%)`;
    point(under(event));
    // A bay that is off the screen comes nearer.
    const EDGE = 70;
    if (event.clientY < EDGE) scrollBy(0, -EDGE / 4);
    if (event.clientY > innerHeight - EDGE) scrollBy(0, EDGE / 4);
  });

  /** @param {PointerEvent} event @param {boolean} drops */
  const release = (event, drops) => {
    if (!held) return;
    const { chip, ghost } = held;
    held = null;
    point(null);
    if (!ghost) return;
    dragged = true;
    ghost.remove();
    const bay = drops ? under(event) : null;
    const vehicle = chip.dataset.vehicle ?? "";
    if (!bay) return;
    choose(vehicle, bay.dataset.lift ?? "");
  };
  tray.addEventListener("pointerup", (event) => release(event, true));
  tray.addEventListener("pointercancel", (event) => release(event, false));
  tray.addEventListener("click", (event) => {
    const chip = event.target instanceof Element ? event.target.closest("[data-vehicle]") : null;
    if (!(chip instanceof HTMLElement)) return;
    event.preventDefault();
    if (!dragged) choose(chip.dataset.vehicle ?? "", "");
  });

  document.addEventListener("read-again", () => {
    if (open) void ask(...open);
  });

  // Another job is another question: what was answered is of the one before.
  job.addEventListener("change", () => {
    asked += 1;
    open = null;
    clear();
    if (chosen) return choose(chosen, "");
    history.replaceState(null, "", `/today?${new URLSearchParams({ job: job.value })}`);
    fits.replaceChildren();
  });

  const AGAIN = 2000;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let again;
  // What is typed finds, key by key.
  const seekTyped = async () => {
    const typed = find.value;
    if (typed === listed) return;
    try {
      const page = await fetch(`/today?${new URLSearchParams({ find: typed, job: job.value })}`);
      const fresh = new DOMParser().parseFromString(await page.text(), "text/html").querySelector("#tray");
      if (!page.ok || !fresh || find.value !== typed) return;
      tray.innerHTML = fresh.innerHTML;
      listed = typed;
      markChosen();
    } catch {
      // Without a connection it is tried until there is one.
      clearTimeout(again);
      again = setTimeout(seekTyped, AGAIN);
    }
  };
  find.addEventListener("input", seekTyped);
}
