// The exercise page: a field changes, the server plans again, the drawing follows. The address keeps the values.

import { all, maybe, one, say, telling } from "./dom";
import { startDrag } from "./drag";
import { ask, type ProblemLine, Refused } from "./http";
import { startKeeping } from "./keeping";
import { remember } from "./unkept";

/** The answer of /api/exercise/view: pieces of the page by the id they replace, and the fields as they now read. */
interface View {
  readonly fragments: Readonly<Record<string, string>>;
  readonly fields: Readonly<Record<string, string>>;
  readonly title: string;
}

type Control = HTMLInputElement | HTMLSelectElement;

const PAUSE_MS = 350;

export function startExercise(): void {
  const form = maybe("#fields", HTMLFormElement);
  if (form !== null) new ExercisePage(form).start();
}

class ExercisePage {
  private readonly inputs: readonly Control[];
  private readonly sheet = one("#sheet", HTMLElement);
  private readonly stale = one("#stale", HTMLElement);
  private readonly progress = one("#progress", HTMLElement);
  private readonly trouble = one("#trouble", HTMLElement);
  private readonly differs = one("#differs", HTMLElement);
  private running: AbortController | null = null;
  private timer = 0;
  /** What the drawing now shows, as a query. */
  private drawn: string;

  constructor(private readonly form: HTMLFormElement) {
    this.inputs = [...all("input", HTMLInputElement, form), ...all("select", HTMLSelectElement, form)];
    this.drawn = this.query();
    remember(this.drawn);
  }

  start(): void {
    this.form.addEventListener("submit", (event) => {
      event.preventDefault();
      void this.settle();
    });
    for (const input of this.inputs) {
      input.addEventListener("input", () => this.soon());
      input.addEventListener("change", () => void this.settle());
      input.addEventListener("keydown", (event) => {
        if (event instanceof KeyboardEvent && event.key === "Escape") this.restore(input);
      });
    }
    one("#give-back", HTMLButtonElement).addEventListener("click", () => void this.giveBack());
    startKeeping(this.form, () => this.query(), this.progress, this.trouble);
    window.addEventListener("popstate", () => this.readAddress());
    startDrag({
      query: () => this.query(),
      put: (values) => this.put(values),
      value: (field) => this.inputs.find((input) => input.name === field)?.value ?? "",
      rest: () => this.settle(true),
    });
  }

  private put(values: Readonly<Record<string, string>>): void {
    for (const input of this.inputs) input.value = values[input.name] ?? input.value;
  }

  /** Only what differs from the exercise file stands in the address. */
  private query(): string {
    const query = new URLSearchParams();
    for (const input of this.inputs) {
      if (input.value.trim() !== input.dataset["own"]) query.set(input.name, input.value.trim());
    }
    return query.toString();
  }

  /** Everything as it is kept; the way back in the browser brings the values again. */
  private async giveBack(): Promise<void> {
    for (const input of this.inputs) input.value = input.dataset["own"] ?? "";
    await this.settle();
  }

  private restore(input: Control): void {
    input.value = new URLSearchParams(this.drawn).get(input.name) ?? input.dataset["own"] ?? "";
    void this.settle();
  }

  private readAddress(): void {
    const query = new URLSearchParams(window.location.search);
    for (const input of this.inputs) input.value = query.get(input.name) ?? input.dataset["own"] ?? "";
    void this.replan(true);
  }

  /** While somebody types: plan when the hand rests, and keep quiet about half-typed values. */
  private soon(): void {
    window.clearTimeout(this.timer);
    this.timer = window.setTimeout(() => void this.replan(false), PAUSE_MS);
  }

  /** A value was finished: it belongs into the address, and a fault in it is said. */
  private async settle(isRedrawn = false): Promise<void> {
    window.clearTimeout(this.timer);
    const query = this.query();
    const address = `${window.location.pathname}${query === "" ? "" : `?${query}`}${window.location.hash}`;
    if (`?${query}` !== window.location.search && !(query === "" && window.location.search === "")) {
      window.history.pushState(null, "", address);
    }
    await this.replan(true, isRedrawn);
  }

  /** `isRedrawn`: the drawing is no longer that of `drawn`, because a gate was dragged. */
  private async replan(isFinished: boolean, isRedrawn = false): Promise<void> {
    const query = this.query();
    this.differs.hidden = query === "";
    remember(query);
    this.running?.abort();
    if (query === this.drawn && !isRedrawn) {
      this.fresh();
      return;
    }
    const running = new AbortController();
    this.running = running;
    this.markStale();
    try {
      const work = ask(`${this.form.dataset["api"] ?? ""}/view?${query}`, { signal: running.signal });
      const response = await telling(this.progress, "Planning again.", work);
      const view = (await response.json()) as View;
      if (!running.signal.aborted) this.show(view, query);
    } catch (fault) {
      if (running.signal.aborted) return;
      if (!(fault instanceof Refused)) throw fault;
      if (isFinished) this.explain(fault.lines);
    }
  }

  private show(view: View, query: string): void {
    for (const [id, html] of Object.entries(view.fragments)) one(`#${id}`, Element).innerHTML = html;
    document.title = view.title;
    this.drawn = query;
    this.fresh();
    for (const link of all("a[data-keeps-query]", HTMLAnchorElement)) {
      link.search = [link.dataset["keepsQuery"] ?? "", query].filter((part) => part !== "").join("&");
    }
    document.dispatchEvent(new CustomEvent("volplane:view"));
  }

  private fresh(): void {
    this.sheet.classList.remove("stale");
    this.stale.textContent = "";
    this.explain([]);
  }

  private markStale(): void {
    const drawn = new URLSearchParams(this.drawn);
    const changed = this.inputs.filter(
      (input) => input.value.trim() !== (drawn.get(input.name) ?? input.dataset["own"]),
    );
    if (changed.length === 0) return;
    this.sheet.classList.add("stale");
    this.stale.textContent = `Before the change to ${changed.map((input) => input.value.trim()).join(", ")}.`;
  }

  /** Faults at their fields, each with its sentence below the row; what belongs to no field stands above the drawing. */
  private explain(lines: readonly ProblemLine[]): void {
    const elsewhere: string[] = [];
    for (const input of this.inputs) input.removeAttribute("aria-invalid");
    for (const note of all(".field-fault", HTMLElement)) note.remove();
    for (const line of lines) {
      const input = this.inputs.find((candidate) => candidate.name === line.place);
      if (input === undefined) elsewhere.push(line.sentence);
      else this.explainField(input, line.sentence);
    }
    say(this.trouble, elsewhere);
  }

  private explainField(input: Control, sentence: string): void {
    const note = document.createElement("p");
    note.className = "field-fault";
    note.id = `${input.id}-fault`;
    note.textContent = `${input.labels?.[0]?.dataset["label"] ?? input.name}: ${sentence}`;
    one("#field-faults", HTMLElement).append(note);
    input.setAttribute("aria-invalid", "true");
    input.setAttribute("aria-describedby", note.id);
  }
}
