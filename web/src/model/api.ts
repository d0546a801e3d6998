// The shapes of docs/page.md and of plan.json / proof.json. Lengths in mm, times in s, angles in degrees, forces in N,
// power in W. A test on each side keeps them equal.

export type Point = [number, number];
export type Ring = Point[];
/** The outer ring first, holes after it. */
export type Rings = Ring[];

export interface Problem {
  file: string;
  line: number;
  column: number;
  what: string;
  remedy: string;
  text: string;
}

// --- GET /api/state -------------------------------------------------------------------------------------------------

export interface JobState {
  path: string;
  revision: string;
  title: string;
  changed_on_disk: boolean;
  /** What undo would take back, null when there is nothing. */
  undo: string | null;
  redo: string | null;
}

export type StageState = "waiting" | "running" | "done" | "kept";

export interface Stage {
  name: string;
  state: StageState;
  seconds: number;
}

export type PlanRun = "none" | "running" | "done" | "failed" | "stopped";
export type Verdict = "proven" | "findings";

export interface PlanState {
  state: PlanRun;
  /** Grows with every new plan at hand. */
  serial: number;
  /** The job's revision that the plan at hand was made from; "" when it was found on disk. */
  of: string;
  verdict?: Verdict;
  problem?: Problem;
  stages: Stage[];
}

export interface State {
  version: string;
  job: JobState | null;
  plan: PlanState;
}

// --- GET /api/shop --------------------------------------------------------------------------------------------------

export interface ShopMaterial {
  name: string;
  kind: string;
  grain: boolean;
}

export interface ShopCutter {
  name: string;
  family: string;
  DC: number;
  ZEFP: number;
  APMX: number;
  LPR: number;
}

export interface Shop {
  materials: ShopMaterial[];
  cutters: ShopCutter[];
  machines: { name: string; travel: [number, number, number] }[];
  holds: string[];
}

// --- GET /api/drawing -----------------------------------------------------------------------------------------------

export interface Region {
  name: string;
  /** Colour in the drawing, "" when it has none. */
  fill: string;
  area: number;
  perimeter: number;
  parts: Rings[];
}

export interface DrawingSeam {
  a: string;
  /** "outside" at the rim of the set. */
  b: string;
  length: number;
  points: Point[];
}

export interface Note {
  kind: string;
  text: string;
  regions: string[];
  at: Point;
  size: number;
}

export interface Drawing {
  width: number;
  height: number;
  regions: Region[];
  seams: DrawingSeam[];
  notes: Note[];
}

// --- GET /api/job ---------------------------------------------------------------------------------------------------

/** A keep-out box on the sheet: lower left corner, size, height above the sheet. */
export interface Clamp {
  at: Point;
  size: Point;
  height: number;
}

export interface Sheet {
  name: string;
  material: string;
  size: Point;
  offcut: boolean;
  outline: Rings;
  thickness: number;
  /** x, y, thickness. */
  measured: [number, number, number][];
  grain: number;
  hold: string[];
  clamps: Clamp[];
  price: number | null;
}

/** Rotate about the drawing frame's origin by `angle`, then shift by `at`. */
export interface Placed {
  piece: string;
  sheet: string;
  at: Point;
  angle: number;
}

export interface JobText {
  revision: string;
  path: string;
  text: string;
  problem: Problem;
}

export interface Job {
  revision: string;
  path: string;
  text: string;
  problem: null;
  title: string;
  units: string;
  drawing: { file: string; width: number; scale: number; region: string; snap: number };
  fit: { clearance: number; tray_clearance: number; detail: number };
  /** `proud` null: flush. */
  tray: null | { sheet: string; border: number; proud: number | null };
  pieces: { pattern: string; material: string }[];
  /** Region name to material: what the patterns come to. */
  materials: Record<string, string>;
  sheets: Sheet[];
  machine: { name: string };
  cutters: string[];
  cutter_for: Record<string, string>;
  placed: Placed[];
}

export type TomlValue = string | number | boolean | TomlValue[] | { [key: string]: TomlValue };
export type EditPath = (string | number)[];
export type Edit =
  | { path: EditPath; value: TomlValue }
  | { path: EditPath; remove: true }
  | { append: "sheet" | "placed"; value: { [key: string]: TomlValue } };

// --- GET /api/plan: plan.json ---------------------------------------------------------------------------------------

export interface Placement {
  x: number;
  y: number;
  angle_deg: number;
}

export interface Tab {
  at: Point;
  width: number;
  thickness: number;
  base: number;
}

export interface Piece {
  id: string;
  region: string;
  material: string;
  thickness: number;
  sheet: string;
  setup: string;
  cutter: string;
  placement: Placement;
  margin: number;
  skin: number;
  tabs: Tab[];
  /** As asked: eased and stepped back. */
  outline: Rings;
  /** Predicted. */
  as_cut: Rings;
}

