// Keeps what is half typed in this browser until the shop has it, and puts it back after a reload.
const TEXT = "input:not([type=hidden]):not([type=radio]):not([type=checkbox]), textarea";
const SENT = "floatbowl sent";

const keyOf = (form, page = location.pathname) => `floatbowl draft ${page} ${form.dataset.drafts}`;

function read(key) {
  try { return JSON.parse(localStorage.getItem(key)) || {}; } catch { return {}; }
}

function keep(form) {
  const typed = {};
  for (const field of form.querySelectorAll(TEXT)) {
    if (field.name && field.value !== field.defaultValue) typed[field.name] = field.value;
  }
  if (Object.keys(typed).length) localStorage.setItem(keyOf(form), JSON.stringify(typed));
  else localStorage.removeItem(keyOf(form));
}

function restore(form) {
  const typed = read(keyOf(form));
  for (const [name, value] of Object.entries(typed)) {
    const field = [...form.querySelectorAll(TEXT)].find((one) => one.name === name);
    if (!field || field.value === value || field.getAttribute("aria-invalid")) continue;
    field.value = value;
    field.dispatchEvent(new Event("input", { bubbles: true }));
    field.dispatchEvent(new Event("change", { bubbles: true }));
  }
}

const forget = (form) => localStorage.removeItem(keyOf(form));
const formsIn = (root) => root.querySelectorAll("form[data-drafts]");

document.addEventListener("input", (event) => {
  const form = event.target.closest?.("form[data-drafts]");
  if (form) keep(form);
});

// A form that opens another page: its draft goes once that page has come from here.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.dataset.drafts && !form.hasAttribute("hx-post")) {
    sessionStorage.setItem(SENT, JSON.stringify({ key: keyOf(form), page: location.pathname, name: form.dataset.drafts }));
  }
});

// A form whose answer comes into this page: its draft goes when the shop says it has it, before the piece is renewed.
document.addEventListener("htmx:beforeOnLoad", (event) => {
  const form = event.detail.elt.closest?.("form[data-drafts]");
  const kept = event.detail.requestConfig?.verb === "post" && event.detail.xhr.status < 300;
  if (!form || !kept || event.detail.elt !== form) return;
  forget(form);
  for (const field of form.querySelectorAll(TEXT)) field.defaultValue = field.value;
});

function dropSent() {
  const sent = JSON.parse(sessionStorage.getItem(SENT) || "null");
  if (!sent) return;
  sessionStorage.removeItem(SENT);
  const camesFromThere = document.referrer && new URL(document.referrer).pathname === sent.page;
  const stillHere = location.pathname === sent.page && document.querySelector(`form[data-drafts="${sent.name}"]`);
  const wasTaken = document.querySelector(".message.success");  // A page that comes back to itself.
  if (camesFromThere && (!stillHere || wasTaken)) localStorage.removeItem(sent.key);
}

dropSent();
formsIn(document).forEach(restore);
document.addEventListener("htmx:load", (event) => formsIn(event.target).forEach(restore));
