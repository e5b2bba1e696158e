// What is entered at the bench goes through a store on this phone: kept there first, sent when the shop's computer
// answers, and never twice, because each thing bears a name of its own that the shop's computer knows again.
const STORE = "unsent";
const ANSWER_MS = 60_000;
const WAITS_MS = [2_000, 4_000, 8_000, 15_000, 30_000];
const board = document.getElementById("unsent");
let sending = false;
let failures = 0;
let timer = null;

function opened() {
  return new Promise((done, failed) => {
    const asked = indexedDB.open("floatbowl bench", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(STORE, { keyPath: "at", autoIncrement: true });
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => failed(asked.error);
  });
}

async function store(mode, work) {
  const database = await opened();
  try {
    const change = database.transaction(STORE, mode);
    const asked = work(change.objectStore(STORE));
    await new Promise((done, failed) => {
      change.oncomplete = done;
      change.onerror = change.onabort = () => failed(change.error);
    });
    return asked?.result;
  } finally { database.close(); }
}

const all = () => store("readonly", (rows) => rows.getAll());
const drop = (at) => store("readwrite", (rows) => rows.delete(at));
const token = () => document.querySelector("[name=csrfmiddlewaretoken]")?.value || "";

// A name that nobody else will think of; crypto.randomUUID wants a secure address, which a phone in the building has not.
function newName() {
  return [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

function entryOf(one) {
  return one.entry && document.getElementById(one.entry);
}

function tellAt(one, text, wrong = false) {
  const entry = entryOf(one);
  if (!entry) return false;
  entry.querySelector(".kept-here")?.remove();
  if (!text) return true;
  const said = document.createElement("p");
  said.className = wrong ? "kept-here error" : "kept-here";
  said.setAttribute("role", "status");
  said.textContent = text;
  entry.append(said);
  return true;
}

function valueOf(one) {
  return one.fields.find(([name]) => name === "value")?.[1] || "";
}

// What was refused stays on the board until somebody leaves the page: its row may be hidden, or on another page.
const refused = [];

async function tellHowMany(gone) {
  const waiting = await all();
  board.hidden = (!waiting.length || !gone) && !refused.length;
  if (board.hidden) return;
  if (refused.length && !(waiting.length && gone)) {
    board.textContent = `Not taken: ${refused.join(" ")}`;
    return;
  }
  const what = waiting.map((one) => one.says).slice(0, 4).join(", ");
  board.textContent = `No connection. ${waiting.length} kept on this phone and sent later by itself: ${what}${waiting.length > 4 ? " …" : ""}. Do not clear the browser's data.`;
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!form.dataset.unsent) return;
  event.preventDefault();
  await take(form, event.submitter);
});

document.addEventListener("change", (event) => {
  const form = event.target.closest?.("form[data-at-once]");
  if (form && event.target.files?.length) take(form, null);
});

async function take(form, button) {
  const fields = new FormData(form);
  // The button that was pressed decides, before a field of the same name.
  if (button?.name) fields.set(button.name, button.value);
  fields.delete("csrfmiddlewaretoken");
  const entry = form.closest(".entry")?.id || "";
  const files = fields.getAll("photographs").filter((file) => file.size);
  fields.delete("photographs");
  const plain = [...fields.entries()];
  const made = { address: form.action, entry, says: form.dataset.unsent, page: location.pathname };
  const rows = files.length
    ? files.map((file) => ({ ...made, fields: plain.filter(([name]) => name !== "sent"), file, sent: newName() }))
    : [{ ...made, fields: plain.filter(([name]) => name !== "sent"), sent: newName() }];
  try {
    for (const row of rows) await store("readwrite", (kept) => kept.add(row));
  } catch {
    HTMLFormElement.prototype.submit.call(form);
    return;
  }
  const input = form.querySelector("input[type=file]");
  if (input) input.value = "";
  if (button?.hasAttribute("aria-pressed")) {
    for (const one of form.querySelectorAll("[aria-pressed]")) one.setAttribute("aria-pressed", String(one === button));
  }
  tellAt(rows[0], files.length ? `${files.length} kept on this phone; being sent …` : `Kept on this phone${valueOf(rows[0]) ? `: ${valueOf(rows[0])}` : ""}; being sent …`);
  flush();
}

async function send(one) {
  const body = new FormData();
  for (const [name, value] of one.fields) body.append(name, value);
  body.append("sent", one.sent);
  if (one.file) body.append("photographs", one.file, one.file.name || "photograph.jpg");
  const answer = await fetch(one.address, {
    method: "POST", body, headers: { "X-CSRFToken": token(), "X-Piece": "1" }, signal: AbortSignal.timeout(ANSWER_MS),
  });
  const told = answer.headers.get("content-type")?.includes("json") ? await answer.json() : null;
  if (answer.status >= 500 || answer.status === 403) throw new Error(`answered ${answer.status}`);
  return { status: answer.status, told };
}

// Pages of other jobs may have left something: it is sent all the same, and told by name where it was not taken.
async function flush() {
  if (sending) return;
  sending = true;
  clearTimeout(timer);
  try {
    for (let waiting = await all(); waiting.length; waiting = await all()) {
      const one = waiting[0];
      const { status, told } = await send(one);
      await drop(one.at);
      failures = 0;
      settle(one, status, told, waiting.length > 1);
    }
    await tellHowMany(false);
  } catch {
    for (const one of await all()) tellAt(one, `Kept on this phone${valueOf(one) ? `: ${valueOf(one)}` : ""}; sent by itself when the connection is back.`);
    await tellHowMany(true);
    timer = setTimeout(flush, WAITS_MS[Math.min(failures++, WAITS_MS.length - 1)]);
  } finally { sending = false; }
}

function settle(one, status, told, more) {
  const here = one.page === location.pathname;
  if (status >= 400) {
    const typed = valueOf(one);
    refused.push(`${one.says}${typed ? ` “${typed}”` : ""}: ${told?.wrong || `the shop's computer answered ${status}.`}`);
    if (!(here && told?.page)) return;
  }
  if (here && told?.page && !more) renew(told.page, one);
  else tellAt(one, "Kept.");
}

// Everything half typed elsewhere in the step stays where it is.
function renew(page, one) {
  const step = document.getElementById("step");
  const typed = new Map();
  for (const field of step.querySelectorAll("input:not([type=hidden]):not([type=file]), textarea")) {
    const entry = field.closest(".entry")?.id;
    if (entry && entry !== one.entry && field.value !== field.defaultValue) typed.set(`${entry} ${field.name}`, field.value);
  }
  const focused = document.activeElement?.closest(".entry")?.id;
  step.innerHTML = page;
  window.htmx?.process(step);
  for (const [key, value] of typed) {
    const [entry, name] = key.split(" ");
    const field = document.getElementById(entry)?.querySelector(`input[name="${name}"]:not([type=hidden]), textarea[name="${name}"]`);
    if (field) field.value = value;
  }
  document.dispatchEvent(new CustomEvent("floatbowl:step"));
  const entry = document.getElementById(one.entry) || document.getElementById(focused);
  const wrong = entry?.querySelector("[aria-invalid=true]");
  (wrong || entry?.querySelector("[aria-pressed=true], .main-button"))?.focus({ preventScroll: true });
  localStorage.removeItem(`floatbowl draft ${location.pathname} ${one.entry}`);
}

window.addEventListener("online", flush);
flush();
