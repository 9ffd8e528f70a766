/**
 * The schema of a calibration: which tables it has, over which axes, in which units and limits, and the rules that
 * combine tables into a commanded quantity. Layouts are versioned per platform and never change once used.
 */
export interface Layout {
  readonly platformId: string;
  readonly version: number;
  readonly title: string;
  readonly tables: readonly TableSpec[];
  readonly rules: readonly Rule[];
}

/** What an axis, and so an operating point, may be measured in. Units: %, rpm, rpm, rpm, °C, %, kPa. */
export type OperatingQuantity =
  | 'load'
  | 'engineSpeed'
  | 'inputSpeed'
  | 'outputSpeed'
  | 'fluidTemperature'
  | 'pedal'
  | 'pressure';

export interface AxisSpec {
  readonly quantity: OperatingQuantity;
  readonly title: string;
  readonly unit: string;
  /** Default break points, strictly increasing. */
  readonly breakpoints: readonly number[];
  /** Whether a revision may move the break points. Their count stays. */
  readonly editable: boolean;
}

/** A table exists once, or once for every shift, gear, program or clutch of the platform. */
export type TableRepeat = 'once' | 'shift' | 'upshift' | 'downshift' | 'gear' | 'program' | 'clutch';

export type StorageType = 'u8' | 's8' | 'u16' | 's16' | 'u32' | 's32' | 'f32';

export interface TableSpec {
  readonly id: string;
  readonly title: string;
  readonly quantity: string;
  readonly unit: string;
  readonly repeat: TableRepeat;
  /** None: a single value. One or two: values in row-major order, the first axis running slowest. */
  readonly axes: readonly AxisSpec[];
  readonly storage: { readonly type: StorageType; readonly resolution: number; readonly offset: number };
  readonly limits: { readonly min: number; readonly max: number };
  /** Required course along an axis; `strict` forbids equal neighbours. */
  readonly monotone: readonly MonotoneRule[];
  /** Largest change between neighbours per unit of the axis, by axis index. */
  readonly slopeLimits: readonly { readonly axis: number; readonly maxPerUnit: number }[];
  readonly defaultValue: number;
  readonly note?: string;
}

export interface MonotoneRule {
  readonly axis: number;
  readonly direction: 'rising' | 'falling';
  readonly strict: boolean;
}

/** A commanded quantity as the product or the sum of tables at one operating point. */
export interface Rule {
  readonly id: string;
  readonly title: string;
  readonly unit: string;
  readonly kind: 'product' | 'sum';
  readonly tables: readonly string[];
  /** Pressure that the return spring of the clutch takes before any torque is carried (kPa); methods.md 5. */
  readonly returnPressureKpa?: number;
}
