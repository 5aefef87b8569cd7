// @ts-check
// What the book says while a page is open: one stream, and the page read again until it shows what the stream says.

/** After so many milliseconds without a word the page says that it is cut off; after so many the stream is opened anew. */
const LATE = 2500;
const SILENT = 12000;
/** The program says something every 5 s, though nothing changed. */
const QUIET = 8000;
/** So long is waited before a page is read again, and for the answer. */
const WAITS = [500, 1000, 2000, 4000];
const GIVEN_UP = 10000;

/** What a page was made from: the book's last event and the shop's day. @param {Document} page */
export const madeFrom = (page) => page.documentElement.dataset.madeFrom ?? "";

/** What a page asks for by itself keeps nobody signed in. */
export const BY_ITSELF = { "Standfast-By-Itself": "1" };

/** @param {number} ms */
export const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

/**
 * A page as it is now, asked for by nobody; throws if the program does not answer, or cannot.
 * @param {string} at
 */
export async function read(at) {
  const answer = await fetch(at, { headers: BY_ITSELF, signal: AbortSignal.timeout(GIVEN_UP) });
  if (answer.status >= 500 || answer.status === 408) throw new Error(answer.statusText);
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  // Whoever is named on top is who is signed in now.
  const [who, now] = [document, page].map((one) => one.querySelector(".top .who"));
  if (who && now && !who.isEqualNode(now)) who.replaceWith(now.cloneNode(true));
  return { answer, page };
}

/**
 * Calls to have the page shown as it is now, once the book or the day is another than those it was made from, and again
 * until that succeeds. Meanwhile, and while the program is not heard, the page says of when it is.
 * @param {() => Promise<string>} show Reads and shows; what it is made from then. If it fails it is called again.
 * @returns {(now: string) => void} To be told what is shown, where something else was shown meanwhile.
 */
export function follow(show) {
  let shown = madeFrom(document);
  let heard = shown;
  let reading = false;
  /** When what is shown was known to be right. */
  let sure = new Date();
  /** @type {EventSource | null} */
  let stream = null;
  /** @type {ReturnType<typeof setTimeout>[]} */
  let timers = [];

  const lost = () => {
    document.documentElement.classList.add("unsure");
    if (document.querySelector("#cut-off")) return;
    const line = document.createElement("p");
    line.id = "cut-off";
    line.className = "lost";
    line.setAttribute("role", "alert");
    const time = sure.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
    line.textContent = `No connection. What is shown is of ${time} and was not checked since: do not go by it.`;
    document.querySelector("main")?.before(line);
  };

  const found = () => {
    sure = new Date();
    document.documentElement.classList.remove("unsure");
    document.querySelector("#cut-off")?.remove();
  };

  const catchUp = async () => {
    if (reading) return;
    reading = true;
    for (let tries = 0; heard !== shown; ) {
      const wanted = heard;
      try {
        shown = await show();
        tries = 0;
        // What it is made from may be newer than what was heard.
        if (heard === wanted) heard = shown;
      } catch {
        lost();
        await pause(WAITS[Math.min(tries, WAITS.length - 1)] ?? 4000);
        tries += 1;
      }
    }
    reading = false;
    if (stream?.readyState === EventSource.OPEN) found();
  };

  /** @param {number} late */
  const listen = (late) => {
    timers.forEach(clearTimeout);
    timers = [setTimeout(lost, late), setTimeout(anew, SILENT)];
  };

  const close = () => {
    timers.forEach(clearTimeout);
    stream?.close();
    stream = null;
  };

  // A browser takes few connections to one host: a page that nobody sees leaves its own to the others.
  const open = () => {
    if (document.hidden || stream) return;
    stream = new EventSource("/changes");
    listen(LATE);
    stream.addEventListener("changed", (event) => {
      listen(QUIET);
      heard = event.data;
      void catchUp();
    });
    stream.addEventListener("alive", () => {
      listen(QUIET);
      void catchUp();
    });
    stream.addEventListener("error", lost);
  };

  const anew = () => {
    close();
    open();
  };

  document.addEventListener("visibilitychange", () => (document.hidden ? close() : open()));
  window.addEventListener("online", anew);
  open();
  return (now) => {
    shown = now;
    if (!reading) heard = now;
  };
}
