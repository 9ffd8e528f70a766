/** The immutable content of a revision: every table of one layout version. Plain JSON, so that it can be hashed. */
export interface RevisionContent {
  readonly platformId: string;
  readonly layoutVersion: number;
  readonly tables: Readonly<Record<string, TableContent>>;
}

export interface TableContent {
  /** Break points per axis; empty for a single value. */
  readonly axes: readonly (readonly number[])[];
  /** Values by variant in row-major order: `{ all: [...] }`, or one entry per shift, gear, program or clutch id. */
  readonly values: Readonly<Record<string, readonly number[]>>;
}

/** Where a commanded quantity is asked for. A rule uses the parts that its tables have axes or variants for. */
export interface OperatingPoint {
  /** Shift id such as `3-4`; needed by tables repeated per shift. */
  readonly shift?: string;
  readonly gear?: number;
  readonly program?: string;
  readonly clutch?: string;
  readonly load?: number;
  readonly engineSpeed?: number;
  readonly inputSpeed?: number;
  readonly outputSpeed?: number;
  readonly fluidTemperature?: number;
  readonly pedal?: number;
  readonly pressure?: number;
}
