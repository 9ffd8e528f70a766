import type { ImageChecksum, ImageMap, Layout } from '../layout/layout.js';
import type { Platform } from '../layout/platform.js';
import { CHECKSUM_STORAGE } from '../transfer/checksums.js';
import { fieldBytes, fieldName, imageFields } from '../transfer/image-fields.js';
import { STORAGE_BYTES } from '../transfer/raw-number.js';
import { findRepeated } from './find-repeated.js';
import { type Finding, finding, plain } from './finding.js';

/** Addresses are 32 bits wide, as in the S-record and Intel HEX forms. */
const ADDRESS_END = 2 ** 32;

/** What is wrong with the memory image of a layout: its block, what lies in it and where, its checksums. */
export function checkImageMap(map: ImageMap, layout: Layout, platform: Platform): Finding[] {
  const findings = checkBlock(map);
  if (findings.length > 0) return findings;
  const regions = regionsOf(map, layout, platform);
  return [
    ...checkTables(map, layout),
    ...checkAxes(map, layout),
    ...regions.flatMap((region) => checkPlace(region, map)),
    ...checkOverlaps(regions),
    ...map.checksums.flatMap((checksum, i) => checkChecksum(checksum, map, map.checksums.slice(i))),
  ];
}

/** Bytes [start, end) that something of the layout claims. */
interface Region {
  readonly name: string;
  readonly tableId: string | null;
  readonly start: number;
  readonly end: number;
}

function regionsOf(map: ImageMap, layout: Layout, platform: Platform): Region[] {
  return [
    ...imageFields({ ...layout, image: map }, platform).map((field) => {
      const { address: start } = field;
      return { name: fieldName(field), tableId: field.spec.id, start, end: start + fieldBytes(field) };
    }),
    ...map.checksums.map((checksum) => {
      const { address: start } = checksum;
      return { name: checksumName(checksum), tableId: null, start, end: start + checksumBytes(checksum) };
    }),
  ];
}

function checkBlock({ startAddress, byteCount, fill }: ImageMap): Finding[] {
  const findings: Finding[] = [];
  const isWhole = Number.isInteger(startAddress) && Number.isInteger(byteCount);
  if (!(isWhole && startAddress >= 0 && byteCount > 0 && startAddress + byteCount <= ADDRESS_END)) {
    const message =
      `The image has ${byteCount} bytes from address ${hex(startAddress)}. ` +
      'State at least one byte, whole numbers, and a block that ends within 32 bits.';
    findings.push(finding({ code: 'imageBlock', found: plain(byteCount), message }));
  }
  if (!(Number.isInteger(fill) && fill >= 0 && fill <= 0xff)) {
    const message = `The image is filled with ${fill}, expected a whole number from 0 to 255. Choose the value of an empty byte.`;
    findings.push(finding({ code: 'imageBlock', found: plain(fill), bound: 0xff, message }));
  }
  return findings;
}

function checkTables(map: ImageMap, layout: Layout): Finding[] {
  const placed = map.tables.map((entry) => entry.tableId);
  const unknown = placed.filter((id) => !layout.tables.some((spec) => spec.id === id));
  const missing = layout.tables.filter((spec) => !placed.includes(spec.id));
  return [
    ...unknown.map((tableId) => {
      const message = `The image places table '${tableId}', which the layout does not have. Remove it or mend its name.`;
      return finding({ code: 'imageTable', found: tableId, message });
    }),
    ...findRepeated(placed).map((tableId) => {
      const message = `The image places table '${tableId}' more than once. Place it once.`;
      return finding({ code: 'imageTable', tableId, found: tableId, message });
    }),
    ...missing.map(({ id: tableId }) => {
      const message = `The image has no place for table '${tableId}', so its values would not reach the control unit. Give it an address.`;
      return finding({ code: 'imageTable', tableId, bound: tableId, message });
    }),
  ];
}

