import { LogFormatError } from '../log-format-error.js';
import { BlockFile, damagedAt, type MdfBlock, readU64, viewOf } from './block-file.js';
import type { RandomAccess } from './random-access.js';

/** One channel as the file describes it. */
export interface MdfChannel {
  /** Offset of its block. */
  readonly offset: number;
  readonly name: string;
  readonly unit: string;
  /** 0 value, 2 master, 3 virtual master, 6 virtual; others are not read. */
  readonly type: number;
  /** 1 for time. */
  readonly syncType: number;
  readonly dataType: number;
  readonly bitOffset: number;
  readonly byteOffset: number;
  readonly bitCount: number;
  /** 1 all values are invalid, 2 the invalidation bit is used. */
  readonly flags: number;
  readonly invalidationBit: number;
  /** Offset of its conversion; 0 for none. */
  readonly conversion: number;
}

/** Records of one layout. */
export interface MdfGroup {
  readonly offset: number;
  readonly name: string;
  readonly recordId: number;
  readonly recordCount: number;
  /** Records of varying length (1) hold texts and are passed over. */
  readonly isVariableLength: boolean;
  readonly dataBytes: number;
  readonly invalidationBytes: number;
  readonly channels: readonly MdfChannel[];
}

/** Groups that share one stream of records; several make it unsorted. */
export interface MdfDataGroup {
  readonly offset: number;
  readonly recordIdSize: number;
  /** Offset of the first data block; 0 for none. */
  readonly data: number;
  readonly groups: readonly MdfGroup[];
}

export interface MdfStructure {
  readonly file: BlockFile;
  readonly version: number;
  readonly program: string;
  /** Start of the measurement (ms since 1970); null when the file says local time without a zone, or nothing. */
  readonly startUtcMs: number | null;
  readonly dataGroups: readonly MdfDataGroup[];
}

const MAX_CHANNELS = 1 << 16;
const MAX_GROUPS = 1 << 14;
const MAX_RECORD_BYTES = 1 << 20;
/** Parts within parts: a structure inside a structure. */
const MAX_DEPTH = 4;

/** Reads the description of an MDF 4 file (block layouts: reference/check-values.md 13), not its data. */
export function readStructure(access: RandomAccess): MdfStructure {
  const file = new BlockFile(access);
  const { version, program } = readIdentification(file);
  const head = file.block(64, ['##HD'], 1, 32);
  const limits = { channels: 0, groups: 0 };
  const dataGroups: MdfDataGroup[] = [];
  for (const block of file.chain(head.links[0], '##DG', 3, 1)) dataGroups.push(readDataGroup(file, block, limits));
  return { file, version, program, startUtcMs: startOf(head), dataGroups };
}

function readIdentification(file: BlockFile): { version: number; program: string } {
  const bytes = file.bytes(0, 64);
  const text = (start: number) =>
    String.fromCharCode(...bytes.subarray(start, start + 8))
      .replace(/[^ -~]/g, '')
      .trim();
  const version = viewOf(bytes).getUint16(28, true);
  const what = text(0);
  const expected = 'a finalised MDF file of version 4.00 or later';
  if (what === 'UnFinMF') {
    throw new LogFormatError('mdf_unsupported', {
      found: 'a measurement that was not finished by its logger',
      expected,
    });
  }
  if (what !== 'MDF' || version < 400 || version >= 500) {
    throw new LogFormatError('mdf_unsupported', {
      found: `“${what}” of version ${version}`,
      expected,
      position: { byteOffset: 28 },
    });
  }
  return { version, program: text(16) };
}

/** Time flags: 1 the time is local, 2 the offsets of zone and daylight saving (minutes) are valid. */
function startOf({ data }: MdfBlock): number | null {
  const utcMs = readU64(data, 0) / 1e6;
  const flags = data.getUint8(12);
  const offsetMs = (data.getInt16(8, true) + data.getInt16(10, true)) * 60_000;
  if (utcMs === 0 || (flags & 3) === 1) return null;
  return (flags & 1) === 1 ? utcMs - offsetMs : utcMs;
}

interface Limits {
  channels: number;
  groups: number;
}

function readDataGroup(file: BlockFile, block: MdfBlock, limits: Limits): MdfDataGroup {
  const recordIdSize = block.data.getUint8(0);
  if (![0, 1, 2, 4, 8].includes(recordIdSize)) {
    throw damagedAt(block.offset, `record ids of ${recordIdSize} bytes`, '0, 1, 2, 4 or 8 bytes');
  }
  const groups: MdfGroup[] = [];
  for (const group of file.chain(block.links[1], '##CG', 6, 32)) groups.push(readGroup(file, group, limits));
  if (groups.length > 1 && recordIdSize === 0) {
    throw damagedAt(
      block.offset,
      `${groups.length} groups in one stream without record ids`,
      'record ids, or one group',
    );
  }
  return { offset: block.offset, recordIdSize, data: block.links[2], groups };
}

function readGroup(file: BlockFile, block: MdfBlock, limits: Limits): MdfGroup {
  if (++limits.groups > MAX_GROUPS) throw damagedAt(block.offset, 'more channel groups', `at most ${MAX_GROUPS}`);
  const { data, links, offset } = block;
  const isVariableLength = (data.getUint16(16, true) & 1) === 1;
  const dataBytes = data.getUint32(24, true);
  const invalidationBytes = data.getUint32(28, true);
  if (!isVariableLength && dataBytes + invalidationBytes > MAX_RECORD_BYTES) {
    throw damagedAt(offset, `records of ${dataBytes + invalidationBytes} bytes`, `at most ${MAX_RECORD_BYTES}`);
  }
  return {
    offset,
    name: file.text(links[2]),
    recordId: readU64(data, 0),
    recordCount: readU64(data, 8),
    isVariableLength,
    dataBytes,
    invalidationBytes,
    channels: isVariableLength ? [] : readChannels(file, links[1], limits, 0),
  };
}

/** Channels of a chain; those inside a structure follow it. */
function readChannels(file: BlockFile, first: number, limits: Limits, depth: number): MdfChannel[] {
  const channels: MdfChannel[] = [];
  if (depth > MAX_DEPTH) throw damagedAt(first, 'structures nested too deeply', `at most ${MAX_DEPTH}`);
  for (const block of file.chain(first, '##CN', 8, 72)) {
    if (++limits.channels > MAX_CHANNELS) {
      throw new LogFormatError('too_many_columns', {
        found: `more than ${MAX_CHANNELS} channels`,
        expected: `at most ${MAX_CHANNELS}`,
      });
    }
    const composition = block.links[1];
    const isStructure =
      composition !== 0 && file.header(composition, ['##CN', '##CA', '##DS', '##CL', '##CV', '##CU']).id === '##CN';
    if (composition === 0) channels.push(readChannel(file, block));
    else if (isStructure) channels.push(...readChannels(file, composition, limits, depth + 1));
  }
  return channels;
}

function readChannel(file: BlockFile, { offset, links, data }: MdfBlock): MdfChannel {
  return {
    offset,
    name: file.text(links[2]) || `channel at ${offset}`,
    unit: file.text(links[6]),
    type: data.getUint8(0),
    syncType: data.getUint8(1),
    dataType: data.getUint8(2),
    bitOffset: data.getUint8(3),
    byteOffset: data.getUint32(4, true),
    bitCount: data.getUint32(8, true),
    flags: data.getUint32(12, true),
    invalidationBit: data.getUint32(16, true),
    conversion: links[4],
  };
}
