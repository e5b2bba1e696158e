// A text box that finds as you type. Arrow keys walk, Enter takes, Escape closes; a tap takes too.
let count = 0;

function dress(box) {
  if (box.dataset.dressed) return;
  box.dataset.dressed = "yes";
  const list = document.createElement("ul");
  list.id = `combo-${++count}`;
  list.setAttribute("role", "listbox");
  list.setAttribute("aria-label", box.labels?.[0]?.firstChild?.textContent.trim() || "Found");
  list.hidden = true;
  const frame = document.createElement("div");
  frame.className = "combo";
  box.replaceWith(frame);
  frame.append(box, list);
  for (const [name, value] of Object.entries({ role: "combobox", "aria-expanded": "false", "aria-controls": list.id, "aria-autocomplete": "list" })) box.setAttribute(name, value);

  let asked = null;
  const options = () => [...list.querySelectorAll("[role=option]:not([aria-disabled])")];
  const current = () => list.querySelector("[aria-selected=true]");

  function open(yes) {
    list.hidden = !yes;
    box.setAttribute("aria-expanded", String(yes));
    if (!yes) mark(null);
  }
  function mark(option) {
    current()?.setAttribute("aria-selected", "false");
    if (!option) return box.removeAttribute("aria-activedescendant");
    option.setAttribute("aria-selected", "true");
    option.scrollIntoView({ block: "nearest" });
    box.setAttribute("aria-activedescendant", option.id);
  }
  async function find() {
    asked?.abort();
    const words = box.value.trim();
    if (!words) return open(false);
    asked = new AbortController();
    try {
      const answer = await fetch(`${box.dataset.combobox}?q=${encodeURIComponent(words)}`, { signal: asked.signal });
      if (!answer.ok) return open(false);
      const chosen = current()?.dataset.value;
      list.innerHTML = await answer.text();
      options().forEach((option, place) => { option.id = `${list.id}-${place}`; });
      open(document.activeElement === box);
      if (chosen) mark(options().find((option) => option.dataset.value === chosen));
    } catch { /* a newer key asked again, or the shop does not answer: the typed words stay as they are */ }
  }
  function take(option) {
    open(false);
    asked?.abort();
    if (box.dataset.comboboxSends) {
      box.form.elements.namedItem(box.dataset.comboboxSends).value = option.dataset.value;
      box.form.requestSubmit();
      return;
    }
    box.value = option.dataset.value;
    box.dispatchEvent(new Event("input", { bubbles: true }));
    asked?.abort();
    box.dispatchEvent(new Event("change", { bubbles: true }));
    open(false);
  }

  box.addEventListener("input", (event) => { if (event.isTrusted) find(); });
  box.addEventListener("focus", () => { if (options().length && box.value && box.dataset.comboboxSends) open(true); });
  box.addEventListener("blur", () => setTimeout(() => open(false), 150));
  box.addEventListener("keydown", (event) => {
    const all = options();
    if (event.key === "Escape" && !list.hidden) { open(false); event.preventDefault(); return; }
    if (event.key === "ArrowDown" || event.key === "ArrowUp") {
      event.preventDefault();
      if (list.hidden) { find().then(() => mark(options()[0])); return; }
      const step = event.key === "ArrowDown" ? 1 : -1;
      const next = all.indexOf(current()) + step;
      mark(all[(next + all.length) % all.length]);
      return;
    }
    if (event.key === "Enter" && !list.hidden && current()) { take(current()); event.preventDefault(); return; }
    if (event.key === "Enter" && box.dataset.comboboxSends) { if (all[0]) take(all[0]); event.preventDefault(); }
  });
  list.addEventListener("pointerdown", (event) => event.preventDefault());
  list.addEventListener("click", (event) => {
    const option = event.target.closest("[role=option]:not([aria-disabled])");
    if (option) { take(option); box.focus(); }
  });
}

const dressAll = (root) => root.querySelectorAll("[data-combobox]").forEach(dress);
dressAll(document);
document.addEventListener("htmx:load", (event) => dressAll(event.target));
