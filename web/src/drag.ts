// The gates are handles: the low key moves up and down for its height and sideways for its distance abeam, the high key
// up and down for the entry height. The server plans again while a gate is dragged; the drawing holds its scale until it
// is let go. The same with the arrow keys. Base key and final are answers, not wishes, and stay.

import { all, maybe } from "./dom";
import { ask, Refused } from "./http";

/** What a drag needs of the page: its fields as a query, values put into fields, and the plan when the hand rests. */
export interface DraggedPage {
  query(): string;
  put(values: Readonly<Record<string, string>>): void;
  value(field: string): string;
  rest(): Promise<void>;
}

type Axis = "height" | "offset";

const HANDLES: Readonly<Record<string, Readonly<Partial<Record<Axis, string>>>>> = {
  "high key": { height: "entry_height" },
  "low key": { height: "low_key_height", offset: "low_key_offset" },
};
const FIGURES = "#board, #profile, #ladder, #profile-tablet, #ladder-tablet";
const DRAWN = ["board", "profile", "ladder", "profile-tablet", "ladder-tablet"] as const;
const FOOT_M = 0.3048;
const MILE_M = 1852;
/** On the whiteboard, where up is not height but stands for it. */
const BOARD_M_A_PX = 5 * FOOT_M;
/** A hand that moves less than this sideways does not mean to. */
const SIDEWAYS_PX = 8;
const SVG = "http://www.w3.org/2000/svg";

/** Where a gate stood when it was taken. */
interface Grip {
  readonly gate: string;
  readonly figure: SVGSVGElement;
  readonly place: Element;
  readonly toSvg: DOMMatrix;
  readonly x: number;
  readonly y: number;
  readonly height_m: number;
  readonly offset_m: number;
  readonly before: Readonly<Record<string, string>>;
  readonly hold: URLSearchParams;
}

export function startDrag(page: DraggedPage): void {
  new GateDrag(page).start();
}

class GateDrag {
  private grip: Grip | null = null;
  private asking = false;
  private asked = "";
  /** The gate the keyboard is on; its handle is drawn again with every plan. */
  private focused: string | null = null;

  constructor(private readonly page: DraggedPage) {}

  start(): void {
    for (const figure of all(FIGURES, HTMLElement)) {
      figure.addEventListener("pointerdown", (event) => this.take(event, figure));
      // a page that may scroll takes the finger away; what is said to the style sheet does not reach parts of a drawing
      figure.addEventListener("touchstart", (event) => { if (gateOf(event) !== null) event.preventDefault(); }, { passive: false });
      figure.addEventListener("pointermove", (event) => this.move(event));
      figure.addEventListener("pointerup", () => void this.letGo());
      figure.addEventListener("pointercancel", () => this.giveBack());
      figure.addEventListener("keydown", (event) => this.key(event));
    }
    document.addEventListener("keydown", (event) => {
      if (event.key === "Escape" && this.grip !== null) this.giveBack();
    });
    document.addEventListener("volplane:view", () => this.drawHandles());
    this.drawHandles();
  }

  private take(event: PointerEvent, place: HTMLElement): void {
    const gate = gateOf(event);
    const figure = place.querySelector("svg");
    const toSvg = figure?.getScreenCTM()?.inverse();
    if (gate === null || figure === null || toSvg === undefined || event.button !== 0) return;
    const stands = standing(gate);
    if (stands === null) return;
    event.preventDefault();
    place.setPointerCapture(event.pointerId);
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(toSvg);
    const fields = Object.values(HANDLES[gate] ?? {});
    const before = Object.fromEntries(fields.map((field) => [field, this.page.value(field)]));
    this.grip = { gate, figure, place, toSvg, x: at.x, y: at.y, ...stands, before, hold: frames() };
    this.asked = this.page.query();
    document.documentElement.classList.add("dragging");
    this.mark();
  }

  private move(event: PointerEvent): void {
    const grip = this.grip;
    if (grip === null) return;
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(grip.toSvg);
    this.wish(grip.gate, this.moved(grip, at.x - grip.x, at.y - grip.y));
    void this.follow();
  }

