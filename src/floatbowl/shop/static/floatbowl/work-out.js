// Keeps the page's address in step with what is typed, so that a reload or a link loses nothing, and marks wrong fields.
const form = document.getElementById("asks");

function keepAddress() {
  const typed = new URLSearchParams();
  for (const [name, text] of new FormData(form)) if (text.trim()) typed.set(name, text);
  history.replaceState(history.state, "", `${location.pathname}?${typed}`);
}

function markWrong() {
  for (const said of form.querySelectorAll(".wo-wrong")) {
    const field = form.querySelector(`[aria-describedby~="${said.id}"]`);
    if (said.textContent) field.setAttribute("aria-invalid", "true"); else field.removeAttribute("aria-invalid");
  }
}

form.addEventListener("input", keepAddress);
form.addEventListener("change", keepAddress);
document.addEventListener("htmx:afterSettle", markWrong);

// Parts of the answer that were opened stay open when it is renewed.
document.addEventListener("htmx:beforeSwap", (event) => {
  const open = [...document.querySelectorAll("#answer details[id][open]")].map((note) => note.id);
  document.addEventListener("htmx:afterSwap", () => open.forEach((id) => document.getElementById(id)?.setAttribute("open", "")), { once: true });
});
