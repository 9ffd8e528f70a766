import { LineSplitter } from '../line-splitter.js';
import type { InspectionFinding, LogColumn, LogContent } from '../log-content.js';
import { LogFormatError } from '../log-format-error.js';
import { recogniseFormat, refusalOf } from '../recognise-format.js';
import { BUS_TIME_COLUMN, type BusSignal, checkBusSignals } from './bus-signal.js';
import { FrameLine } from './frame-line.js';
import { FramePlan, type FrameValues } from './frame-plan.js';

/** One bus seen in a capture. */
export interface BusInterface {
  readonly name: string;
  /** Readable frames in the first bytes, and those whose identifier is in the signal list. */
  readonly frames: number;
  readonly knownFrames: number;
}

/** What was understood of a candump capture. Its columns are the time and the signals of the list. */
export interface CandumpInspection extends LogContent {
  readonly format: 'candump';
  /** The bus that is read: the one with most frames of the list, unless a person chose. */
  readonly busInterface: string;
  readonly interfaces: readonly BusInterface[];
  readonly busSignals: readonly BusSignal[];
}

/** What a candump capture cannot tell by itself. */
export interface CandumpOverrides {
  /** The signal list of the platform. Without it a capture has no columns, but its traffic can still be told. */
  readonly busSignals?: readonly BusSignal[];
  /** Name of the interface to read. */
  readonly busInterface?: string;
}

const MAX_HEAD_BYTES = 1 << 18;
const SHOWN_ROWS = 10;
const MAX_INTERFACES = 32;

/**
 * Understands a candump capture (log form, or long form with times) from its first bytes. Throws LogFormatError when
 * the bytes are no candump text, have no times, or when the signal list is faulty.
 */
export function inspectCandump(firstBytes: Uint8Array, overrides: CandumpOverrides = {}): CandumpInspection {
  const recognised = recogniseFormat(firstBytes);
  if (recognised.format !== 'candump') throw refusalOf(recognised);
  const busSignals = overrides.busSignals ?? [];
  assertSignalList(busSignals);
  const head = readHead(firstBytes.subarray(0, MAX_HEAD_BYTES), new FramePlan(busSignals));
  const busInterface = overrides.busInterface ?? busiest(head.interfaces);
  const columns = columnsOf(busSignals);
  return {
    format: 'candump',
    busInterface,
    interfaces: head.interfaces,
    busSignals,
    columns,
    timeCandidates: [
      { column: BUS_TIME_COLUMN, format: 'seconds', confidence: 'high', reason: 'every frame has its time' },
    ],
    firstRows: head.rows
      .filter((row) => row.busInterface === busInterface)
      .slice(0, SHOWN_ROWS)
      .map((row) => rowText(row, columns)),
    findings: findOddities(busSignals, head, busInterface),
  };
}

function assertSignalList(busSignals: readonly BusSignal[]): void {
  const [problem] = checkBusSignals(busSignals);
  if (problem === undefined) return;
  throw new LogFormatError('signal_list', { found: problem.message, expected: 'a signal list without faults' });
}

function columnsOf(busSignals: readonly BusSignal[]): LogColumn[] {
  const time: LogColumn = { index: 0, name: BUS_TIME_COLUMN, label: BUS_TIME_COLUMN, unit: 's' };
  const signals = busSignals.map(({ name, unit }, i) => ({ index: i + 1, name, label: name, unit: unit || null }));
  return [time, ...signals];
}

interface HeadRow {
  readonly busInterface: string;
  readonly timeText: string;
  readonly slots: readonly number[];
  readonly values: readonly number[];
}

interface Head {
  readonly interfaces: BusInterface[];
  readonly rows: HeadRow[];
  /** Signals of the list that were met, by bus and index. */
  readonly seen: ReadonlySet<string>;
}

function readHead(bytes: Uint8Array, plan: FramePlan): Head {
  const interfaces = new Map<string, { name: string; frames: number; knownFrames: number }>();
  const rows: HeadRow[] = [];
  const seen = new Set<string>();
  const frame = new FrameLine();
  const values: FrameValues = { slots: [], values: [], shortSignals: 0 };
  let frames = 0;
  let timelessFrames = 0;
  const lines = new LineSplitter((line, start, end) => {
    if (!frame.read(line, start, end)) return;
    frames++;
    if (!frame.hasTime) timelessFrames++;
    const name = interfaceName(line, frame);
    const entry = interfaces.get(name) ?? { name, frames: 0, knownFrames: 0 };
    if (interfaces.size < MAX_INTERFACES) interfaces.set(name, entry);
    entry.frames++;
    if (frame.kind !== 'data' || !plan.has(frame.identifier, frame.isExtended)) return;
    entry.knownFrames++;
    plan.read(frame.identifier, frame.isExtended, frame.data, frame.length, values);
    for (const slot of values.slots) seen.add(`${name} ${slot}`);
    if (rows.length >= SHOWN_ROWS * MAX_INTERFACES || values.slots.length === 0) return;
    const timeText = `${frame.seconds}.${String(frame.nanoseconds).padStart(9, '0')}`;
    rows.push({ busInterface: name, timeText, slots: values.slots, values: values.values });
  });
  lines.push(bytes);
  if (frames === 0) lines.end();
  if (frames === 0 || timelessFrames > frames / 2) {
    const found = frames === 0 ? 'candump lines none of which can be read' : 'candump lines without times';
    const expected = 'lines such as “(1436509052.249713) can0 044#2A366C2BBA”';
    throw new LogFormatError('frames_without_time', { found, expected });
  }
  return { interfaces: [...interfaces.values()], rows, seen };
}

/** Name of the interface of the line just read. */
export function interfaceName(line: Uint8Array, frame: FrameLine): string {
  return String.fromCharCode(
    ...line.subarray(frame.interfaceStart, Math.min(frame.interfaceEnd, frame.interfaceStart + 64)),
  );
}

function busiest(interfaces: readonly BusInterface[]): string {
  const rank = ({ knownFrames, frames }: BusInterface) => knownFrames * 1e9 + frames;
  return interfaces.reduce((best, entry) => (rank(entry) > rank(best) ? entry : best)).name;
}

function rowText(row: HeadRow, columns: readonly LogColumn[]): string[] {
  const cells = columns.map(() => '');
  cells[0] = row.timeText;
  for (const [i, slot] of row.slots.entries())
    cells[slot + 1] = Number.isNaN(row.values[i]) ? '' : String(row.values[i]);
  return cells;
}

function findOddities(busSignals: readonly BusSignal[], head: Head, busInterface: string): InspectionFinding[] {
  const findings: InspectionFinding[] = [];
  if (busSignals.length === 0) {
    const message = 'The platform has no bus signal list yet, so no signal of this capture can be read.';
    findings.push({ code: 'no_signal_list', message });
  }
  const unseen = busSignals
    .filter((_, slot) => !head.seen.has(`${busInterface} ${slot}`))
    .map(({ name }) => `“${name}”`);
  if (unseen.length > 0) {
    findings.push({
      code: 'signal_unseen',
      message: `Not met at the beginning of the capture: ${unseen.slice(0, 20).join(', ')}.`,
    });
  }
  if (head.interfaces.length > 1) {
    const names = head.interfaces.map(({ name, frames }) => `${name} (${frames} frames)`).join(', ');
    findings.push({ code: 'several_buses', message: `The capture holds ${names}; ${busInterface} is read.` });
  }
  return findings;
}