  private moved(grip: Grip, across: number, down: number): Partial<Record<Axis, number>> {
    const data = grip.figure.dataset;
    if (grip.place.id !== "board") {
      const extent = Number(data["axisTop"]) - Number(data["axisGround"]);
      const px = Number(data["plotBottom"]) - Number(data["plotTop"]);
      return { height: grip.height_m - (down * extent * heightUnitM()) / px };
    }
    const height = grip.height_m - down * BOARD_M_A_PX;
    if (Math.abs(across) < SIDEWAYS_PX) return { height };
    const outwards = data["pattern"] === "left" ? -across : across;
    return { height, offset: grip.offset_m + outwards / Number(data["pxPerM"]) };
  }

  private wish(gate: string, to: Partial<Record<Axis, number>>): void {
    const fields = HANDLES[gate] ?? {};
    const values: Record<string, string> = {};
    if (fields.height !== undefined && to.height !== undefined) values[fields.height] = heightText(to.height);
    if (fields.offset !== undefined && to.offset !== undefined) values[fields.offset] = offsetText(to.offset);
    this.page.put(values);
  }

  /** One question at a time, always the newest wish; the pictures follow as fast as they are answered. */
  private async follow(): Promise<void> {
    if (this.asking) return;
    this.asking = true;
    try {
      while (this.grip !== null && this.page.query() !== this.asked) {
        this.asked = this.page.query();
        const query = new URLSearchParams(this.asked);
        for (const [key, value] of this.grip.hold) query.set(key, value);
        await this.show(await ask(`${dragAddress()}?${query.toString()}`));
        await new Promise(requestAnimationFrame);
      }
    } catch (fault) {
      // a wish that cannot be answered leaves the last drawing; letting go says why
      if (!(fault instanceof Refused)) throw fault;
    } finally {
      this.asking = false;
    }
  }

  private async show(response: Response): Promise<void> {
    const drawn = (await response.json()) as { readonly fragments: Readonly<Record<string, string>> };
    if (this.grip === null) return;
    for (const id of DRAWN) {
      const place = maybe(`#${id}`, HTMLElement);
      if (place !== null) place.innerHTML = drawn.fragments[id] ?? "";
    }
    this.mark();
  }

  private async letGo(): Promise<void> {
    if (this.grip === null) return;
    this.release();
    await this.page.rest();
  }

  /** Back to where the gate stood. */
  private giveBack(): void {
    const before = this.grip?.before;
    if (before === undefined) return;
    this.release();
    this.page.put(before);
    void this.page.rest();
  }

  private release(): void {
    this.grip = null;
    document.documentElement.classList.remove("dragging");
  }

  /** The gate in hand is filled; dotted lines show the ways it may go. */
  private mark(): void {
    const gate = this.grip?.gate;
    const group = document.querySelector(`#board .gate[data-gate="${gate ?? ""}"]`);
    const circle = group?.querySelector("circle");
    if (gate === undefined || group === null || group === undefined || circle === null || circle === undefined) return;
    group.classList.add("held");
    const [x, y] = [Number(circle.getAttribute("cx")), Number(circle.getAttribute("cy"))];
    const ways = [[x, y - 60, x, y + 60]];
    if (HANDLES[gate]?.offset !== undefined) ways.push([x - 60, y, x + 60, y]);
    for (const [x1, y1, x2, y2] of ways) {
      const line = document.createElementNS(SVG, "line");
      line.setAttribute("class", "drag-way");
      for (const [name, value] of Object.entries({ x1, y1, x2, y2 })) line.setAttribute(name, String(value));
      group.before(line);
    }
  }

  /** Handles of the whiteboard for keyboard and reader aid; a picture's own parts are not reached otherwise. */
  private drawHandles(): void {
    const board = maybe("#board svg", SVGSVGElement);
    if (board === null) return;
    board.setAttribute("role", "group");
    for (const gate of Object.keys(HANDLES)) {
      const grab = board.querySelector(`.gate[data-gate="${gate}"] .grab`);
      const stands = standing(gate);
      if (grab === null || stands === null) continue;
      const shown = Math.round(stands.height_m / heightUnitM());
      const words = HANDLES[gate]?.offset === undefined ? "up and down" : "up and down, left and right";
      for (const [name, value] of Object.entries({
        tabindex: "0",
        role: "slider",
        "aria-label": `${gate}, height above the touchdown point, arrow keys ${words}`,
        "aria-valuemin": "0",
        "aria-valuemax": "20000",
        "aria-valuenow": String(shown),
        "aria-valuetext": heightText(stands.height_m),
        "aria-orientation": "vertical",
      })) {
        grab.setAttribute(name, value);
      }
      if (gate === this.focused && grab instanceof SVGElement) grab.focus();
    }
  }

