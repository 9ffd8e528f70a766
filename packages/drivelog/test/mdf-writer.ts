import { deflateSync } from 'node:zlib';

/**
 * Writes MDF 4.10 files from the block layouts of reference/check-values.md 13, apart from the reader: children first,
 * so that every link is known when it is written.
 */
export interface WrittenChannel {
  readonly name: string;
  readonly unit?: string;
  readonly type?: number;
  readonly syncType?: number;
  readonly dataType: number;
  readonly bitOffset?: number;
  readonly byteOffset: number;
  readonly bitCount: number;
  readonly flags?: number;
  readonly invalidationBit?: number;
  readonly conversion?: WrittenConversion;
}

export interface WrittenConversion {
  readonly type: number;
  readonly values: readonly number[];
  readonly texts?: readonly (string | WrittenConversion | null)[];
}

export interface WrittenGroup {
  readonly name?: string;
  readonly channels: readonly WrittenChannel[];
  readonly dataBytes: number;
  readonly invalidationBytes?: number;
  /** Data bytes and invalidation bytes of each record. */
  readonly records: readonly Uint8Array[];
  /** Where it differs from the number of records. */
  readonly recordCount?: number;
  readonly isVariableLength?: boolean;
}

/** How records are packed: one block; lists of blocks cut at any byte; deflated; transposed and deflated in a list. */
export type Packing = 'DT' | 'DL' | 'DZ' | 'HL';

export interface WrittenFile {
  /** Each inner list shares one stream of records; more than one group makes it unsorted. */
  readonly dataGroups: readonly (readonly WrittenGroup[])[];
  readonly packing?: Packing;
  /** Bytes of the data blocks of a list. */
  readonly blockBytes?: number;
  readonly startNs?: bigint;
}

class Writer {
  private readonly bytes: number[] = Array.from({ length: 64 + 104 }, () => 0);

  block(id: string, links: readonly number[], data: Uint8Array): number {
    while (this.bytes.length % 8 !== 0) this.bytes.push(0);
    const offset = this.bytes.length;
    for (const byte of blockBytes(id, links, data)) this.bytes.push(byte);
    return offset;
  }

  text(text: string): number {
    const encoded = new TextEncoder().encode(text);
    return text === ''
      ? 0
      : this.block('##TX', [], Uint8Array.from([...encoded, ...new Uint8Array(8 - (encoded.length % 8))]));
  }

  finish(identification: Uint8Array, head: Uint8Array): Uint8Array {
    const file = Uint8Array.from(this.bytes);
    file.set(identification, 0);
    file.set(head, 64);
    return file;
  }
}

function blockBytes(id: string, links: readonly number[], data: Uint8Array): Uint8Array {
  const length = 24 + 8 * links.length + data.length;
  const bytes = new Uint8Array(length);
  const view = new DataView(bytes.buffer);
  bytes.set(new TextEncoder().encode(id));
  view.setBigUint64(8, BigInt(length), true);
  view.setBigUint64(16, BigInt(links.length), true);
  for (const [i, link] of links.entries()) view.setBigUint64(24 + 8 * i, BigInt(link), true);
  bytes.set(data, 24 + 8 * links.length);
  return bytes;
}

function data(length: number, fill: (view: DataView) => void): Uint8Array {
  const bytes = new Uint8Array(length);
  fill(new DataView(bytes.buffer));
  return bytes;
}

export function writeMdf({ dataGroups, packing = 'DT', blockBytes: size = 64, startNs = 0n }: WrittenFile): Uint8Array {
  const writer = new Writer();
  let nextDataGroup = 0;
  for (const groups of [...dataGroups].reverse()) {
    const recordIdSize = groups.length > 1 ? 1 : 0;
    const groupLinks = writeGroups(writer, groups);
    const stream = interleave(groups, recordIdSize);
    const width = recordIdSize + groups[0].dataBytes + (groups[0].invalidationBytes ?? 0);
    const first = writeData(writer, stream, packing, size, width);
    nextDataGroup = writer.block(
      '##DG',
      [nextDataGroup, groupLinks, first, 0],
      data(8, (view) => view.setUint8(0, recordIdSize)),
    );
  }
  const identification = data(64, (view) => {
    for (const [i, letter] of Array.from('MDF     4.10    drivelog').entries()) view.setUint8(i, letter.charCodeAt(0));
    view.setUint16(28, 410, true);
  });
  const head = blockBytes(
    '##HD',
    [nextDataGroup, 0, 0, 0, 0, 0],
    data(32, (view) => view.setBigUint64(0, startNs, true)),
  );
  return writer.finish(identification, head);
}

