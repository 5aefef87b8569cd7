// @ts-check
// The arrow keys lead where the links to the hold point before and after lead.

/** @type {Record<string, string>} */
const WAYS = { ArrowLeft: "prev", ArrowRight: "next" };

addEventListener("keydown", (event) => {
  const way = WAYS[event.key];
  if (!way || event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) return;
  if (event.target instanceof Element && event.target.closest("input, textarea, select, pre")) return;
  const link = document.querySelector(`a[rel="${way}"]`);
  if (!(link instanceof HTMLAnchorElement)) return;
  event.preventDefault();
  link.click();
});
