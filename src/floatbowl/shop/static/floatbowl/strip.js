// Each character of a reading as a square to tap: sure, one of these, nobody can read it, some lost after it.
// It writes the same text a person may type: K3?/11[83].
const LOOKALIKES = ["B83", "8B3", "38B", "G6C", "6G8", "CG", "S5", "5S6", "17I", "71", "I1L", "L1I", "O0DQ", "0OD", "DO0", "QO", "RKP", "KRX", "PRB", "2Z", "Z2", "4A", "A4", "96", "UV", "VUY", "YV", "MN", "NM", "EF", "FE", "WV", "XK", "TI7", "HN", "J1"];
const alike = (sign) => [...(LOOKALIKES.find((row) => row[0] === sign.toUpperCase()) || "").slice(1)];
const SPECIAL = "?[]*\\";

export function parse(text) {
  const signs = [];
  for (let at = 0; at < text.length; at++) {
    const c = text[at];
    if (c === "\\" && at + 1 < text.length) signs.push({ is: "sure", of: [text[++at]] });
    else if (c === "?") signs.push({ is: "unread", of: [] });
    else if (c === "*") signs.push({ is: "lost", of: [] });
    else if (c === "[" && text.indexOf("]", at) > at) {
      const end = text.indexOf("]", at);
      signs.push({ is: "one of", of: [...text.slice(at + 1, end)] });
      at = end;
    } else if (c === "{" && text.indexOf("}", at) > at) {
      const end = text.indexOf("}", at);
      signs.push({ is: "device", of: [text.slice(at, end + 1)] });
      at = end;
    } else signs.push({ is: "sure", of: [c] });
  }
  return signs;
}

const escaped = (c) => (SPECIAL.includes(c) ? `\\${c}` : c);
export function write(signs) {
  return signs.map(({ is, of }) => ({
    "sure": () => escaped(of[0]), "device": () => of[0], "unread": () => "?", "lost": () => "*", "one of": () => `[${of.join("")}]`,
  })[is]()).join("");
}

const SAYS = { "sure": "sure", "device": "device", "unread": "cannot read", "lost": "some lost", "one of": "or" };
const face = ({ is, of }) => (is === "unread" ? "?" : is === "lost" ? "…" : of.join(is === "one of" ? "/" : ""));

function button(text, className, act) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = className;
  made.textContent = text;
  made.addEventListener("click", act);
  return made;
}

function dress(box) {
  const strip = document.getElementById(box.dataset.strip);
  if (!strip || strip.dataset.dressed) return;
  strip.dataset.dressed = "yes";
  let chosen = -1;

  function put(signs, focusOn = null) {
    box.value = write(signs);
    box.dispatchEvent(new Event("input", { bubbles: true }));
    draw(focusOn);
  }

  function chooser(signs) {
    const sign = signs[chosen];
    const panel = document.createElement("div");
    panel.className = "choose";
    const change = (is, of) => { signs[chosen] = { ...sign, is, of }; put(signs, "choose"); };
    const title = document.createElement("p");
    title.textContent = sign.is === "lost" ? "Some characters are lost here" : `Character ${chosen + 1}: how sure?`;
    panel.append(title);
    const first = sign.first || sign.of[0] || "";
    const press = (made, yes) => { made.setAttribute("aria-pressed", String(yes)); panel.append(made); };
    if (first) press(button(`sure: ${first}`, "plain-button", () => change("sure", [first])), sign.is === "sure");
    const others = first ? [...new Set([...sign.of.slice(1), ...alike(first)])] : [];
    for (const other of others) {
      const on = sign.is === "one of" && sign.of.includes(other);
      const of = on ? sign.of.filter((c) => c !== other) : [...new Set([first, ...sign.of, other])];
      press(button(`or ${other}`, "plain-button", () => change(of.length > 1 ? "one of" : "sure", of)), on);
    }
    if (sign.is !== "lost") press(button("cannot read", "plain-button", () => change("unread", [])), sign.is === "unread");
    const lostAfter = signs[chosen + 1]?.is === "lost" || sign.is === "lost";
    press(button("some lost after it", "plain-button", () => {
      if (sign.is === "lost") signs.splice(chosen--, 1);
      else if (lostAfter) signs.splice(chosen + 1, 1);
      else signs.splice(chosen + 1, 0, { is: "lost", of: [] });
      put(signs, "choose");
    }), lostAfter);
    panel.append(button("Done", "plain-button", () => { const at = chosen; chosen = -1; draw(at); }));
    panel.addEventListener("keydown", (event) => {
      if (event.key === "Escape") { const at = chosen; chosen = -1; draw(at); }
    });
    return panel;
  }

  function draw(focusOn = null) {
    const pressed = strip.querySelector(".choose") && document.activeElement?.textContent;
    const signs = parse(box.value.trim());
    if (chosen >= signs.length) chosen = -1;
    strip.replaceChildren();
    strip.hidden = !signs.length;
    signs.forEach((sign, place) => {
      const made = button(face(sign), `sign${sign.is === "sure" || sign.is === "device" ? "" : " doubt"}`, () => {
        chosen = chosen === place ? -1 : place;
        draw(chosen === -1 ? place : "choose");
      });
      const note = document.createElement("small");
      note.textContent = sign.is === "one of" ? "one of" : SAYS[sign.is];
      made.append(note);
      made.setAttribute("aria-expanded", String(chosen === place));
      made.setAttribute("aria-label", `Character ${place + 1}, ${face(sign)}: ${note.textContent}`);
      strip.append(made);
    });
    if (chosen >= 0) strip.append(chooser(signs));
    if (focusOn === "choose") ([...strip.querySelectorAll(".choose button")].find((b) => b.textContent === pressed) || strip.querySelector(".choose button"))?.focus();
    else if (focusOn !== null) strip.querySelectorAll(".sign")[focusOn]?.focus();
  }

  box.addEventListener("input", (event) => { if (event.isTrusted) { chosen = -1; draw(); } });
  box.form.addEventListener("reset", () => draw());
  draw();
}

const dressAll = (root) => root.querySelectorAll("[data-strip]").forEach(dress);
dressAll(document);
document.addEventListener("htmx:load", (event) => dressAll(event.target));
