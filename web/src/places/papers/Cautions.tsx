// What no program can know. Said where the papers are taken from.

const cautions = [
  ["Eyes and face", "Wear eye and face protection, and hearing protection; keep others away while the spindle turns."],
  ["Dust", "Collect it at the cutter. Fine dust of wood, laminates and composites harms; a mask and a filter fit for it are needed."],
  ["Fire", "Hot chips, dull cutters and packed slots set dust alight. Stay with the machine, keep an extinguisher at hand, and look again an hour later."],
  ["Flying parts", "A part that comes free is thrown. Check clamps, tape, tabs and skin before each program."],
  ["Cutter speed", "Never above what is marked on the cutter. Check collet, stick-out and run-out."],
] as const;

export function Cautions({ notes }: { notes: string[] }) {
  return (
    <section class="cautions" aria-label="Cautions">
      <h2>Before the spindle turns</h2>
      <dl>
        {cautions.map(([name, text]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{text}</dd>
          </div>
        ))}
      </dl>
      <p>
        <b>First come</b> local codes, the manuals of machine, cutters and materials, and the judgement of a trained person at the
        machine. A proof is of the program's text; run each program above the sheet first, and test feeds in scrap.
      </p>
      {notes.length > 0 && (
        <>
          <h3>Notes of this plan</h3>
          <ul>
            {notes.map((note) => (
              <li key={note}>{note}</li>
            ))}
          </ul>
        </>
      )}
    </section>
  );
}
