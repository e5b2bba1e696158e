// A draft offer that was begun stays in this browser, lines and all, until the offer is made; the shop fills the page
// with it again, so that a reload or an empty battery loses nothing.
const BEFORE = "floatbowl offer ";
const draft = () => document.getElementById("draft");
const form = () => document.getElementById("offer-form");
const key = BEFORE + location.pathname;

function kept(name) {
  try { return JSON.parse(localStorage.getItem(name)); } catch { return null; }
}

const typedNow = () => [...new FormData(form())].filter(([name]) => name !== "csrfmiddlewaretoken");

function keep() {
  const typed = typedNow();
  localStorage.setItem(key, JSON.stringify({ sent: new Map(typed).get("sent"), typed, query: location.search }));
}

// Whether what was kept is newer than what the shop put on the page.
function isNewer(before) {
  if (before?.query !== location.search) return false;
  const typed = typedNow();
  const ofThisDraft = draft().hasAttribute("data-fresh") || before.sent === new Map(typed).get("sent");
  return ofThisDraft && (differ(before.typed, typed) || differ(typed.filter(([, text]) => text), before.typed));
}

// Whether a field of the one is not the same in the other; one that the other does not have and that is empty is no
// difference: the shop asked something more.
const differ = (one, other) => {
  const known = new Map(other);
  return one.some(([name, text]) => known.get(name) !== text);
};

function bringBack(typed) {
  const values = { do: "renew" };
  for (const [name, text] of typed) values[name] = text;
  htmx.ajax("POST", location.href, { target: "#draft", select: "#draft", swap: "outerHTML", values }).then(() => {
    document.getElementById("came-back").hidden = false;
  });
}

// An offer that was made: its draft has done its work.
const made = document.querySelector("[data-made]")?.dataset.made;
if (made) {
  for (const name of Object.keys(localStorage)) {
    if (name.startsWith(BEFORE) && kept(name)?.sent === made) localStorage.removeItem(name);
  }
}

if (form()) {
  document.addEventListener("input", (event) => { if (form().contains(event.target)) keep(); });
  document.addEventListener("change", (event) => { if (form().contains(event.target)) keep(); });
  document.addEventListener("htmx:afterSwap", (event) => { if (event.detail.target.id === "draft") keep(); });
  const before = kept(key);
  if (isNewer(before)) bringBack(before.typed);
  draft().querySelector("[aria-invalid=true]")?.focus();
  document.getElementById("start-afresh").addEventListener("click", () => {
    localStorage.removeItem(key);
    location.assign(location.pathname + location.search);
  });
}
