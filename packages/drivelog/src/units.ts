import type { SignalId } from './signals.js';

/** The kinds of quantity that a log column can hold. */
export type Quantity =
  | 'rotationalSpeed'
  | 'vehicleSpeed'
  | 'temperature'
  | 'pressure'
  | 'torque'
  | 'share'
  | 'voltage'
  | 'time'
  | 'state';

/** value in the canonical unit of the quantity = value × factor + offset. */
export interface LinearConversion {
  readonly factor: number;
  readonly offset: number;
}

/** What turns road speed into output-shaft speed. */
export interface RoadToShaft {
  /** Rolling radius of the driven wheels (m). */
  readonly tyreRadiusM: number;
  /** Output-shaft speed over wheel speed. */
  readonly finalDriveRatio: number;
}

interface UnitEntry extends LinearConversion {
  readonly id: string;
  readonly quantity: Quantity;
  readonly spellings: readonly string[];
}

function unit(
  quantity: Quantity,
  id: string,
  factor: number,
  spellings: readonly string[] = [],
  offset = 0,
): UnitEntry {
  return { id, quantity, factor, offset, spellings: [id, ...spellings] };
}

/** Exact definitions: inch 0.0254 m, pound 0.45359237 kg, standard gravity 9.80665 m/s² (SI Brochure, NIST SP 811). */
const POUND_FORCE_N = 0.45359237 * 9.80665;
const FOOT_M = 0.3048;
const INCH_M = 0.0254;
const MILE_M = 1609.344;

const UNITS: readonly UnitEntry[] = [
  unit('rotationalSpeed', 'rpm', 1, ['1/min', '/min', 'min-1', 'min^-1', 'u/min', 'r/min', 'rev/min', 'umin', 'upm']),
  unit('rotationalSpeed', 'rad/s', 60 / (2 * Math.PI), ['rad/sec', 'rads']),
  unit('rotationalSpeed', 'Hz', 60, ['1/s', 'rev/s', 'rps']),
  unit('vehicleSpeed', 'km/h', 1 / 3.6, ['kmh', 'kph', 'km/hr', 'kmph']),
  unit('vehicleSpeed', 'm/s', 1, ['mps', 'm/sec']),
  unit('vehicleSpeed', 'mph', MILE_M / 3600, ['mi/h', 'mile/h', 'miles/h']),
  unit('temperature', '°C', 1, ['degc', 'deg c', 'c', 'celsius', 'grad c', 'gradc']),
  unit('temperature', 'K', 1, ['kelvin', 'degk'], -273.15),
  unit('temperature', '°F', 5 / 9, ['degf', 'deg f', 'f', 'fahrenheit'], (-32 * 5) / 9),
  unit('pressure', 'kPa', 1),
  unit('pressure', 'bar', 100),
  unit('pressure', 'mbar', 0.1, ['hpa']),
  unit('pressure', 'MPa', 1000),
  unit('pressure', 'Pa', 0.001),
  unit('pressure', 'psi', POUND_FORCE_N / INCH_M ** 2 / 1000, ['lbf/in2', 'lb/in2']),
  unit('torque', 'N·m', 1, ['nm', 'n*m', 'n.m', 'n m', 'newton metre', 'newtonmeter']),
  unit('torque', 'ft·lb', POUND_FORCE_N * FOOT_M, [
    'ftlb',
    'lbft',
    'lb·ft',
    'ft-lb',
    'lb-ft',
    'ft lb',
    'lb ft',
    'lbf·ft',
    'ft·lbf',
  ]),
  unit('share', '%', 1, ['pct', 'percent', 'prozent', 'perc']),
  unit('share', 'ratio', 100, ['0..1', '0-1', '0…1', 'fraction']),
  unit('voltage', 'V', 1, ['volt', 'volts']),
  unit('voltage', 'mV', 0.001),
  unit('time', 's', 1, ['sec', 'secs', 'second', 'seconds', 'sek', 'sekunden']),
  unit('time', 'ms', 1e-3, ['msec', 'millis', 'milliseconds', 'millisekunden']),
  unit('time', 'µs', 1e-6, ['us', 'usec', 'micros', 'microseconds']),
  unit('state', '', 1, ['-', '1', 'state', 'gear', 'gang', 'bool', 'on/off', '0/1', 'flag', 'enum', 'code']),
];

