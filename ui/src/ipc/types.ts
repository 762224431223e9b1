// The wire types of the command table, as the core answers them. Field names are the wire's.
// Every length comes with its text in the job's own notation; the screens never format one.

export type Units = "imperial" | "inches" | "metric";
export type Point = [number, number];
/** Closed rings, flat: x0, y0, x1, y1, … in millimetres. */
export interface Rings { outer: number[]; holes: number[][] }
export interface Stamp { by: string; at: string; zone_minutes: number }
export interface Typed { text: string; mm: number }
export interface ProblemWire {
  code: string;
  place: string;
  params: Record<string, string | number>;
  message: string;
  hint: string;
}

export interface JobCard {
  id: string;
  name: string;
  client: string;
  site: string;
  rooms: number;
  area_m2: number | null;
  tiles: number | null;
  cartons: number | null;
  changed: Stamp | null;
}
export interface RoomCard {
  id: string;
  name: string;
  verdict: string;
  area_m2: number | null;
  outline: Point[] | null;
  problems: number;
}
export interface AreaCard {
  id: string;
  name: string;
  rooms: string[];
  product: string;
  accepted: boolean;
  tiles: number | null;
  cartons: number | null;
  problem: string | null;
}
export interface ProductView {
  id: string;
  name: string;
  length: Typed;
  width: Typed;
  thickness: Typed | null;
  joint: Typed;
  edge_gap: Typed;
  kerf?: Typed | null;
  min_row_width?: Typed | null;
  min_end_length?: Typed | null;
  offsets: string[];
  interlock: boolean;
  carton_tiles: number | null;
}
export interface PassageView { id: string; a: [string, string]; b: [string, string]; depth: Typed }
export interface DisagreementValue { value: string; stamp: Stamp; choice: string }
export interface DisagreementView {
  id: string;
  what: string;
  room: string | null;
  values: DisagreementValue[];
  suggestion: string | null;
}
export interface JobView {
  card: JobCard;
  units: Units;
  rooms: RoomCard[];
  passages: PassageView[];
  areas: AreaCard[];
  products: ProductView[];
  undo: string | null;
  redo: string | null;
  disagreements: DisagreementView[];
}

export interface CornerView {
  id: string;
  turn: "in" | "out";
  square: boolean;
  at: Point | null;
  sd: Point | null;
  angle_text: string | null;
}
export interface ReadingView {
  id: string;
  from: string;
  to: string;
  kind: "wall" | "tie";
  text: string;
  mm: number;
  stamp: Stamp;
  residual_text: string | null;
  w: number | null;
  suspect: boolean;
  says: string | null;
  earlier: { text: string; stamp: Stamp }[];
  /** Readings of the same distance entered apart, of which one has to be chosen. */
  conflict: OtherReading[];
  /** Further readings of the same distance that stand beside this one. */
  others?: OtherReading[];
}
export interface OtherReading { id: string; text: string; stamp: Stamp }
export interface WallView { from: string; to: string; reading: ReadingView | null; adjusted_text: string | null }
export interface OpeningView {
  id: string;
  from: string;
  to: string;
  start: Typed;
  width: Typed;
  reach: Typed;
  line: [Point, Point] | null;
  stamp: Stamp;
}
export interface KeepoutView {
  id: string;
  name: string;
  outline: Point[];
  texts: { x: Typed; y: Typed; width: Typed; depth: Typed } | null;
  stamp: Stamp;
}
export interface EdgeView { from: string; to: string; gap: Typed | null; trim_covers: Typed | null }
export interface RoomView {
  id: string;
  name: string;
  units: Units;
  corners: CornerView[];
  walls: WallView[];
  ties: ReadingView[];
  openings: OpeningView[];
  keepouts: KeepoutView[];
  edges: EdgeView[];
  outline: Point[] | null;
  /** The outline is the last good one; the readings as they are now give none. */
  outline_is_old?: boolean;
  field: Rings[] | null;
  verdict: string;
  verdict_words: string;
  /** What the survey is good for: a quote, or setting out. */
  good_for_words?: string;
  area_text: string | null;
  perimeter_text: string | null;
  misclosure_text: string | null;
  redundancy: number | null;
  next: { from: string; to: string; words: string }[];
  advice: string[];
  problems: { place: string; message: string; hint: string }[];
}
export type RoomEdit =
  | { do: "set_reading"; from: string; to: string; text: string }
  | { do: "clear_reading"; id: string }
  | { do: "add_corner"; after: string }
  | { do: "remove_corner"; corner: string }
  | { do: "turn"; corner: string; out: boolean }
  | { do: "square"; corner: string; on: boolean }
  | { do: "set_keepout"; id?: string; name: string; x: string; y: string; width: string; depth: string }
  | { do: "remove_keepout"; id: string }
  | { do: "set_opening"; id?: string; from: string; to: string; start: string; width: string; reach: string }
  | { do: "remove_opening"; id: string }
  | { do: "set_edge"; from: string; to: string; gap?: string; trim_covers?: string }
  | { do: "rename"; name: string }
  | { do: "settle"; keep: string };

