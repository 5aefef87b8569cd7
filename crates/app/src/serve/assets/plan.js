// @ts-check
// The plan view to move things on. Every figure comes from the program; here are only fingers and places.

/** @typedef {{aft_m: number, left_m: number} | {bay_x_m: number, bay_y_m: number}} PadPlace */
/** @typedef {{spot_m: number, offset_m: number, yaw_rad: number, backwards: boolean, pads: PadPlace[]}} Setup */
/**
 * @typedef {{api: string, question: Record<string, string>, setup: Setup, home: Setup, ways?: Record<string, Setup>, origin: [number, number],
 *   per_metre: number}} Bay
 */
/** @typedef {{kind: "vehicle", from: [number, number], spot: number, offset: number} | {kind: "pad", index: number}} Grip */

/** No more than one question in so many milliseconds: a picture every other frame follows a finger well. */
const PACE = 40;

const figure = /** @type {HTMLElement | null} */ (document.querySelector(".stage"));
if (figure) live(figure);

/** @param {HTMLElement} figure */
function live(figure) {
  /** @type {Bay} */
  const bay = JSON.parse(figure.dataset.bay ?? "{}");
  const svg = /** @type {SVGSVGElement} */ (figure.querySelector("svg"));
  const picture = /** @type {SVGGElement} */ (figure.querySelector("#picture"));
  const answer = /** @type {HTMLElement} */ (document.querySelector("#answer"));
  const delay = /** @type {HTMLOutputElement} */ (figure.querySelector("#delay"));
  let setup = bay.setup;
  /** @type {Grip | null} */
  let grip = null;
  /** The same in numbers, where a page has fields for them. */
  const form = /** @type {HTMLFormElement | null} */ (document.querySelector("form[data-fields]"));
  let typed = false;
  let asking = false;
  let again = false;

  /** Metres ahead and to the left in the bay. @param {PointerEvent} event @returns {[number, number]} */
  const place = (event) => {
    const matrix = svg.getScreenCTM();
    if (!matrix) return [0, 0];
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
    return [(bay.origin[1] - at.y) / bay.per_metre, (bay.origin[0] - at.x) / bay.per_metre];
  };

  /** Ahead and to the left in the bay. @param {PadPlace} pad @returns {[number, number]} */
  const inBay = (pad) => {
    if ("bay_x_m" in pad) return [pad.bay_x_m, pad.bay_y_m];
    const way = setup.backwards ? -1 : 1;
    const [c, s] = [way * Math.cos(setup.yaw_rad), way * Math.sin(setup.yaw_rad)];
    return [setup.spot_m - pad.aft_m * c - pad.left_m * s, setup.offset_m - pad.aft_m * s + pad.left_m * c];
  };

  /** What a finger there would take. @param {[number, number]} at @returns {Grip} */
  const taken = ([x, y]) => {
    const NEAR = 0.24;
    const far = setup.pads.map((pad) => {
      const [px, py] = inBay(pad);
      return Math.hypot(px - x, py - y);
    });
    const index = far.indexOf(Math.min(...far));
    if ((far[index] ?? 9) < NEAR) return { kind: "pad", index };
    return { kind: "vehicle", from: [x, y], spot: setup.spot_m, offset: setup.offset_m };
  };

  const ask = async () => {
    if (asking) {
      again = true;
      return;
    }
    asking = true;
    const began = performance.now();
    try {
      const where = typed && form ? { fields: Object.fromEntries(new FormData(form)) } : { setup };
      const takes = typed;
      typed = false;
      const body = JSON.stringify({ ...bay.question, ...where, named: grip === null });
      const sent = await fetch(bay.api, { method: "POST", headers: { "Content-Type": "application/json" }, body });
      const said = await sent.json();
      if (sent.ok) {
        picture.innerHTML = said.picture;
        answer.innerHTML = said.told;
        if (takes || (!again && grip === null)) setup = said.setup;
        if (!typed) fill(said.fields ?? {});
      } else {
        answer.replaceChildren(...refusal(said));
      }
      delay.value = `answered in ${Math.round(performance.now() - began)} ms`;
    } catch {
      delay.value = "the program does not answer: what you see is the last setup that was checked";
    }
    await new Promise((resolve) => setTimeout(resolve, PACE - (performance.now() - began)));
    asking = false;
    if (again) {
      again = false;
      void ask();
    }
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

  /** @param {{title: string, reasons: string[]}} said */
  const refusal = (said) => {
    const title = document.createElement("h2");
    title.textContent = said.title;
    const list = document.createElement("ul");
    for (const reason of said.reasons) {
      const item = document.createElement("li");
      item.textContent = reason;
      list.append(item);
    }
    return [title, list];
  };

  svg.addEventListener("pointerdown", (event) => {
    event.preventDefault();
    svg.focus({ preventScroll: true });
    svg.setPointerCapture(event.pointerId);
    grip = taken(place(event));
    svg.classList.add("held");
  });
  svg.addEventListener("pointermove", (event) => {
    if (!grip) return;
    const [x, y] = place(event);
    if (grip.kind === "pad") {
      const pads = [...setup.pads];
      pads[grip.index] = { bay_x_m: x, bay_y_m: y };
      setup = { ...setup, pads };
    } else {
      setup = { ...setup, spot_m: grip.spot + x - grip.from[0], offset_m: grip.offset + y - grip.from[1] };
    }
    void ask();
  });
  const release = () => {
    if (!grip) return;
    grip = null;
    svg.classList.remove("held");
    void ask();
  };
  svg.addEventListener("pointerup", release);
  svg.addEventListener("pointercancel", release);

  svg.addEventListener("keydown", (event) => {
    const STEP = 0.01;
    /** @type {Record<string, [number, number]>} */
    const ways = { ArrowUp: [STEP, 0], ArrowDown: [-STEP, 0], ArrowLeft: [0, STEP], ArrowRight: [0, -STEP] };
    const way = ways[event.key];
    if (!way) return;
    event.preventDefault();
    setup = { ...setup, spot_m: setup.spot_m + way[0], offset_m: setup.offset_m + way[1] };
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
    void ask();
  });
}
