// What every page needs: saying when something was not kept, and leaving opened notes open when a piece is renewed.
const trouble = document.getElementById("trouble");

function say(text) {
  trouble.textContent = text;
  trouble.hidden = !text;
}

document.addEventListener("htmx:sendError", () =>
  say("Not kept: the shop's computer did not answer. What you typed still stands here; try again."));
document.addEventListener("htmx:responseError", (event) =>
  say(`Not kept: something went wrong in the shop's computer (${event.detail.xhr.status}). What you typed still stands here; try again.`));
// Only what was kept takes the word back: a standing that is renewed meanwhile says nothing about what was lost.
document.addEventListener("htmx:afterRequest", (event) => {
  if (event.detail.successful && event.detail.requestConfig?.verb !== "get") say("");
});

const opened = new Set();
document.addEventListener("toggle", (event) => {
  const note = event.target;
  if (note.tagName !== "DETAILS" || !note.id) return;
  if (note.open) opened.add(note.id); else if (note.isConnected) opened.delete(note.id);
}, true);
document.addEventListener("htmx:oobBeforeSwap", (event) => {
  for (const note of event.detail.fragment.querySelectorAll("details[id]")) if (opened.has(note.id)) note.open = true;
});

// Alt with the letter shown beside a field goes to that field, or presses that button, on every system alike.
document.addEventListener("keydown", (event) => {
  if (!event.altKey || event.ctrlKey || event.metaKey || !/^Key[A-Z]$/.test(event.code)) return;
  const at = document.querySelector(`[data-alt="${event.code.slice(3).toLowerCase()}"]`);
  if (!at) return;
  event.preventDefault();
  const note = at.closest("details");
  if (note) note.open = true;
  at.focus();
  if (at.matches("a, button, [type=checkbox]")) at.click();
});
