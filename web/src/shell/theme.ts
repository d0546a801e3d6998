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
  theme.subscribe((value) => {
    if (value === "system") {
      delete document.documentElement.dataset["theme"];
      localStorage.removeItem(STORED);
    } else {
      document.documentElement.dataset["theme"] = value;
      localStorage.setItem(STORED, value);
    }
  });
}

export function nextTheme(): void {
  theme.value = theme.value === "system" ? "light" : theme.value === "light" ? "dark" : "system";
}
