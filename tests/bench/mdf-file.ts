import { closeSync, createReadStream, openSync, writeSync } from 'node:fs';
import { createLogReader, inspectLog, readBatches, type SignalBatch, suggestSignalMap } from '@syncline/drivelog';
import { headOf } from './bench-club.ts';

/** Of MDF 4.10: a float stored little-endian, and the channel that the others stand over. */
const FLOAT = 4;
const MASTER = { channelType: 2, syncType: 1 };
const CHUNK_BYTES = 1 << 18;

interface Channel {
  readonly name: string;
  readonly unit: string;
}

/**
 * Writes the samples of a CSV log as an MDF file, chunk by chunk: one group of doubles, whose one block of data stands at
 * the end. Layouts of the blocks from reference/check-values.md 13.
 */
export async function writeMdfOf(csvPath: string, path: string): Promise<void> {
  const inspection = inspectLog(headOf(csvPath));
  const { map } = suggestSignalMap(inspection);
  if (map === null) throw new Error('no signal map was suggested');
  const units = new Map(inspection.columns.map(({ name, unit }) => [name, unit ?? '']));
  const channels = [
    { name: 'time', unit: 's' },
    ...map.signals.map(({ column }) => ({ name: column, unit: units.get(column) ?? '' })),
  ];
  const file = openSync(path, 'w');
  writeSync(file, description(channels, 0));
  let rowCount = 0;
  const source = createReadStream(csvPath, { highWaterMark: CHUNK_BYTES });
  for await (const batch of readBatches(source, createLogReader({ inspection, map, isLending: true }))) {
    writeSync(file, recordsOf([batch.timeS, ...map.signals.map(({ signal }) => batch.signals[signal])], batch));
    rowCount += batch.timeS.length;
  }
  // Only now it is known how many there are.
  writeSync(file, description(channels, rowCount), 0, undefined, 0);
  closeSync(file);
}

function recordsOf(columns: readonly (Float64Array | undefined)[], { timeS }: SignalBatch): Uint8Array {
  const records = new Float64Array(timeS.length * columns.length);
  for (const [c, values] of columns.entries()) {
    for (let row = 0; row < timeS.length; row++) records[row * columns.length + c] = values?.[row] ?? Number.NaN;
  }
  return new Uint8Array(records.buffer);
}

/** All before the records: identification, head, group, channels with their texts, and the head of the data block. */
function description(channels: readonly Channel[], rowCount: number): Buffer {
  const recordBytes = 8 * channels.length;
  const parts: Buffer[] = [Buffer.alloc(64)];
  parts[0]!.write('MDF     4.10    bench', 'latin1');
  parts[0]!.writeUInt16LE(410, 28);
  let length = 64;
  const add = (part: Buffer): number => {
    parts.push(part);
    length += part.length;
    return length - part.length;
  };
  const text = (value: string) => add(block('##TX', [], paddedText(value)));
  // Sizes of blocks do not depend on their links: the head is written when the group is known.
  const head = (group: number) => block('##HD', [group, 0, 0, 0, 0, 0], Buffer.alloc(32));
  add(head(0));
  let next = 0;
  for (const [i, { name, unit }] of [...channels.entries()].reverse()) {
    const fields = Buffer.alloc(72);
    if (i === 0) fields.set([MASTER.channelType, MASTER.syncType]);
    fields.writeUInt8(FLOAT, 2);
    fields.writeUInt32LE(8 * i, 4);
    fields.writeUInt32LE(64, 8);
    next = add(block('##CN', [next, 0, text(name), 0, 0, 0, text(unit), 0], fields));
  }
  const counts = Buffer.alloc(32);
  counts.writeBigUInt64LE(BigInt(rowCount), 8);
  counts.writeUInt32LE(recordBytes, 24);
  const group = add(block('##CG', [0, next, 0, 0, 0, 0], counts));
  const dataGroup = block('##DG', [0, group, 0, 0], Buffer.alloc(8));
  dataGroup.writeBigUInt64LE(BigInt(length + dataGroup.length), 24 + 16);
  parts[1] = head(add(dataGroup));
  const data = block('##DT', [], Buffer.alloc(0));
  data.writeBigUInt64LE(BigInt(data.length + rowCount * recordBytes), 8);
  add(data);
  return Buffer.concat(parts);
}

function block(id: string, links: readonly number[], fields: Buffer): Buffer {
  const head = Buffer.alloc(24 + 8 * links.length);
  head.write(id, 'latin1');
  head.writeBigUInt64LE(BigInt(head.length + fields.length), 8);
  head.writeBigUInt64LE(BigInt(links.length), 16);
  for (const [i, link] of links.entries()) head.writeBigUInt64LE(BigInt(link), 24 + 8 * i);
  return Buffer.concat([head, fields]);
}

/** Ended by a zero and filled up to eight bytes, where every block begins. */
function paddedText(value: string): Buffer {
  const bytes = Buffer.from(value, 'utf8');
  return Buffer.concat([bytes, Buffer.alloc(8 - (bytes.length % 8))]);
}
