// Sends each photograph by itself, piece by piece: what arrived stays, and a dropped connection costs one piece.
// Works without a secure address too, as telephones in the building use.
const step = document.getElementById("step");
const board = document.getElementById("sending");
const list = document.getElementById("uploads");
const missing = document.getElementById("send-missing");
const ANSWER_MS = 60_000;
const WAITS_MS = [2_000, 4_000, 8_000, 15_000, 30_000];
const queue = [];
let sending = false;
let failures = 0;
let timer = null;

// Fowler, Noll and Vo's hash (FNV-1a, 32 bit): tells one file from another, no secret.
function hashed(bytes, seed) {
  let hash = seed >>> 0;
  for (const byte of bytes) hash = Math.imul(hash ^ byte, 0x01000193) >>> 0;
  return hash.toString(16).padStart(8, "0");
}

async function nameOf(file, place) {
  const ends = new Blob([file.slice(0, 65_536), file.slice(-65_536)]);
  const told = new TextEncoder().encode(`${place} ${file.name} ${file.size} ${file.lastModified}`);
  const bytes = [...told, ...new Uint8Array(await ends.arrayBuffer())];
  return hashed(bytes, 0x811c9dc5) + hashed(bytes, 0x1234567) + file.size.toString(16).padStart(8, "0");
}

function freePlaces(form) {
  const order = form.dataset.places.split(" ");
  const taken = new Set([...form.dataset.taken.split(" "), ...queue.filter((one) => one.state !== "kept").map((one) => one.place)]);
  const start = order.indexOf(form.dataset.place);
  return [form.dataset.place, ...[...order.slice(start + 1), ...order.slice(0, start)].filter((place) => !taken.has(place))];
}

function row(file) {
  const made = document.createElement("li");
  made.innerHTML = '<span class="upload-name"></span> <progress max="100" value="0"></progress> <span class="upload-said" role="status"></span>';
  made.querySelector(".upload-name").textContent = `${file.name || "photograph"}, ${(file.size / 1e6).toFixed(1)} MB`;
  made.querySelector("progress").setAttribute("aria-label", `How much of ${file.name || "the photograph"} has arrived`);
  list.append(made);
  return made;
}

function tell(one, text, done = null) {
  one.row.querySelector(".upload-said").textContent = text;
  const bar = one.row.querySelector("progress");
  if (done === null) bar.removeAttribute("value"); else bar.value = done;
}

document.addEventListener("change", async (event) => {
  const form = event.target.closest?.("form.camera");
  if (!form || event.target.type !== "file" || !event.target.files.length) return;
  const places = freePlaces(form);
  const files = [...event.target.files];
  event.target.value = "";
  for (const refused of list.querySelectorAll(".bad")) refused.remove();
  board.hidden = false;
  board.scrollIntoView({ block: "start" });
  for (const file of files) {
    const one = { file, place: places.shift(), form: { ...form.dataset }, token: form.querySelector("[name=csrfmiddlewaretoken]").value, state: "waits", row: row(file) };
    if (!one.place) { refuse(one, "There is no place left for it: one mark may have twelve photographs."); continue; }
    if (file.size > Number(form.dataset.most)) { refuse(one, `It is larger than ${Math.round(form.dataset.most / 2 ** 20)} MB. Choose a smaller one.`); continue; }
    tell(one, "waits for its turn", 0);
    queue.push(one);
  }
  work();
});

function refuse(one, says) {
  one.state = "refused";
  one.row.classList.add("bad");
  one.row.querySelector("progress").hidden = true;
  one.row.querySelector(".upload-said").textContent = `Not kept: ${says}`;
}

async function asked(address, options) {
  const answer = await fetch(address, { ...options, signal: AbortSignal.timeout(ANSWER_MS) });
  const told = answer.headers.get("content-type")?.includes("json") ? await answer.json() : {};
  if (answer.status >= 500) throw new Error(`answered ${answer.status}`);
  return { status: answer.status, told };
}

async function send(one) {
  one.upload ||= await nameOf(one.file, one.place);
  const address = `${one.form.upload}${one.upload}/`;
  const size = one.file.size;
  let { told } = await asked(address, {});
  let at = told.kept ? size : Math.min(told.here || 0, size);
  const step = Number(one.form.piece);
  for (;;) {
    const end = Math.min(at + step, size);
    if (end >= size) tell(one, "has arrived; being looked at …");
    else tell(one, at ? `${Math.floor((100 * at) / size)} in 100 arrived` : "sending …", (100 * at) / size);
    const query = new URLSearchParams({ at, of: size, place: one.place, step: one.form.step });
    const answer = await asked(`${address}?${query}`, {
      method: "POST", body: one.file.slice(at, end), headers: { "X-CSRFToken": one.token, "Content-Type": "application/octet-stream" },
    });
    told = answer.told;
    if (told.page) return told;
    if (answer.status >= 400) return { wrong: told.wrong || `The shop's computer would not take it (${answer.status}). Load the page again.` };
    at = told.here;
  }
}

async function work() {
  if (sending) return;
  sending = true;
  clearTimeout(timer);
  missing.hidden = true;
  for (let one; (one = queue.find((each) => each.state === "waits")); ) {
    try {
      const told = await send(one);
      failures = 0;
      if (told.wrong) { refuse(one, told.wrong); continue; }
      one.state = "kept";
      one.row.remove();
      show(told.page);
    } catch {
      sending = false;
      stopped();
      return;
    }
  }
  sending = false;
  board.hidden = !list.children.length;
}

function show(page) {
  step.innerHTML = page;
  window.htmx?.process(step);
  if (document.activeElement === document.body || !document.activeElement?.isConnected) document.getElementById("step-title")?.focus();
}

// The connection is gone: what arrived is there; the rest goes by itself as soon as the shop answers again, or by the button.
function stopped() {
  for (const one of queue.filter((each) => each.state === "waits")) tell(one, "the connection is gone; what arrived is kept", 0);
  missing.hidden = false;
  timer = setTimeout(work, WAITS_MS[Math.min(failures++, WAITS_MS.length - 1)]);
}

missing.addEventListener("click", work);
window.addEventListener("online", work);
window.addEventListener("beforeunload", (event) => {
  if (queue.some((one) => one.state === "waits")) event.preventDefault();
});
