// @ts-check
// What the book says while a page is open: one stream, the number of its last event as it grows.

/**
 * Calls when the book has changed since the page was made; what is the case at the beginning is no change.
 * @param {() => void | Promise<void>} changed
 * @param {{lost?: () => void, back?: () => void}} [line] When the program is not heard any more, and when it is again.
 */
export function follow(changed, { lost, back } = {}) {
  let known = "";
  const stream = new EventSource("/changes");
  stream.addEventListener("changed", (event) => {
    if (known === event.data) return;
    const first = known === "";
    known = event.data;
    if (!first) void changed();
  });
  if (lost) stream.addEventListener("error", lost);
  if (back) stream.addEventListener("open", back);
}
