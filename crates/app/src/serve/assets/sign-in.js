// @ts-check
// Digits to touch, big enough for gloves. Whoever has a keyboard types.

const pin = /** @type {HTMLInputElement | null} */ (document.querySelector(".sign-in [name=pin]"));
if (pin) pad(pin);

/** @param {HTMLInputElement} pin */
function pad(pin) {
  // The tablet's own keyboard would cover the digits.
  pin.inputMode = "none";
  const all = document.createElement("div");
  all.className = "digits";
  all.setAttribute("role", "group");
  all.setAttribute("aria-label", "Digits of the PIN");
  for (const says of ["1", "2", "3", "4", "5", "6", "7", "8", "9", "Clear", "0", "Back"]) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = says;
    button.addEventListener("click", () => {
      if (says === "Clear") pin.value = "";
      else if (says === "Back") pin.value = pin.value.slice(0, -1);
      else if (pin.value.length < pin.maxLength) pin.value += says;
    });
    all.append(button);
  }
  pin.closest("label")?.after(all);
  for (const name of document.querySelectorAll(".sign-in [name=person]")) {
    name.addEventListener("click", () => pin.closest(".pin")?.scrollIntoView({ block: "nearest" }));
  }
}