const UNIT_BY_SPELLING = new Map(
  UNITS.flatMap((entry) => entry.spellings.map((text) => [plain(text), entry] as const)),
);

/** Quantities that a signal accepts, its canonical one first. Road speed is accepted where a shaft speed is wanted. */
const SIGNAL_QUANTITIES: Record<SignalId, readonly Quantity[]> = {
  engineSpeed: ['rotationalSpeed'],
  inputSpeed: ['rotationalSpeed'],
  outputSpeed: ['rotationalSpeed', 'vehicleSpeed'],
  gear: ['state'],
  gearTarget: ['state'],
  load: ['share'],
  inputTorque: ['torque'],
  pedal: ['share'],
  brake: ['state'],
  fluidTemperature: ['temperature'],
  program: ['state'],
  applyPressure: ['pressure'],
  linePressure: ['pressure'],
  converterDuty: ['share'],
  supplyVoltage: ['voltage'],
  valveOn: ['state'],
  mark: ['state'],
};

/** The units that a quantity is known in, canonical first, in their usual writing. */
export function unitsOf(quantity: Quantity): string[] {
  return UNITS.filter((entry) => entry.quantity === quantity).map((entry) => entry.id);
}

/** The units that a column of this signal may be in, canonical first. `''` stands for plain states and counts. */
export function unitsForSignal(signal: SignalId): string[] {
  return SIGNAL_QUANTITIES[signal].flatMap(unitsOf);
}

/** The usual writing and the quantity of a unit, however it was spelt; undefined when it is not known. */
export function findUnit(text: string): { readonly id: string; readonly quantity: Quantity } | undefined {
  return UNIT_BY_SPELLING.get(plain(text));
}

/** Whether a signal can be had from a column in this unit. */
export function isUnitOfSignal(signal: SignalId, unitText: string): boolean {
  const entry = UNIT_BY_SPELLING.get(plain(unitText));
  return entry !== undefined && SIGNAL_QUANTITIES[signal].includes(entry.quantity);
}

/** Whether a column in this unit is road speed, which needs tyre radius and final drive ratio to become shaft speed. */
export function isRoadSpeedUnit(unitText: string): boolean {
  return UNIT_BY_SPELLING.get(plain(unitText))?.quantity === 'vehicleSpeed';
}

/**
 * Conversion of a column into the canonical unit of a signal. Road speed v becomes output-shaft speed
 * n = v / (2π·r) · 60 · i with r the tyre radius and i the final drive ratio.
 * Undefined when the unit does not fit the signal, or when it is a road speed and `roadToShaft` is absent.
 */
export function conversionToSignal(
  signal: SignalId,
  unitText: string,
  roadToShaft: RoadToShaft | undefined,
): LinearConversion | undefined {
  const entry = UNIT_BY_SPELLING.get(plain(unitText));
  if (entry === undefined || !SIGNAL_QUANTITIES[signal].includes(entry.quantity)) return undefined;
  if (entry.quantity !== 'vehicleSpeed') return { factor: entry.factor, offset: entry.offset };
  if (roadToShaft === undefined) return undefined;
  const rpmPerMetrePerSecond = (60 / (2 * Math.PI * roadToShaft.tyreRadiusM)) * roadToShaft.finalDriveRatio;
  return { factor: entry.factor * rpmPerMetrePerSecond, offset: 0 };
}

/** One spelling for look-up. Capitals are ignored: no drive log holds millipascals or megavolts. */
function plain(text: string): string {
  const folded = text.trim().toLowerCase();
  return folded.replace(/[⋅∙•]/g, '·').replace(/μ/g, 'µ').replace(/º/g, '°').replace(/²/g, '2').replace(/⁻¹/g, '-1');
}
