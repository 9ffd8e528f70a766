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
  /** Pairs of tables that say when to shift; absent where the layout has none. */
  readonly schedules?: readonly ShiftSchedule[];
  /** Where the tables lie in the control unit's memory; absent where no image can be made. */
  readonly image?: ImageMap;
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
  /** One more set of values per program: variants such as `3-4/sport`. Not with `repeat: 'program'`. */
  readonly byProgram?: boolean;
  /** None: a single value. One or two: values in row-major order, the first axis running slowest. */
  readonly axes: readonly AxisSpec[];
  readonly storage: { readonly type: StorageType; readonly resolution: number; readonly offset: number };
  readonly limits: { readonly min: number; readonly max: number };
  /** Required course along an axis; `strict` forbids equal neighbours. */
  readonly monotone: readonly MonotoneRule[];
  /** Largest change between neighbours per unit of the axis, by axis index. */
  readonly slopeLimits: readonly { readonly axis: number; readonly maxPerUnit: number }[];
  /** Largest change of a cell against the parent revision; what is left out is not bounded. */
  readonly stepBound?: { readonly absolute?: number; readonly percent?: number };
  /** The coil that a table of currents (A) drives: bounds what its supply can reach. */
  readonly coil?: CoilSupply;
  /** What each check of the values does here; `DEFAULT_SEVERITIES` says the rest. */
  readonly severities?: Readonly<Partial<Record<ValueCheck, Severity>>>;
  readonly defaultValue: number;
  readonly note?: string;
}

/** A blocking finding keeps a draft from becoming a revision; a warning is shown and may stand. */
export type Severity = 'blocking' | 'warning';

/** The checks of values whose severity a layout may choose. What is no number or cannot be stored always blocks. */
export type ValueCheck =
  | 'belowMinimum'
  | 'aboveMaximum'
  | 'notMonotone'
  | 'tooSteep'
  | 'storageLoss'
  | 'notReachable'
  | 'stepTooLarge'
  | 'scheduleCrossing'
  | 'scheduleHunting'
  | 'engineTooSlow'
  | 'engineTooFast';

/** What feeds a pulsed coil at its worst: lowest supply, hottest winding. */
export interface CoilSupply {
  /** Copper resistance of the winding at 20 °C (Ω). */
  readonly resistanceOhm: number;
  /** Wiring and driver in series (Ω), taken as constant. */
  readonly seriesResistanceOhm: number;
  readonly lowestVoltageV: number;
  readonly highestTemperatureC: number;
}

/** Upshift and downshift lines: output speed (rpm) over pedal (%), each table repeated per upshift or downshift. */
export interface ShiftSchedule {
  readonly id: string;
  readonly title: string;
  readonly upTable: string;
  readonly downTable: string;
  /** Least output speed between an upshift line and the downshift line back (rpm); less makes the gearbox hunt. */
  readonly minHysteresisRpm: number;
  /** What the input shaft may turn at once the shift is made (rpm). */
  readonly minInputSpeedRpm: number;
  readonly maxInputSpeedRpm: number;
}

export type ImageByteOrder = 'little' | 'big';

/** The memory image of a calibration: one block of bytes with every table's values and stored break points in place. */
export interface ImageMap {
  readonly startAddress: number;
  readonly byteCount: number;
  /** Value of bytes that nothing claims, 0 to 255. */
  readonly fill: number;
  readonly byteOrder: ImageByteOrder;
  /** Values of all variants in the platform's order, row-major, in the table's storage type and scaling. */
  readonly tables: readonly { readonly tableId: string; readonly address: number }[];
  /** Break points in the table's order. Every editable axis has its place; a fixed one may. */
  readonly axes: readonly {
    readonly tableId: string;
    readonly axis: number;
    readonly address: number;
    readonly storage: TableSpec['storage'];
  }[];
  /** Reckoned over [from, to) once all else is in place, in the order of the list. */
  readonly checksums: readonly ImageChecksum[];
}

export type ChecksumKind = 'crc32' | 'crc16CcittFalse' | 'sum8' | 'sum16' | 'sum32';

export interface ImageChecksum {
  readonly kind: ChecksumKind;
  readonly from: number;
  readonly to: number;
  readonly address: number;
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
