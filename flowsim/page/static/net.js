/* Asking the program: the key, one change after the other, and what to say when it is not there. */

export const tab = once("flowsim-tab", () => Math.random().toString(36).slice(2) + Date.now().toString(36));
let key = sessionStorage.getItem("flowsim-key") || "";
let onLost = () => {};
let onBack = () => {};
let lost = false;

function once(name, make) {
  let found = sessionStorage.getItem(name);
  if (!found) { found = make(); sessionStorage.setItem(name, found); }
  return found;
}

export function whenLost(lostNow, backNow) { onLost = lostNow; onBack = backNow; }

/* Trades the start word of the address for the key, once; the word leaves the address bar. */
export async function begin() {
  const word = location.hash.slice(1);
  if (word) {
    history.replaceState(null, "", "/");
    const said = await ask("/start", { word });
    if (said.ok) { key = said.key; sessionStorage.setItem("flowsim-key", key); return { ok: true }; }
    return key ? { ok: true } : said;
  }
  if (key) { return { ok: true }; }
  return { ok: false, words: "This address has been used. Press Enter in the terminal for a new one." };
}

/* Gives the answer, or { lost: true } where nobody answers. Nothing that was typed depends on it. */
export async function ask(path, body) {
  let answer;
  try {
    answer = await fetch(path, {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-Flowsim-Key": key },
      body: JSON.stringify({ tab, ...body }),
    });
    const said = answer.headers.get("Content-Type") === "application/json" ? await answer.json() : null;
    if (lost) { lost = false; onBack(); }
    if (said !== null) { return said; }
    const words = await answer.text();
    return { ok: false, refused: answer.status, words: answer.status === 401
      ? "This page belongs to a program that has ended. Press Enter in the terminal for a new address."
      : "flowsim refused this: " + words };
  } catch (_error) {
    if (!lost) { lost = true; onLost(); }
    return { ok: false, lost: true, words: "flowsim is not running; your typing is still here" };
  }
}

/* Changes go out one after the other, each on the edition that the one before has made. */
let line = Promise.resolve();
export function inOrder(work) {
  const mine = line.then(work);
  line = mine.catch(() => {});
  return mine;
}
