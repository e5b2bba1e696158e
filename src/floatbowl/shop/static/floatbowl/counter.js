// The Counter by keyboard: number keys answer the question while the focus is in it; the focus follows the work.
const typing = (el) => el?.matches("input:not([type=radio]):not([type=checkbox]), textarea, select");
const byId = (id) => document.getElementById(id);

document.addEventListener("keydown", (event) => {
  if (event.altKey || event.ctrlKey || event.metaKey) return;
  const ask = byId("ask");
  const here = document.activeElement;
  if (event.key === "Escape" && typing(here) && here.getAttribute("aria-expanded") !== "true" && !event.defaultPrevented) { byId("ask-question")?.focus(); return; }
  if (!ask?.contains(here) || typing(here)) return;
  const answer = ask.querySelector(`[data-key="${CSS.escape(event.key.toLowerCase())}"]`);
  if (answer) { event.preventDefault(); answer.click(); return; }
  if (/^[0-9]$/.test(event.key)) byId("ask-value")?.focus();
});

document.addEventListener("click", (event) => {
  const at = event.target.closest?.("[data-focus], [data-fill], [data-focus-field]");
  if (!at) return;
  if (at.dataset.focusField) {
    const [name, value] = (at.dataset.check || "").split("=");
    const radio = document.querySelector(`input[name="${name}"][value="${CSS.escape(value || "")}"]`);
    if (radio) radio.checked = true;
    byId(at.dataset.focusField)?.focus();
  } else if (at.dataset.fill) {
    const field = byId(at.dataset.fill);
    field.value = at.dataset.value;
    field.dispatchEvent(new Event("change", { bubbles: true }));
    field.focus();
  } else at.focus();
});

// A tick that stays as it was last set, on this browser.
function dressKept(root) {
  for (const tick of root.querySelectorAll("[data-keep]")) {
    const key = `floatbowl keep ${tick.dataset.keep}`;
    const was = localStorage.getItem(key);
    if (was !== null) tick.checked = was === "yes";
    tick.addEventListener("change", () => localStorage.setItem(key, tick.checked ? "yes" : "no"));
  }
}
dressKept(document);
document.addEventListener("htmx:load", (event) => dressKept(event.target));

// After a piece was renewed: to the field that is wrong, else to the next question, else where the focus was.
document.addEventListener("htmx:afterRequest", (event) => {
  const { elt, xhr, requestConfig } = event.detail;
  if (document.activeElement && document.activeElement !== document.body) return;
  const wrong = document.querySelector("[aria-invalid=true]");
  const path = requestConfig?.path || "";
  if (xhr?.status >= 400 && wrong) wrong.focus();
  else if (path.includes("/reading/") && elt.closest?.("a")) byId("reading-text")?.focus();
  else if (path.includes("/ask/") && byId("ask-value")) byId("ask-value").focus();
  else if (path.includes("/reading/")) byId("reading-text")?.focus();
  else byId("ask-question")?.focus();
});

if (document.activeElement === document.body && !location.hash) byId("ask-question")?.focus({ preventScroll: true });
