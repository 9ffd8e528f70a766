import { type BitField, type ByteOrder, bytesNeeded } from '../read-bits.js';

/**
 * One signal inside the frames of a bus. Plain JSON, kept with the platform, for instance
 * `{ "name": "turbine speed", "identifier": 464, "startBit": 0, "length": 16, "byteOrder": "big", "signed": false,
 * "scale": 0.25, "offset": 0, "unit": "rpm" }`.
 * Bits are numbered 8·byte + bit with bit 0 the lowest of its byte. `startBit` is the lowest bit of the field in
 * little-endian order and the highest in big-endian order, as is common practice in bus databases.
 * value = raw · scale + offset, in `unit`.
 */
export interface BusSignal {
  /** Unique in its list. The signal map names it as a column. */
  readonly name: string;
  /** 0 to 7FF hexadecimal, or to 1FFFFFFF when extended. */
  readonly identifier: number;
  /** A 29-bit identifier. Default false. */
  readonly extended?: boolean;
  readonly startBit: number;
  /** Bits, 1 to 53. */
  readonly length: number;
  readonly byteOrder: ByteOrder;
  readonly signed: boolean;
  readonly scale: number;
  readonly offset: number;
  /** `''` for states. */
  readonly unit: string;
  /** The signal is only in frames whose selector field (unsigned) holds this value. */
  readonly multiplexer?: BusSelector;
  /** Raw values (before scale and offset) that mean “no value”. */
  readonly noValueRaw?: readonly number[];
}

export interface BusSelector {
  readonly startBit: number;
  readonly length: number;
  readonly byteOrder: ByteOrder;
  readonly value: number;
}

/** The column of every bus log that holds the time; no signal may be called so. */
export const BUS_TIME_COLUMN = 'time';

/** Bytes of the longest frame (CAN FD), and of the longest list. */
export const MAX_FRAME_BYTES = 64;
export const MAX_BUS_SIGNALS = 4096;
const MAX_STANDARD = 0x7ff;
const MAX_EXTENDED = 0x1fffffff;

export interface BusSignalProblem {
  /** Position in the list; null when the list as a whole is at fault. */
  readonly index: number | null;
  /** Name of the property at fault. */
  readonly field: string;
  readonly message: string;
}

/** What is wrong with a signal list that came from outside; empty when all is well. Takes any value. */
export function checkBusSignals(list: unknown): BusSignalProblem[] {
  if (!Array.isArray(list)) return [{ index: null, field: '', message: 'The signal list must be an array.' }];
  if (list.length > MAX_BUS_SIGNALS) {
    return [
      { index: null, field: '', message: `A signal list may have ${MAX_BUS_SIGNALS} signals, not ${list.length}.` },
    ];
  }
  const names = new Set<unknown>([BUS_TIME_COLUMN]);
  return list.flatMap((entry: unknown, index) => {
    const problems = isRecord(entry) ? entryProblems(entry, names) : [['', 'must be an object'] as const];
    if (isRecord(entry)) names.add(entry.name);
    return problems.map(([field, what]) => {
      const where =
        isRecord(entry) && typeof entry.name === 'string' ? `Signal “${entry.name}”` : `Signal ${index + 1}`;
      return { index, field, message: `${where}: ${field === '' ? 'the entry' : field} ${what}.` };
    });
  });
}

type Fault = readonly [field: string, what: string];

function entryProblems(entry: Readonly<Record<string, unknown>>, names: ReadonlySet<unknown>): Fault[] {
  const faults: Fault[] = [];
  if (typeof entry.name !== 'string' || entry.name.trim() === '') faults.push(['name', 'must be a text']);
  else if (names.has(entry.name)) faults.push(['name', 'is taken (“time” always is)']);
  if (entry.extended !== undefined && typeof entry.extended !== 'boolean') {
    faults.push(['extended', 'must be true or false']);
  }
  const maxIdentifier = entry.extended === true ? MAX_EXTENDED : MAX_STANDARD;
  if (!isWhole(entry.identifier, 0, maxIdentifier)) {
    faults.push(['identifier', `must be a whole number from 0 to ${maxIdentifier}`]);
  }
  faults.push(...fieldFaults(entry, 53, ''));
  if (typeof entry.signed !== 'boolean') faults.push(['signed', 'must be true or false']);
  if (!isFiniteNumber(entry.scale) || entry.scale === 0) faults.push(['scale', 'must be a number other than 0']);
  if (!isFiniteNumber(entry.offset)) faults.push(['offset', 'must be a number']);
  if (typeof entry.unit !== 'string') faults.push(['unit', 'must be a text, empty for states']);
  if (entry.multiplexer !== undefined) faults.push(...selectorFaults(entry.multiplexer));
  const { noValueRaw } = entry;
  if (noValueRaw !== undefined && !(Array.isArray(noValueRaw) && noValueRaw.every(isFiniteNumber))) {
    faults.push(['noValueRaw', 'must be a list of numbers']);
  }
  return faults;
}

function selectorFaults(selector: unknown): Fault[] {
  if (!isRecord(selector)) return [['multiplexer', 'must be an object']];
  const faults = fieldFaults(selector, 32, 'multiplexer.');
  if (faults.length > 0 || isWhole(selector.value, 0, 2 ** Number(selector.length) - 1)) return faults;
  return [['multiplexer.value', 'must be a whole number that its bits can hold']];
}

function fieldFaults(entry: Readonly<Record<string, unknown>>, maxLength: number, prefix: string): Fault[] {
  const faults: Fault[] = [];
  const { startBit, length, byteOrder } = entry;
  if (!isWhole(startBit, 0, 8 * MAX_FRAME_BYTES - 1)) {
    faults.push([`${prefix}startBit`, `must be a whole number from 0 to ${8 * MAX_FRAME_BYTES - 1}`]);
  }
  if (!isWhole(length, 1, maxLength)) faults.push([`${prefix}length`, `must be a whole number from 1 to ${maxLength}`]);
  if (byteOrder !== 'little' && byteOrder !== 'big') faults.push([`${prefix}byteOrder`, 'must be little or big']);
  if (faults.length > 0) return faults;
  const field = { startBit, length, byteOrder, signed: false } as BitField;
  if (bytesNeeded(field) <= MAX_FRAME_BYTES) return [];
  return [[`${prefix}length`, `reaches beyond the ${MAX_FRAME_BYTES} bytes of the longest frame`]];
}

function isRecord(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function isFiniteNumber(value: unknown): value is number {
  return typeof value === 'number' && Number.isFinite(value);
}

function isWhole(value: unknown, min: number, max: number): boolean {
  return Number.isInteger(value) && Number(value) >= min && Number(value) <= max;
}
