// Two forms that are sent as JSON and lead to the page that comes of them: a new exercise, and the text of a file.
// Faults are said at their fields; nothing that was typed is lost, a reload included.

import type { Kept, View } from "./api";
import { all, maybe, one, say, telling } from "./dom";
import { ask, type ProblemLine, Refused } from "./http";
import { forget, keep, keptOf } from "./kept";

export function startForms(): void {
  startFirstCard();
  startFileText();
}

function startFirstCard(): void {
  const form = maybe("#first-card", HTMLFormElement);
  if (form === null) return;
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const values = Object.fromEntries([...new FormData(form).entries()].map(([key, value]) => [key, String(value)]));
    void send(form, "/api/exercises", { values }, "Planning the exercise.");
  });
  const before = keptOf(form);
  fill(form, before);
  const found = startAirfields(form);
  if ((before["airfield-text"] ?? "") !== "") void found().then(() => fill(form, before));
  for (const name of ["input", "change"]) form.addEventListener(name, () => keep(form, written(form)));
  for (const kept of all("[data-kept]", HTMLFieldSetElement, form)) {
    const show = (): void => {
      const chosen = kept.querySelector<HTMLInputElement>("input:checked")?.value ?? "";
      const typed = kept.parentElement?.querySelector<HTMLElement>(".typed");
      if (typed !== null && typed !== undefined) typed.hidden = chosen !== "";
    };
    kept.addEventListener("change", show);
    show();
  }
}

/** What stands in the fields of a form, by name or id; of the choices, the chosen one. */
function written(form: HTMLFormElement): Record<string, string> {
  const values: Record<string, string> = {};
  for (const input of all("input", HTMLInputElement, form)) {
    if (input.type !== "radio") values[input.id] = input.value;
    else if (input.checked) values[input.name] = input.value;
  }
  return values;
}

function fill(form: HTMLFormElement, values: Readonly<Record<string, string>>): void {
  for (const input of all("input", HTMLInputElement, form)) {
    const value = values[input.type === "radio" ? input.name : input.id];
    if (value === undefined) continue;
    // an end of the runway table is not on the page before it is looked up again: until then it is "another one"
    const isMeant = input.value === value || (input.value === "" && value.startsWith("table:"));
    if (input.type === "radio") input.checked ||= isMeant;
    else input.value = value;
    const details = input.closest("details");
    if (details !== null && input.type !== "radio" && value !== "") details.open = true;
  }
}

/** Starts the search of the runway table; gives the search itself. */
function startAirfields(form: HTMLFormElement): () => Promise<void> {
  const text = one("#airfield-text", HTMLInputElement, form);
  const place = one("#airfield-found", HTMLElement, form);
  const progress = one("#airfield-progress", HTMLElement, form);
  const find = async (): Promise<void> => {
    if (text.value.trim() === "") return;
    try {
      const query = new URLSearchParams({ text: text.value.trim() });
      const response = await telling(progress, "Looking it up.", ask(`/api/airfields?${query.toString()}`));
      const found = (await response.json()) as View;
      place.innerHTML = found.fragments["airfield-found"] ?? "";
    } catch (fault) {
      if (!(fault instanceof Refused)) throw fault;
      say(place, fault.lines.map((line) => line.sentence));
    }
  };
  one("#airfield-find", HTMLButtonElement, form).addEventListener("click", () => void find());
  text.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault();
    void find();
  });
  return find;
}

function startFileText(): void {
  const form = maybe("#file-text", HTMLFormElement);
  if (form === null) return;
  const area = one("#text", HTMLTextAreaElement, form);
  const seen = form.dataset["seen"] ?? "";
  const before = keptOf(form);
  if (before["seen"] === seen && before["text"] !== undefined && before["text"] !== area.value) {
    area.value = before["text"];
    one("#progress", HTMLElement, form).textContent = "What was written here before is here again; it is not kept yet.";
  }
  area.addEventListener("input", () => keep(form, { seen, text: area.value }));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const body = { text: area.value, seen: Number(seen) };
    void send(form, form.dataset["send"] ?? "", body, "Keeping it.");
  });
}

async function send(form: HTMLFormElement, address: string, body: unknown, words: string): Promise<void> {
  const trouble = one("#trouble", HTMLElement, form);
  const progress = one("#progress", HTMLElement, form);
  explain(form, trouble, []);
  try {
    const work = ask(address, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify(body),
    });
    const response = await telling(progress, words, work);
    forget(form);
    window.location.assign(((await response.json()) as Kept).href);
  } catch (fault) {
    if (!(fault instanceof Refused)) throw fault;
    explain(form, trouble, fault.lines);
  }
}

/** A sentence below the field it belongs to, and the first such field in focus; the rest stands above the button. */
function explain(form: HTMLFormElement, trouble: HTMLElement, lines: readonly ProblemLine[]): void {
  for (const note of all(".field-fault", HTMLElement, form)) note.remove();
  for (const input of all("input", HTMLInputElement, form)) input.removeAttribute("aria-invalid");
  const elsewhere: string[] = [];
  let first: HTMLInputElement | null = null;
  for (const line of lines) {
    const input = all("input", HTMLInputElement, form).find((each) => each.id !== "" && each.id === line.place);
    if (input === undefined) {
      elsewhere.push(line.sentence);
      continue;
    }
    const note = document.createElement("p");
    note.className = "field-fault";
    note.id = `${input.id}-fault`;
    note.textContent = line.sentence;
    input.closest("details")?.setAttribute("open", "");
    input.parentElement?.append(note);
    input.setAttribute("aria-invalid", "true");
    input.setAttribute("aria-describedby", note.id);
    first ??= input;
  }
  say(trouble, elsewhere);
  first?.focus();
}
