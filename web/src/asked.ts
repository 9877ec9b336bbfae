// What is asked of a plan beyond its page: sections below it, opened by a button or by the address. Other runways and ways
// to lose height are made anew with every change; many flights only when somebody says so, with their progress told.

import { all, maybe, one, say, telling } from "./dom";
import { ask, Refused, type ProblemLine } from "./http";

interface Piece {
  readonly fragments: Readonly<Record<string, string>>;
}

const GONE = "The workbench does not answer. Start it again with: volplane serve";
const OLD = "Of the exercise before the last change: fly it again.";

export function startAsked(): void {
  const sections = all("section.asked", HTMLElement).map((place) =>
    place.id === "dispersion" ? new FlownSection(place) : new MadeSection(place),
  );
  if (sections.length === 0) return;
  const follow = (): void => {
    for (const section of sections) section.turn(window.location.hash === `#${section.name}`);
  };
  window.addEventListener("hashchange", follow);
  document.addEventListener("volplane:view", () => {
    for (const section of sections) section.changed();
  });
  follow();
}

function api(path: string): string {
  return `${one("#fields", HTMLFormElement).dataset["api"] ?? ""}/${path}`;
}

abstract class Section {
  readonly name: string;
  protected readonly inside: HTMLElement;
  protected readonly progress: HTMLElement;
  protected readonly trouble: HTMLElement;

  constructor(protected readonly place: HTMLElement) {
    this.name = place.id;
    this.inside = one(".inside", HTMLElement, place);
    this.progress = one(".telling", HTMLElement, place);
    this.trouble = one(".trouble", HTMLElement, place);
    one(".fold-away", HTMLButtonElement, place).addEventListener("click", () => this.foldAway());
  }

  /** Open or fold away; when it opens the reader is taken there. */
  turn(isOpen: boolean): void {
    const opens = isOpen && this.place.hidden;
    this.place.hidden = !isOpen;
    if (!opens) return;
    this.opened();
    one("h2", HTMLElement, this.place).focus({ preventScroll: true });
    this.place.scrollIntoView({ block: "start" });
  }

  protected abstract opened(): void;

  /** The exercise is another one now. */
  abstract changed(): void;

  protected show(piece: Piece): void {
    for (const [id, html] of Object.entries(piece.fragments)) one(`#${id}`, HTMLElement).innerHTML = html;
  }

  protected explain(lines: readonly ProblemLine[]): void {
    say(this.trouble, lines.map((line) => line.sentence));
  }

  private foldAway(): void {
    window.history.pushState(null, "", window.location.pathname + window.location.search);
    this.turn(false);
    maybe(`a.button[href="#${this.name}"]`, HTMLAnchorElement)?.focus();
  }
}

/** A section the server makes in a moment. */
class MadeSection extends Section {
  private running: AbortController | null = null;
  private made: string | null = null;

  protected opened(): void {
    void this.make();
  }

  changed(): void {
    if (!this.place.hidden) void this.make();
  }

  private async make(): Promise<void> {
    const query = window.location.search;
    if (query === this.made) return;
    this.running?.abort();
    const running = new AbortController();
    this.running = running;
    this.place.classList.toggle("stale", this.made !== null);
    this.explain([]);
    try {
      const work = ask(api(this.name) + query, { signal: running.signal });
      const answer = await telling(this.progress, this.place.dataset["making"] ?? "", work);
      const piece = (await answer.json()) as Piece;
      if (running.signal.aborted) return;
      this.show(piece);
      // only now is there something to be taken to
      if (this.made === null) this.place.scrollIntoView({ block: "start" });
      this.made = query;
      this.place.classList.remove("stale");
    } catch (fault) {
      if (running.signal.aborted) return;
      if (!(fault instanceof Refused)) throw fault;
      this.explain(fault.lines);
    }
  }
}

/** Many flights: flown when asked, told while they are flown, stopped by a button or by leaving. */
class FlownSection extends Section {
  private readonly form: HTMLFormElement;
  private readonly fly: HTMLButtonElement;
  private readonly stop: HTMLButtonElement;
  private source: EventSource | null = null;
  private flown: string | null = null;

  constructor(place: HTMLElement) {
    super(place);
    this.form = one("form", HTMLFormElement, place);
    this.fly = one("button[type=submit]", HTMLButtonElement, place);
    this.stop = one("button.stop", HTMLButtonElement, place);
    this.form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.begin();
    });
    this.stop.addEventListener("click", () => this.end("Stopped."));
  }

  protected opened(): void {
    this.changed();
  }

  changed(): void {
    const isOld = this.flown !== null && this.flown !== window.location.search;
    this.place.classList.toggle("stale", isOld);
    if (this.source === null) this.progress.textContent = isOld ? OLD : "";
  }

  override turn(isOpen: boolean): void {
    if (!isOpen) this.end("");
    super.turn(isOpen);
  }

  private begin(): void {
    const asked = window.location.search;
    const query = new URLSearchParams(asked);
    for (const [key, value] of new FormData(this.form).entries()) query.set(key, String(value));
    const source = new EventSource(`${api(this.name)}?${query.toString()}`);
    this.source = source;
    this.working(true);
    this.explain([]);
    this.progress.textContent = "Solving the exercise.";
    source.addEventListener("progress", (event) => {
      const { done, total } = JSON.parse(event.data as string) as { done: number; total: number };
      this.progress.textContent = `Flying: ${done.toLocaleString("en-US")} of ${total.toLocaleString("en-US")} done.`;
    });
    source.addEventListener("answer", (event) => {
      this.show(JSON.parse(event.data as string) as Piece);
      this.flown = asked;
      this.end("");
      this.place.scrollIntoView({ block: "start" });
      this.changed();
    });
    source.addEventListener("refused", (event) => {
      const { problems } = JSON.parse(event.data as string) as { problems: readonly ProblemLine[] };
      this.end("");
      this.explain(problems);
    });
    // a browser asks again when a stream breaks off; nobody wants the flights twice
    source.addEventListener("error", () => {
      this.end("");
      void this.why(`${api(this.name)}?${query.toString()}`);
    });
  }

  /** An event source does not tell why it failed; the same question asked plainly does, and is dropped at once. */
  private async why(address: string): Promise<void> {
    const dropped = new AbortController();
    try {
      await ask(address, { signal: dropped.signal });
      this.explain([{ place: "", sentence: GONE }]);
    } catch (fault) {
      if (!(fault instanceof Refused)) throw fault;
      this.explain(fault.lines);
    } finally {
      dropped.abort();
    }
  }

  private end(words: string): void {
    this.source?.close();
    this.source = null;
    this.working(false);
    this.progress.textContent = words;
  }

  private working(isWorking: boolean): void {
    this.fly.hidden = isWorking;
    this.stop.hidden = !isWorking;
  }
}
