// A program's text for a list that shows only what is in view, each line with what its words do.

export type WordKind = "comment" | "motion" | "place" | "feed" | "speed" | "other";
export interface Word {
  readonly kind: WordKind;
  readonly text: string;
}

export function linesOf(text: string): string[] {
  const lines = text.split(/\r\n|\n|\r/);
  if (lines[lines.length - 1] === "") lines.pop();
  return lines;
}

function kindOf(word: string): WordKind {
  if (word.startsWith("(") || word.startsWith(";")) return "comment";
  switch (word[0]?.toUpperCase()) {
    case "G":
      return "motion";
    case "X":
    case "Y":
    case "Z":
    case "I":
    case "J":
    case "K":
    case "R":
      return "place";
    case "F":
      return "feed";
    case "S":
    case "M":
    case "T":
      return "speed";
    default:
      return "other";
  }
}

/** Words in the order of the line; spaces stay with the word before them, so that joined they give the line. */
export function wordsOf(line: string): Word[] {
  const words = line.match(/\([^)]*\)?\s*|;.*|[A-Za-z%][^A-Za-z(;]*|[^A-Za-z(;]+/g) ?? [];
  return words.map((text) => ({ kind: kindOf(text.trimStart()), text }));
}

export interface Window {
  readonly first: number;
  readonly end: number;
}

/** Which lines to put on the page for a view of `height` at `scroll`, with some beyond both ends. */
export function windowOf(count: number, lineHeight: number, scroll: number, height: number, beyond = 12): Window {
  const first = Math.max(0, Math.floor(scroll / lineHeight) - beyond);
  const end = Math.min(count, Math.ceil((scroll + height) / lineHeight) + beyond);
  return { first: Math.min(first, end), end };
}

/** Where to scroll so that a line is in the view; undefined when it is there already. */
export function scrollToLine(line: number, lineHeight: number, scroll: number, height: number): number | undefined {
  const y = line * lineHeight;
  const margin = Math.min(3 * lineHeight, height / 4);
  if (y >= scroll + margin && y + lineHeight <= scroll + height - margin) return undefined;
  return Math.max(0, y - height / 2);
}
