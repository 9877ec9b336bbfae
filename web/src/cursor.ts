// One cursor for a whole debrief: a bead on every board and a dotted drop line on every chart, all at the same second.
// Drag the bead along the path, point at a chart, or use the arrow keys. Nothing plays by itself.

import { all, maybe } from "./dom";

/** What the chart that can be looked at closely shows of each second, in the reader's unit. */
export interface Quantity {
  readonly title: string;
  readonly values: readonly (number | null)[];
  readonly low?: readonly (number | null)[];
  readonly high?: readonly (number | null)[];
}

/** The flight second by second, as the server wrote it into the page; words are made there. */
export interface Flight {
  readonly time_s: readonly number[];
  readonly x_m: readonly number[];
  readonly y_m: readonly number[];
  readonly height_m: readonly number[];
  readonly in_hand_m: readonly (number | null)[];
  readonly words: readonly string[];
  readonly zero_s: number;
  readonly quantities: readonly Quantity[];
}

/** A flight with the one cursor that stands in every figure of it. */
export interface Cursor {
  readonly flight: Flight;
  readonly store: CursorStore;
}

type Listener = (index: number) => void;

/** Where the cursor stands; figures listen. */
export class CursorStore {
  private readonly listeners: Listener[] = [];
  private at = 0;

  constructor(readonly length: number) {}

  get index(): number {
    return this.at;
  }

  listen(listener: Listener): void {
    this.listeners.push(listener);
  }

  moveTo(index: number): void {
    this.at = Math.min(Math.max(Math.round(index), 0), this.length - 1);
    for (const listener of this.listeners) listener(this.at);
  }
}

const SVG = "http://www.w3.org/2000/svg";
const GRAB_PX = 22;

export function startCursor(): Cursor | null {
  const island = maybe("#flight", HTMLScriptElement);
  if (island === null) return null;
  const flight = JSON.parse(island.textContent) as Flight;
  if (flight.time_s.length < 2) return null;
  const store = new CursorStore(flight.time_s.length);
  for (const figure of all("figure svg[data-px-per-m]", SVGSVGElement)) {
    bindBoard(figure, flight, store, figure.closest("#board") !== null);
  }
  for (const figure of all("figure svg[data-px-per-s]", SVGSVGElement)) bindChart(figure, flight, store);
  const said = maybe("#cursor-at", HTMLElement);
  store.listen((index) => {
    if (said !== null) said.textContent = flight.words[index] ?? "";
  });
  startAt(flight, store);
  goToSeconds(flight, store);
  stepAnywhere(store);
  return { flight, store };
}

/** Whatever tells a second of the flight leads there: a finding, its cut-out, a note. */
function goToSeconds(flight: Flight, store: CursorStore): void {
  document.addEventListener("click", (event) => {
    const told = event.target instanceof Element ? event.target.closest<HTMLElement>("[data-second]") : null;
    if (told !== null) store.moveTo(nearestTime(flight, Number(told.dataset["second"])));
  });
}

/** The arrows to the side step by seconds wherever nothing else wants them. */
function stepAnywhere(store: CursorStore): void {
  document.addEventListener("keydown", (event) => {
    if (event.defaultPrevented || event.altKey || event.ctrlKey || event.metaKey) return;
    if (event.key !== "ArrowRight" && event.key !== "ArrowLeft") return;
    if (event.target instanceof Element && event.target.closest("input, select, textarea, dialog") !== null) return;
    event.preventDefault();
    store.moveTo(store.index + (event.key === "ArrowRight" ? 1 : -1) * (event.shiftKey ? 10 : 1));
  });
}

/** The cursor first stands where the least height was in hand: the second the verdict rests on. */
function startAt(flight: Flight, store: CursorStore): void {
  let least = 0;
  let lowest = Infinity;
  flight.in_hand_m.forEach((value, index) => {
    if (value !== null && value < lowest) [lowest, least] = [value, index];
  });
  store.moveTo(least);
}

function make<K extends keyof SVGElementTagNameMap>(
  name: K,
  attributes: Readonly<Record<string, string | number>>,
): SVGElementTagNameMap[K] {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, String(value));
  return element;
}

function numberOf(figure: SVGSVGElement, name: string): number {
  return Number(figure.dataset[name] ?? Number.NaN);
}