export interface Tray {
  setup: string;
  sheet: string;
  placement: Placement;
  wall: Rings;
  wall_as_cut: Rings;
  floors: { piece: string; depth: number; rings: Rings }[];
}

/** A box in the drawing's frame where the gap is not what was asked. */
export interface Spot {
  why: string;
  low: Point;
  high: Point;
}

export interface Seam {
  a: string;
  /** Piece id or "tray". */
  b: string;
  length: number;
  asked: number;
  gap_min: number;
  gap_mean: number;
  gap_max: number;
  moved_max: number;
  moved_mean?: number;
  spots: Spot[];
}

export interface Assembly {
  slack: number;
  goes_together: boolean;
  chance: number;
  chance_low: number;
  chance_high: number;
  /** The same at the customer's climate. */
  customer?: { chance: number; low: number; high: number };
  samples: number;
  seed: number;
  /** "a / b" of the seams that hold the slack down. */
  tight: string[];
}

export interface Limit {
  name: string;
  value: number;
  bound: number;
  at_least: boolean;
  unit: string;
  holds: boolean;
  reserve: number;
  loosen: string;
}

export interface Feed {
  material: string;
  cutter: string;
  machine: string;
  step: string;
  n: number;
  vf: number;
  fz: number;
  ap: number;
  ae: number;
  passes: number;
  plunge_feed: number;
  ramp_angle: number;
  slot_width: number;
  power: number;
  force: number;
  force_mean: number;
  torque: number;
  deflection: number;
  binding: string;
  cutter_life: number;
  limits: Limit[];
  notes: string[];
}

export interface Setup {
  name: string;
  sheet: string;
  stock: { size: Point; thickness: number };
  zero: string;
  z_zero_on_bed: boolean;
  hold: string[];
  skin: number;
  margin_min: number;
  programs: { file: string; cutter: string; n: number; time: number; path: number }[];
  notes: string[];
  /** The sheet as the shelf had it when the plan was made. */
  shelf: Omit<Sheet, "size">;
}

export interface PlanCutter {
  name: string;
  title: string;
  family: string;
  DC: number;
  ZEFP: number;
  APMX: number;
  LPR: number;
  DCON: number;
}

export interface PriceLine {
  what: string;
  low: number;
  likely: number;
  high: number;
}

export interface Plan {
  schema: "kerfwright.plan/1";
  title: string;
  machine: { name: string; title: string; axes: { travel: number; rapid: number; feed_max: number }[] };
  cutters: PlanCutter[];
  setups: Setup[];
  pieces: Piece[];
  tray?: Tray | null;
  seams: Seam[];
  assembly: Assembly;
  feeds: Feed[];
  /** What the whole job takes off the edges of every cutter; 1 is the life of one. */
  wear: { cutter: string; path: number; edges: number; fresh_before: string[] }[];
  price: { low: number; likely: number; high: number; currency: string; lines: PriceLine[] };
  notes: string[];
}

// --- GET /api/proof: proof.json -------------------------------------------------------------------------------------

export interface Finding {
  kind: string;
  program: string;
  line: number;
  at: [number, number, number];
  value: number;
  bound: number;
  text: string;
}

export interface ProofSetup {
  name: string;
  time: number;
  cut_length: number;
  removed_volume: number;
  programs: { file: string; time: number; cut_length: number; removed_volume: number }[];
}

export interface Proof {
  schema: "kerfwright.proof/1";
  verdict: Verdict;
  setups: ProofSetup[];
  parts: { id: string; deviation_min: number; deviation_max: number }[];
  findings: Finding[];
}

// --- the rest -------------------------------------------------------------------------------------------------------

export interface Clash {
  a: string;
  b: string;
  by: number;
  text: string;
}

export interface PlacedAgain extends Placed {
  locked: boolean;
}

export interface Replay {
  time: number;
  path: { t: number[]; x: number[]; y: number[]; z: number[]; program: number[]; line: number[]; rapid: (0 | 1)[] };
  loads: { t: number[]; end: number[]; force: number[]; power: number[]; line: number[]; program: number[] };
}

/** Header of /api/surface; its body is float32 little endian, row by row from the lower left. */
export interface SurfaceHeader {
  x0: number;
  y0: number;
  cell: number;
  columns: number;
  rows: number;
}

/** GET /api/detail: what each cutter costs in detail. */
export interface CutterDetail {
  material: string;
  cutter: string;
  DC: number;
  moved_max: number;
  moved_in: string;
  area_lost: number;
  trimmed: number;
  wall: number;
  wall_in: string;
  wall_min: number;
  within: boolean;
  largest: boolean;
  chosen: boolean;
}

export interface Detail {
  detail: number;
  cutters: CutterDetail[];
}