function checkAxes(map: ImageMap, layout: Layout): Finding[] {
  const nameOf = (tableId: string, axis: number) => `axis ${axis + 1} of table '${tableId}'`;
  const placed = map.axes.map(({ tableId, axis }) => nameOf(tableId, axis));
  const existing = layout.tables.flatMap((spec) =>
    spec.axes.map((axis, i) => ({ tableId: spec.id, axis, name: nameOf(spec.id, i) })),
  );
  const unknown = placed.filter((name) => !existing.some((entry) => entry.name === name));
  const missing = existing.filter(({ axis, name }) => axis.editable && !placed.includes(name));
  const coarse = map.axes.filter(({ storage }) => !(storage.resolution > 0 && Number.isFinite(storage.offset)));
  return [
    ...unknown.map((name) => {
      const message = `The image places ${name}, which the layout does not have. Remove it or mend it.`;
      return finding({ code: 'imageAxis', found: name, message });
    }),
    ...findRepeated(placed).map((name) => {
      return finding({
        code: 'imageAxis',
        found: name,
        message: `The image places ${name} more than once. Place it once.`,
      });
    }),
    ...missing.map(({ tableId, axis, name }) => {
      const message =
        `The image has no place for ${name} ('${axis.title}'), whose break points a revision may move. ` +
        'Give it an address or fix the axis.';
      return finding({ code: 'imageAxis', tableId, bound: name, message });
    }),
    ...coarse.map(({ tableId, axis, storage }) => {
      const message = `The image stores ${nameOf(tableId, axis)} with resolution ${storage.resolution} and offset ${storage.offset}; both must be finite and the resolution above 0.`;
      return finding({ code: 'resolution', tableId, found: plain(storage.resolution), bound: 0, message });
    }),
  ];
}

function checkPlace(region: Region, map: ImageMap): Finding[] {
  const [blockStart, blockEnd] = [map.startAddress, map.startAddress + map.byteCount];
  if (Number.isInteger(region.start) && region.start >= blockStart && region.end <= blockEnd) return [];
  const message =
    `${region.name}: found bytes ${hex(region.start)} to ${hex(region.end - 1)}, the image has ${hex(blockStart)} to ` +
    `${hex(blockEnd - 1)}. Move it or widen the image.`;
  return [finding({ code: 'imageOutside', tableId: region.tableId, found: hex(region.start), message })];
}

/** In order of addresses, so that one pass finds every region that begins before an earlier one ended. */
function checkOverlaps(regions: readonly Region[]): Finding[] {
  const findings: Finding[] = [];
  let reaching: Region | undefined;
  for (const region of [...regions].sort((a, b) => a.start - b.start)) {
    if (reaching && region.start < reaching.end) {
      const message =
        `${region.name}: found address ${hex(region.start)}, which belongs to ${lowerFirst(reaching.name)} up to ` +
        `${hex(reaching.end - 1)}. Move one of the two.`;
      const [found, bound] = [hex(region.start), hex(reaching.end)];
      findings.push(finding({ code: 'imageOverlap', tableId: region.tableId, found, bound, message }));
    }
    if (!reaching || region.end > reaching.end) reaching = region;
  }
  return findings;
}

/** @param sameAndLater the checksum itself and those that are reckoned after it */
function checkChecksum(checksum: ImageChecksum, map: ImageMap, sameAndLater: readonly ImageChecksum[]): Finding[] {
  const { from, to } = checksum;
  const [blockStart, blockEnd] = [map.startAddress, map.startAddress + map.byteCount];
  const part = { code: 'imageChecksum', found: hex(from) } as const;
  if (!(Number.isInteger(from) && Number.isInteger(to) && from >= blockStart && from < to && to <= blockEnd)) {
    const message =
      `${checksumName(checksum)} runs over ${hex(from)} to ${hex(to - 1)}, expected bytes within ${hex(blockStart)} to ` +
      `${hex(blockEnd - 1)}. Mend its range.`;
    return [finding({ ...part, message })];
  }
  return sameAndLater
    .filter((other) => other.address < to && other.address + checksumBytes(other) > from)
    .map((other) => {
      const what =
        other === checksum ? 'its own place' : `the place of ${lowerFirst(checksumName(other))}, reckoned later`;
      const message = `${checksumName(checksum)} runs over ${what}, so it would not hold for the finished image. Leave that place out or reorder.`;
      return finding({ ...part, bound: hex(other.address), message });
    });
}

function checksumName({ kind, address }: ImageChecksum): string {
  return `Checksum ${kind} at ${hex(address)}`;
}

function checksumBytes({ kind }: ImageChecksum): number {
  return STORAGE_BYTES[CHECKSUM_STORAGE[kind]];
}

function hex(address: number): string {
  return Number.isInteger(address) && address >= 0 ? `0x${address.toString(16).toUpperCase()}` : String(address);
}

function lowerFirst(name: string): string {
  return name.charAt(0).toLowerCase() + name.slice(1);
}
