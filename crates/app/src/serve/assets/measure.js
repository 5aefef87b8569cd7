// @ts-check
// The drawing grows while a figure is typed. It is made by the program; here is only what was typed.

const form = /** @type {HTMLFormElement | null} */ (document.querySelector("form[data-measure]"));
if (form) live(form);

/** @param {HTMLFormElement} form */
function live(form) {
  const svg = /** @type {SVGSVGElement} */ (document.querySelector("#stage"));
  const picture = /** @type {SVGGElement} */ (document.querySelector("#picture"));
  const off = form.querySelector(".off, [name=off]")?.closest("label");
  let asking = false;
  let again = false;

  const draw = async () => {
    if (asking) {
      again = true;
      return;
    }
    asking = true;
    /** @type {Record<string, string>} */
    const answer = {};
    new FormData(form).forEach((value, name) => {
      if (!["then", "do", "shown_as", "page_of"].includes(name)) answer[name] = String(value);
    });
    try {
      const body = JSON.stringify({ step: form.dataset.step, answer });
      const headers = { "Content-Type": "application/json" };
      const sent = await fetch(`/api/measure/${form.dataset.measure}`, { method: "POST", headers, body });
      if (sent.ok) {
        const said = await sent.json();
        picture.innerHTML = said.picture;
        svg.setAttribute("viewBox", `0 0 ${said.size[0]} ${said.size[1]}`);
        const paper = svg.querySelector("rect.paper");
        paper?.setAttribute("height", String(said.size[1]));
      }
    } catch {
      // Without the program the drawing stays as it is; sending the form says so.
    }
    asking = false;
    if (again) {
      again = false;
      void draw();
    }
  };

  form.addEventListener("input", (event) => {
    // What was said of the answer before is not said of this one.
    form.querySelector(":scope > .told")?.remove();
    const at = event.target;
    if (at instanceof HTMLSelectElement && at.name === "doubt" && off) {
      off.classList.toggle("off", at.value !== "off" && !at.value.startsWith("scale"));
    }
    void draw();
  });
}
