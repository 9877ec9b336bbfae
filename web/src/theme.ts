// The switch between the light page and the dusk page. The server reads the cookie, so a page never flashes.

import { maybe } from "./dom";

const YEAR_S = 31_536_000;

export function startTheme(): void {
  const button = maybe("#theme", HTMLButtonElement);
  if (button === null) return;
  const system = window.matchMedia("(prefers-color-scheme: dark)");
  const isDusk = (): boolean => {
    const chosen = document.documentElement.dataset["theme"];
    return chosen === undefined ? system.matches : chosen === "dusk";
  };
  const name = (): void => {
    button.textContent = isDusk() ? "Light" : "Dusk";
    button.setAttribute("aria-label", isDusk() ? "Switch to the light page" : "Switch to the dusk page");
  };
  button.addEventListener("click", () => {
    const theme = isDusk() ? "light" : "dusk";
    document.documentElement.dataset["theme"] = theme;
    document.cookie = `theme=${theme}; path=/; max-age=${YEAR_S}; samesite=strict`;
    name();
  });
  system.addEventListener("change", name);
  name();
  button.hidden = false;
}
