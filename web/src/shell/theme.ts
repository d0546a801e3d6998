// Light, dark, or as the system has it.
import { signal } from "@preact/signals";

export type Theme = "system" | "light" | "dark";

const STORED = "kerfwright-theme";

function stored(): Theme {
  const value = localStorage.getItem(STORED);
  return value === "light" || value === "dark" ? value : "system";
}

export const theme = signal<Theme>(stored());

export function applyTheme(): void {
  const system = matchMedia("(prefers-color-scheme: dark)");
  const show = (value: Theme) => {
    document.documentElement.dataset["theme"] = value === "system" ? (system.matches ? "dark" : "light") : value;
  };
  theme.subscribe((value) => {
    if (value === "system") localStorage.removeItem(STORED);
    else localStorage.setItem(STORED, value);
    show(value);
  });
  system.addEventListener("change", () => show(theme.value));
}

export function nextTheme(): void {
  theme.value = theme.value === "system" ? "light" : theme.value === "light" ? "dark" : "system";
}
