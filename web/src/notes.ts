// Notes pinned to seconds: written at the bead, changed and taken away where they stand. The list comes from the server.

import type { Cursor } from "./cursor";
import { maybe, one, say } from "./dom";
import { ask, Refused } from "./http";

export function startNotes(cursor: Cursor): void {
  const area = maybe("#noting", HTMLElement);
  if (area === null) return;
  const list = one("#notes", HTMLElement, area);
  const trouble = one(".trouble", HTMLElement, area);
  const form = one("form.note-form", HTMLFormElement, area);
  const exercise = `exercise=${area.dataset["exercise"] ?? "1"}`;
  const pin = one(".pin span", HTMLElement, form);
  const time = (): number => cursor.flight.time_s[cursor.store.index] ?? 0;
  const sayPin = (): void => {
    const at = Math.round(time() - cursor.flight.zero_s);
    pin.textContent = `Pinned to the bead’s second, ${String(at).replace("-", "−")} s`;
  };
  cursor.store.listen(sayPin);
  sayPin();

  async function change(address: string, method: string, body?: unknown): Promise<boolean> {
    say(trouble, []);
    try {
      const sent = body === undefined ? {} : { headers: { "content-type": "application/json" }, body: JSON.stringify(body) };
      const response = await ask(address, { method, ...sent });
      const answer = (await response.json()) as { readonly fragments: Readonly<Record<string, string>> };
      list.innerHTML = answer.fragments["notes"] ?? "";
      return true;
    } catch (fault) {
      if (!(fault instanceof Refused)) throw fault;
      say(trouble, fault.lines.map((line) => line.sentence));
      return false;
    }
  }

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const pinned = one("input[name=pinned]", HTMLInputElement, form).checked;
    const note = { ...said(form), time_s: pinned ? time() : null };
    void change(`${area.dataset["send"] ?? ""}?${exercise}`, "POST", note).then((done) => {
      if (done) one("textarea", HTMLTextAreaElement, form).value = "";
    });
  });
  list.addEventListener("submit", (event) => {
    event.preventDefault();
    if (!(event.target instanceof HTMLFormElement)) return;
    const note = noteOf(event.target);
    void change(`/api/notes/${note.key}?${exercise}`, "PUT", { ...said(event.target), version: note.version });
  });
  list.addEventListener("click", (event) => {
    const button = event.target instanceof Element ? event.target.closest("button.take") : null;
    if (button === null) return;
    const note = noteOf(button);
    void change(`/api/notes/${note.key}?version=${String(note.version)}&${exercise}`, "DELETE");
  });
}

function said(form: HTMLFormElement): { readonly text: string; readonly is_private: boolean } {
  const data = new FormData(form);
  return { text: String(data.get("text") ?? "").trim(), is_private: data.get("readers") !== "trainee" };
}

function noteOf(inside: Element): { readonly key: string; readonly version: number } {
  const row = inside.closest<HTMLElement>("[data-note]");
  return { key: row?.dataset["note"] ?? "", version: Number(row?.dataset["version"] ?? 0) };
}