export type Cut = "whole" | "length" | "rip" | "corner" | "shape";
export interface PieceView {
  id: string;
  row: number;
  place: number;
  cut: Cut;
  rings: Rings;
  tile: number;
  from: string;
  breach: boolean;
}
export interface ChoiceView {
  token: string;
  along: [string, string] | null;
  angle_degrees: number;
  offset: string;
  order: string;
  first_row: Typed;
  shift: Typed;
  words: string;
}
export interface AlternativeView {
  choice: ChoiceView;
  tiles: number;
  cartons: number | null;
  narrowest: Typed;
  cut_pieces: number;
  breaches: number;
  words: string;
}
export interface MeasuresView {
  first_row: Typed;
  last_row: Typed;
  shortest_end: Typed;
  narrowest: Typed;
  cut_pieces: number;
}
export interface PlanView {
  area: string;
  version: string | number;
  accepted: boolean;
  choice: ChoiceView;
  frame: { angle_degrees: number };
  field: Rings[];
  field_m2: number;
  tiles: number;
  proven_minimum: number;
  cartons: number | null;
  waste: number;
  rows: { row: number; width: Typed }[];
  pieces: PieceView[];
  removed: string[];
  joints: [Point, Point][];
  measures: MeasuresView;
  breaches: { rule: string; piece: string; words: string }[];
  alternatives: AlternativeView[];
  problems: ProblemWire[];
}
export interface PlanSame { same: true; version: string | number }
export interface MarkView { edge: string; along: string; text: string; mm: number; from_words: string }
export interface PieceCardView {
  id: string;
  row: number;
  place: number;
  cut: Cut;
  cut_words: string;
  tile_face: [number, number];
  on_tile: Rings;
  size: { length: Typed; width: Typed };
  marks: MarkView[];
  tool_words: string;
  from_words: string;
  breaches: string[];
  neighbours: string[];
}
export interface BuyLine {
  item: string;
  product: string | null;
  name: string;
  quantity: number;
  unit: string;
  packs: number | null;
  pack: string | null;
  steps: { words: string; value: string }[];
  guess: string | null;
  sure: string;
}
export interface BuyView { lines: BuyLine[]; problems: ProblemWire[] }
export interface HistoryView { entries: { words: string; stamp: Stamp }[] }
export interface DeviceView {
  name: string;
  store_words: string;
  readonly: boolean;
  version: string;
  last_report: string | null;
}
/** Every figure of a product as it was typed; the core reads them. */
export interface ProductTyped {
  id?: string;
  name: string;
  length: string;
  width: string;
  thickness: string;
  joint: string;
  edge_gap: string;
  kerf: string;
  offsets: string[];
  interlock: boolean;
  min_row_width: string;
  min_end_length: string;
  carton_tiles: string;
}

/** What each command is given and what it answers. */
export interface Commands {
  "jobs.list": [Record<string, never>, { jobs: JobCard[] }];
  "jobs.create": [{ name: string; client: string; site: string; units: Units }, JobCard];
  "jobs.edit": [{ job: string; name?: string; client?: string; site?: string; units?: Units }, JobView];
  "jobs.import": [{ sheet: string }, JobCard];
  "jobs.export": [{ job: string }, { sheet: string; warnings: string[] }];
  "jobs.demo": [Record<string, never>, JobCard];
  "job.view": [{ job: string }, JobView];
  "job.settle": [{ job: string; choice: string }, JobView];
  "rooms.add": [{ job: string; name: string; corners: number }, RoomView];
  "rooms.remove": [{ job: string; room: string }, JobView];
  "passages.set": [{ job: string; id?: string; a: [string, string]; b: [string, string]; depth: string }, JobView];
  "passages.remove": [{ job: string; id: string }, JobView];
  "areas.set": [{ job: string; id?: string; name: string; rooms: string[]; product: string }, JobView];
  "areas.remove": [{ job: string; id: string }, JobView];
  "products.set": [{ job: string; product: ProductTyped }, JobView];
  "room.view": [{ job: string; room: string }, RoomView];
  "room.edit": [{ job: string; room: string; edit: RoomEdit }, RoomView];
  "length.read": [{ text: string; units: Units }, Typed];
  "draft.put": [{ key: string; text: string }, Record<string, never>];
  "draft.list": [Record<string, never>, { drafts: Record<string, string> }];
  "plan.view": [{ job: string; area: string; have?: string | number }, PlanView | PlanSame];
  "plan.search": [{ job: string; area: string }, { task: string }];
  "plan.accept": [{ job: string; area: string; choice: string }, PlanView];
  "plan.fix": [
    { job: string; area: string; along?: [string, string]; offset?: string; order?: string; first_row?: string; shift?: string },
    PlanView,
  ];
  "task.cancel": [{ task: string }, Record<string, never>];
  "piece.view": [{ job: string; area: string; piece: string }, PieceCardView];
  "buy.view": [{ job: string }, BuyView];
  "edit.undo": [{ job: string }, JobView];
  "edit.redo": [{ job: string }, JobView];
  "history.list": [{ job: string; room?: string; limit: number }, HistoryView];
  "device.view": [Record<string, never>, DeviceView];
  "device.rename": [{ name: string }, unknown];
  "report.clear": [Record<string, never>, unknown];
  "report.anonymised": [{ job: string }, { text: string }];
  "store.backup": [{ path: string }, { bytes: number }];
}
export type CommandName = keyof Commands;

export type CoreEvent =
  | { kind: "changed"; job: string; room: string | null }
  | { kind: "progress"; task: string; fraction: number; note: string }
  | { kind: "finished"; task: string; answer: unknown }
  | { kind: "failed"; task: string; problem: ProblemWire };