function writeGroups(writer: Writer, groups: readonly WrittenGroup[]): number {
  let next = 0;
  for (const [index, group] of [...groups.entries()].reverse()) {
    let channel = 0;
    for (const entry of [...group.channels].reverse()) channel = writeChannel(writer, entry, channel);
    const fields = data(32, (view) => {
      view.setBigUint64(0, BigInt(index + 1), true);
      view.setBigUint64(8, BigInt(group.recordCount ?? group.records.length), true);
      view.setUint16(16, group.isVariableLength ? 1 : 0, true);
      view.setUint32(24, group.dataBytes, true);
      view.setUint32(28, group.invalidationBytes ?? 0, true);
    });
    next = writer.block('##CG', [next, channel, writer.text(group.name ?? ''), 0, 0, 0], fields);
  }
  return next;
}

function writeChannel(writer: Writer, channel: WrittenChannel, next: number): number {
  const conversion = channel.conversion ? writeConversion(writer, channel.conversion) : 0;
  const links = [next, 0, writer.text(channel.name), 0, conversion, 0, writer.text(channel.unit ?? ''), 0];
  const fields = data(72, (view) => {
    view.setUint8(0, channel.type ?? 0);
    view.setUint8(1, channel.syncType ?? 0);
    view.setUint8(2, channel.dataType);
    view.setUint8(3, channel.bitOffset ?? 0);
    view.setUint32(4, channel.byteOffset, true);
    view.setUint32(8, channel.bitCount, true);
    view.setUint32(12, channel.flags ?? 0, true);
    view.setUint32(16, channel.invalidationBit ?? 0, true);
  });
  return writer.block('##CN', links, fields);
}

function writeConversion(writer: Writer, { type, values, texts = [] }: WrittenConversion): number {
  const references = texts.map((entry) => {
    if (entry === null) return 0;
    return typeof entry === 'string' ? writer.text(entry) : writeConversion(writer, entry);
  });
  const fields = data(24 + 8 * values.length, (view) => {
    view.setUint8(0, type);
    view.setUint16(4, references.length, true);
    view.setUint16(6, values.length, true);
    for (const [i, value] of values.entries()) view.setFloat64(24 + 8 * i, value, true);
  });
  return writer.block('##CC', [0, 0, 0, 0, ...references], fields);
}

/** Records of several groups in turn, each behind its id; those of varying length behind their length too. */
function interleave(groups: readonly WrittenGroup[], recordIdSize: number): Uint8Array {
  const parts: number[] = [];
  const longest = Math.max(...groups.map(({ records }) => records.length));
  for (let i = 0; i < longest; i++) {
    for (const [index, { records, isVariableLength }] of groups.entries()) {
      if (i >= records.length) continue;
      if (recordIdSize > 0) parts.push(index + 1);
      if (isVariableLength) parts.push(records[i].length, 0, 0, 0);
      parts.push(...records[i]);
    }
  }
  return Uint8Array.from(parts);
}

function writeData(writer: Writer, stream: Uint8Array, packing: Packing, size: number, width: number): number {
  if (packing === 'DT') return writer.block('##DT', [], stream);
  if (packing === 'DZ') return writeZipped(writer, stream, null);
  const links: number[] = [];
  for (let at = 0; at < stream.length; at += size) {
    const part = stream.subarray(at, at + size);
    links.push(packing === 'DL' ? writer.block('##DT', [], part) : writeZipped(writer, part, width));
  }
  const middle = links.length >> 1;
  const second = writeList(writer, 0, links.slice(middle), size);
  const first = writeList(writer, second, links.slice(0, middle), size);
  return packing === 'DL'
    ? first
    : writer.block(
        '##HL',
        [first],
        data(8, (view) => view.setUint8(2, 1)),
      );
}

function writeList(writer: Writer, next: number, links: readonly number[], size: number): number {
  const fields = data(16, (view) => {
    view.setUint8(0, 1);
    view.setUint32(4, links.length, true);
    view.setBigUint64(8, BigInt(size), true);
  });
  return writer.block('##DL', [next, ...links], fields);
}

function writeZipped(writer: Writer, part: Uint8Array, width: number | null): number {
  const packed = deflateSync(width === null ? part : transposed(part, width));
  const fields = data(24 + packed.length, (view) => {
    view.setUint8(0, 'D'.charCodeAt(0));
    view.setUint8(1, 'T'.charCodeAt(0));
    view.setUint8(2, width === null ? 0 : 1);
    view.setUint32(4, width ?? 0, true);
    view.setBigUint64(8, BigInt(part.length), true);
    view.setBigUint64(16, BigInt(packed.length), true);
  });
  fields.set(packed, 24);
  return writer.block('##DZ', [], fields);
}

function transposed(part: Uint8Array, width: number): Uint8Array {
  const rows = Math.floor(part.length / width);
  const turned = part.slice();
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < width; column++) turned[column * rows + row] = part[row * width + column];
  }
  return turned;
}