  private key(event: KeyboardEvent): void {
    const gate = gateOf(event);
    const stands = gate === null ? null : standing(gate);
    const step = steps(event);
    if (gate === null || stands === null || step === null) return;
    if (step.offset !== undefined && HANDLES[gate]?.offset === undefined) return;
    event.preventDefault();
    this.focused = gate;
    const outwards = maybe("#board svg", SVGSVGElement)?.dataset["pattern"] === "left" ? -1 : 1;
    if (step.height !== undefined) this.wish(gate, { height: stands.height_m + step.height * heightUnitM() });
    if (step.offset !== undefined) this.wish(gate, { offset: stands.offset_m + outwards * step.offset * MILE_M });
    void this.page.rest();
  }
}

/** The gate whose handle an event happened on. */
function gateOf(event: Event): string | null {
  const gate = event.target instanceof Element ? event.target.closest("[data-gate]")?.getAttribute("data-gate") : null;
  return gate !== null && gate !== undefined && gate in HANDLES ? gate : null;
}

function steps(event: KeyboardEvent): Partial<Record<Axis, number>> | null {
  const [high, far] = event.shiftKey ? [200, 0.1] : [50, 0.02];
  switch (event.key) {
    case "ArrowUp":
      return { height: high };
    case "ArrowDown":
      return { height: -high };
    case "ArrowRight":
      return { offset: far };
    case "ArrowLeft":
      return { offset: -far };
    default:
      return null;
  }
}

/** Height and distance abeam of a gate as the whiteboard has it. */
function standing(gate: string): { readonly height_m: number; readonly offset_m: number } | null {
  const group = document.querySelector<SVGGElement>(`#board .gate[data-gate="${gate}"]`);
  if (group === null) return null;
  return { height_m: Number(group.dataset["heightM"]), offset_m: Math.abs(Number(group.dataset["yM"])) };
}

/** Which of the two layouts is on the screen: only its drawings are asked for. */
function layout(): "desktop" | "tablet" {
  const profile = maybe("#profile", HTMLElement);
  return profile !== null && profile.offsetParent !== null ? "desktop" : "tablet";
}

/** The scales that hold still while something is dragged, as the server takes them. */
function frames(): URLSearchParams {
  const held = new URLSearchParams({ layout: layout() });
  const board = maybe("#board svg", SVGSVGElement)?.dataset ?? {};
  const heights = maybe("#profile svg", SVGSVGElement)?.dataset ?? {};
  for (const [key, value] of [
    ["held_px_per_m", board["pxPerM"]],
    ["held_origin_x_px", board["originX"]],
    ["held_origin_y_px", board["originY"]],
    ["held_axis_ground_m", metres(heights["axisGround"])],
    ["held_axis_top_m", metres(heights["axisTop"])],
  ] as const) {
    if (value !== undefined) held.set(key, value);
  }
  return held;
}

/** A height of an axis, which is in the reader's unit, in metres. */
function metres(height: string | undefined): string | undefined {
  return height === undefined ? undefined : String(Number(height) * heightUnitM());
}

function dragAddress(): string {
  return `${maybe("#fields", HTMLFormElement)?.dataset["api"] ?? ""}/drag`;
}

function isMetric(): boolean {
  return document.documentElement.dataset["units"] === "metric";
}

function heightUnitM(): number {
  return isMetric() ? 1 : FOOT_M;
}

function heightText(height_m: number): string {
  const round = Math.max(0, 10 * Math.round(height_m / heightUnitM() / 10));
  return `${round.toLocaleString("en-US")} ${isMetric() ? "m" : "ft"}`;
}

function offsetText(offset_m: number): string {
  return isMetric()
    ? `${Math.max(0, 10 * Math.round(offset_m / 10))} m`
    : `${Math.max(0, offset_m / MILE_M).toFixed(2)} NM`;
}
