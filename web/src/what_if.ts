// What if, from the bead: the rest of the exercise is flown on by the server and drawn on the board as a pen note.

import type { Cursor } from "./cursor";
import { maybe, one, say, telling } from "./dom";
import { ask, Refused } from "./http";

interface Answer {
  readonly sentences: readonly string[];
  readonly note: string;
  readonly x_m: readonly number[];
  readonly y_m: readonly number[];
}

const SVG = "http://www.w3.org/2000/svg";

export function startWhatIf(cursor: Cursor): void {
  const form = maybe("#what-if", HTMLFormElement);
  const board = maybe("#board svg", SVGSVGElement);
  if (form === null || board === null) return;
  const trouble = one("#what-if-trouble", HTMLElement, form);
  const progress = one("#what-if-progress", HTMLElement, form);
  const place = one("#what-if-said", HTMLElement, form);

  async function fly(wishes: HTMLFormElement, drawing: SVGSVGElement): Promise<void> {
    say(trouble, []);
    const typed = Object.fromEntries([...new FormData(wishes).entries()].map(([key, value]) => [key, String(value)]));
    const time_s = cursor.flight.time_s[cursor.store.index] ?? 0;
    const address = `${wishes.dataset["send"] ?? ""}?exercise=${wishes.dataset["exercise"] ?? "1"}`;
    const options = {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify({ ...typed, time_s }),
    };
    try {
      const response = await telling(progress, "Flying on.", ask(address, options));
      const answer = (await response.json()) as Answer;
      const from = `From ${String(Math.round(time_s - cursor.flight.zero_s)).replace("-", "−")} s, ${answer.note}.`;
      say(place, [from, ...answer.sentences]);
      draw(drawing, answer);
    } catch (fault) {
      if (!(fault instanceof Refused)) throw fault;
      say(place, []);
      wipe(drawing);
      say(trouble, fault.lines.map((line) => line.sentence));
    }
  }

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    void fly(form, board);
  });
  form.addEventListener("reset", () => {
    say(place, []);
    say(trouble, []);
    wipe(board);
  });
}

function wipe(board: SVGSVGElement): void {
  board.querySelector(".what-if")?.remove();
}

/** The path flown on, thin and dashed, with its words in the hand of a pen note where it ends. */
function draw(board: SVGSVGElement, answer: Answer): void {
  wipe(board);
  const scale = Number(board.dataset["pxPerM"]);
  const originX = Number(board.dataset["originX"]);
  const originY = Number(board.dataset["originY"]);
  const points = answer.x_m.map((x, row): readonly [number, number] => [
    originX - (answer.y_m[row] ?? 0) * scale,
    originY - x * scale,
  ]);
  const group = document.createElementNS(SVG, "g");
  group.setAttribute("class", "what-if");
  const line = document.createElementNS(SVG, "path");
  line.setAttribute("d", `M${points.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join("L")}`);
  group.append(line);
  const end = points.at(-1);
  if (end !== undefined) {
    const dot = document.createElementNS(SVG, "circle");
    for (const [key, value] of Object.entries({ cx: end[0], cy: end[1], r: 3.5 })) dot.setAttribute(key, String(value));
    group.append(dot);
  }
  group.append(words(board, answer.note, points));
  // under the beads and the cursor, so that the handle keeps its place in the hand
  board.insertBefore(group, board.querySelector(".cursor-bead"));
}

function words(board: SVGSVGElement, note: string, points: readonly (readonly [number, number])[]): SVGTextElement {
  const [x, y] = points[Math.floor(points.length / 2)] ?? [0, 0];
  const width = board.viewBox.baseVal.width;
  const text = document.createElementNS(SVG, "text");
  const isRight = x > width / 2;
  text.setAttribute("x", String(isRight ? x - 8 : x + 8));
  text.setAttribute("y", String(y - 6));
  text.setAttribute("text-anchor", isRight ? "end" : "start");
  text.textContent = note;
  return text;
}
