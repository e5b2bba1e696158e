// What was read, a box for each character. A touched box opens: its alternatives with their odds, another character, strike, add.
// Whatever a person changes is theirs, and is kept at once.
const form = document.getElementById("boxes-form");
const EYE = "eye";

if (form) {
  const holder = document.getElementById("boxes");
  const said = document.getElementById("boxes-said");
  const sent = document.getElementById("boxes-sent");
  const asRead = document.getElementById("use-as-read");
  const before = [];
  let boxes = JSON.parse(document.getElementById("boxes-data").textContent);
  let chosen = -1;
  let timer = null;

  const best = (box) => box.cell[0]?.[0] ?? "?";
  const face = (sign) => ({ "": "–", " ": "␣" })[sign] ?? sign;
  const spoken = (sign) => ({ "": "nothing", " ": "a gap", "?": "cannot be read" })[sign] ?? sign;
  // A place where the machine is sure that nothing stands counts in the weighing, but is no box to look at.
  const seen = (box) => box.by === EYE || box.cell[0]?.[0] !== "" || box.cell[0][1] < 0.9;
  const visible = () => boxes.map((_, place) => place).filter((place) => seen(boxes[place]));
  const number = (place) => visible().indexOf(place) + 1;
  const boxAt = (place) => holder.querySelector(`.box[data-place="${place}"]`);
  const beside = (place, by) => { const all = visible(); return all[Math.max(0, Math.min(all.length - 1, all.indexOf(place) + by))]; };
  const in100 = (chance) => (chance > 0.995 ? "more than 99" : chance < 0.01 ? "less than 1" : String(Math.round(chance * 100)));

  function change(next, at = chosen, focus = "box") {
    before.push(JSON.stringify(boxes));
    boxes = next;
    chosen = Math.min(at, boxes.length - 1);
    draw(focus);
    clearTimeout(timer);
    timer = setTimeout(keep, 250);
  }
  const theirs = (cell, old = null) => ({ cell, by: EYE, was: old?.by === EYE ? old.was || [] : old?.cell || [] });
  const put = (place, sign) => change(boxes.map((box, n) => (n === place ? theirs(sign === "?" ? [] : [[sign, 1]], box) : box)));
  const back = (place) => change(boxes.map((box, n) => (n === place ? { cell: box.was, by: "machine" } : box)));
  const strike = (place) => change(boxes.filter((_, n) => n !== place), Math.max(0, place - 1));
  const add = (place) => change([...boxes.slice(0, place), theirs([]), ...boxes.slice(place)], place, "other");

  async function keep() {
    clearTimeout(timer);
    timer = null;
    try {
      const answer = await fetch(form.dataset.keep, { method: "POST", body: new FormData(form) });
      const told = answer.headers.get("content-type")?.includes("json") ? await answer.json() : {};
      said.classList.toggle("error", !answer.ok);
      said.textContent = answer.ok ? `Kept: ${told.text || "no character"}` : `Not kept: ${told.wrong || "the shop's computer would not take it."}`;
    } catch {
      said.classList.add("error");
      said.textContent = "Not kept: the shop's computer did not answer. It is tried again.";
      timer = setTimeout(keep, 3000);
    }
  }

  function button(text, className, act) {
    const made = document.createElement("button");
    made.type = "button";
    made.className = className;
    made.textContent = text;
    made.addEventListener("click", act);
    return made;
  }

  function chooser(place) {
    const box = boxes[place];
    const panel = document.createElement("div");
    panel.className = "choose";
    const title = document.createElement("p");
    title.textContent = `Character ${number(place)}`;
    panel.append(title);
    const own = box.by === EYE;
    const known = (own ? box.was || [] : box.cell).filter(([, chance], n) => n < 6 && (n < 2 || chance >= 0.01)).map(([sign, chance]) => [sign, `${in100(chance)} in 100`]);
    if (own && box.cell.length && !known.some(([sign]) => sign === best(box))) known.unshift([best(box), "yours"]);
    for (const [sign, odds] of known) {
      const made = button({ "": "nothing stands here", " ": "a gap" }[sign] ?? sign, "plain-button alternative", () => put(place, sign));
      const small = document.createElement("small");
      small.textContent = odds;
      made.append(small);
      made.setAttribute("aria-pressed", String(own && sign === best(box)));
      panel.append(made);
    }
    const label = document.createElement("label");
    label.className = "other";
    label.textContent = "another ";
    const other = document.createElement("input");
    Object.assign(other, { maxLength: 1, autocomplete: "off", autocapitalize: "characters", spellcheck: false, className: "number" });
    other.addEventListener("input", () => { const sign = other.value.trim().toUpperCase(); if (sign) put(place, sign); });
    label.append(other);
    panel.append(
      label,
      button("cannot read", "plain-button", () => put(place, "?")),
      ...(own && box.was?.length ? [button("as the machine read it", "plain-button", () => back(place))] : []),
      button("strike it out", "plain-button", () => strike(place)),
      button("add one before", "plain-button", () => add(place)),
      button("add one after", "plain-button", () => add(place + 1)),
      button("Done", "plain-button", () => { const at = chosen; chosen = -1; draw("box", at); }),
    );
    panel.addEventListener("keydown", (event) => { if (event.key === "Escape") { const at = chosen; chosen = -1; draw("box", at); } });
    return panel;
  }

  function keys(event, place) {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    const by = { ArrowLeft: -1, ArrowRight: 1, Home: -boxes.length, End: boxes.length }[event.key];
    if (by !== undefined) { event.preventDefault(); boxAt(beside(place, by))?.focus(); return; }
    if (event.key === "Delete" || event.key === "Backspace") {
      event.preventDefault();
      const before = visible().filter((each) => each < place).pop();
      chosen = -1;
      strike(place);
      chosen = -1;
      draw("box", before ?? visible()[0] ?? -1);
      return;
    }
    if (event.key.length === 1 && event.key !== " ") {
      event.preventDefault();
      chosen = -1;
      put(place, event.key.toUpperCase());
      chosen = -1;
      draw("box", beside(place, 1));
    }
  }

  function draw(focus = null, at = chosen) {
    holder.replaceChildren();
    for (const place of visible()) {
      const box = boxes[place];
      const chance = box.cell[0]?.[1] ?? 0;
      const doubt = box.by !== EYE && chance < 0.9;
      const made = button(face(best(box)), `box${box.by === EYE ? " own" : ""}${doubt ? " doubt" : ""}`, () => { chosen = chosen === place ? -1 : place; draw(chosen < 0 ? "box" : "panel", place); });
      const odds = document.createElement("small");
      odds.textContent = box.by === EYE ? "yours" : in100(chance).replace("more than ", ">").replace("less than ", "<");
      made.append(odds);
      made.setAttribute("aria-expanded", String(chosen === place));
      made.dataset.place = place;
      made.setAttribute("aria-label", `Character ${number(place)}: ${spoken(best(box))}, ${box.by === EYE ? "yours" : `${in100(chance)} in 100`}`);
      made.addEventListener("keydown", (event) => keys(event, place));
      holder.append(made);
    }
    const tools = document.createElement("div");
    tools.className = "box-tools";
    if (chosen < 0) tools.append(button(boxes.length ? "Add a character at the end" : "Add the first character", "plain-button", () => add(boxes.length)));
    const undo = button("Undo", "plain-button", () => { boxes = JSON.parse(before.pop()); chosen = -1; draw("undo"); clearTimeout(timer); timer = setTimeout(keep, 250); });
    undo.disabled = !before.length;
    tools.append(undo);
    if (chosen >= 0) holder.append(chooser(chosen));
    holder.append(tools);
    sent.value = JSON.stringify(boxes);
    if (asRead) asRead.hidden = boxes.some((box) => box.by === EYE) || !boxes.length;
    if (focus === "box") (boxAt(at) || holder.querySelector(".box") || holder.querySelector("button"))?.focus();
    if (focus === "panel") holder.querySelector(".choose button")?.focus();
    if (focus === "other") holder.querySelector(".choose input")?.focus();
    if (focus === "undo") (undo.disabled ? holder.querySelector(".box, button") : undo)?.focus();
  }

  form.addEventListener("change", (event) => { if (event.target.type === "radio") keep(); });
  window.addEventListener("pagehide", () => { if (timer) navigator.sendBeacon(form.dataset.keep, new FormData(form)); });
  draw();
}