/** A bead on a board; on the whole board it is also the handle. */
function bindBoard(figure: SVGSVGElement, flight: Flight, store: CursorStore, isHandle: boolean): void {
  const scale = numberOf(figure, "pxPerM");
  const originX = numberOf(figure, "originX");
  const originY = numberOf(figure, "originY");
  const place = (index: number): [number, number] => [
    originX - (flight.y_m[index] ?? 0) * scale,
    originY - (flight.x_m[index] ?? 0) * scale,
  ];
  const bead = make("circle", { class: "cursor-bead", r: 4.5 });
  figure.append(bead);
  store.listen((index) => move(bead, place(index)));
  if (!isHandle) return;
  const handle = make("circle", {
    class: "cursor-handle",
    r: GRAB_PX,
    tabindex: 0,
    role: "slider",
    "aria-label": "Second of the flight",
    "aria-valuemin": Math.round(flight.time_s[0] ?? 0),
    "aria-valuemax": Math.round(flight.time_s.at(-1) ?? 0),
  });
  // the drawing is a picture to a reader aid; its one handle must still be reachable
  figure.setAttribute("role", "group");
  figure.append(handle);
  store.listen((index) => {
    move(handle, place(index));
    handle.setAttribute("aria-valuenow", String(Math.round(flight.time_s[index] ?? 0)));
    handle.setAttribute("aria-valuetext", flight.words[index] ?? "");
  });
  handle.addEventListener("keydown", (event) => {
    const to = keyTarget(event, store);
    if (to === null) return;
    event.preventDefault();
    store.moveTo(to);
  });
  drag(figure, handle, (x, y) => store.moveTo(nearest(place, store, x, y)));
}

/** A dotted drop line on a chart over time, with a bead where the chart shows height in hand. */
function bindChart(figure: SVGSVGElement, flight: Flight, store: CursorStore): void {
  const pxPerS = numberOf(figure, "pxPerS");
  const originX = numberOf(figure, "originX");
  const top = numberOf(figure, "plotTop");
  const bottom = numberOf(figure, "plotBottom");
  const left = numberOf(figure, "plotLeft");
  const right = numberOf(figure, "plotRight");
  const zeroS = Number(figure.dataset["timeZero"] ?? 0);
  const line = make("line", { class: "cursor-line", y1: top, y2: bottom });
  // under the drawing, so that the halo of its words keeps them readable
  figure.insertBefore(line, figure.querySelector("desc")?.nextSibling ?? null);
  store.listen((index) => {
    const x = originX + ((flight.time_s[index] ?? 0) - zeroS) * pxPerS;
    line.setAttribute("visibility", x >= left - 0.5 && x <= right + 0.5 ? "visible" : "hidden");
    line.setAttribute("x1", String(x));
    line.setAttribute("x2", String(x));
  });
  const area = make("rect", {
    class: "cursor-handle",
    x: left,
    y: top,
    width: Math.max(right - left, 0),
    height: Math.max(bottom - top, 0),
  });
  figure.append(area);
  drag(figure, area, (x) => {
    const time = (x - originX) / pxPerS + zeroS;
    store.moveTo(nearestTime(flight, time));
  });
}

function move(circle: SVGCircleElement, [x, y]: [number, number]): void {
  circle.setAttribute("cx", String(x));
  circle.setAttribute("cy", String(y));
}

function keyTarget(event: KeyboardEvent, store: CursorStore): number | null {
  const step = event.shiftKey ? 10 : 1;
  switch (event.key) {
    case "ArrowRight":
    case "ArrowUp":
      return store.index + step;
    case "ArrowLeft":
    case "ArrowDown":
      return store.index - step;
    case "PageUp":
      return store.index + 10;
    case "PageDown":
      return store.index - 10;
    case "Home":
      return 0;
    case "End":
      return store.length - 1;
    default:
      return null;
  }
}

/** Pointer positions in the figure's own pixels, while pressed (or, on a chart, while a finger slides). */
function drag(figure: SVGSVGElement, handle: SVGGraphicsElement, moved: (x: number, y: number) => void): void {
  const follow = (event: PointerEvent): void => {
    const matrix = figure.getScreenCTM();
    if (matrix === null) return;
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
    moved(point.x, point.y);
  };
  handle.addEventListener("pointerdown", (event) => {
    handle.setPointerCapture(event.pointerId);
    follow(event);
  });
  handle.addEventListener("pointermove", (event) => {
    if (handle.hasPointerCapture(event.pointerId)) follow(event);
  });
}

/** The nearest second of the path, looked for near the present one first so that a crossing does not catch the bead. */
function nearest(place: (index: number) => [number, number], store: CursorStore, x: number, y: number): number {
  let best = store.index;
  let least = Infinity;
  for (let index = 0; index < store.length; index += 1) {
    const [px, py] = place(index);
    const away = (px - x) ** 2 + (py - y) ** 2 + 0.5 * Math.abs(index - store.index);
    if (away < least) [least, best] = [away, index];
  }
  return best;
}

export function nearestTime(flight: Flight, time: number): number {
  let best = 0;
  flight.time_s.forEach((value, index) => {
    if (Math.abs(value - time) < Math.abs((flight.time_s[best] ?? 0) - time)) best = index;
  });
  return best;
}
