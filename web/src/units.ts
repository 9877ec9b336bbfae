// The switch between imperial and metric. The server reads the cookie and writes every figure, so the page is read again.

import { maybe } from "./dom";

const YEAR_S = 31_536_000;

export function startUnits(): void {
  const button = maybe("#units", HTMLButtonElement);
  if (button === null) return;
  const other = document.documentElement.dataset["units"] === "metric" ? "imperial" : "metric";
  button.setAttribute("aria-label", `Switch to ${other} units`);
  button.addEventListener("click", () => {
    document.cookie = `units=${other}; path=/; max-age=${String(YEAR_S)}; samesite=strict`;
    window.location.reload();
  });
  button.hidden = false;
}
