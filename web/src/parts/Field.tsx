// A number or a word that is written when the field is left or Enter is pressed, and only when it changed.
import type { ComponentChildren } from "preact";
import { useEffect, useState } from "preact/hooks";
import "./Field.css";

interface NumberProps {
  label: string;
  value: number | null;
  unit?: string;
  least?: number;
  most?: number;
  step?: number;
  /** May be left empty: null. */
  optional?: boolean;
  onChange: (value: number | null) => void;
}

const shown = (value: number | null) => (value === null ? "" : String(Math.round(value * 1e4) / 1e4));

export function NumberField({ label, value, unit, least, most, step = 0.01, optional = false, onChange }: NumberProps) {
  const [text, setText] = useState(shown(value));
  const [wrong, setWrong] = useState(false);
  useEffect(() => {
    setText(shown(value));
    setWrong(false);
  }, [value]);
  const write = () => {
    const trimmed = text.trim().replace(",", ".");
    if (trimmed === "" && optional) return value === null ? undefined : onChange(null);
    const number = Number(trimmed);
    const bad = trimmed === "" || !Number.isFinite(number) || (least !== undefined && number < least) || (most !== undefined && number > most);
    setWrong(bad);
    if (!bad && shown(number) !== shown(value)) onChange(number);
  };
  return (
    <Labelled label={label}>
      <span class="with-unit">
        <input
          type="text"
          inputMode="decimal"
          size={6}
          aria-label={unit ? `${label}, ${unit}` : label}
          aria-invalid={wrong}
          value={text}
          onInput={(event) => setText(event.currentTarget.value)}
          onBlur={write}
          onKeyDown={(event) => {
            if (event.key === "Enter") write();
            if (event.key === "Escape") setText(shown(value));
            const up = { ArrowUp: step, ArrowDown: -step }[event.key];
            if (up === undefined || !Number.isFinite(Number(text))) return;
            event.preventDefault();
            setText(shown(Math.max(least ?? -Infinity, Number(text) + up)));
          }}
        />
        {unit && <span class="unit">{unit}</span>}
      </span>
    </Labelled>
  );
}

export function TextField({ label, value, onChange }: { label: string; value: string; onChange: (value: string) => void }) {
  const [text, setText] = useState(value);
  useEffect(() => setText(value), [value]);
  const write = () => {
    if (text.trim() !== "" && text.trim() !== value) onChange(text.trim());
  };
  return (
    <Labelled label={label}>
      <input
        type="text"
        aria-label={label}
        value={text}
        onInput={(event) => setText(event.currentTarget.value)}
        onBlur={write}
        onKeyDown={(event) => {
          if (event.key === "Enter") write();
          if (event.key === "Escape") setText(value);
        }}
      />
    </Labelled>
  );
}

interface ChoiceProps {
  label: string;
  value: string;
  choices: readonly { value: string; text: string }[];
  onChange: (value: string) => void;
}

export function ChoiceField({ label, value, choices, onChange }: ChoiceProps) {
  return (
    <Labelled label={label}>
      <select aria-label={label} value={value} onChange={(event) => onChange(event.currentTarget.value)}>
        {choices.map((choice) => (
          <option key={choice.value} value={choice.value}>
            {choice.text}
          </option>
        ))}
      </select>
    </Labelled>
  );
}

function Labelled({ label, children }: { label: string; children: ComponentChildren }) {
  return (
    <label class="field">
      <span>{label}</span>
      {children}
    </label>
  );
}
